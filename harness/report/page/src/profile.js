// A figure of the run over time, such as its speed.

import {fold, h, scrolling} from "./dom.js";
import {framed, TimePlot, unitText} from "./plot.js";
import {runTime, timeControls, timeKeys} from "./time_window.js";
import {clock, quantityText, unitOf} from "./units.js";
import {colour, onChange} from "./view.js";

const HEIGHT = 180;
const ROWS_MOST = 200;

export function drawProfile(block, section, page) {
  if (block.points.length < 2) {
    section.append(h("p", {class: "note"}, block.points.length ? `${block.name}: ${quantityText(block.points[0][1], block.quantity)} all the time.` : "No figures."));
    return;
  }
  runTime.extend(0, block.points.at(-1)[0]);
  const values = block.points.map((point) => point[1]);
  const ends = [Math.min(...values), Math.max(...values)];
  const unit = () => unitOf(block.quantity, ends[1]);
  const readout = h("output", {class: "readout"});
  const box = h("div", {class: "chart", tabindex: 0, role: "group", "aria-label": `${block.name} over the run, from ${quantityText(ends[0], block.quantity)} to ${quantityText(ends[1], block.quantity)}. Arrow keys move, + and \u2212 zoom. The same figures stand in the table below.`});
  const plot = new TimePlot(box, HEIGHT, {
    paint: (geometry) => paint(geometry, block, unit()),
    range: () => rangeOf(ends, unit()),
    cursor: (geometry, cursor) => { readout.textContent = cursor.left >= 0 ? said(block, geometry, cursor) : ""; },
  });
  timeKeys(box, (event) => plot.momentAt(event));
  section.append(timeControls(readout), box, fold("As a table", () => table(block)));
  onChange(() => box.isConnected && plot.build());
  page.later(() => plot.build());
}

/** From zero where the figures are not far from it. */
function rangeOf([least, most], {factor, offset}) {
  const from = least >= 0 && (least < 0.7 * most || least === most) ? 0 : least - (most - least || Math.abs(most) || 1) * 0.1;
  return [from * factor + offset, (most + (most - from) * 0.08) * factor + offset];
}

function paint(plot, block, {factor, offset, unit}) {
  const {context, ratio} = plot;
  const line = new Path2D();
  let y = 0;
  block.points.forEach(([us, value], i) => {
    const x = plot.toX(us);
    if (i && block.step) line.lineTo(x, y);
    y = plot.unitY(value * factor + offset);
    if (i) line.lineTo(x, y);
    else line.moveTo(x, y);
  });
  if (block.step) line.lineTo(Math.max(plot.toX(runTime.full[1]), plot.toX(block.points.at(-1)[0])), y);
  framed(plot, () => {
    context.strokeStyle = colour("accent");
    context.lineWidth = 1.6 * ratio;
    context.lineJoin = "round";
    context.stroke(line);
  });
  unitText(plot, unit);
}

/** The figure at the cursor. */
function said(block, geometry, cursor) {
  const us = geometry.from + (cursor.left * geometry.ratio / geometry.width) * (geometry.until - geometry.from);
  const {points} = block;
  let behind = points.findIndex((point) => point[0] > us);
  if (behind < 0) behind = points.length;
  const [from, value] = points[Math.max(0, behind - 1)];
  const next = points[Math.min(points.length - 1, behind)];
  const share = block.step || next[0] === from ? 0 : Math.max(0, (us - from) / (next[0] - from));
  return `${clock(us)} · ${quantityText(value + share * (next[1] - value), block.quantity)}`;
}

function table(block) {
  const every = Math.ceil(block.points.length / ROWS_MOST);
  const rows = block.points.filter((_, i) => i % every === 0);
  return h("div", {}, every > 1 ? h("p", {class: "note"}, `Every ${every}th point.`) : null,
    scrolling(block.heading, h("table", {}, h("thead", {}, h("tr", {}, h("th", {scope: "col", class: "right"}, "At"), h("th", {scope: "col", class: "right"}, block.name))),
      h("tbody", {}, rows.map(([us, value]) => h("tr", {}, h("td", {class: "right"}, clock(us)), h("td", {class: "right"}, quantityText(value, block.quantity))))))));
}
