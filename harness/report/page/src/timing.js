// The timing of a chosen container: from the trace where the document has it, else from its row.

import {button, fold, freshId, h, scrolling} from "./dom.js";
import {factList} from "./blocks_text.js";
import {timingDrawing} from "./timing_draw.js";
import {clock, plain} from "./units.js";
import {onChange, widthOf} from "./view.js";

const NEIGHBOURS = 40;
const ms = (us) => `${plain(us / 1e3, 2)} ms`;
const after = (us) => `${us >= 0 ? "+" : ""}${plain(us / 1e3, 2)} ms`;

/** A picture from the packed rows: what is known of this container and of its neighbours. */
export function pictureOf(containers, i) {
  const zero = containers.at[i];
  const moment = (name, row) => {
    const value = containers.values(name)?.[row];
    return value === undefined || Number.isNaN(value) ? null : value + containers.at[row] - zero;
  };
  const own = (name) => moment(name, i);
  const last = own("seam_us") ?? own("lid_us") ?? own("gate_us") ?? own("landing_end_us") ?? 1e6;
  const margin = Math.max(1000, Math.round(last / 24));
  const whole = [-margin, last + margin];
  const lanes = lanesOf(containers, i, moment, whole);
  const picture = {container: containers.number[i], whole_us: whole, lanes, facts: []};
  return own("command_open_us") === null ? picture : withShot(picture, own);
}

function lanesOf(containers, i, moment, whole) {
  const gather = (kind, name, from, until) => {
    const stretches = [];
    for (let row = Math.max(0, i - NEIGHBOURS); row <= Math.min(containers.count - 1, i + NEIGHBOURS); row += 1) {
      const begin = from === "sensor_us" ? containers.at[row] - containers.at[i] : moment(from, row);
      const end = until ? moment(until, row) : begin;
      if (begin === null || end === null || end < whole[0] || begin > whole[1]) continue;
      if (kind === "closing" && row !== i) continue;
      stretches.push([begin, end, row === i ? 1 : 0]);
    }
    return {kind, name, stretches};
  };
  return [gather("sensor", "container sensor", "sensor_us"), gather("command", "valve commanded", "command_open_us", "command_close_us"),
    gather("valve", "valve open", "valve_open_us", "valve_close_us"), gather("landing", "liquid lands", "landing_begin_us", "landing_end_us"),
    gather("closing", "lid laid", "lid_us"), gather("closing", "seam closed", "seam_us"), gather("closing", "gate", "gate_us")];
}

function withShot(picture, own) {
  const [open, close, opened, closed, from, until] = ["command_open_us", "command_close_us", "valve_open_us", "valve_close_us", "landing_begin_us", "landing_end_us"].map(own);
  const end = Math.max(...[close, closed, until].filter((each) => each !== null));
  const margin = Math.max(500, Math.round((end - open) / 6));
  const lane = (kind, stretch) => {
    const mine = picture.lanes.find((each) => each.kind === kind).stretches.find((each) => each[2]);
    if (mine) mine.push(...stretch);
  };
  const both = (first, second) => first !== null && second !== null;
  const facts = [{name: "sensor edge to open command", value: ms(open)}];
  if (both(open, close)) lane("command", [ms(close - open), "", ""]);
  if (both(opened, closed) && close !== null) {
    lane("valve", [ms(closed - opened), after(opened - open), after(closed - close)]);
    facts.push({name: "command to valve open", value: after(opened - open)}, {name: "command's end to valve closed", value: after(closed - close)});
  }
  if (both(from, until) && both(opened, closed)) {
    lane("landing", ["", after(from - opened), after(until - closed)]);
    facts.push({name: "valve closed to last drop", value: after(until - closed)});
  }
  const seam = own("seam_us");
  if (both(seam, from)) facts.push({name: "landing to seam", value: `${plain((seam - (from + until) / 2) / 1e6, 3)} s`});
  return {...picture, shot_us: [open - margin, end + margin], shot_zero_us: open, facts};
}

/** Everything the row says of the container, beside its timing. */
function rowFacts(containers, i) {
  const facts = containers.charted.map((column) => ({
    name: column.label,
    value: Number.isNaN(column.values[i]) ? column.null_means ?? "none" : {value: column.values[i], quantity: column.quantity, digits: column.digits},
  }));
  const said = containers.said(i);
  return said.length ? [{name: "what became of it", value: said.join(", ")}, ...facts] : facts;
}

/** The panel; `state` is that of a containers block, or one that knows the pictures alone. */
export class TimingView {
  constructor(block, state) {
    this.pictures = new Map((block?.pictures ?? []).map((picture) => [picture.container, picture]));
    this.state = state;
    const id = freshId("container");
    this.number = h("input", {id, type: "number", min: 1, inputmode: "numeric", onchange: () => this.asked()});
    this.problem = h("output", {class: "problem"});
    this.heading = h("h3", {tabindex: -1});
    this.box = h("div", {class: "timing"});
    this.facts = h("div", {});
    this.element = h("div", {}, h("div", {class: "controls who", role: "group", "aria-label": "Which container"},
      h("label", {for: id}, "Container"), button("\u2039", "The container before", () => this.step(-1)), this.number, button("\u203a", "The next container", () => this.step(1)),
      this.jumps(), this.problem), this.heading, this.box, this.facts);
    onChange(() => this.update());
    state.onChange((what) => what === "selected" && this.update());
  }

  /** Those with signals from the trace, by why they are there. */
  jumps() {
    const pictures = [...this.pictures.values()];
    if (!pictures.length) return null;
    const id = freshId("traced");
    const select = h("select", {id, onchange: () => select.value && this.state.selectNumber(Number(select.value))},
      h("option", {value: ""}, `with signals from the trace (${pictures.length})`),
      pictures.map((picture) => h("option", {value: picture.container}, `${picture.container}${picture.why ? `: ${picture.why}` : ""}`)));
    this.select = select;
    return [h("label", {for: id, class: "hidden"}, "Containers with signals from the trace"), select];
  }

  asked() {
    const found = this.state.selectNumber(Number(this.number.value));
    this.problem.textContent = found ? "" : `no container ${this.number.value} ${this.state.containers ? "finished" : "has signals here"}`;
  }

  step(by) {
    this.problem.textContent = "";
    this.state.step(by);
  }

  update() {
    if (!this.box.isConnected) return;
    const {containers} = this.state;
    const number = this.state.selectedNumber;
    if (number === null) return;
    const i = containers ? containers.indexOf(number) : -1;
    const traced = this.pictures.get(number);
    const picture = traced ?? pictureOf(containers, i);
    this.number.value = String(number);
    if (this.select) this.select.value = traced ? String(number) : "";
    const place = i >= 0 && containers.places.length > 1 ? `, place ${containers.place[i]}` : "";
    const moment = picture.zero_us ?? containers.at[i];
    this.heading.textContent = picture.title ?? `Container ${number}${place}`;
    const source = traced ? "signals from the trace" : "drawn from its row; the trace's own signals are kept for some containers only";
    this.box.replaceChildren(h("p", {class: "note"}, `first seen at ${clock(moment)} of the run; ${picture.subtitle ? `${picture.subtitle.replace(/^first seen at [^;]*; /, "")}; ` : ""}${source}`),
      legend(), timingDrawing(picture, widthOf(this.box)));
    const table = fold("As a table", () => lanesTable(picture));
    table.open = this.facts.querySelector("details")?.open ?? false;
    this.facts.replaceChildren(table, factList([...picture.facts ?? [], ...(traced?.facts?.length || i < 0 ? [] : rowFacts(containers, i))], "columns"));
  }
}

/** The lanes in words: when each signal was up, of this container and of its neighbours. */
function lanesTable(picture) {
  const rows = picture.lanes.flatMap((lane) => lane.stretches.filter((stretch) => stretch[2] || lane.kind !== "line_pulse").map((stretch) => [lane, stretch]));
  const time = (us) => h("td", {class: "right"}, `${plain(us / 1e3, 2)} ms`);
  return scrolling("Signals around this container", h("table", {}, h("caption", {}, h("span", {}, "Counted from the sensor's edge; the line's pulses are left out")),
    h("thead", {}, h("tr", {}, ["Signal", "From", "Until", "Whose"].map((name, i) => h("th", {scope: "col", class: i === 1 || i === 2 ? "right" : null}, name)))),
    h("tbody", {}, rows.map(([lane, [from, until, own]]) => h("tr", {}, h("td", {}, lane.name), time(from), from === until ? h("td", {}) : time(until), h("td", {}, own ? "this container" : "a neighbour"))))));
}

function legend() {
  return h("p", {class: "legend"}, h("span", {class: "key mine"}), " this container ", h("span", {class: "key other"}), " its neighbours");
}

/** For a document whose pictures stand alone. */
export class PictureState {
  constructor(pictures) {
    this.numbers = pictures.map((picture) => picture.container);
    this.selectedNumber = this.numbers[0] ?? null;
    this.containers = null;
    this.listeners = new Set();
  }

  onChange(listener) {
    this.listeners.add(listener);
  }

  selectNumber(number) {
    if (!this.numbers.includes(number)) return false;
    this.selectedNumber = number;
    for (const listener of this.listeners) listener("selected");
    return true;
  }

  step(by) {
    const at = this.numbers.indexOf(this.selectedNumber) + by;
    if (at >= 0 && at < this.numbers.length) this.selectNumber(this.numbers[at]);
  }
}

