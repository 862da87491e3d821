// The part of the run that is looked at. All drawings over time of one page share it.

import {button, h} from "./dom.js";
import {clock} from "./units.js";

const SHORTEST_US = 2000;

class TimeWindow {
  constructor() {
    this.full = null;
    this.from = 0;
    this.until = 0;
    this.listeners = new Set();
  }

  /** The run is at least this long. */
  extend(from, until) {
    if (!(until > from)) return;
    const whole = !this.full || (this.from === this.full[0] && this.until === this.full[1]);
    this.full = this.full ? [Math.min(this.full[0], from), Math.max(this.full[1], until)] : [from, until];
    if (whole) [this.from, this.until] = this.full;
    this.tell();
  }

  get length() {
    return this.until - this.from;
  }

  get whole() {
    return this.full && this.from === this.full[0] && this.until === this.full[1];
  }

  set(from, until) {
    const [first, last] = this.full;
    const length = Math.min(Math.max(until - from, SHORTEST_US), last - first);
    const start = Math.min(Math.max(from, first), last - length);
    this.from = start;
    this.until = start + length;
    this.tell();
  }

  zoom(factor, around = (this.from + this.until) / 2) {
    this.set(around - (around - this.from) * factor, around + (this.until - around) * factor);
  }

  pan(share) {
    this.set(this.from + share * this.length, this.until + share * this.length);
  }

  all() {
    this.set(this.full[0], this.full[1]);
  }

  /** Keeps its length unless it is the whole run, in which one moment could not be seen. */
  show(us, length) {
    if (!this.whole && us >= this.from && us <= this.until) return;
    const wide = this.whole ? length : this.length;
    this.set(us - wide / 2, us + wide / 2);
  }

  onChange(listener) {
    this.listeners.add(listener);
  }

  tell() {
    for (const listener of this.listeners) listener();
  }
}

export const runTime = new TimeWindow();

/** Buttons that move and zoom, and what they show in words. */
export function timeControls(readout) {
  const shown = h("output", {class: "shown"});
  const update = () => {
    const step = runTime.length > 6e7 ? 1e6 : 1e3;
    shown.textContent = runTime.whole ? `whole run, ${clock(runTime.until, 1e6)}` : `${clock(runTime.from, step)} to ${clock(runTime.until, step)}`;
  };
  runTime.onChange(update);
  update();
  return h("div", {class: "controls", role: "group", "aria-label": "Time shown"},
    button("\u2039", "Earlier", () => runTime.pan(-0.5)),
    button("\u2212", "Show more of the run", () => runTime.zoom(2)),
    button("+", "Zoom in", () => runTime.zoom(0.5)),
    button("\u203a", "Later", () => runTime.pan(0.5)),
    button("Whole run", "Show the whole run", () => runTime.all()),
    shown, readout);
}

const KEYS = {
  ArrowLeft: () => runTime.pan(-0.2),
  ArrowRight: () => runTime.pan(0.2),
  "+": () => runTime.zoom(0.5),
  "=": () => runTime.zoom(0.5),
  "-": () => runTime.zoom(2),
  0: () => runTime.all(),
  Home: () => runTime.set(runTime.full[0], runTime.full[0] + runTime.length),
  End: () => runTime.set(runTime.full[1] - runTime.length, runTime.full[1]),
};

/** Arrows, +, -, 0, Home and End; the wheel where the box has the focus or Ctrl is held. */
export function timeKeys(box, momentAt) {
  box.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !KEYS[event.key]) return;
    event.preventDefault();
    KEYS[event.key]();
  });
  box.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && document.activeElement !== box) return;
    event.preventDefault();
    if (Math.abs(event.deltaX) > Math.abs(event.deltaY)) runTime.pan(event.deltaX / 1000);
    else runTime.zoom(Math.exp(Math.sign(event.deltaY) * Math.min(Math.abs(event.deltaY), 120) / 400), momentAt(event));
  }, {passive: false});
}

const STEPS = [1, 2, 5, 10, 20, 50, 100, 200, 500].flatMap((ms) => [ms * 10, ms * 1e3])
  .concat([1, 2, 5, 10, 15, 30].map((seconds) => seconds * 1e6))
  .concat([1, 2, 5, 10, 15, 30].map((minutes) => minutes * 6e7))
  .concat([1, 2, 4, 6, 12].map((hours) => hours * 3.6e9))
  .sort((a, b) => a - b);

/** Round moments in a span, no more than `most`; and how far apart they are. */
export function timeTicks(from, until, most) {
  const step = STEPS.find((candidate) => (until - from) / candidate <= most) ?? STEPS.at(-1);
  const ticks = [];
  for (let at = Math.ceil(from / step) * step; at <= until; at += step) ticks.push(at);
  return {step, ticks};
}

/** Round numbers in a span. */
export function numberTicks(from, until, most) {
  const rough = (until - from) / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((times) => times * power).find((candidate) => candidate >= rough * 0.999);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const ticks = [];
  for (let i = Math.ceil(from / step - 1e-9); i * step <= until + step * 1e-9; i += 1) ticks.push(i * step);
  return {ticks, digits};
}
