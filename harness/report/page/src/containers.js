// The block of every container: its chart over the run, its landings, how it spreads, its rows.

import {fold, freshId, h, s} from "./dom.js";
import {histogramView} from "./histogram.js";
import {landingView} from "./landing.js";
import {unpack} from "./packed.js";
import {colourOf, shapeOf} from "./places.js";
import {rowsTable} from "./rows_table.js";
import {Scatter} from "./scatter.js";
import {runTime} from "./time_window.js";
import {TimingView} from "./timing.js";
import {sentence} from "./units.js";
import {onChange} from "./view.js";

const CLOSE_US = 30e6;

/** What the views of one block share. */
class ContainersState {
  constructor(containers) {
    this.containers = containers;
    this.column = containers.charted[0];
    this.hidden = new Set();
    this.selected = this.worth();
    this.listeners = new Set();
  }

  /** The first bad container, or the first. */
  worth() {
    const bad = this.containers.bad.indexOf(1);
    return bad >= 0 ? bad : this.containers.count ? 0 : -1;
  }

  onChange(listener) {
    this.listeners.add(listener);
  }

  tell(what) {
    for (const listener of this.listeners) listener(what);
  }

  chart(name) {
    this.column = this.containers.columns.get(name);
    this.tell("column");
  }

  togglePlace(place) {
    if (!this.hidden.delete(place)) this.hidden.add(place);
    this.tell("hidden");
  }

  get selectedNumber() {
    return this.selected < 0 ? null : this.containers.number[this.selected];
  }

  select(i) {
    this.selected = i;
    runTime.show(this.containers.at[i], Math.min(CLOSE_US, runTime.length));
    this.tell("selected");
  }

  selectNumber(number) {
    const i = this.containers.indexOf(number);
    if (i >= 0) this.select(i);
    return i >= 0;
  }

  step(by) {
    const i = this.selected + by;
    if (i >= 0 && i < this.containers.count) this.select(i);
  }
}

function columnChoice(state) {
  const id = freshId("figure");
  const columns = state.containers.charted;
  const select = h("select", {id, onchange: () => state.chart(select.value)}, columns.map((column) => h("option", {value: column.name}, sentence(column.label))));
  select.value = state.column.name;
  return h("div", {class: "choice"}, h("label", {for: id}, "Figure"), select);
}

/** A box for each place: its shape and colour, shown or hidden. */
function placeChoice(state) {
  const {places} = state.containers;
  const swatches = places.map((_, index) => s("path", {d: shapeOf(index, 5)}));
  const paint = () => swatches.forEach((swatch, index) => swatch.setAttribute("fill", colourOf(index, places.length)));
  onChange(paint);
  paint();
  if (places.length < 2) return null;
  return h("fieldset", {class: "places"}, h("legend", {}, "Place"), places.map((place, index) => h("label", {},
    h("input", {type: "checkbox", checked: true, onchange: () => state.togglePlace(place)}),
    s("svg", {viewBox: "-8 -8 16 16", width: 16, height: 16, "aria-hidden": "true"}, swatches[index]), String(place))));
}

function badKey(state) {
  const count = state.containers.bad.reduce((sum, bad) => sum + bad, 0);
  if (!count) return h("p", {class: "legend"}, "No container is bad.");
  return h("p", {class: "legend"}, s("svg", {viewBox: "-8 -8 16 16", width: 14, height: 14, "aria-hidden": "true"}, s("path", {d: "M-5 -5l10 10m0 -10l-10 10", class: "cross"})),
    ` a bad container (${count} of ${state.containers.count}). Where marks would lie on each other, a bar spans from the least to the most of its pixel and a line follows the mean: nothing is left out.`);
}

/** Draws the block into `section`; returns its state for whoever jumps to a container. */
export async function drawContainers(block, section, page) {
  const containers = await unpack(block);
  if (!containers.count || !containers.charted.length) {
    section.append(h("p", {class: "note"}, "No container finished."));
    return null;
  }
  const state = new ContainersState(containers);
  const first = containers.order ? containers.order[0] : 0;
  const last = containers.order ? containers.order.at(-1) : containers.count - 1;
  runTime.extend(Math.min(0, containers.at[first]), containers.at[last] + 1);
  const scatter = new Scatter(state);
  const histogram = histogramView(state);
  const landing = landingView(containers);
  section.append(h("div", {class: "controls"}, columnChoice(state), placeChoice(state)), scatter.element, badKey(state),
    fold(`Every container as a table (${containers.count})`, () => rowsTable(state, page.jump)),
    h("h3", {}, containers.places.length > 1 ? "How it spreads, place by place" : "How it spreads"), histogram.element);
  if (landing) section.append(h("h3", {}, "Where the liquid landed"), landing.element);
  if (!page.hasTiming) section.append(h("h3", {}, "Timing of one container"), timingOf(state, page, block.id));
  scatter.build();
  histogram.update();
  landing?.update();
  return state;
}

function timingOf(state, page, id) {
  const view = new TimingView(null, state);
  page.timings.set(id, view);
  page.later(() => view.update());
  return view.element;
}

