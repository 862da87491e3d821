// node build.mjs OUT.html [MODULES]: bundles the page into one file that lacks only its document,
// which replaces @document@ (JSON, every < written as \u003c). Style and script are allowed by hash.

import {execFileSync} from "node:child_process";
import {createHash} from "node:crypto";
import {readFileSync, writeFileSync} from "node:fs";
import {dirname, join, resolve} from "node:path";
import {fileURLToPath} from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const [out, modules = join(here, "node_modules")] = process.argv.slice(2);
if (!out) {
  console.error("build.mjs: no output file given (node build.mjs OUT.html [MODULES])");
  process.exit(3);
}

function bundle(entry, loader) {
  const options = ["--bundle", "--minify", "--charset=utf8", "--log-level=warning", "--legal-comments=none", ...loader];
  return execFileSync(process.env.ESBUILD ?? "esbuild", [entry, ...options], {
    encoding: "utf8",
    env: {...process.env, NODE_PATH: resolve(modules)},
    maxBuffer: 1 << 26,
  }).trim();
}

const hash = (text) => `sha256-${createHash("sha256").update(text, "utf8").digest("base64")}`;
const script = bundle(join(here, "src", "main.js"), ["--format=iife", "--target=es2022"]);
const style = bundle(join(here, "page.css"), []);
for (const [text, end] of [[script, /<\/script|<!--/i], [style, /<\/style/i]]) {
  if (end.test(text)) throw new Error(`what is embedded in the page may not hold ${end}`);
}

const parts = {"@script@": script, "@style@": style, "@script-hash@": hash(script), "@style-hash@": hash(style)};
const licence = "<!-- The script holds uPlot, Copyright (c) 2022 Leon Sorokin, MIT licence. -->\n";
const page = readFileSync(join(here, "index.html"), "utf8").replace(/@(script|style)(-hash)?@/g, (mark) => parts[mark]);
writeFileSync(out, page.replace("<head>\n", () => `<head>\n${licence}`));
