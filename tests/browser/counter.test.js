"use strict";
// The screen that is turned to the customer: it hides everything else, and says only what is meant for them.
const assert = require("node:assert/strict");
const { after, before, test } = require("node:test");
const { fromFolder, launch } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

test("the counter screen covers the page, at every depth, in every language and size", async () => {
  const page = await browser.newPage({ viewport: { width: 1200, height: 800 }, reducedMotion: "reduce" });
  await page.goto(fromFolder("characteristics/block-tread-hum.html"));
  const pixel = async () => (await page.screenshot({ clip: { x: 600, y: 4, width: 1, height: 1 } })).toString("base64");
  const plate = await pixel();
  const told = await page.locator(".depth").evaluateAll((parts) => parts.map((it) => it.lastElementChild?.textContent?.trim()));
  await page.locator("[data-counter]").first().click();
  const screen = page.locator("dialog.counter[open]");
  await screen.waitFor();
  await page.waitForTimeout(100);
  // What is seen, not what is said to be on top: the dark plate of the page is gone.
  assert.notEqual(await pixel(), plate, "the page shows through");
  const text = screen.locator(".counter-text");
  const seen = new Set();
  for (const language of await screen.locator(".seg").nth(1).locator("button").all()) {
    await language.click();
    const lang = await language.getAttribute("lang");
    assert.equal(await text.getAttribute("lang"), lang);
    for (let depth = 0; depth < 3; depth += 1) {
      await screen.locator(".seg").first().locator("button").nth(depth).click();
      const said = (await text.textContent())?.trim();
      assert.ok(told.includes(said), said);
      seen.add(said);
    }
  }
  assert.equal(seen.size, 6);
  const size = () => text.evaluate((it) => parseFloat(getComputedStyle(it).fontSize));
  const first = await size();
  assert.ok(first >= 24, `${first} px`);
  await screen.locator(".seg").last().locator("button").last().click();
  assert.ok(await size() > first);
  await page.keyboard.press("Escape");
  await screen.waitFor({ state: "detached" });
  await page.close();
});
