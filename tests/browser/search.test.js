"use strict";
// The search box: by keyboard and by touch, from a folder, below a sub-path and offline, and with a damaged index.
const assert = require("node:assert/strict");
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { pathToFileURL } = require("node:url");
const { fromFolder, launch, repository, root, serve } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
const made = [];
before(async () => { browser = await launch(); });
after(async () => {
  await browser.close();
  for (const folder of made) fs.rmSync(folder, { recursive: true, force: true });
});

function folder() {
  const name = fs.mkdtempSync(path.join(os.tmpdir(), "baybook-"));
  made.push(name);
  return name;
}

/** Opens a page, and collects what goes wrong on it. */
async function open(url, options = {}) {
  const context = await browser.newContext({ reducedMotion: "reduce", ...options });
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (fault) => faults.push(fault.message));
  page.on("console", (message) => { if (message.type() === "error") faults.push(message.text()); });
  if (options.vehicle) await page.addInitScript((vehicle) => localStorage.setItem("baybook.vehicle", JSON.stringify(vehicle)), options.vehicle);
  if (options.before) await page.addInitScript(options.before);
  await page.goto(url);
  return { page, faults, close: () => context.close() };
}

const hits = (page) => page.locator(".found ol.hits:not(.hits-apart) > li");
const links = (page) => hits(page).locator("a.hit-link").evaluateAll((all) => all.map((link) => link.getAttribute("href")));
const status = (page) => page.locator(".search [data-search-status]").textContent();

/** Types words and waits for what is found. */
async function ask(page, words) {
  await page.locator("[data-search] input").fill(words);
  await page.locator(".found:not([hidden]):not([aria-busy])").waitFor();
  await page.locator(".found :is(.hit, .found-none, .act)").first().waitFor();
}

test("by keyboard alone, from a folder", { timeout: 60_000 }, async () => {
  const { page, faults, close } = await open(fromFolder("index.html"));
  await page.keyboard.press("/");
  const focused = () => page.evaluate(() => document.activeElement?.tagName + " " + (document.activeElement?.className ?? ""));
  assert.match(await focused(), /^INPUT/);
  await page.keyboard.type("hums on the motorway");
  await hits(page).first().waitFor();
  assert.match(await status(page), /^Found \d+/);
  await page.waitForURL(/[?&]q=hums\+on\+the\+motorway/);
  await page.keyboard.press("ArrowDown");
  assert.match(await focused(), /^A hit-link/);
  await page.keyboard.press("ArrowUp");
  assert.match(await focused(), /^INPUT/);
  await page.keyboard.press("Escape");
  assert.equal(await page.locator(".found").isHidden(), true);
  assert.equal(await page.locator("[data-search] input").inputValue(), "");
  await page.waitForURL((url) => !url.search.includes("q="));
  await page.keyboard.type("hums on the motorway");
  await hits(page).first().waitFor();
  const [first] = await links(page);
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("Enter");
  await page.waitForURL((url) => url.href.includes(first));
  await page.goBack();
  await hits(page).first().waitFor();
  assert.equal(await page.locator("[data-search] input").inputValue(), "hums on the motorway");
  await page.goForward();
  // The box of an inner page leads on from there; Enter in the box opens the best result.
  await page.keyboard.press("/");
  await page.keyboard.type("C0035");
  await page.keyboard.press("Enter");
  await page.waitForURL((url) => !url.href.includes(first));
  assert.deepEqual(faults, []);
  await close();
});

test("a result says why it was found, and a symptom leads straight into its flow", async () => {
  const { page, close } = await open(fromFolder("index.html"));
  await ask(page, "groans like an old door");
  const symptom = page.locator(".hit-symptom").first();
  assert.ok((await symptom.locator("mark").count()) > 0, "the words are marked");
  assert.ok((await symptom.locator(".hit-kind").textContent())?.trim());
  await symptom.locator("a.mini").click();
  await page.waitForURL(/\/flows\//);
  await close();
});

test("by touch, on a phone", { timeout: 60_000 }, async () => {
  const { page, faults, close } = await open(fromFolder("symptoms/index.html"), { viewport: { width: 390, height: 780 }, hasTouch: true, isMobile: true });
  await page.locator("[data-search] input").tap();
  await page.keyboard.type("steering shakes at speed");
  await hits(page).first().waitFor();
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth), 0);
  const small = await page.locator(".found :is(a, button, select)").evaluateAll((all) => all.filter((one) => one.getBoundingClientRect().height < 44).map((one) => one.outerHTML.slice(0, 80)));
  assert.deepEqual(small, [], "everything can be hit with a finger");
  const more = page.locator(".found-more");
  if (await more.count()) {
    const before = await hits(page).count();
    await more.tap();
    await page.waitForFunction((count) => document.querySelectorAll(".found ol.hits:not(.hits-apart) > li").length > count, before);
  }
  const [first] = await links(page);
  await hits(page).first().locator("a.hit-link").tap();
  await page.waitForURL((url) => url.href.includes(first.replace(/^(\.\.\/)+/, "")));
  assert.deepEqual(faults, []);
  await close();
});

test("below a sub-path of a server, and without it, the same is found", { timeout: 120_000 }, async () => {
  const words = "whines when pulling away";
  const folderPage = await open(fromFolder("index.html"));
  await ask(folderPage.page, words);
  const expected = await links(folderPage.page);
  await folderPage.close();
  const { server, base } = await serve("/shop/reference/");
  const { page, faults, close } = await open(base + "index.html");
  await ask(page, words);
  assert.deepEqual(await links(page), expected);
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) await new Promise((taken) => navigator.serviceWorker.addEventListener("controllerchange", taken, { once: true }));
  });
  server.closeAllConnections();
  await new Promise((stopped) => server.close(stopped));
  for (const file of ["index.html", "symptoms/index.html"]) {
    await page.goto(base + file);
    await ask(page, words);
    const found = (await links(page)).map((href) => href.replace(/^(\.\.\/)+/, ""));
    assert.deepEqual(found, expected, file);
  }
  assert.deepEqual(faults.filter((fault) => !/ERR_CONNECTION_REFUSED|sw\.js/.test(fault)), []);
  await close();
});

test("the state of the search is in the address", async () => {
  const { page, close } = await open(fromFolder("index.html") + "?q=brake&kind=check");
  await hits(page).first().waitFor();
  assert.equal(await page.locator("[data-search] input").inputValue(), "brake");
  assert.equal(await page.locator("#p-search-kind").inputValue(), "check");
  assert.ok((await links(page)).every((href) => href.startsWith("checks/")));
  await page.locator("#p-search-kind").selectOption("");
  await page.waitForFunction(() => document.querySelector(".hit-symptom"));
  await page.locator("#p-search-sense").selectOption("hear");
  await page.waitForURL(/sense=hear/);
  await page.reload();
  await hits(page).first().waitFor();
  assert.equal(await page.locator("#p-search-sense").inputValue(), "hear");
  assert.ok((await links(page)).every((href) => href.startsWith("symptoms/")));
  await close();
});

test("a result that is opened at once leaves the question behind it", async () => {
  const { page, close } = await open(fromFolder("index.html"));
  // By the page's own script, the moment a result is there: sooner than the address follows the typing.
  await page.evaluate(() => {
    const found = document.querySelector(".found");
    new MutationObserver((_, watch) => {
      const link = found.querySelector(".hit-link");
      if (link) watch.disconnect();
      if (link) link.click();
    }).observe(found, { childList: true, subtree: true });
    const input = document.querySelector("[data-search] input");
    input.value = "hums on the motorway";
    input.dispatchEvent(new Event("input", { bubbles: true }));
  });
  await page.waitForURL(/symptoms\//);
  await page.goBack();
  await hits(page).first().waitFor();
  assert.equal(await page.locator("[data-search] input").inputValue(), "hums on the motorway");
  await close();
});

test("what does not fit the vehicle is set apart and says what it fits", async () => {
  const vehicle = { line: "rill", year: 2024, options: {}, text: "2024 Rill" };
  const { page, close } = await open(fromFolder("index.html"), { vehicle });
  await ask(page, "engine oil");
  const apart = page.locator(".hits-apart > li");
  assert.ok((await apart.count()) > 0);
  assert.match((await page.locator(".found-head").textContent()) || "", /2024 Rill/);
  for (const text of await apart.locator(".hit-fits").allTextContents()) assert.doesNotMatch(text, /Rill/);
  assert.equal(await apart.locator(".hit-fits").count(), await apart.count());
  assert.match(await status(page), /not for/);
  await close();
});

test("nothing found leads on: nearest words, senses and systems", async () => {
  const { page, faults, close } = await open(fromFolder("index.html"));
  await ask(page, "zzqqzzqq");
  assert.equal(await page.locator(".found-none").count(), 1);
  assert.ok((await page.locator(".found-browse a").count()) > 6);
  await ask(page, "xbrakx");
  const near = page.locator(".chip").first();
  const word = await near.textContent();
  await near.click();
  await hits(page).first().waitFor();
  assert.equal(await page.locator("[data-search] input").inputValue(), word);
  await page.locator("[data-search] input").fill("zzqqzzqq");
  await page.locator(".found-browse a").first().click();
  await page.waitForURL(/symptoms\/index\.html#/);
  assert.deepEqual(faults, []);
  await close();
});

test("words that lead nowhere are named, and heard, beside what was found for the others", async () => {
  const { page, faults, close } = await open(fromFolder("index.html"));
  await ask(page, "zzqq noise when I brake");
  assert.ok((await hits(page).count()) > 0);
  assert.match((await page.locator(".found-say").first().textContent()) || "", /Nothing here is about: zzqq\./);
  assert.match(await status(page), /Nothing here is about: zzqq\. Found \d+/);
  await ask(page, "airbag light");
  await page.locator(".found-say", { hasText: "“airbag” stands in one entry only" }).waitFor();
  await ask(page, "condensashun in headlite");
  await page.locator(".found-none").waitFor();
  assert.equal(await hits(page).count(), 0, "small words alone are no answer");
  assert.match((await page.locator(".found-say").first().textContent()) || "", /Nothing here is about: condensashun, headlite\./);
  assert.deepEqual(faults, []);
  await close();
});

test("the Spanish edition is searched in Spanish words and leads to Spanish pages", async () => {
  const { page, close } = await open(fromFolder("es/index.html"));
  await ask(page, "C0035");
  assert.ok((await links(page)).every((href) => href.startsWith("../es/")), (await links(page)).join(" "));
  assert.equal(await page.locator(".hit-link b").first().getAttribute("lang"), "en");
  await ask(page, "direccion");
  assert.ok((await hits(page).count()) > 0, "accents need not be typed");
  await close();
});

/** A copy of the site's frame with another index. */
function damaged(from, file, text) {
  const copy = folder();
  fs.cpSync(from, copy, { recursive: true, filter: (name) => !/\/(handouts|media)(\/|$)/.test(name) });
  const whole = fs.readFileSync(path.join(copy, file));
  fs.writeFileSync(path.join(copy, file), text(whole.toString("utf8")));
  return { page: pathToFileURL(path.join(copy, "index.html")).href, mend: () => fs.writeFileSync(path.join(copy, file), whole) };
}

const DAMAGES = {
  "cut off in the middle": (text) => text.slice(0, text.length / 2),
  "empty": () => "",
  "something else": () => "<!DOCTYPE html><title>Log in</title>",
};

/** A query ends in a message with a way on; once the file is whole, trying again answers. */
async function saysAndRecovers(site, words, name) {
  const { page, close } = await open(site.page);
  await page.locator("[data-search] input").fill(words);
  const again = page.locator(".found button.act");
  await again.waitFor();
  assert.match((await page.locator(".found-say").textContent()) || "", /could not be read/, name);
  assert.match(await status(page), /could not be read/, name);
  await again.click();
  await page.waitForTimeout(200);
  await again.waitFor();
  site.mend();
  await again.click();
  await hits(page).first().waitFor();
  assert.equal(await page.locator(".found-say", { hasText: "could not be read" }).count(), 0, name);
  await close();
}

for (const [damage, text] of Object.entries(DAMAGES)) {
  test(`a small index that is ${damage}: a message and another try`, { timeout: 120_000 }, async () => {
    for (const file of ["data/search.js", "data/search/d0.js"]) await saysAndRecovers(damaged(root, file, text), "brake", `${file} ${damage}`);
  });
}

const syllables = ["ba", "der", "fin", "gor", "hal", "jun", "kel", "lom", "mir", "nat", "pol", "ras"];
const word = (number) => syllables[number % 12] + syllables[Math.floor(number / 12) % 12] + syllables[Math.floor(number / 144) % 12];

/** A site with more than two million bytes of text, of which the index is cut into parts. */
function largeSite() {
  const kb = folder();
  const write = (name, text) => {
    fs.mkdirSync(path.dirname(path.join(kb, name)), { recursive: true });
    fs.writeFileSync(path.join(kb, name), text);
  };
  write("shop.yaml", "name: Large\nlanguages: [en]\n");
  write("vehicles.yaml", "lines:\n  tarn: {name: Tarn, years: 2016-2024}\n");
  write("words.yaml", "");
  for (let at = 0; at < 900; at += 1) {
    const words = Array.from({ length: 300 }, (_, place) => word((at * 7 + place * place * 13) % 1728));
    write(`guides/entry-${at}.md`, `---\ntitle: Entry ${word(at)} ${at}\nsource: [Invented]\n---\n${words.join(" ")}.\n`);
  }
  const out = path.join(folder(), "site");
  const program = process.env.BAYBOOK_PROGRAM || path.join(repository, "target/debug/baybook");
  execFileSync(program, ["publish", "--kb", kb, "--out", out, "--today", "2026-11-25"], { stdio: "ignore" });
  return out;
}

/** The first results stand there while what the others show is still on its way, and are not moved when it comes. */
async function firstResultsStay(site) {
  const { server, base } = await serve("/", site);
  const { page, faults, close } = await open(base + "index.html", { before: () => Object.defineProperty(navigator, "serviceWorker", { value: undefined }) });
  let release = () => {};
  const held = new Promise((resolve) => { release = resolve; });
  await page.route(/\/search\/d\d+\.js/, async (route) => {
    if ((await hits(page).count()) > 0) await held;
    await route.continue();
  });
  // Words of titles that are far apart, so that what is shown of them comes in several parts.
  await page.locator("[data-search] input").fill([10, 210, 410, 610, 810].map(word).join(" "));
  await page.locator(".found[aria-busy] .hit").first().waitFor();
  const some = await links(page);
  assert.ok(some.length >= 3 && some.length < 10, `${some.length} results`);
  await hits(page).evaluateAll((all) => all.forEach((one) => one.setAttribute("data-was-there", "")));
  release();
  await page.locator(".found:not([aria-busy])").waitFor();
  const all = await links(page);
  assert.deepEqual(all.slice(0, some.length), some);
  assert.deepEqual([all.length, new Set(all).size], [10, 10]);
  assert.equal(await page.locator("[data-was-there]").count(), some.length);
  assert.deepEqual(faults, []);
  await close();
  server.closeAllConnections();
  server.close();
}

test("a large index comes in parts, and a damaged part gives a message and another try", { timeout: 300_000 }, async () => {
  const site = largeSite();
  await firstResultsStay(site);
  const parts = fs.readdirSync(path.join(site, "data/search"));
  assert.ok(parts.length > 20, `${parts.length} parts`);
  const { page, faults, close } = await open(pathToFileURL(path.join(site, "index.html")).href);
  await ask(page, "baba bader");
  const expected = await links(page);
  assert.ok(expected.length > 0);
  assert.match((await hits(page).first().textContent()) || "", /./);
  const brought = await page.evaluate(() => Object.keys(window.baybookSearchParts).length);
  assert.ok(brought < parts.length / 2, `${brought} of ${parts.length} parts were needed`);
  assert.deepEqual(faults, []);
  const [word, term, document] = await page.evaluate(() => ["w", "t", "d"].map((kind) => Object.keys(window.baybookSearchParts).find((name) => name.startsWith(kind))));
  await close();
  for (const name of [word, term, document]) {
    await saysAndRecovers(damaged(site, `data/search/${name}.js`, DAMAGES["cut off in the middle"]), "baba bader", name);
  }
});
