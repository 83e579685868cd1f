"use strict";
const assert = require("node:assert/strict");
const fs = require("node:fs");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { HtmlValidate, FileSystemConfigLoader } = require("html-validate");
const { fromFolder, launch, pageOfEachType, pages, root, serve } = require("./site.js");

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

for (const [type, file] of pageOfEachType()) {
  test(`${type}: no page scrolls sideways, at any width`, async () => {
    for (const width of [320, 390, 820, 1440]) {
      const { page, faults, close } = await open(fromFolder(file), { viewport: { width, height: 900 } });
      await page.waitForTimeout(50);
      const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.equal(over, 0, `${file} at ${width}`);
      assert.deepEqual(faults, [], file);
      await close();
    }
  });

  test(`${type}: axe finds nothing, light or dark`, async () => {
    for (const colorScheme of ["light", "dark"]) {
      for (const width of [390, 1440]) {
        const { page, close } = await open(fromFolder(file), { viewport: { width, height: 900 }, colorScheme, bypassCSP: true });
        await page.evaluate(axe);
        const found = await page.evaluate(() => axe.run(document, { preload: false, runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
        const words = found.violations.map((v) => `${v.id}: ${v.nodes.slice(0, 3).map((n) => n.target.join(" ")).join(" | ")}`);
        assert.deepEqual(words, [], `${file} ${colorScheme} ${width}`);
        await close();
      }
    }
  });
}

test("every page is valid HTML", async () => {
  const validator = new HtmlValidate(new FileSystemConfigLoader({ ...JSON.parse(fs.readFileSync(path.join(__dirname, ".htmlvalidate.json"), "utf8")) }));
  const faults = [];
  for (const file of pages()) {
    const report = await validator.validateString(fs.readFileSync(path.join(root, file), "utf8"));
    for (const result of report.results) {
      for (const message of result.messages) faults.push(`${file}:${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
    }
  }
  assert.deepEqual(faults.slice(0, 20), [], `${faults.length} faults`);
});

test("no page asks for anything outside the site", async () => {
  const { server, base } = await serve("/shop/reference/");
  for (const file of pageOfEachType().values()) {
    const context = await browser.newContext();
    const page = await context.newPage();
    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    await page.goto(base + file);
    assert.ok(asked.every((url) => url.startsWith(base) || url.startsWith("data:")), `${file}: ${asked}`);
    await context.close();
  }
  server.close();
});

test("a hand-out prints on one page, in every language", async () => {
  for (const file of pages().filter((file) => file.startsWith("handouts/"))) {
    const { page, close } = await open(fromFolder(file));
    const pdf = (await page.pdf({ format: "A4" })).toString("latin1");
    assert.equal((pdf.match(/\/Type\s*\/Page\b/g) || []).length, 1, file);
    await close();
  }
});

test("without scripts the menu opens and every section can be reached", async () => {
  const context = await browser.newContext({ viewport: { width: 390, height: 844 }, javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(fromFolder("index.html"));
  await page.click("a.menu");
  await page.click("#p-menu a[href*='symptoms/']");
  assert.match(page.url(), /symptoms\/index\.html$/);
  await context.close();
});
