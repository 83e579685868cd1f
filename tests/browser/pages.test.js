"use strict";
// Every page: valid, shut to the outside, light enough; one of every type: reachable for everybody, at every width.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const path = require("node:path");
const zlib = require("node:zlib");
const { after, before, test } = require("node:test");
const { fromFolder, launch, pageOfEachType, pages, root, serve, smallSite, validate } = require("./site.js");

const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

/** Opens a page and collects what goes wrong on it. */
async function open(url, options) {
  const context = await browser.newContext({ reducedMotion: "reduce", ...options });
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (fault) => faults.push(fault.message));
  page.on("console", (message) => { if (message.type() === "error") faults.push(message.text()); });
  page.on("requestfailed", (request) => faults.push(`${request.url()} failed`));
  await page.goto(url);
  return { page, faults, close: () => context.close() };
}

/** What axe finds on a page as it stands. @param {string[]} [rules] these alone */
async function violations(page, rules) {
  const found = await page.evaluate((only) => axe.run(document, {
    preload: false, resultTypes: ["violations"],
    runOnly: only ? { type: "rule", values: only } : ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
  }), rules);
  return found.violations.map((it) => `${it.id}: ${it.nodes.slice(0, 3).map((node) => node.target.join(" ")).join(" | ")}`);
}

/** Axe in both lights at the width of a phone and of a desk. What the dark changes is colour alone. */
async function axeHolds(url) {
  const { page, close } = await open(url, { viewport: { width: 1440, height: 900 }, bypassCSP: true });
  await page.evaluate(axe);
  for (const width of [1440, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await page.emulateMedia({ colorScheme: "light" });
    assert.deepEqual(await violations(page), [], `${url} light ${width}`);
    await page.emulateMedia({ colorScheme: "dark" });
    assert.deepEqual(await violations(page, ["color-contrast"]), [], `${url} dark ${width}`);
  }
  await close();
}

for (const [type, file] of pageOfEachType()) {
  test(`${type}: no page scrolls sideways, at any width, or with text at twice its size`, { timeout: 600_000 }, async () => {
    const { page, faults, close } = await open(fromFolder(file), { viewport: { width: 1440, height: 900 } });
    // A page of two hundred entries takes seconds for every width: two are enough for it.
    for (const width of type === "booklet" ? [1440, 320] : [1440, 820, 640, 390, 320]) {
      await page.setViewportSize({ width, height: 900 });
      await page.waitForTimeout(30);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.equal(over, 0, `${file} at ${width}`);
    }
    assert.deepEqual(faults, [], file);
    await close();
  });

  // The whole shop on one page keeps axe busy for minutes: the booklet of a small shop has the same parts.
  if (type === "booklet") continue;
  test(`${type}: axe finds nothing, light or dark`, { timeout: 600_000 }, () => axeHolds(fromFolder(file)));
}

test("booklet of a small shop: axe finds nothing, light or dark", { timeout: 600_000 }, async () => {
  await axeHolds(fromFolder("booklet.html", smallSite()));
});

test("a flow without its scripts, and one with everything unfolded: axe finds nothing", { timeout: 600_000 }, async () => {
  for (const scripts of [false, true]) {
    const context = await browser.newContext({ viewport: { width: 1200, height: 900 }, bypassCSP: true, reducedMotion: "reduce" });
    const page = await context.newPage();
    if (!scripts) await page.route(/\.js$/, (route) => route.abort());
    await page.goto(fromFolder("flows/harsh-shifts.html"));
    await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
    await page.evaluate(axe);
    assert.deepEqual(await violations(page), [], `scripts ${scripts}`);
    await context.close();
  }
});

test("every page is valid HTML", { timeout: 600_000 }, async () => {
  const faults = await validate(root, pages());
  assert.deepEqual(faults.slice(0, 20), [], `${faults.length} faults`);
});

test("every page has the policy that forbids all but its own files, and nothing that needs less", () => {
  const policy = /<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'">/;
  for (const file of pages()) {
    const html = fs.readFileSync(path.join(root, file), "utf8");
    assert.match(html, policy, file);
    assert.ok(html.search(policy) < html.search(/<script|<link/), `${file}: the policy comes before what it governs`);
    assert.doesNotMatch(html, /<style|\sstyle="|<script(?![^>]*\ssrc=)|\son[a-z]+="/, file);
    // Addresses of other sites stand in links that a reader may follow, never in what a page loads.
    for (const [, address] of html.matchAll(/<(?:script|img|link|use|source|iframe)\b[^>]*?\b(?:src|href)="([^"]*)"/g)) {
      assert.doesNotMatch(address, /^(?:[a-z]+:)?\/\//i, `${file}: ${address}`);
    }
  }
});

test("no page asks for anything outside the site", async () => {
  const { server, base } = await serve("/shop/reference/");
  const context = await browser.newContext({ serviceWorkers: "block" });
  const page = await context.newPage();
  let file = "";
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  for (file of pageOfEachType().values()) {
    await page.goto(base + file);
    assert.ok(asked.every((url) => url.startsWith(base) || url.startsWith("data:")), `${file}: ${asked}`);
  }
  await context.close();
  server.closeAllConnections();
  server.close();
});

/** Bytes of a page with all that it loads, but the parts of the search index: as gzip sends them, and as they are. */
function weight(file, sizes) {
  const html = fs.readFileSync(path.join(root, file), "utf8");
  const loads = Array.from(html.matchAll(/<(?:script|img)\b[^>]*?\ssrc="([^"]+)"|<link rel="(?:stylesheet|icon)" href="([^"]+)"/g), (it) => it[1] || it[2]);
  const parts = new Set([file, ...loads.map((it) => path.posix.join(path.posix.dirname(file), it)), ...["barlow-400", "barlow-600", "barlow-condensed-600"].map((it) => `assets/fonts/${it}.woff2`)]);
  let [sent, whole] = [0, 0];
  for (const part of parts) {
    if (/^(es\/)?data\/search/.test(part)) continue;
    if (!sizes.has(part)) {
      const bytes = fs.readFileSync(path.join(root, part));
      // Fonts are compressed already; servers send them as they are.
      sizes.set(part, [part.endsWith(".woff2") ? bytes.length : zlib.gzipSync(bytes, { level: 6 }).length, bytes.length]);
    }
    sent += sizes.get(part)[0];
    whole += sizes.get(part)[1];
  }
  return { file, sent, whole };
}

test("no page but the booklet weighs more than 150 KB as it is sent", () => {
  const sizes = new Map();
  const weights = pages().map((file) => weight(file, sizes)).sort((a, b) => b.sent - a.sent);
  for (const { file, sent, whole } of weights.slice(0, 4)) console.log(`# ${file}: ${(sent / 1000).toFixed(0)} KB sent, ${(whole / 1000).toFixed(0)} KB unpacked`);
  const heavy = weights.filter(({ file, sent }) => sent > 150_000 && !file.endsWith("booklet.html"));
  assert.deepEqual(heavy, []);
});

test("without scripts the menu opens and every section can be reached", async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(fromFolder("index.html"));
  const sections = await page.locator("#p-menu a").evaluateAll((links) => links.map((it) => it.getAttribute("href")));
  assert.equal(sections.length, 7);
  for (const section of sections) {
    await page.goto(fromFolder("index.html"));
    await page.click("a.menu");
    await page.click(`#p-menu a[href="${section}"]`);
    assert.ok(page.url().endsWith(section), page.url());
    assert.ok(await page.locator("main a[href$='.html']").count() > 2, section);
  }
  await context.close();
});
