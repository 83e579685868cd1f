// Answers queries as the page does, without a page: node answer.js THEME SITE QUERIES.
// Queries that are mere texts are cut into words instead.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const vm = require("node:vm");

const [theme, site, input] = process.argv.slice(2);
globalThis.window = globalThis;
const run = (file) => vm.runInThisContext(fs.readFileSync(file, "utf8"), { filename: file });
for (const script of ["search-index.js", "search-engine.js"]) run(path.join(theme, script));
run(path.join(site, "data", "search.js"));

const engine = globalThis.baybookSearchEngine;
const root = globalThis.baybookSearchIndex;
const index = engine.open(root, (name) => root.parts[name] ?? (globalThis.baybookSearchParts || {})[name]);

/** Asks again until no part is missing, as the page does. */
function answer(query) {
  for (let round = 0; round < 20; round += 1) {
    const found = engine.find(index, query);
    if (found) return found;
    for (const name of index.missing) run(path.join(site, "data", "search", name + ".js"));
  }
  throw new Error("parts are missing for " + JSON.stringify(query) + ": " + Array.from(index.missing).join(" "));
}

function bits(number) {
  const view = new DataView(new ArrayBuffer(8));
  view.setFloat64(0, number);
  return view.getBigUint64(0).toString(16).padStart(16, "0");
}

const plain = (hit) => {
  const { boxes, ...rest } = hit;
  return { ...rest, score: bits(hit.score) };
};

const queries = JSON.parse(fs.readFileSync(input, "utf8"));
const answers = queries.map((query) => {
  if (typeof query === "string") {
    return globalThis.baybookSearchReader.tokens(query, root.units).map((word) => word.text + (word.joined ? "+" : "")).join("|");
  }
  const { whole, ...found } = answer(query);
  return { ...found, results: found.results.map(plain), apart: found.apart.map(plain) };
});
process.stdout.write(JSON.stringify(answers));
