// Where the liquid landed, seen from above: the opening to scale, and for every place how its shots
// spread along the belt, at the same scale.

import {drawing, h, s} from "./dom.js";
import {colourOf, shapeOf} from "./places.js";
import {quantityText} from "./units.js";
import {onChange, view, widthOf} from "./view.js";

const BINS = 240;
const ROW = 26;

/** Count of shots in each of the bins over the container's width, and least, mean, most. */
function spread(containers, offsets, index, half) {
  const bins = new Uint32Array(BINS);
  let [least, most, sum, count, outside] = [Infinity, -Infinity, 0, 0, 0];
  for (let i = 0; i < containers.count; i += 1) {
    const um = offsets[i];
    if (Number.isNaN(um) || containers.placeIndex.get(containers.place[i]) !== index) continue;
    bins[Math.min(BINS - 1, Math.max(0, Math.floor(((um + half) / (2 * half)) * BINS)))] += 1;
    [least, most, sum, count] = [Math.min(least, um), Math.max(most, um), sum + um, count + 1];
    if (Math.abs(um) > half) outside += 1;
  }
  return {bins, least, most, mean: sum / count, count, outside};
}

export function landingView(containers) {
  const column = containers.columns.get("landing_offset_um");
  const landing = containers.block.landing;
  if (!column || !landing) return null;
  // Offsets come in the column's own quantity; the drawing is in micrometres.
  const toUm = column.quantity === "length_mm" ? 1000 : 1;
  const offsets = column.values.map((value) => value * toUm);
  const half = Math.max(landing.opening_um, landing.diameter_um ?? 0) / 2 * 1.04;
  const spreads = containers.places.map((_, index) => spread(containers, offsets, index, half));
  const box = h("div", {class: "landing"});
  const update = () => {
    if (box.isConnected) box.replaceChildren(...picture(containers, landing, spreads, half, {wide: widthOf(box), limits: limitsOf(containers, column, toUm)}));
  };
  onChange(update);
  return {element: box, update};
}

/** Limits of the offset, in micrometres. */
function limitsOf(containers, column, toUm) {
  return containers.limits(column.name).flatMap((limit) => [limit.least, limit.most]).filter((value) => value !== undefined).map((value) => value * toUm);
}

function picture(containers, landing, spreads, half, {wide, limits}) {
  const shown = spreads.map((each, index) => ({...each, index})).filter((each) => each.count);
  if (!shown.length) return [h("p", {class: "note"}, "No shot landed in or near a container.")];
  const label = containers.places.length > 1 ? 74 : 12;
  const size = Math.min(wide - label - 16, view.printing ? 260 : 380);
  const scale = size / (2 * half);
  const centre = label + size / 2;
  const middle = 10 + half * scale;
  const top = middle * 2 + 24;
  const height = top + shown.length * ROW + 34;
  const svg = drawing(label + size + 12, height, said(containers, landing, shown),
    above(landing, centre, middle, scale), shots(containers, landing, shown, centre, middle, scale, half),
    edges(landing, centre, scale, middle, top + shown.length * ROW), limits.map((um) => s("path", {d: `M${centre + um * scale} ${top - 8}V${top + shown.length * ROW}`, class: "limit"})),
    shown.map((each, row) => strip(containers, each, {left: label, centre, scale, half, top: top + row * ROW})),
    s("text", {x: centre, y: height - 6, class: "tick", "text-anchor": "middle"}, `opening ${quantityText(landing.opening_um, "length_um", -2)} across`));
  return [svg, figures(containers, landing, shown)];
}

function said(containers, landing, shown) {
  const parts = shown.map((each) => `place ${containers.places[each.index]}: from ${quantityText(each.least, "length_um", -2)} to ${quantityText(each.most, "length_um", -2)}`);
  return `Landing offsets from the centre of an opening of ${quantityText(landing.opening_um, "length_um", -2)}, ${parts.join("; ")}`;
}

function above(landing, x, y, scale) {
  const radius = (landing.opening_um / 2) * scale;
  const body = landing.diameter_um ? s("circle", {cx: x, cy: y, r: (landing.diameter_um / 2) * scale, class: "body"}) : null;
  return [body, s("circle", {cx: x, cy: y, r: radius, class: "opening"}),
    s("path", {d: `M${x - radius} ${y}H${x + radius}M${x} ${y - radius}V${y + radius}`, class: "hair"}),
    s("path", {d: `M${x - 22} ${y + radius * 0.78}h38m-8 -5l8 5l-8 5`, class: "arrow"}),
    s("text", {x, y: y + radius * 0.78 - 8, class: "tick", "text-anchor": "middle"}, "belt")];
}

/** Every landing as a stroke as wide as the jet; the more shots, the darker. */
function shots(containers, landing, shown, x, y, scale, half) {
  const jet = Math.max(4, (landing.jet_diameter_um ?? 1600) * scale);
  const lateral = y + (landing.lateral_um ?? 0) * scale;
  return shown.map((each) => {
    const most = Math.max(...each.bins);
    const rows = shown.length;
    const band = Math.max(jet / rows, 3);
    const top = lateral - (band * rows) / 2 + band * shown.indexOf(each);
    return bins(each, most).map(([bin, share]) => s("rect", {
      x: x + ((bin / BINS) * 2 - 1) * half * scale, y: top, width: Math.max(1.2, (2 * half * scale) / BINS), height: band,
      fill: colourOf(each.index, containers.places.length), "fill-opacity": (0.3 + 0.7 * share).toFixed(2)}));
  });
}

function bins(each, most) {
  return [...each.bins].map((count, bin) => [bin, count / most]).filter(([, share]) => share > 0);
}

function edges(landing, x, scale, from, until) {
  const radius = (landing.opening_um / 2) * scale;
  return s("path", {d: `M${x - radius} ${from}V${until}M${x + radius} ${from}V${until}`, class: "edge"});
}

/** One place: how many landed where, the mean as its shape, the ends as ticks. */
function strip(containers, each, {left, centre, scale, half, top}) {
  const count = containers.places.length;
  const colour = colourOf(each.index, count);
  const x = (um) => centre + Math.max(-half, Math.min(half, um)) * scale;
  const most = Math.max(...each.bins);
  const base = top + ROW - 6;
  const bars = bins(each, most).map(([bin, share]) => s("rect", {
    x: centre + ((bin / BINS) * 2 - 1) * half * scale, y: base - share * (ROW - 10), width: Math.max(1.2, (2 * half * scale) / BINS), height: share * (ROW - 10), fill: colour}));
  const name = count > 1 ? [s("path", {d: shapeOf(each.index, 4.5), fill: colour, transform: `translate(8 ${base - 6})`}),
    s("text", {x: 20, y: base - 2, class: "tick"}, `place ${containers.places[each.index]}`)] : null;
  return [name, s("path", {d: `M${left} ${base}H${centre + half * scale}`, class: "hair"}), bars,
    s("path", {d: `M${x(each.least)} ${base}v5M${x(each.most)} ${base}v5M${x(each.least)} ${base + 2.5}H${x(each.most)}`, stroke: colour, fill: "none", "stroke-width": 1.4})];
}

function figures(containers, landing, shown) {
  const text = (um) => quantityText(um, "length_um");
  const outside = (each) => each.least < -landing.opening_um / 2 || each.most > landing.opening_um / 2;
  return h("div", {class: "scroll", tabindex: 0, role: "region", "aria-label": "Landing offsets by place"},
    h("table", {}, h("caption", {}, h("span", {}, "From the centre of the opening along the belt; positive lands behind it")),
      h("thead", {}, h("tr", {}, ["Place", "Shots", "Mean", "Least", "Most", ""].map((name, i) => h("th", {scope: "col", class: i ? "right" : null}, name)))),
      h("tbody", {}, shown.map((each) => h("tr", {}, h("th", {scope: "row"}, String(containers.places[each.index])),
        [String(each.count), text(each.mean), text(each.least), text(each.most)].map((cell) => h("td", {class: "right"}, cell)),
        h("td", {}, outside(each) ? "beside the opening" : ""))))));
}
