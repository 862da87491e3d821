// The container under the nozzle at the moment of the shot, to scale.

import {drawing, s} from "./dom.js";
import {quantityText} from "./units.js";
import {view} from "./view.js";

const TALL = 1.8; // heights a diameter, where the configuration gives no height

export function heightOf(container) {
  return container.height_um ?? container.diameter_um * TALL;
}

export function closeUp(block, wide) {
  const {container, at_shot: at} = block;
  const offsets = [at.opens_um, at.lands_um, 0];
  const reach = container.diameter_um * 0.62;
  const [from, until] = [Math.min(...offsets) - reach, Math.max(...offsets) + reach];
  const above = (block.nozzle_height_um ?? 20000) + container.diameter_um * 0.42;
  const scale = Math.min(wide / (until - from), (view.printing ? 230 : 380) / (above + heightOf(container)));
  const width = Math.max((until - from) * scale, 220);
  const x = (um) => width / 2 + (um - (from + until) / 2) * scale;
  const rim = 8 + above * scale;
  const belt = rim + heightOf(container) * scale;
  return drawing(width, belt + 40, `The container at the shot: its middle ${quantityText(at.opens_um, "length_um", -2)} from under the nozzle as the valve opens, ${quantityText(at.lands_um, "length_um", -2)} as the shot lands`,
    s("path", {d: `M0 ${belt + 0.5}H${width}`, class: "belt"}), ghost(container, x(at.opens_um), rim, belt, scale), solid(container, x(at.lands_um), rim, belt, scale),
    nozzle(block, x(0), rim, scale), offsetsBelow(at, x, belt));
}

function outline(container, middle, rim, belt, scale) {
  const half = (container.diameter_um / 2) * scale;
  const neck = (container.opening_um / 2) * scale;
  const shoulder = Math.min((half - neck) * 1.2, (belt - rim) * 0.2);
  return `M${middle - neck} ${rim}L${middle - half} ${rim + shoulder}V${belt}H${middle + half}V${rim + shoulder}L${middle + neck} ${rim}`;
}

function ghost(container, middle, rim, belt, scale) {
  return s("path", {d: outline(container, middle, rim, belt, scale), class: "ghost"});
}

function solid(container, middle, rim, belt, scale) {
  const half = (container.diameter_um / 2) * scale;
  const level = belt - (belt - rim) * (container.fill_share ?? 0.92);
  const neck = (container.opening_um / 2) * scale;
  return s("g", {class: "can now"}, s("rect", {x: middle - half + 1.5, y: level, width: 2 * half - 3, height: belt - level - 1, class: "drink"}),
    s("path", {d: outline(container, middle, rim, belt, scale), class: "wall"}),
    s("path", {d: `M${middle - neck} ${rim}m0 -4v8M${middle + neck} ${rim}m0 -4v8`, class: "rim"}), s("path", {d: `M${middle} ${rim - 10}V${belt}`, class: "centre"}));
}

function nozzle(block, x, rim, scale) {
  const {container} = block;
  const tip = rim - (block.nozzle_height_um ?? 20000) * scale;
  const wide = Math.max(10, container.diameter_um * 0.11 * scale);
  const level = rim + heightOf(container) * scale * (1 - (container.fill_share ?? 0.92));
  const jet = Math.max(2, (block.jet_diameter_um ?? 1600) * scale);
  return [s("rect", {x: x - jet / 2, y: tip, width: jet, height: Math.max(0, level - tip), class: "jet-body"}),
    s("path", {d: `M${x - wide} ${Math.max(2, tip - container.diameter_um * 0.4 * scale)}h${2 * wide}V${tip - wide}L${x + wide * 0.45} ${tip}h${-wide * 0.9}L${x - wide} ${tip - wide}z`, class: "nozzle"})];
}

function offsetsBelow(at, x, belt) {
  const mark = (um, name, row) => [s("path", {d: `M${x(um)} ${belt + 3}v6`, class: "dimension"}),
    s("text", {x: x(um), y: belt + 20 + 15 * row, class: "tick", "text-anchor": "middle"}, `${name} ${quantityText(um, "length_um", -2)}`)];
  return [mark(at.opens_um, "opens", 0), mark(at.lands_um, "lands", 1)];
}
