// The rows of every container, a page at a time: the charts' figures for reading.

import {button, freshId, h, scrolling} from "./dom.js";
import {clock, quantityText} from "./units.js";
import {onChange} from "./view.js";

const PAGE = 25;

export function rowsTable(state, jump) {
  const {containers} = state;
  const columns = containers.charted;
  let first = Math.max(0, state.selected - (state.selected % PAGE));
  const body = h("tbody");
  const shown = h("output", {class: "shown"});
  const id = freshId("bad-only");
  const badOnly = h("input", {id, type: "checkbox", onchange: () => move(-first)});
  const rows = () => (badOnly.checked ? [...containers.number.keys()].filter((i) => containers.bad[i]) : null);
  const update = () => {
    const chosen = rows();
    const total = chosen?.length ?? containers.count;
    const until = Math.min(total, first + PAGE);
    body.replaceChildren(...Array.from({length: until - first}, (_, n) => row(containers, columns, chosen ? chosen[first + n] : first + n, jump)));
    shown.textContent = total ? `${first + 1} to ${until} of ${total}` : "none";
  };
  const move = (by) => {
    const total = rows()?.length ?? containers.count;
    first = Math.max(0, Math.min(first + by, Math.floor(Math.max(0, total - 1) / PAGE) * PAGE));
    update();
  };
  onChange(update);
  update();
  const heads = ["Container", "Place", "First seen", ...columns.map((column) => column.label), ""];
  return h("div", {}, h("div", {class: "controls", role: "group", "aria-label": "Rows shown"},
    button("\u2039", "Rows before", () => move(-PAGE)), button("\u203a", "Next rows", () => move(PAGE)),
    h("span", {class: "choice"}, badOnly, h("label", {for: id}, "bad ones only")), shown),
  scrolling("Every container", h("table", {class: "dense"}, h("thead", {}, h("tr", {}, heads.map((name) => h("th", {scope: "col"}, name)))), body)));
}

function row(containers, columns, i, jump) {
  const number = containers.number[i];
  return h("tr", {}, h("th", {scope: "row"}, button(String(number), `Timing of container ${number}`, () => jump(containers.block.id, number), {class: "jump"})),
    h("td", {class: "right"}, String(containers.place[i])), h("td", {class: "right"}, clock(containers.at[i])),
    columns.map((column) => h("td", {class: "right"}, Number.isNaN(column.values[i]) ? column.null_means ?? "–" : quantityText(column.values[i], column.quantity, column.digits))),
    h("td", {}, containers.said(i).join(", ")));
}
