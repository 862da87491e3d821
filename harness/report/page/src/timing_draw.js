// The timing of one container: the whole way from sensor to seam, and the shot alone, large.

import {drawing, s, textWidth} from "./dom.js";
import {timeTicks} from "./time_window.js";
import {plain} from "./units.js";

const LANE = 34;
const BAR = 14;
const HEAD = 30;
const FOOT = 34;

function overlaps([from, until], [first, last]) {
  return from <= last && until >= first;
}

/** `picture`: lanes with stretches [from, until, own, on, before, after], whole_us, shot_us. */
export function timingDrawing(picture, wide) {
  const narrow = wide < 560;
  const left = narrow ? 8 : 150;
  const frame = {left, right: wide - 14, narrow};
  const lanes = picture.lanes.filter((lane) => lane.stretches.length || lane.kind === "command");
  const whole = panel(lanes, {...frame, top: 0, span: picture.whole_us, zero: 0, heading: "The whole way, counted from the sensor's edge"});
  if (!picture.shot_us) return drawing(wide, whole.bottom + FOOT, label(picture), whole.parts);
  const gap = 44;
  const shotLanes = lanes.filter((lane) => lane.kind !== "closing" && lane.stretches.some((stretch) => overlaps(stretch, picture.shot_us)));
  const shot = panel(shotLanes, {...frame, top: whole.bottom + FOOT + gap, span: picture.shot_us, zero: picture.shot_zero_us ?? picture.shot_us[0], labels: true, heading: "The shot, counted from its open command"});
  return drawing(wide, shot.bottom + FOOT, label(picture), lens(whole, shot, picture.shot_us, frame), whole.parts, shot.parts);
}

function label(picture) {
  const own = picture.lanes.map((lane) => {
    const mine = lane.stretches.filter((stretch) => stretch[2]);
    if (!mine.length || lane.kind === "line_pulse") return null;
    return `${lane.name} ${mine.map(([from, until]) => (from === until ? plain(from / 1e3, 2) : `${plain(from / 1e3, 2)} to ${plain(until / 1e3, 2)}`)).join(", ")} ms`;
  });
  return `Timing of container ${picture.container}, counted from the sensor's edge: ${own.filter(Boolean).join("; ")}`;
}

/** Where the shot lies on the whole way, as a lens onto the drawing below. */
function lens(whole, shot, [from, until], {left, right}) {
  const [a, b] = [whole.x(from), Math.max(whole.x(until), whole.x(from) + 1)];
  return [s("path", {d: `M${a} ${HEAD}H${b}V${whole.bottom}H${a}z`, class: "lens"}),
    s("path", {d: `M${a} ${whole.bottom}H${b}L${right} ${shot.top + 6}H${left}z`, class: "lens faint"})];
}

function panel(lanes, {left, right, narrow, top, span, zero, heading, labels}) {
  const laneHeight = narrow ? LANE + 14 : LANE;
  const bottom = top + HEAD + laneHeight * lanes.length;
  const x = (us) => left + Math.max(0, Math.min(1, (us - span[0]) / Math.max(1, span[1] - span[0]))) * (right - left);
  const parts = [s("text", {x: left, y: top + 14, class: "panel"}, heading), grid({x, span, zero, top: top + HEAD, bottom, left, right})];
  lanes.forEach((lane, i) => {
    const middle = top + HEAD + laneHeight * i + (narrow ? 14 + LANE / 2 : LANE / 2);
    const name = narrow ? s("text", {x: left, y: middle - 14, class: "lane"}, lane.name) : s("text", {x: left - 12, y: middle + 4, class: "lane", "text-anchor": "end"}, lane.name);
    parts.push(s("path", {d: `M${left} ${middle + BAR / 2 + 0.5}H${right}`, class: "hair"}), marks(lane, {x, span, middle, left, right, labels}), name);
  });
  return {parts, bottom, top, x};
}

function grid({x, span, zero, top, bottom, left, right}) {
  const {step, ticks} = timeTicks(span[0] - zero, span[1] - zero, Math.max(2, (right - left) / 90));
  const long = span[1] - span[0] >= 2e6;
  const digits = long ? Math.max(0, Math.ceil(6 - Math.log10(step) - 1e-9)) : Math.max(0, Math.ceil(3 - Math.log10(step) - 1e-9));
  const text = (us) => plain(us / (long ? 1e6 : 1e3), digits);
  const shown = ticks.filter((us) => x(us + zero) < right - 34);
  return [ticks.map((us) => s("path", {d: `M${x(us + zero)} ${top}V${bottom + 5}`, class: "hair"})),
    shown.map((us) => s("text", {x: Math.max(x(us + zero), left + 4), y: bottom + 20, class: "tick", "text-anchor": "middle"}, text(us))),
    s("path", {d: `M${left} ${bottom}H${right}`, class: "axis"}),
    s("text", {x: right, y: bottom + 20, class: "tick", "text-anchor": "end"}, long ? "s" : "ms")];
}

function marks(lane, frame) {
  const inside = lane.stretches.filter((stretch) => overlaps(stretch, frame.span));
  if (lane.kind === "line_pulse") return pulses(inside, frame);
  const ordered = [...inside].sort((a, b) => a[2] - b[2]);
  return [ordered.map((stretch) => mark(lane, stretch, frame)), frame.labels ? inside.filter((stretch) => stretch[2]).map((stretch) => labels(stretch, frame)) : null];
}

function mark(lane, [from, until, own], {x, middle}) {
  const style = `${own ? `own ${lane.kind}` : "other"}`;
  if (from === until) return s("path", {d: `M${x(from)} ${middle - 8}l6 8l-6 8l-6 -8z`, class: style});
  const width = Math.max(x(until) - x(from), 2);
  return s("rect", {x: x(from), y: middle - BAR / 2, width, height: BAR, rx: Math.min(3, width / 2), class: style});
}

/** A square wave; where its edges would run together, a band. */
function pulses(inside, {x, middle, left, right}) {
  const ups = inside.map(([from, until]) => [x(from), x(until)]);
  if (ups.length > (right - left) / 7) {
    return s("rect", {x: ups[0][0], y: middle - 6, width: Math.max(2, ups.at(-1)[1] - ups[0][0]), height: 12, class: "pulse-band"});
  }
  const path = ups.map(([from, until]) => `H${from.toFixed(1)}V${middle - 6}H${until.toFixed(1)}V${middle + 6}`).join("");
  return s("path", {d: `M${left} ${middle + 6}${path}H${right}`, class: "pulse"});
}

/** On the bar where it fits; before and after it where there is room. */
function labels([from, until, , on, before, after], {x, middle, left, right}) {
  const [a, b, y] = [x(from), x(until), middle + 4];
  return [on && b - a > textWidth(on, 11.5) + 10 ? s("text", {x: (a + b) / 2, y, class: "inside", "text-anchor": "middle"}, on) : null,
    before && a - left > textWidth(before, 11.5) + 14 ? s("text", {x: a - 8, y, class: "beside", "text-anchor": "end"}, before) : null,
    after && right - b > textWidth(after, 11.5) + 14 ? s("text", {x: b + 8, y, class: "beside"}, after) : null];
}
