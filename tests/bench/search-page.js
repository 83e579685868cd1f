// Times of the search box itself, in Chromium: from a word that was typed to results on the page.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const { pathToFileURL } = require("node:url");
const { launch } = require("./browser.js");
const { serve } = require("./compressing-server.js");

const SITTINGS = 5;
/** Queries in a sitting. */
const QUERIES = 100;
/** Of them those that are typed key by key. */
const BY_KEY = 6;
const OPENINGS = 15;
const VEHICLE = { line: "tarn", year: 2019, options: {}, text: "2019 Tarn" };

const WAYS = {
  "from a folder": {},
  "from a folder, with a vehicle": { vehicle: VEHICLE },
  "from a folder, asked again, every part there": { again: true },
  "from a folder, typed key by key, from the last key": { byKey: true },
  "from a server": { served: true },
};

async function inChromium(site, large) {
  layOut(site, large);
  const { server, base } = await serve(large);
  const queries = JSON.parse(fs.readFileSync(path.join(large, "queries.json"), "utf8")).map((query) => query.words);
  const ofSitting = (sitting) => queries.slice((sitting * QUERIES) % queries.length).slice(0, QUERIES);
  const browser = await launch();
  const answers = {};
  for (const [name, way] of Object.entries(WAYS)) {
    answers[name] = [];
    const address = way.served ? base + "index.html" : pathToFileURL(path.join(large, "index.html")).href;
    for (let sitting = 0; sitting < SITTINGS; sitting += 1) answers[name].push(await sit(browser, address, way, ofSitting(sitting)));
  }
  const demo = await openings(browser, site);
  await browser.close();
  server.closeAllConnections();
  server.close();
  return { answers, demo };
}

/** The demonstration's first page over the large index. */
function layOut(site, large) {
  fs.cpSync(path.join(site, "assets"), path.join(large, "assets"), { recursive: true });
  fs.copyFileSync(path.join(site, "index.html"), path.join(large, "index.html"));
  for (const file of fs.readdirSync(path.join(site, "data")).filter((name) => name.endsWith(".js") && name !== "search.js")) {
    fs.copyFileSync(path.join(site, "data", file), path.join(large, "data", file));
  }
}

/** What each query of a sitting took, in a page of its own; parts of the index are kept from one to the next. */
async function sit(browser, address, { vehicle, again, byKey }, queries) {
  const page = await browser.open(address, { before: settle, given: vehicle ?? null });
  await page.run(untilReady);
  await page.send("Performance.enable", { timeDomain: "threadTicks" });
  const busy = async () => 1000 * (await page.send("Performance.getMetrics")).metrics.find(({ name }) => name === "TaskDuration").value;
  if (again) for (const words of queries) await page.run(type, words, 0);
  const taken = { first: [], all: [], frame: [], thread: [], processes: 0 };
  const own = byKey ? queries.slice(0, BY_KEY) : queries;
  const before = await browser.busy();
  for (const words of own) {
    const thread = await busy();
    const { first, all, frame } = await page.run(type, words, byKey ? 120 : 0);
    taken.thread.push((await busy()) - thread);
    taken.first.push(first);
    taken.all.push(all);
    taken.frame.push(frame);
  }
  taken.processes = ((await browser.busy()) - before) / own.length;
  await page.close();
  return taken;
}

/** Runs in the page before anything else. */
function settle(vehicle) {
  if (vehicle) localStorage.setItem("baybook.vehicle", JSON.stringify(vehicle));
}

/** Runs in the page. */
function untilReady() {
  return new Promise((resolve) => {
    const look = () => (document.querySelector("[data-search-ready]") ? setTimeout(resolve, 300) : setTimeout(look, 5));
    look();
  });
}

/**
 * Runs in the page: types a query, at once or with so many milliseconds from key to key, and waits until what is found
 * stands there. Times from the last event of input: the first results stand there, all of them do, and the picture
 * with the first was handed over to be drawn.
 */
async function type(words, pause) {
  const input = document.querySelector("[data-search] input");
  const found = document.querySelector("[data-search] .found");
  for (let letters = pause ? 1 : words.length; letters < words.length; letters += 1) {
    input.value = words.slice(0, letters);
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((resolve) => setTimeout(resolve, pause));
  }
  for (const old of found.querySelectorAll(".hit, .found-none")) old.remove();
  const taken = { first: 0, all: 0, frame: 0 };
  const start = performance.now();
  const framed = (resolve) => requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => resolve((taken.frame = performance.now() - start));
    port2.postMessage(null);
  });
  const shown = new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error("nothing was shown for " + words)), 30_000);
    const drawn = { promise: null };
    new MutationObserver((_, observer) => {
      if (found.querySelector(".act:not(.found-more)")) return reject(new Error(found.textContent));
      if (!found.querySelector(".hit, .found-none")) return;
      taken.first ||= performance.now() - start;
      drawn.promise ||= new Promise(framed);
      if (found.hasAttribute("aria-busy")) return;
      observer.disconnect();
      clearTimeout(late);
      taken.all = performance.now() - start;
      resolve(drawn.promise);
    }).observe(found, { childList: true, subtree: true, attributes: true, attributeFilter: ["aria-busy"] });
  });
  input.value = words;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  await shown;
  // The page is laid out before the next query comes, as with a person.
  await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 0)));
  return taken;
}

/** When the index of the demonstration is ready, from several beginnings, and when a first answer stands there. */
async function openings(browser, site) {
  const demo = {
    "index ready, after the navigation began": { goal: 50, times: [] },
    "index ready, after the page had been read": { goal: 50, times: [] },
    "index ready, after the first script of the search ran": { goal: 50, times: [] },
    "page read, after the navigation began": { goal: 0, times: [] },
    "first picture, after the navigation began": { goal: 0, times: [] },
    "typed the moment it was ready: shown after": { goal: 0, times: [] },
  };
  const [fromStart, fromPage, fromScript, read, painted, answer] = Object.values(demo).map((row) => row.times);
  for (let opening = 0; opening <= OPENINGS; opening += 1) {
    const page = await browser.open(pathToFileURL(path.join(site, "index.html")).href, { before: watch });
    const seen = await page.run(whatWasSeen);
    await page.close();
    // The first opening also starts the browser's own processes.
    if (opening === 0) continue;
    fromScript.push(seen.ready - seen.script);
    fromPage.push(Math.max(0, seen.ready - seen.page));
    fromStart.push(seen.ready);
    read.push(seen.page);
    painted.push(seen.painted);
    answer.push(seen.shown - seen.ready);
  }
  return demo;
}

/** Runs in the page before anything else. */
function watch() {
  const seen = { script: 0, ready: 0, shown: 0 };
  window.seen = seen;
  let reader;
  Object.defineProperty(window, "baybookSearchReader", {
    configurable: true,
    get: () => reader,
    set(value) {
      seen.script = performance.now();
      reader = value;
    },
  });
  new MutationObserver((_, observer) => {
    if (!seen.ready && document.querySelector("[data-search-ready]")) {
      seen.ready = performance.now();
      const input = document.querySelector("[data-search] input");
      input.value = "it groans like an old door when I pull out of the drive";
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
    if (seen.ready && document.querySelector(".found .hit")) {
      seen.shown = performance.now();
      observer.disconnect();
    }
  }).observe(document, { attributes: true, childList: true, subtree: true, attributeFilter: ["data-search-ready"] });
}

/** Runs in the page. */
function whatWasSeen() {
  return new Promise((resolve) => {
    const look = () => {
      const [picture] = performance.getEntriesByName("first-contentful-paint");
      if (!window.seen.shown || !picture) return setTimeout(look, 5);
      resolve({ ...window.seen, page: performance.getEntriesByType("navigation")[0].domInteractive, painted: picture.startTime });
    };
    look();
  });
}

module.exports = { inChromium };
