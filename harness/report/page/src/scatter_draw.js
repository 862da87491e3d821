// One figure of every container over time, on a canvas: single marks where there is room; else, for
// every column of pixels, the least and the most of each place as a bar, so that nothing is left
// out, and the mean as a line.

import {positionAt} from "./packed.js";
import {colourOf, shapeOf} from "./places.js";
import {colour} from "./view.js";

const MARK_EVERY = 90;
/** More than so many to a pixel would hide each other. */
const MARKS_MOST = 1.6;

/** Rows in the window, from the position of the first to behind the last. */
export function visible(containers, from, until) {
  return [positionAt(containers, from), positionAt(containers, until + 1)];
}

/** Least and most of what is shown. */
export function extent(containers, values, hidden, [first, last]) {
  let least = Infinity;
  let most = -Infinity;
  for (let position = first; position < last; position += 1) {
    const i = containers.order ? containers.order[position] : position;
    if (hidden.has(containers.place[i])) continue;
    if (values[i] < least) least = values[i];
    if (values[i] > most) most = values[i];
  }
  return [least, most];
}

/** Whether every row has room for a mark of its own. */
export function sparse(plot, [first, last]) {
  return last - first <= (plot.width / plot.ratio) * MARKS_MOST;
}

/** `plot` has the canvas' context, toX(us), toY(value), ratio (device pixels), left, width. */
export function draw(plot, containers, values, hidden, range) {
  if (sparse(plot, range)) drawMarks(plot, containers, values, hidden, range);
  else drawColumns(plot, columnsOf(plot, containers, values, hidden, range), containers);
}

function drawMarks(plot, containers, values, hidden, [first, last]) {
  const room = plot.width / plot.ratio / Math.max(1, last - first);
  const radius = Math.min(5, Math.max(2, room * 0.8)) * plot.ratio;
  const count = containers.places.length;
  const styles = containers.places.map((_, place) => [new Path2D(shapeOf(place, radius)), colourOf(place, count)]);
  const cross = new Path2D(`M${-1.5 * radius} ${-1.5 * radius}l${3 * radius} ${3 * radius}m0 ${-3 * radius}l${-3 * radius} ${3 * radius}`);
  for (let position = first; position < last; position += 1) {
    const i = containers.order ? containers.order[position] : position;
    if (hidden.has(containers.place[i]) || Number.isNaN(values[i])) continue;
    const [path, fill] = styles[containers.placeIndex.get(containers.place[i])];
    at(plot, containers.at[i], values[i], () => {
      plot.context.fillStyle = fill;
      plot.context.fill(path);
      if (!containers.bad[i]) return;
      plot.context.strokeStyle = colour("fail");
      plot.context.lineWidth = 1.5 * plot.ratio;
      plot.context.stroke(cross);
    });
  }
}

function at(plot, us, value, paint) {
  plot.context.save();
  plot.context.translate(plot.toX(us), plot.toY(value));
  paint();
  plot.context.restore();
}

/** For every place and every column of pixels: least, most, sum and count; and of the bad ones. */
function columnsOf(plot, containers, values, hidden, [first, last]) {
  const width = Math.ceil(plot.width / plot.ratio) + 1;
  const places = containers.places.map(() => ({
    least: new Float64Array(width).fill(Infinity),
    most: new Float64Array(width).fill(-Infinity),
    sum: new Float64Array(width),
    count: new Uint32Array(width),
    bad: new Map(),
  }));
  const scale = width / (plot.until - plot.from);
  for (let position = first; position < last; position += 1) {
    const i = containers.order ? containers.order[position] : position;
    const value = values[i];
    if (hidden.has(containers.place[i]) || Number.isNaN(value)) continue;
    const column = Math.min(width - 1, Math.max(0, Math.floor((containers.at[i] - plot.from) * scale)));
    const place = places[containers.placeIndex.get(containers.place[i])];
    if (value < place.least[column]) place.least[column] = value;
    if (value > place.most[column]) place.most[column] = value;
    place.sum[column] += value;
    place.count[column] += 1;
    if (containers.bad[i]) widen(place.bad, column, value);
  }
  return places;
}

function widen(bad, column, value) {
  const ends = bad.get(column);
  if (!ends) bad.set(column, [value, value]);
  else bad.set(column, [Math.min(ends[0], value), Math.max(ends[1], value)]);
}

function drawColumns(plot, places, containers) {
  const {context, ratio} = plot;
  const count = containers.places.length;
  places.forEach((place, index) => {
    context.globalAlpha = count > 1 ? 0.34 : 0.5;
    context.fillStyle = colourOf(index, count);
    for (let column = 0; column < place.count.length; column += 1) {
      if (!place.count[column]) continue;
      const top = plot.toY(place.most[column]);
      const height = Math.max(1.5 * ratio, plot.toY(place.least[column]) - top);
      context.fillRect(plot.left + column * ratio, top, ratio, height);
    }
    context.globalAlpha = 1;
  });
  places.forEach((place, index) => drawMean(plot, place, index, count));
  context.fillStyle = colour("fail");
  for (const place of places) {
    for (const [column, [least, most]] of place.bad) {
      const top = plot.toY(most) - 1.5 * ratio;
      context.fillRect(plot.left + column * ratio, top, 1.2 * ratio, plot.toY(least) + 1.5 * ratio - top);
    }
  }
}

/** The mean of each column, smoothed over a few, with the place's shape on it now and then. */
function drawMean(plot, place, index, count) {
  const {context, ratio} = plot;
  const reach = 6;
  const line = new Path2D();
  let gap = true;
  const marks = [];
  for (let column = 0; column < place.count.length; column += 1) {
    let sum = 0;
    let number = 0;
    for (let near = Math.max(0, column - reach); near <= Math.min(place.count.length - 1, column + reach); near += 1) {
      sum += place.sum[near];
      number += place.count[near];
    }
    if (!number || !place.count[column]) {
      gap = gap || !number;
      continue;
    }
    const [x, y] = [plot.left + (column + 0.5) * ratio, plot.toY(sum / number)];
    if (gap) line.moveTo(x, y);
    else line.lineTo(x, y);
    gap = false;
    if ((column + Math.round((index * MARK_EVERY) / count)) % MARK_EVERY === MARK_EVERY >> 1) marks.push([x, y]);
  }
  context.strokeStyle = colourOf(index, count);
  context.lineWidth = 1.8 * ratio;
  context.stroke(line);
  const shape = new Path2D(shapeOf(index, 4.2 * ratio));
  for (const [x, y] of marks) {
    context.save();
    context.translate(x, y);
    context.fillStyle = colourOf(index, count);
    context.strokeStyle = colour("paper");
    context.lineWidth = 1.5 * ratio;
    context.fill(shape);
    context.stroke(shape);
    context.restore();
  }
}

/** The row nearest to a point of the canvas, or -1. */
export function nearest(plot, containers, values, hidden, range, x, y) {
  const reach = 24 * plot.ratio;
  let best = -1;
  let distance = reach * reach;
  for (let position = range[0]; position < range[1]; position += 1) {
    const i = containers.order ? containers.order[position] : position;
    if (hidden.has(containers.place[i]) || Number.isNaN(values[i])) continue;
    const away = (plot.toX(containers.at[i]) - x) ** 2 + (plot.toY(values[i]) - y) ** 2;
    if (away < distance) {
      distance = away;
      best = i;
    }
  }
  return best;
}
