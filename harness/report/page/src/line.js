// The line to scale, seen from the side, and the shot close by.

import {drawing, h, s, textWidth} from "./dom.js";
import {closeUp, heightOf} from "./line_shot.js";
import {factList} from "./blocks_text.js";
import {quantityText} from "./units.js";
import {onChange, widthOf} from "./view.js";

const LABEL = 18;

export function drawLine(block, section, page) {
  const box = h("div", {class: "line"});
  const update = () => {
    if (box.isConnected) box.replaceChildren(overview(block, widthOf(box)), ...shot(block, widthOf(box)));
  };
  section.append(box);
  if (block.container.height_um === undefined) section.append(h("p", {class: "note"}, "All to scale, but the height of the container, which the configuration does not say."));
  onChange(update);
  page.later(update);
}

function shot(block, wide) {
  if (!block.at_shot) return [];
  const {at_shot: at} = block;
  const rows = [
    ["the container's middle as the valve opens", at.opens_um, "length_um", -2], ["as the shot lands", at.lands_um, "length_um", -2], ["as the valve closes", at.closes_um, "length_um", -2],
    ["the liquid falls for", at.fall_us, "time_us", -1], ["the valve is open for", at.open_us, "time_us", -1], ["the belt moves at", at.speed_um_per_s, "speed_um_per_s", -3],
    ["the nozzle above the rim", block.nozzle_height_um, "length_um", -2],
  ].filter(([, value]) => value !== undefined && value !== null).map(([name, value, quantity, digits]) => ({name, value: {value, quantity, digits}}));
  return [h("h3", {}, at.container ? `The shot into container ${at.container}` : "The moment of the shot"),
    h("div", {class: "beside-drawing"}, closeUp(block, Math.min(wide, 460)), h("div", {}, h("p", {class: "note"}, "Distances from under the nozzle, positive in the direction of travel. Dashed: as the valve opens. Filled: as the shot lands."), factList(rows, "facts tight")))];
}

function overview(block, wide) {
  const stations = [...block.stations].sort((a, b) => a.at_um - b.at_um);
  const nozzle = stations.find((station) => station.kind === "nozzle")?.at_um ?? stations[0].at_um;
  const [first, last] = [stations[0], stations.at(-1)];
  const margin = (station) => textWidth(station.name) / 2 + 8;
  const scale = Math.min((wide - margin(first) - margin(last)) / (last.at_um - first.at_um), 0.0016);
  const from = first.at_um - margin(first) / scale;
  const until = last.at_um + margin(last) / scale;
  const x = (um) => (um - from) * scale;
  const levels = levelsOf(stations, x, wide);
  const top = 14 + LABEL * (Math.max(...levels) + 1);
  const tall = heightOf(block.container) * scale;
  const clear = Math.max(46, (block.nozzle_height_um ?? 0) * scale + 34);
  const belt = top + clear + tall;
  const dims = dimensions(stations, x, belt + 22, wide);
  return drawing(wide, dims.bottom + 6, said(stations, nozzle), s("path", {d: `M${x(from)} ${belt + 0.5}H${x(until)}`, class: "belt"}),
    s("path", {d: `M${x(until) - 30} ${belt + 8}h22m-6 -4l6 4l-6 4`, class: "arrow"}),
    cans(block, stations, nozzle, [from, until]).map((can) => can2d(can, block.container, x, belt, scale)),
    stations.map((station, i) => mark(station, x(station.at_um), {belt, rim: belt - tall, top, level: levels[i], wide, scale, block})), dims.parts);
}

function said(stations, nozzle) {
  return `The line to scale: ${stations.map((station) => `${station.name} ${quantityText(station.at_um - nozzle, "length_um", -3)} from the nozzle`).join(", ")}`;
}

/** Labels that would touch stand one above the other. */
function levelsOf(stations, x, wide) {
  const ends = [];
  return stations.map((station) => {
    const half = textWidth(station.name, 12) / 2 + 6;
    const middle = Math.min(Math.max(x(station.at_um), half), wide - half);
    let level = ends.findIndex((end) => middle - half > end);
    if (level < 0) level = ends.length;
    ends[level] = middle + half;
    return level;
  });
}

/** Middles of the containers: the one at the shot, the others by their pitch, a queue before the seamer. */
function cans(block, stations, nozzle, [from, until]) {
  const {container} = block;
  const seamer = stations.find((station) => station.kind === "seamer")?.at_um ?? until;
  const lid = stations.find((station) => station.kind === "lid")?.at_um ?? seamer;
  const pitch = Math.max(block.pitch_um ?? container.diameter_um * 2.2, container.diameter_um);
  const first = nozzle + (block.at_shot?.lands_um ?? 0);
  const found = [];
  const queued = block.queue ? [seamer, seamer - container.diameter_um, seamer - 2 * container.diameter_um] : [];
  const free = (um) => queued.every((other) => Math.abs(other - um) >= container.diameter_um);
  for (const at of queued) found.push({at, lid: at >= lid});
  for (let k = -60; k <= 60; k += 1) {
    const at = groupAt(block, k, pitch) + first;
    if (at < from + container.diameter_um / 2 || at > until - container.diameter_um / 2) continue;
    if (block.queue && at > seamer - 3 * container.diameter_um && at < seamer + container.diameter_um) continue;
    if (free(at)) found.push({at, lid: at >= lid, now: k === 0});
  }
  return found;
}

/** Where the k-th container ahead of the one at the shot stands; groups of an inline filler keep their gap. */
function groupAt(block, k, pitch) {
  const heads = block.heads ?? 1;
  if (heads < 2 || !block.group_pitch_um) return k * pitch;
  const group = Math.floor(k / heads);
  return group * block.group_pitch_um + (k - group * heads) * pitch;
}

function can2d(can, container, x, belt, scale) {
  const [wide, tall] = [container.diameter_um * scale, heightOf(container) * scale];
  const left = x(can.at) - wide / 2;
  const fill = tall * (container.fill_share ?? 0.92);
  return s("g", {class: `can${can.now ? " now" : ""}`}, s("rect", {x: left + 0.8, y: belt - fill, width: Math.max(1, wide - 1.6), height: fill, class: "drink"}),
    s("path", {d: `M${left + 0.6} ${belt - tall}V${belt}H${left + wide - 0.6}V${belt - tall}`, class: "wall"}),
    can.lid ? s("path", {d: `M${left - 0.5} ${belt - tall}H${left + wide + 0.5}`, class: "lid"}) : null);
}

function mark(station, x, {belt, rim, top, level, wide, scale, block}) {
  const base = 12 + LABEL * level;
  const half = textWidth(station.name, 12) / 2 + 6;
  const middle = Math.min(Math.max(x, half), wide - half);
  const tip = station.kind === "nozzle" ? rim - Math.max(6, (block.nozzle_height_um ?? 0) * scale) : rim - 8;
  const sign = {
    nozzle: () => [s("path", {d: `M${x - 7} ${tip - 18}h14v8l-4.5 10h-5l-4.5 -10z`, class: "nozzle"}), s("path", {d: `M${x} ${tip + 1}V${rim + 8}`, class: "jet"})],
    sensor: () => s("path", {d: `M${x} ${rim - 8}V${belt}`, class: "beam"}),
    gate: () => s("path", {d: `M${x} ${rim + (belt - rim) * 0.4}V${belt}m-5 -6l5 6l5 -6`, class: "station-mark"}),
  }[station.kind] ?? (() => s("path", {d: `M${x - 6} ${rim - 12}h12l-6 8z`, class: "station-mark filled"}));
  return s("g", {}, s("path", {d: `M${middle} ${base + 4}L${x} ${top + 2}V${station.kind === "nozzle" ? tip - 18 : rim - 12}`, class: "leader"}), sign(),
    s("text", {x: middle, y: base, class: "station", "text-anchor": "middle"}, station.name));
}

/** Distances from each station to the next, below the belt, on a second row where they would touch. */
function dimensions(stations, x, top, wide) {
  const ends = [];
  let lowest = 0;
  const parts = stations.slice(1).map((station, i) => {
    const [a, b] = [x(stations[i].at_um), x(station.at_um)];
    const text = quantityText(station.at_um - stations[i].at_um, "length_um", -3);
    const half = textWidth(text, 11) / 2 + 5;
    const middle = Math.min(Math.max((a + b) / 2, half), wide - half);
    let level = ends.findIndex((end) => middle - half > end);
    if (level < 0) level = ends.length;
    ends[level] = middle + half;
    lowest = Math.max(lowest, level);
    return [s("path", {d: `M${a} ${top - 5}v10M${b} ${top - 5}v10M${a} ${top}H${b}`, class: "dimension"}),
      s("text", {x: middle, y: top + 17 + 15 * level, class: "tick", "text-anchor": "middle"}, text)];
  });
  return {parts, bottom: top + 20 + 15 * lowest};
}
