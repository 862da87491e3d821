// A uPlot with our time axis and number axis; what is drawn in it is up to its caller.

import uPlot from "uplot";
import {runTime, timeTicks, numberTicks} from "./time_window.js";
import {clock, plain} from "./units.js";
import {colour, view, widthOf} from "./view.js";

const FONT = '12px system-ui, "Segoe UI", "Noto Sans", "DejaVu Sans", sans-serif';

function axis(extra) {
  return {
    stroke: colour("soft"),
    font: FONT,
    grid: {stroke: colour("hair"), width: 1},
    ticks: {stroke: colour("hair"), width: 1, size: 5},
    ...extra,
  };
}

/** Microseconds below, the reader's unit at the left. */
function options(box, height, hooks) {
  const width = widthOf(box);
  const spaced = Math.max(3, Math.floor(width / 110));
  return {
    width,
    height,
    pxRatio: view.printing ? 3 : undefined,
    legend: {show: false},
    padding: [24, 30, 0, 0],
    cursor: {show: !view.printing, y: false, points: {show: false}, drag: {x: true, y: false, setScale: false}},
    scales: {x: {time: false, auto: false, range: (_, from, until) => [from, until]}, y: {auto: false, range: (_, from, until) => [from, until]}},
    series: [{}, {paths: () => null, points: {show: false}}],
    axes: [
      axis({
        size: 30,
        splits: (_, __, from, until) => timeTicks(from, until, spaced).ticks,
        values: (u, splits) => splits.map((us) => clock(us, timeTicks(u.scales.x.min, u.scales.x.max, spaced).step)),
      }),
      axis({
        size: 58,
        splits: (_, __, from, until) => numberTicks(from, until, height / 48).ticks,
        values: (u, splits) => splits.map((value) => plain(value, numberTicks(u.scales.y.min, u.scales.y.max, height / 48).digits)),
      }),
    ],
    hooks,
  };
}

/** hooks: paint(plot) draws, range() gives [least, most] in the reader's unit. */
export class TimePlot {
  constructor(box, height, hooks) {
    this.box = box;
    this.height = height;
    this.hooks = hooks;
    this.chart = null;
    runTime.onChange(() => this.move());
  }

  /** Made anew: another theme, unit or width. */
  build() {
    this.chart?.destroy();
    const hooks = {
      draw: [(u) => this.paint(u)],
      setSelect: [(u) => this.select(u)],
      setCursor: [(u) => this.hooks.cursor?.(this.geometry(u), u.cursor)],
    };
    this.chart = new uPlot(options(this.box, this.height, hooks), [[0, 1], [null, null]], this.box);
    this.chart.over.addEventListener("click", () => {
      if (this.dragged) this.dragged = false;
      else this.hooks.click?.(this.geometry(this.chart), this.chart.cursor);
    });
    this.move();
  }

  /** uPlot remembers the styles it has set: they must stand again afterwards. */
  paint(u) {
    const plot = this.geometry(u);
    u.ctx.save();
    this.hooks.paint(plot);
    u.ctx.restore();
    // What stands at the edges of the frame, for whoever reads the drawing by its pixels.
    this.box.dataset.frame = JSON.stringify([plot.from, plot.until, ...plot.range]);
  }

  select(u) {
    if (u.select.width < 5) return;
    const [from, until] = [u.posToVal(u.select.left, "x"), u.posToVal(u.select.left + u.select.width, "x")];
    u.setSelect({left: 0, top: 0, width: 0, height: 0}, false);
    this.dragged = true;
    runTime.set(from, until);
  }

  /** Another part of the run. */
  move() {
    if (!this.chart || !runTime.full) return;
    const [least, most] = this.hooks.range();
    const {x, y} = this.chart.scales;
    if (x.min === runTime.from && x.max === runTime.until && y.min === least && y.max === most) {
      this.chart.redraw(false, false);
    } else {
      this.chart.batch(() => {
        this.chart.setScale("x", {min: runTime.from, max: runTime.until});
        this.chart.setScale("y", {min: least, max: most});
      });
    }
  }

  momentAt(event) {
    const {left} = this.chart.over.getBoundingClientRect();
    return this.chart.posToVal(event.clientX - left, "x");
  }

  geometry(u) {
    const ratio = u.ctx.canvas.width / u.width;
    return {
      context: u.ctx,
      ratio,
      ...u.bbox,
      from: u.scales.x.min,
      until: u.scales.x.max,
      toX: (us) => u.bbox.left + ((us - u.scales.x.min) / (u.scales.x.max - u.scales.x.min)) * u.bbox.width,
      unitY: (value) => u.bbox.top + (1 - (value - u.scales.y.min) / (u.scales.y.max - u.scales.y.min)) * u.bbox.height,
      range: [u.scales.y.min, u.scales.y.max],
      font: FONT,
    };
  }
}

/** Paints within the plot's frame. */
export function framed(plot, paint) {
  plot.context.save();
  plot.context.beginPath();
  plot.context.rect(plot.left, plot.top, plot.width, plot.height);
  plot.context.clip();
  paint();
  plot.context.restore();
}

/** What the numbers at the left are in. */
export function unitText(plot, unit) {
  haloText(plot, unit, plot.left - 44 * plot.ratio, plot.top - 11 * plot.ratio, {ink: colour("soft")});
}

/** Text on the canvas with a rim of paper, so that it reads over what is drawn. */
export function haloText(plot, text, x, y, {align = "left", ink = colour("ink"), baseline = "alphabetic"} = {}) {
  const {context, ratio} = plot;
  context.font = plot.font.replace("12px", `${12 * ratio}px`);
  context.textAlign = align;
  context.textBaseline = baseline;
  context.lineJoin = "round";
  context.strokeStyle = colour("paper");
  context.lineWidth = 4 * ratio;
  context.strokeText(text, x, y);
  context.fillStyle = ink;
  context.fillText(text, x, y);
}
