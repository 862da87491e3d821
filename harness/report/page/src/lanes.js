// What happened when: faults, disturbances, permits and modes under the time axis of the run.

import {drawing, fold, h, s, scrolling, textWidth} from "./dom.js";
import {runTime, timeControls, timeKeys, timeTicks} from "./time_window.js";
import {clock, plain} from "./units.js";
import {onChange, widthOf} from "./view.js";

const ROW = 26;
const ROWS_MOST = 400;

export function drawLanes(block, section, page) {
  const lanes = block.lanes.filter((lane) => lane.spans.length);
  if (!lanes.length) {
    section.append(h("p", {class: "note"}, "Nothing happened beside the plan."));
    return;
  }
  runTime.extend(0, block.end_us);
  const box = h("div", {class: "lanes", tabindex: 0, role: "group", "aria-label": `${block.heading}. Arrow keys move, + and \u2212 zoom, 0 shows the whole run. The same stands in the table below.`});
  const update = () => {
    if (box.isConnected) box.replaceChildren(picture(lanes, widthOf(box)));
  };
  timeKeys(box, (event) => {
    const {left, width} = box.getBoundingClientRect();
    const {from, until} = frameOf(width);
    return runTime.from + ((event.clientX - left - from) / (until - from)) * runTime.length;
  });
  section.append(timeControls(), box, legend(lanes), fold("As a table", () => table(lanes)));
  onChange(update);
  runTime.onChange(update);
  page.later(update);
}

function frameOf(wide) {
  return wide < 560 ? {from: 6, until: wide - 14, narrow: true} : {from: 176, until: wide - 14, narrow: false};
}

function picture(lanes, wide) {
  const frame = frameOf(wide);
  const row = frame.narrow ? ROW + 14 : ROW;
  const bottom = 4 + row * lanes.length;
  const x = (us) => frame.from + ((us - runTime.from) / runTime.length) * (frame.until - frame.from);
  const {step, ticks} = timeTicks(runTime.from, runTime.until, Math.max(2, (frame.until - frame.from) / 100));
  return drawing(wide, bottom + 26, `Faults and disturbances over the run, ${lanes.length} lanes; the table below has them all`, hatches(),
    ticks.map((us) => [s("path", {d: `M${x(us)} 0V${bottom + 5}`, class: "hair"}), x(us) > frame.until - 12 ? null : s("text", {x: Math.max(x(us), 22), y: bottom + 20, class: "tick", "text-anchor": "middle"}, clock(us, step))]),
    lanes.map((lane, i) => laneRow(lane, {...frame, x, top: 4 + row * i})), s("path", {d: `M${frame.from} ${bottom}H${frame.until}`, class: "axis"}));
}

function hatches() {
  return s("defs", {}, s("pattern", {id: "hatch", width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)"},
    s("rect", {width: 6, height: 6, class: "hatch-ground"}), s("path", {d: "M0 0V6", class: "hatch-line"})));
}

function laneRow(lane, frame) {
  const name = lane.total && lane.total > lane.spans.length ? `${lane.name} (${lane.total})` : lane.name;
  const middle = frame.top + (frame.narrow ? 14 : 0) + ROW / 2;
  const most = Math.floor(160 / 6.6);
  const short = !frame.narrow && name.length > most ? `${name.slice(0, most - 1)}\u2026` : name;
  const text = frame.narrow ? s("text", {x: frame.from, y: frame.top + 12, class: "lane"}, name) : s("text", {x: frame.from - 10, y: middle + 4, class: "lane", "text-anchor": "end"}, short, s("title", {}, name));
  const line = s("path", {d: `M${frame.from} ${middle + 8.5}H${frame.until}`, class: "hair"});
  return s("g", {class: `kind-${lane.kind ?? "disturbance"}`}, line, text, spans(lane, frame, middle));
}

/** Spans that would share a pixel are drawn as one; a moment is a diamond. */
function spans(lane, {x, from, until}, middle) {
  const parts = [];
  let end = -Infinity;
  for (const [begin, finish, label] of lane.spans) {
    const [a, b] = [Math.max(from, x(begin)), Math.min(until, Math.max(x(finish), x(begin) + 2))];
    if (x(begin) > until || x(finish) < from || (b <= end + 0.5 && lane.kind !== "mode")) continue;
    end = b;
    if (begin === finish) parts.push(s("path", {d: `M${a} ${middle - 7}l5 7l-5 7l-5 -7z`, class: "moment"}, s("title", {}, `${label ?? lane.name} at ${clock(begin)}`)));
    else parts.push(s("rect", {x: a, y: middle - 7, width: Math.max(2, b - a), height: 14, rx: 2, class: "span"}, s("title", {}, `${label ?? lane.name}: ${clock(begin)} to ${clock(finish)}`)));
    if (label && begin !== finish && b - a > textWidth(label, 11) + 8) parts.push(s("text", {x: a + 5, y: middle + 4, class: "on-span"}, label));
  }
  return parts;
}

const KINDS = {fault: "fault raised by the controller", disturbance: "disturbance of the line", permit: "permit or signal lost", mode: "mode of the controller"};

function legend(lanes) {
  const kinds = [...new Set(lanes.map((lane) => lane.kind ?? "disturbance"))];
  return h("p", {class: "legend"}, kinds.map((kind) => h("span", {class: "item"}, s("svg", {viewBox: "0 0 22 12", width: 22, height: 12, "aria-hidden": "true", class: `kind-${kind}`}, s("rect", {width: 22, height: 12, rx: 2, class: "span"})), ` ${KINDS[kind] ?? kind}`)));
}

function table(lanes) {
  const rows = lanes.flatMap((lane) => lane.spans.map((span) => [lane, span])).sort((a, b) => a[1][0] - b[1][0]);
  const body = rows.slice(0, ROWS_MOST).map(([lane, [from, until, label]]) => h("tr", {}, h("td", {class: "right"}, clock(from)), h("td", {class: "right"}, from === until ? "" : clock(until)), h("td", {}, lane.name), h("td", {}, label ?? "")));
  return h("div", {}, scrolling("Faults and disturbances", h("table", {}, h("thead", {}, h("tr", {}, ["From", "Until", "What", ""].map((name, i) => h("th", {scope: "col", class: i < 2 ? "right" : null}, name)))), h("tbody", {}, body))),
    rows.length > ROWS_MOST ? h("p", {class: "note"}, `${plain(rows.length - ROWS_MOST)} later ones are not listed.`) : null);
}
