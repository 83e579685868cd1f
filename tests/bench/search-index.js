// Opens a published index in Node, with the theme's own scripts.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const vm = require("node:vm");

const repository = path.join(__dirname, "..", "..");
const theme = path.join(repository, "themes", "workshop");
const SCRIPTS = ["search-index.js", "search-engine.js", "search.js", "search-view.js"];

globalThis.window = globalThis;
const run = (file) => vm.runInThisContext(fs.readFileSync(file, "utf8"), { filename: file });
for (const script of SCRIPTS.slice(0, 2)) run(path.join(theme, script));
const engine = globalThis.baybookSearchEngine;

/** An index whose parts are read as they are asked for; tells which were. */
function openIndex(folder) {
  globalThis.baybookSearchIndex = undefined;
  globalThis.baybookSearchParts = {};
  run(path.join(folder, "data", "search.js"));
  const root = globalThis.baybookSearchIndex;
  const parts = globalThis.baybookSearchParts;
  const part = (name) => root.parts[name] ?? parts[name];
  const index = engine.open(root, part);
  const brought = [];
  const find = (query) => {
    for (let round = 0; round < 30; round += 1) {
      const answer = engine.find(index, query);
      if (answer) return answer;
      for (const name of index.missing) {
        brought.push(name);
        globalThis.baybookSearchParts = parts;
        run(path.join(folder, "data", "search", name + ".js"));
      }
    }
    throw new Error("parts are missing");
  };
  return { root, find, part, brought };
}

module.exports = { SCRIPTS, openIndex, repository, theme };
