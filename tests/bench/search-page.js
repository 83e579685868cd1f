// Times of the search box itself, in Chromium: from a word that was typed to results on the page.
"use strict";
const fs = require("node:fs");
const path = require("node:path");
const { pathToFileURL } = require("node:url");
const { chromium } = require("playwright-core");

const SITTINGS = 5;
/** Queries in a sitting. */
const QUERIES = 100;
const OPENINGS = 15;
const VEHICLE = { line: "tarn", year: 2019, options: {}, text: "2019 Tarn" };

async function inChromium(site, large) {
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM || "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--no-first-run"] });
  const page = pageOver(site, large);
  const queries = JSON.parse(fs.readFileSync(path.join(large, "queries.json"), "utf8")).map((query) => query.words);
  const ofSitting = (sitting) => queries.slice((sitting * QUERIES) % queries.length).slice(0, QUERIES);
  const ways = {
    "one sitting, parts kept": { goal: 50, vehicle: null, again: false },
    "one sitting, parts kept, with a vehicle": { goal: 50, vehicle: VEHICLE, again: false },
    "asked again, every part there": { goal: 50, vehicle: null, again: true },
  };
  const answers = {};
  for (const [name, { goal, vehicle, again }] of Object.entries(ways)) {
    const sittings = [];
    for (let sitting = 0; sitting < SITTINGS; sitting += 1) {
      const own = ofSitting(sitting);
      sittings.push(await sit(browser, page, vehicle, again ? [own, own] : [own]));
    }
    answers[`typed to shown: ${name}`] = { goal, sittings: sittings.map(({ clock }) => clock) };
    answers[`  of the page's own thread, in processor time: ${name}`] = { goal: 0, sittings: sittings.map(({ thread }) => thread) };
  }
  const demo = await openings(browser, site);
  await browser.close();
  return { answers, demo };
}

/** The demonstration's first page over the large index. */
function pageOver(site, large) {
  fs.cpSync(path.join(site, "assets"), path.join(large, "assets"), { recursive: true });
  fs.copyFileSync(path.join(site, "index.html"), path.join(large, "index.html"));
  for (const file of fs.readdirSync(path.join(site, "data")).filter((name) => name.endsWith(".js") && name !== "search.js")) {
    fs.copyFileSync(path.join(site, "data", file), path.join(large, "data", file));
  }
  return pathToFileURL(path.join(large, "index.html")).href;
}

/** Times of the last of several rounds of queries, in a page of its own: on the clock, and of the page's thread alone. */
async function sit(browser, address, vehicle, rounds) {
  const context = await browser.newContext();
  const page = await context.newPage();
  if (vehicle) await page.addInitScript((vehicle) => localStorage.setItem("baybook.vehicle", JSON.stringify(vehicle)), vehicle);
  await page.goto(address);
  await page.locator("[data-search-ready]").waitFor();
  const session = await context.newCDPSession(page);
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  const busy = async () => 1000 * (await session.send("Performance.getMetrics")).metrics.find(({ name }) => name === "TaskDuration").value;
  let clock = [];
  let thread = [];
  for (const queries of rounds) {
    [clock, thread] = [[], []];
    for (const words of queries) {
      const before = await busy();
      clock.push(await page.evaluate(type, words));
      thread.push((await busy()) - before);
    }
  }
  await context.close();
  return { clock, thread };
}

/** Runs in the page: types a query and waits until what is found stands there. */
async function type(words) {
  const input = document.querySelector("[data-search] input");
  const found = document.querySelector("[data-search] .found");
  const shown = new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error("nothing was shown")), 30_000);
    new MutationObserver((_, observer) => {
      if (found.querySelector(".act:not(.found-more)")) return reject(new Error(found.textContent));
      if (!found.querySelector(".hit, .found-none")) return;
      observer.disconnect();
      clearTimeout(late);
      resolve(performance.now());
    }).observe(found, { childList: true });
  });
  const start = performance.now();
  input.value = words;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  const time = (await shown) - start;
  // The page is laid out before the next query comes, as with a person.
  await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve, 0)));
  return time;
}

/** When the index of the demonstration is ready, from several beginnings, and when a first answer stands there. */
async function openings(browser, site) {
  const demo = {
    "index ready, after the first script of the search ran": { goal: 50, times: [] },
    "index ready, after the page had been read": { goal: 50, times: [] },
    "index ready, after the navigation began": { goal: 0, times: [] },
    "page read, after the navigation began": { goal: 0, times: [] },
    "typed the moment it was ready: shown after": { goal: 0, times: [] },
  };
  const [fromScript, fromPage, fromStart, read, answer] = Object.values(demo).map((row) => row.times);
  for (let opening = 0; opening <= OPENINGS; opening += 1) {
    const context = await browser.newContext();
    const page = await context.newPage();
    await page.addInitScript(watch);
    await page.goto(pathToFileURL(path.join(site, "index.html")).href);
    await page.waitForFunction(() => window.seen.shown);
    const seen = await page.evaluate(() => ({ ...window.seen, page: performance.getEntriesByType("navigation")[0].domInteractive }));
    await context.close();
    // The first opening also starts the browser's own processes.
    if (opening === 0) continue;
    fromScript.push(seen.ready - seen.script);
    fromPage.push(seen.ready - seen.page);
    fromStart.push(seen.ready);
    read.push(seen.page);
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

module.exports = { inChromium };
