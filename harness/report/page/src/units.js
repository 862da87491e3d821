// Quantities, the units a reader may choose, and numbers as text.

import {view} from "./view.js";

const KPA = {kPa: 1, bar: 0.01, psi: 1 / 6.894757293168};
const MG = {mg: 1, g: 1e-3, kg: 1e-6, oz: 1 / 28349.523125, lb: 1 / 453592.37};
const MM = {mm: 1, m: 1e-3, in: 1 / 25.4, ft: 1 / 304.8, "µm": 1e3};
const ML = {ml: 1, l: 1e-3, "m³": 1e-6, "fl oz": 1 / 29.5735295625, "ft³": 1 / 28316.846592, "µl": 1e3};
const MM_S = {"mm/s": 1, "m/s": 1e-3, "m/min": 0.06, "ft/min": 60 / 304.8};

/** Of each quantity: family, factor to the family's first unit, the unit it comes in. */
const QUANTITIES = {
  pressure_kpa: ["pressure", 1, "kPa"],
  pressure_pa: ["pressure", 1e-3, "kPa"],
  mass_ug: ["mass", 1e-3, "mg"],
  mass_mg: ["mass", 1, "mg"],
  mass_g: ["mass", 1e3, "g"],
  mass_kg: ["mass", 1e6, "kg"],
  temperature_c: ["temperature", 1, "°C"],
  temperature_difference_k: ["difference", 1, "K"],
  length_um: ["length", 1e-3, "mm"],
  length_mm: ["length", 1, "mm"],
  volume_ul: ["volume", 1e-3, "ml"],
  volume_ml: ["volume", 1, "ml"],
  volume_l: ["volume", 1e3, "l"],
  volume_m3: ["volume", 1e6, "m³"],
  speed_um_per_s: ["speed", 1e-3, "m/s"],
  speed_mm_per_s: ["speed", 1, "m/s"],
  time_us: ["time", 1e-6, "s"],
  time_ms: ["time", 1e-3, "s"],
  time_s: ["time", 1, "s"],
  time_min: ["time", 60, "s"],
  rate_per_min: ["fixed", 1, "a minute"],
  flow_g_per_s: ["fixed", 1, "g/s"],
  flow_kg_per_h: ["fixed", 1, "kg/h"],
  share_percent: ["fixed", 1, "%"],
  share_ppm: ["fixed", 1, "ppm"],
  tpo_ppb: ["fixed", 1, "ppb"],
};

/** Decimals in the unit of the document where it does not say: as many as anybody reads. */
const DIGITS = {pressure_kpa: 1, pressure_pa: -2, mass_ug: -2, mass_mg: 1, mass_g: 1, mass_kg: 2, length_um: -1, length_mm: 2, temperature_c: 1, temperature_difference_k: 1, speed_um_per_s: -3, speed_mm_per_s: 0, share_percent: 2};

export const CHOICES = [
  ["pressure", "Pressure", ["kPa", "bar", "psi"]],
  ["mass", "Mass", ["metric", "oz"]],
  ["temperature", "Temperature", ["°C", "°F"]],
  ["length", "Length", ["mm", "in"]],
  ["volume", "Volume", ["ml", "fl oz"]],
  ["speed", "Speed", ["m/s", "m/min", "ft/min"]],
];

const SMALLER = {mg: "oz", g: "oz", kg: "lb"};
const CUSTOMARY = {ml: "fl oz", l: "fl oz", "m³": "ft³"};

/** Factor, offset and unit that turn a number of this quantity into what the reader reads. */
export function unitOf(quantity, largest = 0) {
  const [family, base, own] = QUANTITIES[quantity] ?? ["fixed", 1, String(quantity ?? "").replaceAll("_", " ")];
  const chosen = view.units[family];
  const made = (table, unit) => ({factor: base * table[unit], offset: 0, unit});
  if (family === "pressure") return made(KPA, chosen);
  if (family === "mass") return made(MG, chosen === "oz" ? SMALLER[own] : own);
  if (family === "length") return made(MM, chosen === "in" ? "in" : "mm");
  if (family === "volume") return made(ML, chosen === "ml" ? own : CUSTOMARY[own]);
  if (family === "speed") return made(MM_S, chosen);
  if (family === "temperature") return chosen === "°F" ? {factor: 1.8, offset: 32, unit: "°F"} : {factor: 1, offset: 0, unit: "°C"};
  if (family === "difference") return view.units.temperature === "°F" ? {factor: 1.8, offset: 0, unit: "°F"} : {factor: 1, offset: 0, unit: "K"};
  if (family === "time") return timeUnit(base, largest);
  return {factor: base, offset: 0, unit: own};
}

function timeUnit(base, largest) {
  const seconds = Math.abs(largest) * base;
  if (seconds < 1) return {factor: base * 1e3, offset: 0, unit: "ms"};
  if (seconds < 600) return {factor: base, offset: 0, unit: "s"};
  if (seconds < 7200) return {factor: base / 60, offset: 0, unit: "min"};
  return {factor: base / 3600, offset: 0, unit: "h"};
}

/** Thin spaces between thousands, a true minus. */
export function plain(number, digits) {
  if (!Number.isFinite(number)) return "none";
  const text = digits === undefined ? significant(number) : Math.abs(number).toFixed(digits);
  const [whole, fraction] = text.split(".");
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
  const negative = number < 0 && Number(text) !== 0;
  return `${negative ? "\u2212" : ""}${grouped}${fraction ? `.${fraction}` : ""}`;
}

function significant(number) {
  const size = Math.abs(number);
  if (Number.isInteger(size)) return String(size);
  const digits = size >= 1000 ? 0 : size >= 100 ? 1 : size >= 10 ? 2 : 3;
  const text = size.toFixed(size > 0 && size < 0.1 ? 4 : digits);
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

/** Decimals that say as much in the new unit as `digits` did in the old. */
export function digitsIn(factor, digits) {
  if (digits === undefined) return undefined;
  return Math.max(0, digits + Math.floor(-Math.log10(factor) + 0.1));
}

function numberText(value, quantity, digits) {
  const {factor, offset} = unitOf(quantity, value);
  const decimals = digitsIn(factor, digits ?? DIGITS[quantity]);
  // A microsecond is no more than a thousandth of what a time is told in.
  return plain(value * factor + offset, QUANTITIES[quantity]?.[0] === "time" && decimals !== undefined ? Math.min(decimals, 3) : decimals);
}

/** 10 min 6.8 s, 8 h, 8 h 0 min 2 s; null where a plain number of seconds says it better. */
function longTime(value, quantity) {
  const [family, base] = QUANTITIES[quantity] ?? [];
  const exact = Math.abs(value) * base;
  if (family !== "time" || !(exact >= 100)) return null;
  const tenths = exact < 3600 ? Math.round(exact * 10) : 10 * Math.round(exact);
  const [hours, minutes, rest] = [Math.floor(tenths / 36000), Math.floor(tenths / 600) % 60, (tenths % 600) / 10];
  const parts = [hours ? `${hours}\u00a0h` : "", minutes || (hours && rest) ? `${minutes}\u00a0min` : "", rest ? `${rest}\u00a0s` : ""];
  return `${value < 0 ? "\u2212" : ""}${parts.filter(Boolean).join(" ")}`;
}

/** A number with its unit. */
export function quantityText(value, quantity, digits) {
  if (value === null || value === undefined) return "none";
  const long = longTime(value, quantity);
  if (long) return long;
  const {unit} = unitOf(quantity, value);
  const text = numberText(value, quantity, digits);
  if (unit === "") return text;
  return unit === "%" ? `${text}\u202f%` : `${text}\u00a0${unit}`;
}

export function isQuantity(value) {
  return value !== null && typeof value === "object" && "quantity" in value;
}

/** What comes in lower case, at the beginning of a line. */
export function sentence(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Any value of the document as text in the reader's units. */
export function valueText(value, quantity, digits) {
  if (value === null || value === undefined) return "–";
  if (isQuantity(value)) return quantityText(value.value, value.quantity, value.digits ?? digits);
  if (typeof value === "number") return quantity ? quantityText(value, quantity, digits) : plain(value, digits);
  return String(value);
}

/** A time of the run: 8.250 s, 2:03.4, 7:15:00. */
export function clock(us, step = 1000) {
  const decimals = step >= 1e6 ? 0 : step >= 1e5 ? 1 : step >= 1e4 ? 2 : step >= 1e3 ? 3 : 6;
  const size = Math.abs(us);
  const scale = 10 ** decimals;
  const ticks = Math.round((size * scale) / 1e6);
  const whole = Math.floor(ticks / scale);
  const fraction = decimals ? `.${String(ticks % scale).padStart(decimals, "0")}` : "";
  const sign = us < 0 && ticks > 0 ? "\u2212" : "";
  const two = (number) => String(number).padStart(2, "0");
  const [hours, minutes, seconds] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  if (hours) return `${sign}${hours}:${two(minutes)}:${two(seconds)}${fraction}`;
  if (minutes) return `${sign}${minutes}:${two(seconds)}${fraction}`;
  return `${sign}${seconds}${fraction}\u00a0s`;
}
