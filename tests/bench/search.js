// Measures the search: node search.js SITE LARGE MEDIUM. See search.sh, which makes the folders.
"use strict";
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const zlib = require("node:zlib");
const { inChromium } = require("./search-page.js");
const { SCRIPTS, openIndex, repository, theme } = require("./search-index.js");

const [site, large, medium] = process.argv.slice(2).map((folder) => path.resolve(folder));

function quantile(numbers, share) {
  const sorted = numbers.slice().sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))];
}

/** One row: what, the goal, the figure, its spread; `isMet` where there is a goal. */
function row(what, figure, { goal = "", spread = "", isMet = null } = {}) {
  const verdict = isMet === null ? "" : isMet ? "met" : "missed";
  console.log(`${what.padEnd(64)} ${goal.padEnd(9)} ${figure.padEnd(10)} ${verdict.padEnd(7)} ${spread}`.trimEnd());
}

const head = (text) => console.log("\n" + text);
const kilo = (bytes) => (bytes / 1000).toFixed(1) + " kB";
const milli = (time) => time.toFixed(1) + " ms";

// ---- Quality, on the demonstration -------------------------------------------------------------

function quality() {
  const { root, find, part } = openIndex(site);
  find({ words: "brake", limit: 1 });
  const kinds = root.kinds.flatMap(([kind, first], at) => Array((root.kinds[at + 1] || [0, root.documents])[1] - first).fill(kind));
  const texts = part("d0").map(([id, title, , , , passages], at) => {
    const of = (letter) => passages.filter((text) => text[0] === letter).map((text) => text.slice(1)).join("\n");
    return { name: kinds[at] + "/" + id, title: title || id, phrases: of("p"), trade: of("w"), codes: of("c"), text: of("t") };
  });
  const lines = fs.readFileSync(path.join(repository, "tests", "search", "judged.tsv"), "utf8").split("\n").filter(Boolean);
  const judged = lines.map((line) => line.split("\t")).map(([query, wanted]) => [query, wanted.split(",")]);
  head(`Quality: ${judged.length} queries judged by people, ${texts.length} documents of the demonstration`);
  for (const [name, way] of Object.entries(ways(texts, find))) {
    let [reciprocal, three] = [0, 0];
    for (const [query, wanted] of judged) {
      const rank = way(query).slice(0, 10).findIndex((found) => wanted.includes(found));
      reciprocal += rank >= 0 ? 1 / (rank + 1) : 0;
      three += rank >= 0 && rank < 3 ? 1 : 0;
    }
    row(name, (three / judged.length).toFixed(3), { spread: `in the first three; mean reciprocal rank ${(reciprocal / judged.length).toFixed(3)}` });
  }
}

/** This search, and two libraries on the same texts with the same weights of fields. */
function ways(texts, find) {
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
  return {
    "this search": (query) => find({ words: query, limit: 10 }).results.map((hit) => hit.kind + "/" + hit.id),
    "minisearch 7.2.0, as it comes": (query) => mini.search(query, { boost }).map((hit) => hit.id),
    "minisearch 7.2.0, with beginnings and slips (0.2)": (query) => mini.search(query, { boost, prefix: true, fuzzy: 0.2 }).map((hit) => hit.id),
    "lunr 2.3.9": (query) => lunrIndex.search(plain(query)).map((hit) => hit.ref),
  };
}

// ---- Making and size ---------------------------------------------------------------------------

function making() {
  head(`Making the index, on ${os.cpus().length} processors`);
  for (const folder of [medium, large]) {
    const figures = JSON.parse(fs.readFileSync(path.join(folder, "figures.json"), "utf8"));
    const perKilobyte = (ms) => (1e6 * ms) / figures.text_bytes;
    const figure = perKilobyte(figures.processor_ms);
    const spread = `all processors together; on the clock ${perKilobyte(figures.build_ms + figures.files_ms).toFixed(1)} µs: index ${figures.build_ms} ms, its files ${figures.files_ms} ms${figures.rounds > 1 ? `, median of ${figures.rounds}` : ""}`;
    row(`${figures.entries} entries, ${(figures.text_bytes / 1e6).toFixed(1)} MB of text, for each kilobyte`, figure.toFixed(1) + " µs", { goal: "40 µs", isMet: figure <= 40, spread });
  }
}

function size() {
  const figures = JSON.parse(fs.readFileSync(path.join(large, "figures.json"), "utf8"));
  const names = { w: "words", l: "words", t: "terms", d: "documents" };
  const groups = { words: 0, terms: 0, documents: 0, filters: 0, root: fs.statSync(path.join(large, "data", "search.js")).size };
  const packed = {};
  for (const file of fs.readdirSync(path.join(large, "data", "search"))) {
    const bytes = fs.readFileSync(path.join(large, "data", "search", file));
    groups[/^[wltd]\d/.test(file) ? names[file[0]] : "filters"] += bytes.length;
    packed[file.slice(0, -3)] = zlib.gzipSync(bytes).length;
  }
  const total = Object.values(groups).reduce((sum, bytes) => sum + bytes, 0);
  const share = (bytes) => ((100 * bytes) / figures.text_bytes).toFixed(1) + " %";
  head(`Size, with ${figures.entries} entries in ${Object.keys(packed).length + 1} files`);
  row("index against the text that is searched", share(total), { goal: "35 %", isMet: total < 0.35 * figures.text_bytes, spread: Object.entries(groups).map(([name, bytes]) => `${name} ${share(bytes)}`).join(", ") });
  firstSearch(packed);
}

function firstSearch(packed) {
  const scripts = SCRIPTS.map((name) => zlib.gzipSync(fs.readFileSync(path.join(theme, name))).length).reduce((sum, bytes) => sum + bytes, 0);
  const root = zlib.gzipSync(fs.readFileSync(path.join(large, "data", "search.js"))).length;
  const queries = JSON.parse(fs.readFileSync(path.join(large, "queries.json"), "utf8"));
  const cold = { "without a vehicle": [], "with a vehicle": [] };
  const hits = {};
  for (const query of queries) {
    for (const [name, vehicle] of [["without a vehicle", null], ["with a vehicle", { line: "tarn", year: 2019, options: {} }]]) {
      const { find, brought } = openIndex(large);
      const answer = find({ words: query.words, limit: 10, limitApart: 3, vehicle });
      cold[name].push(scripts + root + brought.reduce((sum, name) => sum + packed[name], 0));
      if (vehicle) continue;
      const known = (hits[query.kind] ||= [0, 0]);
      known[0] += 1;
      known[1] += answer.results.some((hit) => hit.id === query.want) ? 1 : 0;
    }
  }
  head(`First search: everything it fetches, compressed; scripts ${kilo(scripts)} and root ${kilo(root)} included; ${queries.length} queries`);
  for (const [name, bytes] of Object.entries(cold)) {
    const most = Math.max(...bytes);
    row(`${name}, the greatest`, kilo(most), { goal: "150 kB", isMet: most < 150_000, spread: `median ${kilo(quantile(bytes, 0.5))}, 95th percentile ${kilo(quantile(bytes, 0.95))}` });
  }
  row("the document that a query was made from is among the first ten", "", { spread: Object.entries(hits).map(([kind, [all, found]]) => `${kind} ${(found / all).toFixed(2)}`).join(", ") });
}

// ---- Time, in Chromium -------------------------------------------------------------------------

/** Of several sittings: the median of their 95th percentiles. */
function percentiles(what, goal, sittings) {
  const high = sittings.map((list) => quantile(list, 0.95));
  const figure = quantile(high, 0.5);
  const spread = `${milli(Math.min(...high))} to ${milli(Math.max(...high))}; median ${milli(quantile(sittings.flat(), 0.5))}, most ${milli(Math.max(...sittings.flat()))}`;
  row(what, milli(figure), { goal: goal ? goal + " ms" : "", isMet: goal ? figure <= goal : null, spread });
}

async function time() {
  const { answers, demo } = await inChromium(site, large);
  for (const [name, sittings] of Object.entries(answers)) {
    head(`An answer in headless Chromium, ${name}: 95th percentile; median of ${sittings.length} sittings, extremes behind it`);
    const figures = { "typed to shown: the first results": ["first", 50], "  drawn": ["frame", 0], "  all results of the first page": ["all", 50], "  of the page's own thread, in processor time": ["thread", 0] };
    for (const [what, [key, goal]] of Object.entries(figures)) percentiles(what, goal, sittings.map((taken) => taken[key]));
    row("  of all the browser's processes, in processor time", milli(quantile(sittings.map(({ processes }) => processes), 0.5)), { spread: "mean of a query" });
  }
  head("The demonstration opened from a folder: median of several openings");
  for (const [name, { goal, times }] of Object.entries(demo)) {
    const figure = quantile(times, 0.5);
    row(name, milli(figure), { goal: goal ? goal + " ms" : "", isMet: goal ? figure <= goal : null, spread: `${milli(Math.min(...times))} to ${milli(Math.max(...times))} in ${times.length} openings` });
  }
}

const load = () => os.loadavg().map((load) => load.toFixed(1)).join(", ");
console.log(`Load of the machine at the beginning: ${load()} (1, 5, 15 minutes), ${os.cpus().length} processors`);
console.log(`${"".padEnd(64)} goal      figure`);
quality();
making();
size();
time().then(() => console.log(`\nLoad at the end: ${load()}`)).catch((fault) => {
  console.error(fault);
  process.exitCode = 1;
});
