// Each place of a group has a colour and a shape. The colours run from dark blue to sand (light on
// dark: from blue to straw), lightness growing all the way, so that they differ without hue too.

import {view} from "./view.js";

const ENDS = {
  light: {lightness: [0.36, 0.71], chroma: [0.11, 0.125]},
  dark: {lightness: [0.58, 0.9], chroma: [0.12, 0.105]},
};

/** OKLCH to sRGB (CSS Color 4). */
function rgb(lightness, chroma, degrees) {
  const a = chroma * Math.cos((degrees * Math.PI) / 180);
  const b = chroma * Math.sin((degrees * Math.PI) / 180);
  const l = (lightness + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (lightness - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const n = (lightness - 0.0894841775 * a - 1.291485548 * b) ** 3;
  const linear = [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * n,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * n,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * n,
  ];
  return linear.map((part) => {
    const inside = Math.min(1, Math.max(0, part));
    return Math.round(255 * (inside <= 0.0031308 ? 12.92 * inside : 1.055 * inside ** (1 / 2.4) - 0.055));
  });
}

const SHAPES = [
  (r) => `M${-r} 0a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0z`,
  (r) => `M0 ${-1.25 * r}L${1.15 * r} ${0.8 * r}H${-1.15 * r}z`,
  (r) => `M${-0.9 * r} ${-0.9 * r}h${1.8 * r}v${1.8 * r}h${-1.8 * r}z`,
  (r) => `M0 ${-1.3 * r}L${1.3 * r} 0L0 ${1.3 * r}L${-1.3 * r} 0z`,
  (r) => `M0 ${1.25 * r}L${1.15 * r} ${-0.8 * r}H${-1.15 * r}z`,
  (r) => `M${-0.4 * r} ${-1.2 * r}h${0.8 * r}v${0.8 * r}h${0.8 * r}v${0.8 * r}h${-0.8 * r}v${0.8 * r}h${-0.8 * r}v${-0.8 * r}h${-0.8 * r}v${-0.8 * r}h${0.8 * r}z`,
  (r) => `M${-1.2 * r} ${-0.5 * r}h${2.4 * r}v${r}h${-2.4 * r}z`,
  (r) => `M${-0.5 * r} ${-1.2 * r}h${r}v${2.4 * r}h${-r}z`,
];

/** The shape of a place as a path around 0, 0. */
export function shapeOf(index, radius) {
  return SHAPES[index % SHAPES.length](radius);
}

export function colourOf(index, count) {
  const ends = ENDS[view.printing ? "light" : view.theme];
  const share = count > 1 ? index / (count - 1) : 0.3;
  const between = ([from, until]) => from + share * (until - from);
  // Blue to teal on the first half, teal to sand on the second.
  const hue = share < 0.5 ? 262 - 2 * share * 67 : 195 - 2 * (share - 0.5) * 120;
  return `rgb(${rgb(between(ends.lightness), between(ends.chroma), hue).join(" ")})`;
}
