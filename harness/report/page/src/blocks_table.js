// Tables; a row may jump to its container. And what each figure does to one result, as bars.

import {button, h, s, scrolling} from "./dom.js";
import {figure, outcome} from "./blocks_text.js";
import {isQuantity, plain, quantityText} from "./units.js";
import {onChange} from "./view.js";

const FIRST_ROWS = 20;
const LONG = 28;

function rightward(block, index) {
  const column = block.columns[index];
  if (column.align) return column.align === "right";
  return Boolean(column.quantity) || block.rows.some((row) => typeof row[index] === "number" || isQuantity(row[index]));
}

/** Columns in which some row has something. */
function filled(block) {
  const says = (cell) => cell !== undefined && cell !== null && cell !== "";
  return block.columns.map((_, index) => index).filter((index) => !block.rows.length || block.rows.some((row) => says(row[index])));
}

export function drawTable(block, section, page) {
  const shown = filled(block);
  const long = block.columns.map((_, index) => block.rows.some((row) => typeof row[index] === "string" && row[index].length > LONG));
  const right = block.columns.map((_, index) => index !== block.container_column && rightward(block, index));
  const body = h("tbody");
  const add = (rows) => body.append(...rows.map((row) => tableRow(block, row, {shown, right, long}, page)));
  add(block.rows.slice(0, FIRST_ROWS));
  const rest = block.rows.slice(FIRST_ROWS);
  const missing = (block.total ?? 0) - block.rows.length;
  section.append(scrolling(block.heading, h("table", {}, h("thead", {}, h("tr", {}, shown.map((index) => h("th", {scope: "col", class: right[index] ? "right" : null}, block.columns[index].name)))), body)));
  if (!block.rows.length) section.append(h("p", {class: "note"}, "None."));
  if (rest.length) section.append(more(rest, add));
  if (missing > 0) section.append(h("p", {class: "note"}, `${plain(block.total)} in all; ${plain(missing)} are not in this report.`));
}

/** A button for the rest, and on paper the words that there is one. */
function more(rest, add) {
  const words = `Show ${rest.length} more rows`;
  const show = button(words, words, () => {
    line.remove();
    add(rest);
  }, {class: "more"});
  const line = h("p", {class: "note"}, show, h("span", {class: "on-paper"}, `${rest.length} more rows are not on this paper.`));
  return line;
}

function tableRow(block, row, {shown, right, long}, page) {
  return h("tr", {}, shown.map((index) => h("td", {class: right[index] ? "right" : long[index] && block.columns[index].kind !== "code" ? "long" : null}, cellOf(block, row[index], index, page))));
}

function cellOf(block, cell, index, page) {
  const column = block.columns[index];
  if (index === block.container_column && typeof cell === "number" && page.canJump) {
    return button(String(cell), `Timing of container ${cell}`, () => page.jump(block.containers_block ?? null, cell), {class: "jump"});
  }
  if (column.kind === "outcome" && typeof cell === "string") return outcome(cell);
  if (column.kind === "code" && typeof cell === "string") return h("code", {}, cell);
  return figure(cell, column.quantity, column.digits);
}

const BAR_WIDTH = 300;

export function drawBars(block, section) {
  const body = h("tbody");
  const ends = block.rows.flatMap((row) => [row.low, row.high, row.base ?? block.base]).filter((value) => typeof value === "number");
  const span = [Math.min(...ends), Math.max(...ends)];
  const x = (value) => 4 + ((value - span[0]) / (span[1] - span[0] || 1)) * (BAR_WIDTH - 8);
  const text = (value) => (typeof value === "number" ? quantityText(value, block.quantity, block.digits) : "none");
  const update = () => body.replaceChildren(...block.rows.map((row) => bar(row, row.base ?? block.base, x, text)));
  onChange(update);
  update();
  const heads = ["What is not certain", "At its low end", "", "At its high end"];
  section.append(scrolling(block.heading, h("table", {class: "bars"},
    h("caption", {}, h("span", {}, block.name ? `${block.name}; the line in the middle is what is planned` : "The line in the middle is what is planned")),
    h("thead", {}, h("tr", {}, heads.map((name, i) => h("th", {scope: "col", class: i === 1 ? "right" : null}, name || h("span", {class: "hidden"}, "Drawn"))))), body)));
}

/** A key may break after its dots and underscores. */
function breakable(name) {
  return name.split(/(?<=[._])/).flatMap((part) => [part, h("wbr")]);
}

function bar(row, base, x, text) {
  const piece = (value, style) => (typeof value === "number" && typeof base === "number" ? s("rect", {x: Math.min(x(value), x(base)), y: 5, width: Math.max(1, Math.abs(x(value) - x(base))), height: 14, class: style}) : null);
  return h("tr", {}, h("th", {scope: "row"}, breakable(row.name), row.note ? h("span", {class: "aside"}, row.note) : null), h("td", {class: "right"}, text(row.low)),
    h("td", {}, s("svg", {viewBox: `0 0 ${BAR_WIDTH} 24`, class: "bar", preserveAspectRatio: "none", "aria-hidden": "true"}, piece(row.low, "low"), piece(row.high, "high"),
      typeof base === "number" ? s("path", {d: `M${x(base)} 0V24`, class: "base"}) : null)),
    h("td", {}, text(row.high)));
}
