// A report's page: reads the document that stands in the page and draws its blocks.

import {drawBars, drawTable} from "./blocks_table.js";
import {drawExpectations, drawFacts, drawSignoff, drawText} from "./blocks_text.js";
import {drawContainers} from "./containers.js";
import {h} from "./dom.js";
import {foot, head, toolbar} from "./frame.js";
import {drawLanes} from "./lanes.js";
import {drawLine} from "./line.js";
import {drawProfile} from "./profile.js";
import {PictureState, TimingView} from "./timing.js";
import {watch} from "./view.js";

const DRAW = {
  text: drawText,
  facts: drawFacts,
  expectations: drawExpectations,
  table: drawTable,
  line: drawLine,
  containers: drawContainers,
  lanes: drawLanes,
  profile: drawProfile,
  timing: drawTiming,
  bars: drawBars,
  signoff: drawSignoff,
};

/** What blocks share: who has which containers, and what waits until all stand in the page. */
class Page {
  constructor(blocks) {
    this.states = new Map();
    this.timings = new Map();
    this.waiting = [];
    this.hasTiming = blocks.some((block) => block.type === "timing");
    this.canJump = this.hasTiming || blocks.some((block) => block.type === "containers");
    this.jump = (id, container) => this.jumpTo(id, container);
  }

  later(draw) {
    this.waiting.push(draw);
  }

  stateOf(id) {
    return this.states.get(id) ?? [...this.states.values()][0];
  }

  jumpTo(id, container) {
    const state = this.stateOf(id);
    const view = this.timings.get(id) ?? [...this.timings.values()][0];
    if (!view) return;
    if (state ?? view.state) (state ?? view.state).selectNumber(container);
    view.element.scrollIntoView({block: "start"});
    view.heading.focus({preventScroll: true});
  }
}

function drawTiming(block, section, page) {
  page.later(() => {
    const state = page.stateOf(block.containers_block) ?? new PictureState(block.pictures);
    const view = new TimingView(block, state);
    page.timings.set(block.containers_block ?? block.id, view);
    section.append(view.element);
    view.update();
  });
}

async function drawBlock(block, section, page) {
  const draw = DRAW[block.type];
  if (!draw) {
    section.append(h("p", {class: "note"}, `This page does not know how to draw "${block.type}"; the document has it.`));
    return;
  }
  try {
    const state = await draw(block, section, page);
    if (state) page.states.set(block.id, state);
  } catch (error) {
    section.append(h("p", {class: "problem"}, `This could not be drawn: ${error.message}`));
  }
}

function readDocument() {
  const found = JSON.parse(document.getElementById("document").textContent);
  if (found.format !== "rimebench report 1") throw new Error(`the document's format is "${found.format}", "rimebench report 1" expected`);
  return found;
}

async function show(report) {
  document.title = report.title;
  const blocks = report.blocks ?? [];
  const page = new Page(blocks);
  const sections = blocks.map((block) => h("section", {id: block.id, class: `block ${block.type}`}, h("h2", {}, block.heading), block.note ? h("p", {class: "note"}, block.note) : null));
  document.body.replaceChildren(toolbar(blocks), h("main", {id: "main"}, head(report), sections, foot(report)));
  for (const [i, block] of blocks.entries()) await drawBlock(block, sections[i], page);
  for (const draw of page.waiting) draw();
  document.documentElement.dataset.drawn = "yes";
}

watch();
show(readDocument()).catch((error) => {
  document.body.replaceChildren(h("main", {}, h("h1", {}, "This report cannot be shown"), h("p", {}, error.message)));
  document.documentElement.dataset.drawn = "no";
});
