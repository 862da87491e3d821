// How the charted figure spreads, place by place, under one axis, with its limits.

import {drawing, freshId, h, s} from "./dom.js";
import {colourOf, shapeOf} from "./places.js";
import {extent} from "./scatter_draw.js";
import {numberTicks} from "./time_window.js";
import {plain, quantityText, sentence, unitOf} from "./units.js";
import {onChange, widthOf} from "./view.js";

const ROW = 62;
const LEFT = 78;

/** Bins that begin at round numbers of the reader's unit. */
function binning(values, unit, containers) {
  const [least, most] = extent(containers, values, new Set(), [0, containers.count]).map((value) => value * unit.factor + unit.offset);
  if (!(least <= most)) return null;
  const span = most - least || Math.max(1e-9, Math.abs(most) * 0.01);
  const {ticks} = numberTicks(least, least + span, containers.count > 5000 ? 90 : 40);
  const step = ticks.length > 1 ? ticks[1] - ticks[0] : span;
  const from = Math.floor(least / step + 1e-9) * step;
  return {step, from, count: Math.max(1, Math.floor((most - from) / step + 1e-9) + 1)};
}

function countByPlace(containers, values, unit, bins) {
  const places = containers.places.map(() => ({counts: new Uint32Array(bins.count), n: 0, sum: 0, squares: 0, least: Infinity, most: -Infinity}));
  for (let i = 0; i < containers.count; i += 1) {
    if (Number.isNaN(values[i])) continue;
    const value = values[i] * unit.factor + unit.offset;
    const place = places[containers.placeIndex.get(containers.place[i])];
    place.counts[Math.min(bins.count - 1, Math.max(0, Math.floor((value - bins.from) / bins.step + 1e-9)))] += 1;
    place.n += 1;
    place.sum += values[i];
    place.least = Math.min(place.least, values[i]);
    place.most = Math.max(place.most, values[i]);
  }
  return withDeviations(places, containers, values);
}

function withDeviations(places, containers, values) {
  for (let i = 0; i < containers.count; i += 1) {
    const place = places[containers.placeIndex.get(containers.place[i])];
    if (!Number.isNaN(values[i])) place.squares += (values[i] - place.sum / place.n) ** 2;
  }
  return places;
}

export function histogramView(state) {
  const box = h("div", {class: "histogram"});
  const id = freshId("few");
  const few = h("input", {id, type: "checkbox", onchange: () => update()});
  const update = () => {
    if (box.isConnected) box.replaceChildren(...picture(state, {wide: widthOf(box), logarithmic: few.checked}));
  };
  onChange(update);
  state.onChange((what) => what === "column" && update());
  const choice = h("div", {class: "controls"}, h("span", {class: "choice"}, few, h("label", {for: id}, "show the few too: heights grow with the logarithm of the count")));
  return {element: h("div", {}, choice, box), update};
}

function picture({containers, column}, {wide, logarithmic}) {
  const unit = unitOf(column.quantity, extent(containers, column.values, new Set(), [0, containers.count])[1]);
  const bins = binning(column.values, unit, containers);
  if (!bins) return [h("p", {class: "note"}, "No container has this figure.")];
  const places = countByPlace(containers, column.values, unit, bins);
  const limits = containers.limits(column.name).flatMap((limit) => ["least", "most"].filter((end) => limit[end] !== undefined).map((end) => limit[end] * unit.factor + unit.offset));
  const axis = axisOf(bins, limits, wide);
  const most = Math.max(...places.map((place) => Math.max(...place.counts)));
  const height = places.length * ROW + 46;
  const left = containers.places.length > 1 ? LEFT : 14;
  const x = (value) => left + ((value - axis.from) / (axis.until - axis.from)) * (wide - left - 16);
  const svg = drawing(wide, height, `${column.label}, how many containers have which figure, by place; the table below has the figures`,
    ticks(axis, x, height, unit.unit, wide),
    places.map((place, index) => row(containers, place, {index, x, bins, share: shareOf(most, logarithmic), top: 8 + index * ROW, left, wide})),
    limits.filter((value) => value >= axis.from && value <= axis.until).map((value) => s("path", {d: `M${x(value)} 4V${height - 36}`, class: "limit"})));
  return [svg, table(containers, column, places)];
}

/** Height of a bin in parts of the highest. */
function shareOf(most, logarithmic) {
  return logarithmic ? (count) => Math.log10(1 + count) / Math.log10(1 + most) : (count) => count / most;
}

/** From the figures to the limits near them. */
function axisOf(bins, limits, wide) {
  let [from, until] = [bins.from, bins.from + bins.step * bins.count];
  const span = until - from;
  for (const value of limits) {
    if (value > from - span && value < from) from = value - span * 0.03;
    if (value < until + span && value > until) until = value + span * 0.03;
  }
  return {from, until, ...numberTicks(from, until, Math.max(3, wide / 90))};
}

function ticks(axis, x, height, unit, wide) {
  return [axis.ticks.map((value) => [
    s("path", {d: `M${x(value)} 4V${height - 32}`, class: "hair"}),
    x(value) > wide - 44 ? null : s("text", {x: x(value), y: height - 16, class: "tick", "text-anchor": "middle"}, plain(value, axis.digits))]),
  s("text", {x: wide - 4, y: height - 16, class: "tick", "text-anchor": "end"}, unit)];
}

function row(containers, place, {index, x, bins, share, top, left, wide}) {
  const base = top + ROW - 12;
  const colour = colourOf(index, containers.places.length);
  const bars = [...place.counts].map((count, bin) => {
    if (!count) return null;
    const height = Math.max(1, share(count) * (ROW - 18));
    const from = x(bins.from + bin * bins.step);
    const width = x(bins.from + (bin + 1) * bins.step) - from;
    return s("rect", {x: from + Math.min(0.5, width / 8), y: base - height, width: Math.max(1, width - Math.min(1, width / 4)), height, fill: colour});
  });
  const name = containers.places.length > 1 ? [
    s("path", {d: shapeOf(index, 4.5), fill: colour, transform: `translate(8 ${base - 14})`}),
    s("text", {x: 20, y: base - 10, class: "tick"}, `place ${containers.places[index]}`)] : null;
  return [s("path", {d: `M${left} ${base}H${wide - 16}`, class: "axis"}), bars, name];
}

function table(containers, column, places) {
  const text = (value) => quantityText(value, column.quantity, column.digits);
  const heads = ["Place", "Containers", "Mean", "Deviation", "Least", "Most"];
  const deviation = (place) => {
    const {factor, unit} = unitOf(column.quantity, place.most);
    return `${plain(Math.sqrt(place.squares / Math.max(1, place.n - 1)) * factor, 2)} ${unit}`;
  };
  return h("div", {class: "scroll", tabindex: 0, role: "region", "aria-label": `${column.label} by place`},
    h("table", {}, h("caption", {}, h("span", {}, `${sentence(column.label)} by place; dashed lines in the drawing are its limits`)),
      h("thead", {}, h("tr", {}, heads.map((name, i) => h("th", {scope: "col", class: i ? "right" : null}, name)))),
      h("tbody", {}, places.map((place, index) => h("tr", {}, h("th", {scope: "row"}, String(containers.places[index])),
        [plain(place.n), ...(place.n ? [text(place.sum / place.n), deviation(place), text(place.least), text(place.most)] : ["–", "–", "–", "–"])].map((cell) => h("td", {class: "right"}, cell)))))));
}
