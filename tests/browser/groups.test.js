"use strict";
// Which vehicle the questions of a flow are asked for, and what is written down of it: no group is taken by guess, no
// question is asked for a vehicle that a flow is not for, and the driving decision goes wherever the verdict goes.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const { after, before, test } = require("node:test");
const { fromFolder, launch } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

const rill = { line: "rill", year: 2022, options: { battery: "long", heating: "heat-pump" }, text: "Rill 2022, the long-range battery, a heat pump" };
const openRill = { line: "rill", year: 2022, options: {}, text: "Rill 2022" };
const fell = { line: "fell", year: 2020, options: {}, text: "Fell 2020" };

/** A page with a chosen vehicle, at a flow. */
async function at(flow, vehicle, { width = 1200, hash = "", javaScriptEnabled = true } = {}) {
  const context = await browser.newContext({ viewport: { width, height: 844 }, reducedMotion: "reduce", javaScriptEnabled });
  const page = await context.newPage();
  if (vehicle) await page.addInitScript((it) => localStorage.setItem("baybook.vehicle", JSON.stringify(it)), vehicle);
  await page.goto(fromFolder(`flows/${flow}.html`) + hash);
  return page;
}

const picks = (page) => page.locator(".picks a:visible");
const which = (page) => page.locator("[data-flow-which]");

/** What the button copies. */
async function copied(page) {
  await page.evaluate(() => Object.defineProperty(navigator, "clipboard", { configurable: true, value: undefined }));
  await page.locator("[data-flow-copy]:visible").click();
  return page.locator("textarea.copied").inputValue();
}

test("a vehicle that the questions are not for gets one sentence and nothing to answer", async () => {
  for (const hash of ["", "#at/v1/patch-wipe=no-patch", "#v1-5"]) {
    const page = await at("harsh-shifts", rill, { hash });
    assert.equal(await page.locator("[data-flow-note]").textContent(), "These questions are not for the chosen vehicle, Rill 2022, the long-range battery, a heat pump. Ask the workshop.", hash);
    assert.equal(await picks(page).count(), 0, hash);
    assert.equal(await page.locator(".step:visible, .verdict:visible").count(), 0, hash);
    await page.context().close();
  }
  const page = await at("puddle-under-car", fell);
  assert.equal(await page.locator(".step:visible").count(), 1);
  assert.equal(await page.locator("[data-flow-note]:visible").count(), 0);
  await page.context().close();
});

test("where a vehicle does not fit, only names of entries are struck through, never a signal word or what to do", async () => {
  const page = await browser.newPage();
  await page.addInitScript((it) => localStorage.setItem("baybook.vehicle", JSON.stringify(it)), rill);
  for (const file of ["flows/harsh-shifts.html", "symptoms/harsh-shifts.html", "conditions/low-gearbox-fluid.html"]) {
    await page.goto(fromFolder(file));
    const struck = await page.evaluate(() => Array.from(document.querySelectorAll("main *"))
      .filter((it) => getComputedStyle(it).textDecorationLine.includes("line-through") && !it.closest(".ref, .fits, tr"))
      .map((it) => it.outerHTML.slice(0, 80)));
    assert.deepEqual(struck, [], file);
  }
  await page.close();
});

test("without a chosen vehicle the group is asked for first, on a phone and on a desk, and nothing is preselected", async () => {
  for (const width of [390, 1200]) {
    const page = await at("vapour-from-front", null, { width });
    assert.equal(await which(page).locator("h2").textContent(), "Which vehicle?");
    assert.equal(await picks(page).count(), 4);
    assert.equal(await page.locator(".step:visible").count(), 0);
    assert.equal(await page.locator("[data-flow-which] [aria-current]").count(), 0);
    assert.match(await page.locator("[data-vehicle] [data-vehicle-text]").textContent() || "", /^Any vehicle$/, "nobody chose one");
    await picks(page).nth(1).press("Enter");
    assert.ok(await page.evaluate(() => document.activeElement?.matches("#v2 .step")));
    assert.equal(await page.locator(".which:visible").textContent(), "Rill with a resistive heater");
    // The group stays in sight and can be changed after an answer too.
    await picks(page).first().click();
    assert.equal(await page.locator(".which:visible").textContent(), "Rill with a resistive heater");
    await page.locator("[data-flow-regroup]:visible").click();
    assert.equal(await picks(page).count(), 4);
    assert.ok(await page.evaluate(() => document.activeElement?.matches("[data-flow-which]")));
    await page.context().close();
  }
});

test("a vehicle with an option left open is asked which group it is of, and the option is named", async () => {
  const page = await at("vapour-from-front", openRill);
  assert.deepEqual(await picks(page).allTextContents(), ["Rill with a resistive heater", "Rill with a heat pump"]);
  assert.equal(await page.locator("[data-flow-depends]").textContent(), "For Rill 2022 it depends on: heating.");
  assert.equal(await page.locator(".step:visible").count(), 0);
  await picks(page).last().click();
  assert.equal(await page.locator(".which:visible").textContent(), "Rill with a heat pump");
  await page.goBack();
  assert.equal(await picks(page).count(), 2, "back leads to the choice");
  await page.context().close();
  // One group alone that may or may not fit is asked for too.
  const shifts = await at("harsh-shifts", fell);
  assert.equal(await picks(shifts).count(), 1);
  assert.equal(await shifts.locator(".step:visible").count(), 0);
  assert.equal(await shifts.locator("[data-flow-depends]").textContent(), "For Fell 2020 it depends on: gearbox.");
  await shifts.context().close();
  const sure = await at("vapour-from-front", rill);
  assert.equal(await sure.locator(".which:visible").textContent(), "Rill with a heat pump");
  assert.equal(await which(sure).isVisible(), false);
  assert.equal(await sure.locator(".step:visible").count(), 1);
  await sure.context().close();
});

test("answers of another group than the chosen vehicle's are let go, and the page says so", async () => {
  const { check, answer } = await firstAnswer("vapour-from-front");
  const page = await at("vapour-from-front", rill, { hash: `#at/v1/${check}=${answer}` });
  assert.match(await page.locator("[data-flow-note]").textContent() || "", /given for another group, Fell, and Tarn/);
  assert.equal(await page.locator(".which:visible").textContent(), "Rill with a heat pump");
  assert.equal(await page.locator(".given:visible").count(), 0);
  await page.context().close();
});

async function firstAnswer(flow) {
  const page = await at(flow, null, { hash: "#at/v1" });
  const found = await page.evaluate(() => {
    const step = document.querySelector("#v1 .step:not([hidden])");
    return { check: step?.getAttribute("data-check") || "", answer: step?.querySelector("[data-answer]")?.getAttribute("data-answer") || "" };
  });
  await page.context().close();
  return found;
}

/** Answers "not sure" until there is a verdict. */
async function unsure(page) {
  for (let question = 0; question < 12 && (await page.locator(".step.verdict:visible").count()) === 0; question += 1) {
    await page.locator(".step.ask:visible [data-answer='not-sure']").click();
  }
}

test("the write-up says which vehicle was named, the verdict, whether it may be driven and what is not ruled out", async () => {
  const page = await at("tyre-pressure-lamp", null);
  await unsure(page);
  const title = (await page.locator(".verdict:visible [data-flow-drive] b").textContent()) || "";
  assert.equal(title, "Ask before it moves");
  const box = (await page.locator("[data-flow-verdict]:visible").textContent()) || "";
  const text = await copied(page);
  for (const where of [box, text]) {
    assert.match(where, /Ask before it moves\. Still to be checked, and it would forbid driving: ./);
    assert.match(where, /Still to be ruled out: ./);
  }
  assert.match(text, /^Vehicle: not named$/m);
  assert.match(text, /^The customer's words: _+$/m);
  await page.context().close();
  const group = await at("vapour-from-front", null);
  await picks(group).first().click();
  await unsure(group);
  const own = await copied(group);
  assert.match(own, /^Vehicle: not named$/m);
  assert.match(own, /^Group of vehicles: Fell, and Tarn$/m);
  await group.context().close();
});

test("a write-up of a vehicle that must not be driven says so and why", async () => {
  const page = await at("puddle-under-car", fell);
  await page.locator(".step:visible [data-answer='smells-of-fuel']").click();
  const text = await copied(page);
  assert.match(text, /Verdict: Do not drive/);
  assert.match(text, /stays where it is, or is recovered/);
  assert.match(text, /^Vehicle: Fell 2020$/m);
  await page.context().close();
});

test("the customer's words are those of the search that led here, and of no other", async () => {
  const page = await browser.newPage({ viewport: { width: 1200, height: 844 } });
  await page.goto(fromFolder("index.html"));
  await page.locator("input[type=search]").fill("it hums on the motorway");
  await page.locator("[data-search-found] a[href*='symptoms/speed-hum']").first().click();
  await page.waitForURL(/symptoms\/speed-hum/);
  await page.locator("a[href$='flows/speed-hum.html']").first().click();
  await page.waitForURL(/flows\/speed-hum/);
  await picks(page).first().click();
  await picks(page).first().click();
  assert.equal(await page.locator(".variant:not([hidden]) [data-flow-words]").textContent(), "it hums on the motorway");
  assert.match(await copied(page), /^The customer's words: it hums on the motorway$/m);
  // The next customer starts at the home page, and said nothing of this.
  await page.goto(fromFolder("index.html"));
  await page.goto(fromFolder("flows/speed-hum.html"));
  await picks(page).first().click();
  await picks(page).first().click();
  assert.equal(await page.locator(".variant:not([hidden]) [data-flow-words]").textContent(), "");
  await page.close();
});

test("what the customer told unasked is taken only when it is pressed", async () => {
  const page = await at("steering-shake", null);
  await page.locator(".volunteer summary").focus();
  await page.keyboard.press("Enter");
  for (let press = 0; press < 4; press += 1) await page.keyboard.press("Tab");
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowDown");
  assert.equal(await page.locator(".given").count(), 0, "arrow keys answer nothing");
  assert.ok(await page.evaluate(() => document.activeElement?.matches(".volunteer button")), "the focus stays");
  const told = await page.evaluate(() => document.activeElement?.textContent);
  await page.keyboard.press("Enter");
  assert.equal(await page.locator(".given li").count(), 1);
  assert.ok((await page.locator(".given li").textContent())?.endsWith(told || "?"));
  await page.context().close();
});

test("what cannot be pressed on the first question looks so", async () => {
  const page = await at("steering-shake", null);
  const look = (/** @type {Element} */ it) => {
    const { backgroundColor, borderStyle, cursor, color } = getComputedStyle(it);
    return { backgroundColor, borderStyle, cursor, color };
  };
  const off = await page.locator("[data-flow-trail] button:disabled").first().evaluate(look);
  await picks(page).first().click();
  const on = await page.locator("[data-flow-trail] button:not(:disabled)").first().evaluate(look);
  for (const name of Object.keys(off)) assert.notEqual(off[name], on[name], name);
  await page.context().close();
});

test("the browser's back button leads to the question before: it has the focus and is in sight", async () => {
  for (const width of [390, 1200]) {
    const page = await at("steering-shake", null, { width });
    await picks(page).last().click();
    await picks(page).last().click();
    await page.evaluate(() => window.scrollTo(0, document.body.scrollHeight));
    await page.goBack();
    await page.waitForTimeout(300);
    const found = await page.evaluate(() => {
      const box = document.querySelector(".step[data-now] h3")?.getBoundingClientRect();
      return { focused: document.activeElement?.matches("[data-now]"), top: box?.top ?? -1, bottom: box?.bottom ?? 1e6, high: innerHeight };
    });
    assert.ok(found.focused && found.top >= 0 && found.bottom <= found.high, `${width}: ${JSON.stringify(found)}`);
    await page.context().close();
  }
});

test("without scripts a verdict that several ways share says that its chances are averages", async () => {
  const page = await at("steering-shake", null, { javaScriptEnabled: false });
  const shared = page.locator(".step.verdict").filter({ has: page.locator(".reason", { hasText: "averages over the ways that lead to this step" }) });
  const id = await shared.first().getAttribute("id");
  assert.match(id || "", /^v1-\d+$/);
  await page.context().close();
  const own = await at("steering-shake", null, { hash: `#${id}` });
  assert.doesNotMatch(await own.locator(`#${id} .reason`).textContent() || "", /average/);
  await own.context().close();
});

test("the number of a verdict can be read on a phone", async () => {
  const page = await at("steering-shake", null, { width: 390, javaScriptEnabled: false });
  for (const kind of ["v-book-in", "v-do-not-drive"]) {
    for (const hash of ["", `#${await page.locator(`.step.${kind}`).first().getAttribute("id")}`]) {
      await page.goto(fromFolder("flows/steering-shake.html") + hash);
      const colours = await page.locator(`.step.${kind}`).first().evaluate((it) => {
        const [no, band] = [it.querySelector(".no"), it.querySelector("h3")];
        return no && band ? { no: getComputedStyle(no).color, band: getComputedStyle(band).color } : {};
      });
      assert.equal(colours.no, colours.band, `${kind} ${hash}`);
    }
  }
  await page.context().close();
});

test("every state of a flow's page passes axe-core, in both lights", { timeout: 300_000 }, async () => {
  const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
  const states = [["vapour-from-front", openRill, ""], ["harsh-shifts", rill, ""], ["steering-shake", null, ""], ["steering-shake", null, "#v1-6"]];
  for (const [flow, vehicle, hash] of states) {
    const page = await at(flow, vehicle, { hash });
    for (const summary of await page.locator(".volunteer summary:visible, .given summary:visible").all()) await summary.click();
    await page.evaluate(axe);
    for (const light of ["light", "dark"]) {
      await page.emulateMedia({ colorScheme: /** @type {"light" | "dark"} */ (light) });
      const found = await page.evaluate(async () => (await window["axe"].run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"] })).violations.map((it) => it.id + " " + it.nodes[0].html.slice(0, 100)));
      assert.deepEqual(found, [], `${flow} ${hash} ${light}`);
    }
    await page.context().close();
  }
});
