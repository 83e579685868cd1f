"use strict";
// From the customer's words to the write-up without a pointer.
const assert = require("node:assert/strict");
const { after, before, test } = require("node:test");
const { fromFolder, launch } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

/** Presses Tab until an element that fits has the focus, and proves that the focus can be seen at every stop. */
async function tabTo(page, selector, most = 120) {
  for (let press = 0; press < most; press += 1) {
    await page.keyboard.press("Tab");
    const stop = await page.evaluate((wanted) => {
      const it = document.activeElement;
      if (!it || it === document.body) return { is: false, seen: true, what: "the page" };
      const field = it.closest(".field") || it;
      const style = getComputedStyle(field);
      const box = it.getBoundingClientRect();
      const marked = (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== "none" || it.closest("svg") !== null;
      const inside = box.width > 0 && box.bottom > 0 && box.top < innerHeight;
      return { is: it.matches(wanted), seen: marked && inside, what: it.outerHTML.slice(0, 160) };
    }, selector);
    assert.ok(stop.seen, `the focus is not to be seen on ${stop.what}`);
    if (stop.is) return;
  }
  assert.fail(`no way to ${selector} with the tab key`);
}

for (const width of [390, 1200]) {
  test(`home, search, symptom, questions, verdict and write-up by keyboard alone, ${width} px wide`, { timeout: 600_000 }, async () => {
    const context = await browser.newContext({ viewport: { width, height: 844 }, reducedMotion: "reduce" });
    const page = await context.newPage();
    await page.goto(fromFolder("index.html"));
    await page.keyboard.press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.className), "skip", "the first stop leads past the navigation");
    await page.keyboard.press("Enter");
    await tabTo(page, "input[type=search]");
    await page.keyboard.type("it hums on the motorway");
    const found = page.locator("[data-search-found] a[href*='symptoms/speed-hum']").first();
    await found.waitFor();
    for (let press = 0; press < 10 && !/symptoms\/speed-hum/.test(page.url()); press += 1) {
      const chosen = await page.evaluate(() => {
        const it = document.activeElement;
        const option = document.getElementById(it.getAttribute("aria-activedescendant") || "") || it;
        return (option.querySelector("a") || option.closest("a") || option).getAttribute("href") || "";
      });
      if (/symptoms\/speed-hum/.test(chosen)) {
        await Promise.all([page.waitForURL(/symptoms\/speed-hum/), page.keyboard.press("Enter")]);
      } else {
        await page.keyboard.press("ArrowDown");
      }
    }
    assert.match(page.url(), /symptoms\/speed-hum\.html/);
    await tabTo(page, "a[href$='flows/speed-hum.html']");
    await Promise.all([page.waitForURL(/flows\/speed-hum/), page.keyboard.press("Enter")]);
    for (let question = 0; question < 8; question += 1) {
      if (await page.locator(".step.verdict:visible").count()) break;
      await tabTo(page, "[data-flow-which]:not([hidden]) .picks a, .variant:not([hidden]) .picks a");
      await page.keyboard.press("Enter");
      assert.ok(await page.evaluate(() => document.activeElement.matches(".step")), "the next step takes the focus");
    }
    assert.equal(await page.locator(".step.verdict:visible").count(), 1);
    await tabTo(page, ".again a[href$='-writeup']");
    await page.keyboard.press("Enter");
    await tabTo(page, "[data-flow-copy]");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelector("textarea.copied") || document.querySelector(".variant:not([hidden]) [data-flow-copy]").textContent === document.querySelector("#p-words").dataset.copied);
    await context.close();
  });
}

test("a dialog keeps the focus, closes by Escape and gives it back", async () => {
  const page = await browser.newPage({ viewport: { width: 1200, height: 844 } });
  await page.goto(fromFolder("symptoms/speed-hum.html"));
  await tabTo(page, "[data-vehicle]");
  await page.keyboard.press("Space");
  await page.locator("dialog[open] select").first().waitFor();
  assert.ok(await page.evaluate(() => document.querySelector("dialog").contains(document.activeElement)));
  await page.keyboard.press("Escape");
  assert.ok(await page.evaluate(() => document.activeElement.matches("[data-vehicle]")));
  await page.close();
});
