// Blocks that are words and figures: text, facts, expectations, sign-off.

import {button, h, scrolling} from "./dom.js";
import {clock, plain, valueText} from "./units.js";
import {onChange} from "./view.js";

/** A figure that follows the reader's units. */
export function figure(value, quantity, digits) {
  const text = valueText(value, quantity, digits);
  const span = h("span", {class: typeof value === "string" ? null : "figure"}, text);
  if (typeof value !== "string") onChange(() => { span.textContent = valueText(value, quantity, digits); });
  return span;
}

export function factList(rows, style = "facts") {
  return h("dl", {class: style}, rows.map((row) => h("div", {}, h("dt", {}, row.name),
    h("dd", {}, figure(row.value), row.note ? h("span", {class: "aside"}, row.note) : null))));
}

export function drawText(block, section) {
  section.append(...block.paragraphs.map((text) => h("p", {}, text)));
}

export function drawFacts(block, section) {
  const wordy = block.rows.some((row) => row.note || (typeof row.value === "string" && row.value.length > 24));
  section.append(factList(block.rows, wordy ? "facts" : "columns"));
}

const MARKS = {pass: "M-5 0l3.6 4l6.4 -8", fail: "M-4.5 -4.5l9 9m0 -9l-9 9", inconclusive: "M-5.5 0c2 -4 4 -4 5.5 0s3.5 4 5.5 0", none: "M-4 0h8"};

/** An outcome as its mark and its word. */
export function outcome(name, extra = "") {
  const known = MARKS[name] ? name : "none";
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  for (const [key, value] of Object.entries({viewBox: "-8 -8 16 16", width: 16, height: 16, "aria-hidden": "true"})) mark.setAttribute(key, value);
  path.setAttribute("d", MARKS[known]);
  mark.append(path);
  return h("span", {class: `outcome ${known} ${extra}`}, mark, h("span", {}, name === "none" ? "no verdict" : name));
}

const BOUNDS = {least: "at least ", most: "at most ", equals: ""};

export function drawExpectations(block, section, page) {
  const heads = ["", "Expected", "Allowed", "Found", "Breaches", "First"];
  const body = block.rows.map((row) => expectation(row, page));
  section.append(scrolling(block.heading, h("table", {class: "expectations"}, h("thead", {}, h("tr", {}, heads.map((name, i) => h("th", {scope: "col", class: i > 1 && i < 5 ? "right" : null}, name || h("span", {class: "hidden"}, "Outcome"))))), h("tbody", {}, body))));
}

function expectation(row, page) {
  const first = row.first_container
    ? button(`container ${row.first_container}`, `Timing of container ${row.first_container}`, () => page.jump(null, row.first_container), {class: "jump"})
    : null;
  return [h("tr", {class: row.outcome}, h("td", {}, outcome(row.outcome)), h("th", {scope: "row"}, row.name),
    h("td", {class: "right"}, row.allowed === undefined ? "" : [BOUNDS[row.bound] ?? "", figure(row.allowed)]),
    h("td", {class: "right"}, row.measured === undefined ? "" : figure(row.measured)),
    h("td", {class: "right"}, row.looked_at ? `${plain(row.breaches ?? 0)} of ${plain(row.looked_at)}` : row.breaches ? plain(row.breaches) : ""),
    h("td", {}, first && page.canJump ? first : row.first_container ? `container ${row.first_container}` : "", row.first_us !== undefined ? h("span", {class: "aside"}, `at ${clock(row.first_us)}`) : null)),
  row.note ? h("tr", {class: "note-row"}, h("td", {}), h("td", {colspan: 5}, row.note)) : null];
}

export function drawSignoff(block, section) {
  const heads = ["Limit", "Value", "Whose it is", "Document", "Date", "Signature"];
  section.append(scrolling(block.heading, h("table", {class: "signoff"}, h("thead", {}, h("tr", {}, heads.map((name) => h("th", {scope: "col"}, name)))),
    h("tbody", {}, block.rows.map((row) => h("tr", {}, h("th", {scope: "row"}, row.limit), h("td", {}, figure(row.value)),
      h("td", {}, row.owner ?? h("strong", {class: "missing"}, "not approved")), [row.document, row.date, row.signature].map((text) => h("td", {class: text ? null : "blank"}, text ?? ""))))))));
}
