// What stands around the blocks: the bar above, the verdict, and what the report is about.

import {button, freshId, h} from "./dom.js";
import {factList, figure, outcome} from "./blocks_text.js";
import {CHOICES} from "./units.js";
import {onChange, setTheme, setUnit, view} from "./view.js";

/** A menu that closes on Escape and when the focus leaves it. */
function menu(name, content) {
  const box = h("details", {class: "menu"}, h("summary", {}, name), h("div", {class: "sheet"}, content));
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !box.open) return;
    box.open = false;
    box.querySelector("summary").focus();
  });
  box.addEventListener("focusout", (event) => {
    if (event.relatedTarget && !box.contains(event.relatedTarget)) box.open = false;
  });
  document.addEventListener("click", (event) => {
    if (!box.contains(event.target)) box.open = false;
  });
  return box;
}

function contents(blocks) {
  const close = (event) => { event.target.closest("details").open = false; };
  const links = [["verdict", "Verdict"], ...blocks.map((block) => [block.id, block.heading]), ["about", "About this report"]];
  return menu("Contents", h("nav", {"aria-label": "Contents"}, h("ol", {}, links.map(([id, name]) => h("li", {}, h("a", {href: `#${id}`, onclick: close}, name))))));
}

function unitChoice([family, name, units]) {
  const group = freshId(family);
  return h("fieldset", {class: "units"}, h("legend", {}, name), units.map((unit) => h("label", {},
    h("input", {type: "radio", name: group, value: unit, checked: view.units[family] === unit, onchange: () => setUnit(family, unit)}), unit === "metric" ? "mg, g" : unit)));
}

function themeButton() {
  const toggle = button("", "", () => setTheme(view.theme === "dark" ? "light" : "dark"), {class: "theme"});
  const update = () => {
    toggle.textContent = view.theme === "dark" ? "Light" : "Dark";
    toggle.setAttribute("aria-label", view.theme === "dark" ? "Light colours" : "Dark colours");
  };
  onChange(update);
  update();
  return toggle;
}

export function toolbar(blocks) {
  return h("header", {class: "topbar"}, h("a", {class: "skip", href: "#main"}, "Skip to the report"), h("span", {class: "name"}, "rimebench report"),
    h("div", {class: "tools"}, contents(blocks), menu("Units", h("div", {class: "unit-sheet"}, CHOICES.map(unitChoice))), themeButton()));
}

const KINDS = {run: "a run of the bench", plan: "a dose plan", suite: "a suite of scenarios", audit: "an audit of a capture", compare: "a comparison of recipes"};

export function head(report) {
  const {verdict} = report;
  const [first, ...rest] = verdict.why ?? [];
  return h("div", {class: `head ${verdict.outcome}`, id: "verdict"},
    h("p", {class: "kind"}, `rimebench, ${KINDS[report.kind] ?? report.kind}`), h("h1", {}, report.title), report.subtitle ? h("p", {class: "subtitle"}, report.subtitle) : null,
    h("div", {class: "ruler", "aria-hidden": "true"}),
    h("div", {class: "verdict"}, h("div", {class: "says"}, verdict.outcome === "none" ? null : outcome(verdict.outcome, "large"), first ? h("p", {class: "why"}, first) : null,
      rest.length ? h("ul", {}, rest.map((text) => h("li", {}, text))) : null), keyFigures(verdict.figures ?? [])),
    cautions(report.cautions ?? []));
}

function keyFigures(rows) {
  if (!rows.length) return null;
  return h("dl", {class: "key-figures"}, rows.map((row) => h("div", {}, h("dt", {}, row.name), h("dd", {}, figure(row.value), row.note ? h("span", {class: "aside"}, row.note) : null))));
}

function cautions(texts) {
  if (!texts.length) return null;
  return h("aside", {class: "cautions", "aria-label": "Cautions"}, h("strong", {}, "Cautions"), texts.length === 1 ? h("p", {}, texts[0]) : h("ul", {}, texts.map((text) => h("li", {}, text))));
}

/** The command that repeats it, the inputs, the proof. */
export function foot(report) {
  return h("section", {id: "about", class: "block"}, h("h2", {}, "About this report"), report.repeat ? repeat(report.repeat) : null, factList(report.about ?? [], "facts"),
    h("p", {class: "note"}, "A model's answer: it does not rate, approve or permit anything. The container supplier's rating, local codes and licensed practice decide."));
}

function repeat(command) {
  const code = h("code", {tabindex: 0, role: "region", "aria-label": "Command that repeats it"}, command.split(/(?<= )/).map((word) => h("span", {}, word)));
  const said = h("output", {class: "aside"});
  const copy = button("Copy", "Copy the command", async () => {
    try {
      await navigator.clipboard.writeText(command);
      said.textContent = "copied";
    } catch {
      window.getSelection().selectAllChildren(code);
      said.textContent = "selected: copy it with the keyboard";
    }
  });
  return h("div", {class: "repeat"}, h("span", {class: "label"}, "To repeat it"), code, copy, said);
}
