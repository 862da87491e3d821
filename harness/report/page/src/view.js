// What the reader has chosen: theme and units. Whoever draws asks to be told of a change.

const listeners = new Set();
const system = window.matchMedia("(prefers-color-scheme: dark)");

export const view = {
  theme: system.matches ? "dark" : "light",
  printing: false,
  units: {pressure: "kPa", mass: "metric", temperature: "°C", length: "mm", volume: "ml", speed: "m/s"},
};

let chosen = null;

export function onChange(listener) {
  listeners.add(listener);
}

function tell() {
  document.documentElement.dataset.theme = view.printing ? "light" : view.theme;
  colours.clear();
  for (const listener of listeners) listener();
}

export function setTheme(theme) {
  chosen = theme;
  view.theme = theme;
  tell();
}

export function setUnit(family, unit) {
  view.units[family] = unit;
  tell();
}

const colours = new Map();

/** A colour of the present theme, by its name in page.css. */
export function colour(name) {
  if (!colours.has(name)) {
    const style = window.getComputedStyle(document.documentElement);
    colours.set(name, style.getPropertyValue(`--${name}`).trim());
  }
  return colours.get(name);
}

function print(printing) {
  if (view.printing === printing) return;
  view.printing = printing;
  document.documentElement.classList.toggle("printing", printing);
  tell();
}

/** Follows the system's theme until the reader chooses, draws anew for paper and for a new width. */
export function watch() {
  system.addEventListener("change", () => {
    if (chosen) return;
    view.theme = system.matches ? "dark" : "light";
    tell();
  });
  window.addEventListener("beforeprint", () => print(true));
  window.addEventListener("afterprint", () => print(false));
  let width = document.documentElement.clientWidth;
  let waiting = 0;
  window.addEventListener("resize", () => {
    if (waiting || view.printing) return;
    waiting = window.requestAnimationFrame(() => {
      waiting = 0;
      if (document.documentElement.clientWidth === width) return;
      width = document.documentElement.clientWidth;
      tell();
    });
  });
  tell();
}

/** The width a drawing has: its box's, or that of the paper. */
export function widthOf(box) {
  return view.printing ? 688 : Math.max(240, Math.floor(box.clientWidth));
}
