// The chart of one figure of every container over the run, with its limits.

import {h} from "./dom.js";
import {draw, extent, nearest, sparse, visible} from "./scatter_draw.js";
import {framed, haloText, TimePlot, unitText} from "./plot.js";
import {runTime, timeControls, timeKeys} from "./time_window.js";
import {clock, quantityText, sentence, unitOf} from "./units.js";
import {colour, onChange} from "./view.js";

const HEIGHT = 340;

/** Limits that a figure's neighbourhood shows: one far away would leave nothing to see of the rest. */
function near(limits, [least, most]) {
  const span = Math.max(most - least, Math.abs(most) * 0.02, 1e-9);
  const close = (value) => value > least - 1.5 * span && value < most + 1.5 * span;
  return limits.flatMap((limit) => ["least", "most"].filter((end) => limit[end] !== undefined).map((end) => ({name: limit.name, end, value: limit[end], shown: close(limit[end])})));
}

export class Scatter {
  /** `state` is the block's: containers, column, hidden places, selected row. */
  constructor(state) {
    this.state = state;
    this.readout = h("output", {class: "readout"});
    this.box = h("div", {class: "chart", tabindex: 0, role: "group"});
    this.heading = h("h3");
    this.element = h("div", {}, this.heading, timeControls(this.readout), this.box);
    this.plot = new TimePlot(this.box, HEIGHT, {
      paint: (plot) => this.paint(plot),
      range: () => this.range(),
      cursor: (plot, cursor) => this.point(plot, cursor),
      click: (plot, cursor) => this.choose(plot, cursor),
    });
    timeKeys(this.box, (event) => this.plot.momentAt(event));
    onChange(() => this.build());
    state.onChange((what) => (what === "column" ? this.build() : this.plot.move()));
  }

  get values() {
    return this.state.column.values;
  }

  get unit() {
    return unitOf(this.state.column.quantity, this.largest);
  }

  build() {
    if (!this.box.isConnected) return;
    this.largest = extent(this.state.containers, this.values, new Set(), [0, this.state.containers.count])[1];
    this.box.setAttribute("aria-label", `${this.state.column.label} of every container over the run. Arrow keys move, + and \u2212 zoom, 0 shows the whole run. The same figures stand in the tables below.`);
    this.heading.textContent = `${sentence(this.state.column.label)} over the run`;
    this.plot.build();
  }

  /** The figures in the window and the limits near to them, with a margin, in the reader's unit. */
  range() {
    const {containers, hidden, column} = this.state;
    this.window = visible(containers, runTime.from, runTime.until);
    let [least, most] = extent(containers, this.values, hidden, this.window);
    if (!(least <= most)) [least, most] = extent(containers, this.values, new Set(), [0, containers.count]);
    if (!(least <= most)) [least, most] = [0, 1];
    this.limits = near(containers.limits(column.name), [least, most]);
    for (const limit of this.limits.filter((each) => each.shown)) {
      least = Math.min(least, limit.value);
      most = Math.max(most, limit.value);
    }
    const {factor, offset} = this.unit;
    const margin = (most - least || Math.abs(most) || 1) * 0.1;
    return [(least - margin) * factor + offset, (most + margin) * factor + offset];
  }

  inUnits(plot) {
    const {factor, offset} = this.unit;
    return {...plot, toY: (value) => plot.unitY(value * factor + offset)};
  }

  paint(unitPlot) {
    const plot = this.inUnits(unitPlot);
    const {containers, hidden, selected} = this.state;
    framed(plot, () => {
      // A mark may lie on a limit's words; bars would hide them.
      const marks = sparse(plot, this.window);
      if (marks) this.paintLimits(plot);
      draw(plot, containers, this.values, hidden, this.window);
      if (!marks) this.paintLimits(plot);
      if (selected >= 0) this.paintSelected(plot, selected);
    });
    unitText(plot, this.unit.unit);
  }

  paintLimits(plot) {
    const {context, ratio} = plot;
    const away = {least: 0, most: 0};
    for (const limit of this.limits) {
      const text = `${limit.end === "least" ? "at least" : "at most"} ${quantityText(limit.value, this.state.column.quantity, this.state.column.digits)}${limit.name ? `, ${limit.name}` : ""}`;
      const right = plot.left + plot.width - 8 * ratio;
      if (!limit.shown) {
        const [arrow, edge] = limit.value > this.extentMiddle() ? ["\u2191", plot.top + (12 + 16 * away.most++) * ratio] : ["\u2193", plot.top + plot.height - (8 + 16 * away.least++) * ratio];
        haloText(plot, `${arrow} ${text} (beyond the chart)`, right, edge, {align: "right", ink: colour("soft")});
        continue;
      }
      const y = Math.round(plot.toY(limit.value));
      context.setLineDash([7 * ratio, 4 * ratio]);
      context.strokeStyle = colour("limit");
      context.lineWidth = 1.6 * ratio;
      context.beginPath();
      context.moveTo(plot.left, y);
      context.lineTo(plot.left + plot.width, y);
      context.stroke();
      context.setLineDash([]);
      const inside = limit.end === "least" ? y + 15 * ratio : y - 6 * ratio;
      haloText(plot, text, right, inside, {align: "right", ink: colour("limit")});
    }
  }

  extentMiddle() {
    const [least, most] = extent(this.state.containers, this.values, this.state.hidden, this.window);
    return (least + most) / 2;
  }

  paintSelected(plot, i) {
    const {context, ratio} = plot;
    const x = plot.toX(this.state.containers.at[i]);
    context.strokeStyle = colour("accent");
    context.lineWidth = 1 * ratio;
    context.beginPath();
    context.moveTo(x, plot.top);
    context.lineTo(x, plot.top + plot.height);
    context.stroke();
    if (Number.isNaN(this.values[i])) return;
    context.lineWidth = 2.2 * ratio;
    context.beginPath();
    context.arc(x, plot.toY(this.values[i]), 8 * ratio, 0, 2 * Math.PI);
    context.stroke();
  }

  under(plot, cursor) {
    if (cursor.left === undefined || cursor.left < 0) return -1;
    const inUnits = this.inUnits(plot);
    return nearest(inUnits, this.state.containers, this.values, this.state.hidden, this.window, plot.left + cursor.left * plot.ratio, plot.top + cursor.top * plot.ratio);
  }

  point(plot, cursor) {
    const i = this.under(plot, cursor);
    this.readout.textContent = i < 0 ? "" : this.say(i);
  }

  choose(plot, cursor) {
    const i = this.under(plot, cursor);
    if (i >= 0) this.state.select(i);
  }

  say(i) {
    const {containers, column} = this.state;
    const place = containers.places.length > 1 ? `, place ${containers.place[i]}` : "";
    const value = Number.isNaN(this.values[i]) ? column.null_means ?? "none" : quantityText(this.values[i], column.quantity, column.digits);
    return [`Container ${containers.number[i]}${place}`, clock(containers.at[i]), value, ...containers.said(i)].join(" · ");
  }
}
