"use strict";
// Calculators: units of results, what follows the inputs, and the way back to what is written.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { fromFolder, launch, root } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

const written = ["40.2 m", "96.7 m", "113.6 m", "223.6 m"];

test("results are shown in a unit of choice, by the keyboard alone, and lead back", { timeout: 60_000 }, async () => {
  const page = await browser.newPage({ viewport: { width: 390, height: 844 } });
  await page.goto(fromFolder("systems/service-brakes.html"));
  const calculator = page.locator(".calc").first();
  const results = () => calculator.locator("output").allTextContents();
  const caption = calculator.locator("figcaption");
  const reset = calculator.locator("[data-calc-reset]");
  assert.deepEqual(await results(), written);
  assert.equal(await reset.isVisible(), false);
  const choice = calculator.getByLabel("Unit: stop snow", { exact: true });
  const box = await choice.boundingBox();
  assert.ok(box && box.width >= 44 && box.height >= 44, JSON.stringify(box));
  await choice.focus();
  await page.keyboard.type("ft");
  // 223.6 m is 733.6 ft, and the value before rounding is 223.63 m (1 ft = 0.3048 m exactly).
  assert.deepEqual(await results(), [...written.slice(0, 3), "733.7 ft"]);
  assert.match(await caption.textContent() || "", /between 38\.7 ft and 1550 ft$/);
  assert.equal(await calculator.locator(".is-off").count(), 0, "a unit changes nothing that was stated");
  await calculator.getByLabel("approach", { exact: true }).fill("45");
  assert.notDeepEqual(await results(), [...written.slice(0, 3), "733.7 ft"]);
  await reset.click();
  assert.deepEqual(await results(), written);
  assert.match(await caption.textContent() || "", /between 11\.8 m and 473 m$/);
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 390);
  await page.close();
});

test("the live plot starts as it is drawn without a script", { timeout: 60_000 }, async () => {
  const file = "systems/service-brakes.html";
  const drawn = fs.readFileSync(path.join(root, file), "utf8");
  const curve = /class="curve" points="([^"]*)"/.exec(drawn)?.[1] || "";
  const point = /class="at" cx="([^"]*)" cy="([^"]*)"/.exec(drawn)?.slice(1).map(Number) || [];
  const numbers = (/** @type {string} */ text) => text.split(/[ ,]/).map(Number);
  const page = await browser.newPage();
  await page.goto(fromFolder(file));
  const live = page.locator(".calc [data-calc-plot] svg").first();
  const near = (/** @type {number[]} */ one, /** @type {number[]} */ other) => {
    assert.equal(one.length, other.length);
    one.forEach((value, at) => assert.ok(Math.abs(value - (other[at] || 0)) < 0.02, `${value} ${other[at]}`));
  };
  near(numbers(await live.locator(".curve").first().getAttribute("points") || ""), numbers(curve));
  near(await Promise.all(["cx", "cy"].map(async (name) => Number(await live.locator(".at").getAttribute(name)))), point);
  await page.close();
});

test("a decimal comma is read as a point, and what is no number is refused", { timeout: 60_000 }, async () => {
  const page = await browser.newPage();
  await page.goto(fromFolder("characteristics/cold-morning-pressure-drop.html"));
  const calculator = page.locator(".calc").first();
  const input = calculator.getByLabel("set warm", { exact: true });
  const reading = () => calculator.locator('[data-result="reading"] output').textContent();
  const message = () => calculator.locator("[data-calc-message]").textContent();
  await input.fill("");
  await input.pressSequentially("2.5");
  const wanted = await reading();
  await input.fill("");
  await input.pressSequentially("2,5");
  assert.equal(await reading(), wanted);
  assert.equal(await message(), "");
  for (const text of ["2..5", "2,5,1", "abc", "1e", "", "2 5", "1,500"]) {
    await input.fill(text);
    assert.equal(await reading(), "\u2013", text);
    assert.match(await message() || "", /^set warm: No number/, text);
    assert.equal(await input.getAttribute("aria-invalid"), "true", text);
  }
  await input.fill("23");
  assert.match(await message() || "", /^Outside the range/);
  await page.close();
});

test("a number that was written is shown whole", { timeout: 60_000 }, async () => {
  const page = await browser.newPage();
  await page.goto(fromFolder("characteristics/cold-morning-pressure-drop.html"));
  const zero = () => page.locator('.calc [data-result="zero"] output').textContent();
  assert.equal(await zero(), "-273.15 degC");
  await page.locator(".calc").first().getByLabel("warm day", { exact: true }).fill("25");
  assert.equal(await zero(), "-273.15 degC");
  await page.close();
});
