// Elements with their attributes and children; text is always text, never markup.

const SVG = "http://www.w3.org/2000/svg";

function fill(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name in {checked: 1, value: 1, disabled: 1}) element[name] = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

export function h(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

export function s(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** A drawing with a name that a screen reader says. */
export function drawing(width, height, label, ...children) {
  return s("svg", {viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": label}, ...children);
}

export function button(text, label, onclick, attributes = {}) {
  return h("button", {type: "button", "aria-label": label, title: label, onclick, ...attributes}, text);
}

let ids = 0;
export function freshId(stem) {
  ids += 1;
  return `${stem}-${ids}`;
}

/** A table that may be wider than its page scrolls in itself and can be reached by the keyboard. */
export function scrolling(label, table) {
  return h("div", {class: "scroll", tabindex: 0, role: "region", "aria-label": label}, table);
}

/** Opens on demand, and is made only then. */
export function fold(summary, make) {
  let made = false;
  const box = h("details", {class: "fold"}, h("summary", {}, summary));
  box.addEventListener("toggle", () => {
    if (!box.open || made) return;
    made = true;
    box.append(make());
  });
  return box;
}

/** About as wide as this text will be at this size. */
export function textWidth(text, size = 12) {
  return text.length * size * 0.56;
}
