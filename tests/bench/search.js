// Measures the search: node search.js SITE LARGE. See search.sh, which makes both folders.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const vm = require("node:vm");
const zlib = require("node:zlib");

const [site, large] = process.argv.slice(2).map((folder) => path.resolve(folder));
const here = path.join(__dirname, "..", "..");
const theme = path.join(here, "themes", "workshop");
const SCRIPTS = ["search-index.js", "search-engine.js", "search.js"];

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
  const brought = [];
  const index = engine.open(root, (name) => (root.parts || globalThis.baybookSearchParts)[name]);
  const find = (query) => {
    for (let round = 0; round < 30; round += 1) {
      const answer = engine.find(index, query);
      if (answer) return answer;
      for (const name of index.missing) {
        brought.push(name);
        run(path.join(folder, "data", "search", name + ".js"));
      }
    }
    throw new Error("parts are missing");
  };
  return { root, find, brought };
}

function quantile(numbers, share) {
  const sorted = numbers.slice().sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))];
}

const kilo = (bytes) => (bytes / 1000).toFixed(1) + " kB";

// ---- Quality, on the demonstration -------------------------------------------------------------

function quality() {
  const { root, find } = openIndex(site);
  const kinds = root.kinds.flatMap(([kind, first], at) => Array(((root.kinds[at + 1] || [0, root.documents])[1]) - first).fill(kind));
  const texts = root.parts.d0.map(([id, title, , , , passages], at) => {
    const of = (letter) => passages.filter((text) => text[0] === letter).map((text) => text.slice(1)).join("\n");
    return { name: kinds[at] + "/" + id, title: title || id, phrases: of("p"), trade: of("w"), codes: of("c"), text: of("t") };
  });
  const judged = fs.readFileSync(path.join(here, "tests", "search", "judged.tsv"), "utf8").split("\n").filter(Boolean).map((line) => line.split("\t"));
  const boost = { phrases: 4, title: 3, trade: 1.5, codes: 6, text: 1 };
  const fields = Object.keys(boost);
  const MiniSearch = require("minisearch");
  const mini = new MiniSearch({ idField: "name", fields });
  mini.addAll(texts);
  const lunr = require("lunr");
  const lunrIndex = lunr(function () {
    this.ref("name");
    for (const field of fields) this.field(field, { boost: boost[field] });
    for (const text of texts) this.add(text);
  });
  const plain = (query) => query.replace(/[:*~^+-]/g, " ");
  const ways = {
    "this search": (query) => find({ words: query, limit: 10 }).results.map((hit) => hit.kind + "/" + hit.id),
    "minisearch, plain": (query) => mini.search(query, { boost }).map((hit) => hit.id),
    "minisearch, prefix and fuzzy 0.2": (query) => mini.search(query, { boost, prefix: true, fuzzy: 0.2 }).map((hit) => hit.id),
    lunr: (query) => lunrIndex.search(plain(query)).map((hit) => hit.ref),
  };
  console.log(`Quality on ${judged.length} judged queries, ${texts.length} documents`);
  for (const [name, way] of Object.entries(ways)) {
    let reciprocal = 0;
    let three = 0;
    for (const [query, expected] of judged) {
      const wanted = expected.split(",");
      const rank = way(query).slice(0, 10).findIndex((found) => wanted.includes(found));
      if (rank >= 0) reciprocal += 1 / (rank + 1);
      if (rank >= 0 && rank < 3) three += 1;
    }
    console.log(`  ${name.padEnd(34)} mean reciprocal rank ${(reciprocal / judged.length).toFixed(3)}, in the first three ${(three / judged.length).toFixed(3)}`);
  }
}

// ---- Size, of a large index --------------------------------------------------------------------

function size() {
  const figures = JSON.parse(fs.readFileSync(path.join(large, "figures.json"), "utf8"));
  const groups = { words: 0, terms: 0, documents: 0, filters: 0 };
  const names = { w: "words", t: "terms", d: "documents" };
  const packed = {};
  const files = fs.readdirSync(path.join(large, "data", "search"));
  for (const file of files) {
    const bytes = fs.readFileSync(path.join(large, "data", "search", file));
    groups[/^[wtd]\d/.test(file) ? names[file[0]] : "filters"] += bytes.length;
    packed[file.slice(0, -3)] = zlib.gzipSync(bytes).length;
  }
  const rootBytes = fs.readFileSync(path.join(large, "data", "search.js"));
  const total = Object.values(groups).reduce((sum, bytes) => sum + bytes, rootBytes.length);
  console.log(`Index of ${figures.entries} entries: built in ${figures.build_ms} ms, ${files.length + 1} files`);
  for (const [group, bytes] of Object.entries(groups)) console.log(`  ${group.padEnd(10)} ${(bytes / 1e6).toFixed(1)} MB, ${((100 * bytes) / figures.text_bytes).toFixed(1)} % of the text`);
  console.log(`  all        ${(total / 1e6).toFixed(1)} MB, ${((100 * total) / figures.text_bytes).toFixed(1)} % of the text (${(figures.text_bytes / 1e6).toFixed(1)} MB), ${((100 * total) / figures.source_bytes).toFixed(1)} % of the entries' files`);
  const scripts = SCRIPTS.reduce((sum, name) => sum + zlib.gzipSync(fs.readFileSync(path.join(theme, name))).length, 0);
  const root = zlib.gzipSync(rootBytes).length;
  const queries = JSON.parse(fs.readFileSync(path.join(large, "queries.json"), "utf8"));
  const cold = { all: [], vehicle: [] };
  const hits = {};
  for (const [at, query] of queries.entries()) {
    const { find, brought } = openIndex(large);
    const vehicle = at % 10 === 0 ? { line: "tarn", year: 2019, options: {} } : null;
    const answer = find({ words: query.words, limit: 10, vehicle });
    cold[vehicle ? "vehicle" : "all"].push(scripts + root + brought.reduce((sum, name) => sum + packed[name], 0));
    const known = (hits[query.kind] ||= [0, 0]);
    known[0] += 1;
    known[1] += [...answer.results, ...answer.apart].some((hit) => hit.id === query.want) ? 1 : 0;
  }
  console.log(`First search, cold, compressed (scripts ${kilo(scripts)}, root ${kilo(root)} included)`);
  for (const [name, bytes] of [["without a vehicle", cold.all], ["with a vehicle", cold.vehicle]]) {
    console.log(`  ${name.padEnd(18)} median ${kilo(quantile(bytes, 0.5))}, 95th percentile ${kilo(quantile(bytes, 0.95))}, most ${kilo(Math.max(...bytes))}`);
  }
  console.log("  the document a query was made from is among the first ten: " + Object.entries(hits).map(([kind, [all, found]]) => `${kind} ${(found / all).toFixed(2)}`).join(", "));
}

// ---- Time, in Chromium -------------------------------------------------------------------------

async function time() {
  const { chromium } = require("playwright-core");
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--no-sandbox"] });
  for (const script of SCRIPTS.slice(0, 2)) fs.copyFileSync(path.join(theme, script), path.join(large, script));
  fs.writeFileSync(path.join(large, "bench.html"), '<!DOCTYPE html><meta charset="utf-8"><script src="search-index.js"></script><script src="search-engine.js"></script><script src="data/search.js"></script>');
  const page = await browser.newPage();
  await page.goto("file://" + path.join(large, "bench.html"));
  const queries = JSON.parse(fs.readFileSync(path.join(large, "queries.json"), "utf8")).map((query) => query.words);
  const times = await page.evaluate(measure, queries);
  for (const [name, list] of Object.entries(times)) {
    console.log(`  ${name.padEnd(34)} median ${quantile(list, 0.5).toFixed(1)} ms, 95th percentile ${quantile(list, 0.95).toFixed(1)} ms, most ${Math.max(...list).toFixed(1)} ms`);
  }
  await demo(browser);
  await browser.close();
}

/** Runs in the page. */
async function measure(queries) {
  const root = window.baybookSearchIndex;
  const engine = window.baybookSearchEngine;
  const bring = (name) =>
    new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.onload = () => { script.remove(); resolve(); };
      script.onerror = reject;
      script.src = "data/search/" + name + ".js";
      document.head.append(script);
    });
  const open = () => engine.open(root, (name) => (window.baybookSearchParts || {})[name]);
  const ask = async (index, words) => {
    const start = performance.now();
    for (let round = 0; round < 30; round += 1) {
      if (engine.find(index, { words, limit: 10 })) return performance.now() - start;
      await Promise.all(Array.from(index.missing, bring));
    }
    throw new Error("parts are missing");
  };
  const times = { "parts from disk, nothing kept": [], "one sitting, parts kept": [], "asked again, all parts there": [] };
  const index = open();
  for (const words of queries) times["one sitting, parts kept"].push(await ask(index, words));
  for (const words of queries) times["asked again, all parts there"].push(await ask(index, words));
  for (const words of queries) {
    window.baybookSearchParts = {};
    times["parts from disk, nothing kept"].push(await ask(open(), words));
  }
  return times;
}

async function demo(browser) {
  const ready = [];
  const since = [];
  const first = [];
  for (let round = 0; round < 9; round += 1) {
    const page = await browser.newPage();
    await page.addInitScript(() => {
      new MutationObserver((_, observer) => {
        if (!document.querySelector("[data-search-ready]")) return;
        window.readyAt = performance.now();
        observer.disconnect();
      }).observe(document, { attributes: true, subtree: true, attributeFilter: ["data-search-ready"] });
    });
    await page.goto("file://" + path.join(site, "index.html"));
    await page.waitForFunction(() => window.readyAt);
    const seen = await page.evaluate(() => {
      const [entry] = performance.getEntriesByType("navigation");
      const root = window.baybookSearchIndex;
      const start = performance.now();
      const index = window.baybookSearchEngine.open(root, (name) => root.parts[name]);
      window.baybookSearchEngine.find(index, { words: "it groans like an old door when I pull out of the drive", limit: 10 });
      return { at: window.readyAt, dom: entry.domInteractive, first: performance.now() - start };
    });
    ready.push(seen.at);
    since.push(seen.at - seen.dom);
    first.push(seen.first);
    await page.close();
  }
  console.log(`Demonstration, from a folder: index ready ${quantile(ready, 0.5).toFixed(0)} ms after the navigation began, ${quantile(since, 0.5).toFixed(0)} ms after the page was read; the first answer takes ${quantile(first, 0.5).toFixed(1)} ms`);
}

quality();
size();
console.log("Answers in headless Chromium");
time().catch((fault) => {
  console.error(fault);
  process.exitCode = 1;
});
