// node driver.mjs MODULES TASKS.json RESULTS.json: opens reports in a headless Chromium without a
// network and writes what is drawn and what happens on a click; test_page.py judges it.

import {readFileSync, writeFileSync} from "node:fs";
import {createRequire} from "node:module";
import {join, resolve} from "node:path";

const [modules, tasksFile, resultsFile] = process.argv.slice(2);
const require = createRequire(join(resolve(modules), "anything.js"));
const {chromium} = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

/** Runs in the page: everything that can be read from it. */
function read() {
  const text = (selector) => [...document.querySelectorAll(selector)].map((each) => each.textContent);
  const table = (box) => [...box.querySelectorAll("tbody tr")].map((row) => [...row.children].map((cell) => cell.textContent));
  const sections = Object.fromEntries([...document.querySelectorAll("section.block")].map((section) => [section.id, {
    heading: section.querySelector("h2").textContent, text: section.textContent,
    tables: [...section.querySelectorAll("table")].map(table), values: [...section.querySelectorAll("dd > :first-child")].map((each) => each.textContent), drawings: section.querySelectorAll("svg[role=img]").length,
    marks: section.querySelectorAll("svg[role=img] rect, svg[role=img] path").length}]));
  return {drawn: document.documentElement.dataset.drawn, title: document.title, theme: document.documentElement.dataset.theme,
    outcome: text(".head .outcome.large span")[0] ?? null, why: text(".why")[0] ?? null, figures: text(".key-figures dd"), sections,
    paper: getComputedStyle(document.body).backgroundColor, width: [document.documentElement.scrollWidth, document.documentElement.clientWidth]};
}

/** Runs in the page, before the others: the pixels of the first chart, read from a copy of it. */
function givePixels() {
  window.pixelsOf = (canvas) => {
    const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext("2d", {willReadFrequently: true});
    copy.drawImage(canvas, 0, 0);
    return copy.getImageData(0, 0, canvas.width, canvas.height).data;
  };
}

/** Runs in the page: how much is painted with a hue around each point (CSS pixels of the first chart's frame). */
function paintedAt(points) {
  const canvas = document.querySelector(".chart canvas");
  const over = document.querySelector(".chart .u-over");
  const ratio = canvas.width / canvas.clientWidth;
  const data = window.pixelsOf(canvas);
  const reach = 3 * ratio;
  return points.map(([x, y]) => {
    const [middle, level] = [(over.offsetLeft + x) * ratio, (over.offsetTop + y) * ratio].map(Math.round);
    let strong = 0;
    for (let row = level - reach; row <= level + reach; row += 1) {
      for (let column = middle - reach; column <= middle + reach; column += 1) {
        const [red, green, blue, alpha] = data.subarray(4 * (row * canvas.width + column), 4 * (row * canvas.width + column) + 4);
        // Grid and paper are grey: places and bad ones have a hue.
        if (alpha > 60 && Math.max(red, green, blue) - Math.min(red, green, blue) > 40) strong += 1;
      }
    }
    return strong;
  });
}

/** Runs in the page: pixels of the first chart that have the grid's colour. */
function gridPixels() {
  const canvas = document.querySelector(".chart canvas");
  const hair = getComputedStyle(document.documentElement).getPropertyValue("--hair").trim();
  const [red, green, blue] = [1, 3, 5].map((at) => parseInt(hair.slice(at, at + 2), 16));
  const data = window.pixelsOf(canvas);
  let count = 0;
  for (let i = 0; i < data.length; i += 4) count += data[i] === red && data[i + 1] === green && data[i + 2] === blue && data[i + 3] === 255;
  return count;
}

class Report {
  constructor(browser, task) {
    this.browser = browser;
    this.task = task;
    this.found = {name: task.name, errors: [], requests: []};
  }

  async open({width = 1280, theme = "light"} = {}) {
    const context = await this.browser.newContext({viewport: {width, height: 900}, colorScheme: theme, offline: true});
    context.setDefaultTimeout(300_000);
    const page = await context.newPage();
    page.on("console", (message) => ["error", "warning"].includes(message.type()) && this.found.errors.push(message.text()));
    page.on("pageerror", (error) => this.found.errors.push(String(error)));
    page.on("request", (request) => request.url() !== `file://${this.task.file}` && this.found.requests.push(request.url()));
    await page.addInitScript(givePixels);
    await page.goto(`file://${this.task.file}`);
    await page.waitForFunction(() => document.documentElement.dataset.drawn || document.querySelector("noscript"));
    if (!this.task.broken) await page.waitForFunction(() => document.documentElement.dataset.drawn);
    return page;
  }

  async frame(page) {
    const box = page.locator(".chart").first();
    const {width, height} = await box.locator(".u-over").boundingBox();
    const [from, until, least, most] = JSON.parse(await box.getAttribute("data-frame"));
    return {box, over: box.locator(".u-over"), at: ([us, value]) => [((us - from) / (until - from)) * width, (1 - (value - least) / (most - least)) * height]};
  }

  /** Points [us, value] that must be painted; and what the chart says of the first on hover and click. */
  async points(page) {
    if (!this.task.points) return;
    const {at} = await this.frame(page);
    this.found.painted = await page.evaluate(paintedAt, [...this.task.points, this.task.nowhere].map(at));
    this.found.empty = this.found.painted.pop();
    await this.hover(page);
  }

  async hover(page) {
    await page.locator(".chart").first().scrollIntoViewIfNeeded();
    const {over, at} = await this.frame(page);
    const [x, y] = at(this.task.points[0]);
    await over.hover({position: {x, y}, force: true});
    this.found.readout = await page.locator(".readout").first().textContent();
    await over.click({position: {x, y}, force: true});
    this.found.clicked = await this.heading(page);
  }

  heading(page) {
    return page.locator("div.timing").first().locator("xpath=preceding-sibling::h3[1]").textContent();
  }

  /** Window, keys, wheel, units, places, jumps: each with what is shown after it. */
  async use(page) {
    if (!this.task.points) return;
    const steps = (this.found.steps = {});
    const chart = page.locator(".chart").first();
    const shown = () => page.locator(".shown").first().textContent();
    await page.getByRole("button", {name: "Show the whole run"}).first().click();
    await chart.focus();
    await page.keyboard.press("+");
    steps.zoomed = await shown();
    await page.keyboard.press("ArrowRight");
    steps.moved = await shown();
    await page.keyboard.press("0");
    steps.whole = await shown();
    const box = await chart.locator(".u-over").boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + 40);
    await page.mouse.wheel(0, -300);
    steps.wheeled = await shown();
    await page.keyboard.press("0");
    await this.drag(page, box);
    steps.dragged = await shown();
    steps.grid = await page.evaluate(gridPixels);
    await page.keyboard.press("0");
    await this.choose(page, steps);
  }

  async drag(page, box) {
    await page.mouse.move(box.x + box.width * 0.25, box.y + 40);
    await page.mouse.down();
    await page.mouse.move(box.x + box.width * 0.5, box.y + 60, {steps: 4});
    await page.mouse.up();
  }

  async choose(page, steps) {
    const number = page.getByRole("spinbutton", {name: "Container"});
    await number.fill(String(this.task.container));
    await number.press("Enter");
    steps.typed = await this.heading(page);
    await page.getByRole("button", {name: "The next container"}).click();
    steps.next = await this.heading(page);
    await number.fill("99999999");
    await number.press("Enter");
    steps.missing = await page.locator(".controls .problem").first().textContent();
    const jump = page.locator("section.table button.jump").first();
    if (await jump.count()) {
      steps.jumpTo = await jump.textContent();
      await jump.click();
      steps.jumped = await this.heading(page);
      steps.focused = await page.evaluate(() => document.activeElement.textContent);
    }
    await page.locator(".menu summary", {hasText: "Units"}).click();
    await page.getByRole("radio", {name: "psi"}).check();
    await page.keyboard.press("Escape");
    steps.psi = await page.evaluate(read);
    await page.getByRole("button", {name: /^Dark|Dark colours/}).click();
    const dark = await page.evaluate(read);
    steps.dark = {theme: dark.theme, paper: dark.paper};
  }

  async faults(page, where) {
    await page.evaluate(axe);
    const run = await page.evaluate(() => window.axe.run(document, {resultTypes: ["violations"]}));
    const serious = run.violations.filter((each) => ["serious", "critical"].includes(each.impact));
    for (const each of serious) this.found.faults.push(`${where}: ${each.id}: ${each.nodes.slice(0, 3).map((node) => `${node.target} ${node.failureSummary}`).join(" | ")}`);
  }

  async narrow() {
    const page = await this.open({width: 360, theme: "dark"});
    const {width, theme, drawn} = await page.evaluate(read);
    this.found.narrow = {width, theme, drawn};
    if (this.task.axe) await this.faults(page, "360 px, dark");
    await page.setViewportSize({width: 1500, height: 900});
    await page.waitForFunction(() => [...document.querySelectorAll(".histogram > svg, .line > svg")].every((each) => each.clientWidth > 500));
    await page.context().close();
  }

  async all() {
    const page = await this.open();
    if (this.task.broken) {
      this.found.page = {drawn: (await page.evaluate(read)).drawn ?? null};
      return this.found;
    }
    this.found.faults = [];
    this.found.page = await page.evaluate(read);
    if (this.task.axe) await this.faults(page, "1280 px, light");
    await this.points(page);
    await this.use(page);
    if (this.task.pdf) await page.pdf({path: this.task.pdf, preferCSSPageSize: true, printBackground: true});
    this.found.afterPrint = (await page.evaluate(read)).theme;
    await page.context().close();
    await this.narrow();
    return this.found;
  }
}

const browser = await chromium.launch({executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: FLAGS});
const results = [];
for (const task of JSON.parse(readFileSync(tasksFile, "utf8"))) results.push(await new Report(browser, task).all());
await browser.close();
writeFileSync(resultsFile, JSON.stringify(results));
