"use strict";
// Every decision flow of the demonstration, walked to each of its verdicts by the shortest way there: with scripts by
// answering, without scripts by following the links. The ways come from the published data, the pages must agree.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { fromFolder, launch, root } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

const flows = fs.readdirSync(path.join(root, "data/flows")).filter((file) => file.endsWith(".json")).sort()
  .map((file) => JSON.parse(fs.readFileSync(path.join(root, "data/flows", file), "utf8")));

/** The shortest way to every verdict of a variant: `[{step, way: [{from, answer, to}]}]`. */
function ways(variant) {
  const steps = new Map(variant.steps.map((step) => [step.step, step]));
  const before = new Map([[variant.start, null]]);
  for (const ahead = [variant.start]; ahead.length > 0;) {
    const from = ahead.shift();
    for (const [answer, to] of Object.entries(steps.get(from).answers || {})) {
      if (before.has(to)) continue;
      before.set(to, { from, answer, to });
      ahead.push(to);
    }
  }
  // A flow by hand may have verdicts to which no way leads for these vehicles.
  return variant.steps.filter((step) => step.verdict && before.has(step.step)).map((step) => {
    const way = [];
    for (let edge = before.get(step.step); edge; edge = before.get(edge.from)) way.unshift(edge);
    return { step, way };
  });
}

/** In the page: answers every way of a variant from the start, and tells what is shown at its end. */
function walked({ id, ways }) {
  const section = document.getElementById(id);
  const begin = document.querySelector(`[data-group="${id}"]`) || section.querySelector("[data-flow-restart]");
  const shown = (selector) => Array.from(section.querySelectorAll(selector)).filter((it) => it.checkVisibility());
  const end = (asked) => {
    const steps = shown(".steps .step");
    return {
      asked,
      steps: steps.map((it) => ({ number: it.dataset.step, cls: it.className })),
      focused: document.activeElement === steps[0],
      rows: shown("[data-asked]").map((row) => row.querySelector("th").textContent + "|" + row.querySelector(".is-given")?.textContent),
      entry: steps[0]?.querySelector(".that a")?.getAttribute("href") || "",
      handout: steps[0]?.querySelector("a.act")?.getAttribute("href") || "",
      leads: steps[0]?.querySelectorAll(".leads li a").length || 0,
      plan: steps[0]?.querySelectorAll(".plan tbody tr").length || 0,
      open: section.querySelectorAll(".gates .is-open").length,
      careless: steps[0]?.querySelectorAll(".leads .hz:not(.hz-none)").length > 0 && steps[0]?.querySelectorAll(".hazard-none[data-flow-drive]").length > 0,
      verdict: section.querySelector("[data-flow-verdict]").textContent,
      reason: steps[0]?.querySelector(".reason")?.textContent || "",
      leader: section.querySelector(".panel .chances a.ref")?.getAttribute("href") || "",
    };
  };
  return ways.map((way) => {
    begin.click();
    const asked = [];
    for (const { check, answer } of way) {
      const pick = shown(`.steps [data-check="${check}"] .picks a[data-answer="${answer}"]`);
      if (pick.length !== 1) return { stuck: `${check} is not asked: ${shown(".steps .step h3").map((it) => it.textContent)}` };
      asked.push(pick[0].closest(".step").querySelector("h3").textContent + "|" + pick[0].firstElementChild.textContent);
      pick[0].click();
    }
    return end(asked);
  });
}

/** What every verdict must show, by its kind. */
function verdictHolds(shown, step, where) {
  assert.equal(shown.stuck, undefined, where);
  assert.deepEqual(shown.steps, [{ number: String(step.step + 1), cls: `step verdict v-${step.verdict}` }], where);
  assert.deepEqual(shown.rows, shown.asked, `${where}: the write-up says what was answered, in that order`);
  assert.notEqual(shown.verdict, "", where);
  if (step.verdict === "explain") {
    assert.equal(shown.entry, `../characteristics/${step.characteristic}.html`, where);
    assert.match(shown.handout, new RegExp(`^\\.\\./handouts/${step.characteristic}\\.`), where);
    assert.equal(shown.open, 0, `${where}: every hazard is ruled out before anything is called normal`);
  } else {
    // Nobody is told that the vehicle stays, because something normal fits best.
    assert.ok(!(shown.reason.includes("fits the answers best: ") && shown.leader.includes("/characteristics/")), `${where}: ${shown.reason}`);
    // Of the leads of a flow by hand none may fit these vehicles.
    assert.equal(shown.leads > 0, step.leads.length > 0, `${where}: it says where to look first`);
  }
  assert.equal(shown.careless, false, `${where}: no fault that limits driving is named beside "may be driven"`);
  if (step.verdict === "book-in") assert.equal(shown.plan > 0, step.bay_plan.length > 0, `${where}: bay plan`);
}

test("with scripts, every verdict of every flow is reached by answering", { timeout: 600_000 }, async () => {
  const context = await browser.newContext({ viewport: { width: 1200, height: 900 }, reducedMotion: "reduce" });
  const page = await context.newPage();
  const other = await context.newPage();
  const faults = [];
  page.on("pageerror", (fault) => faults.push(fault.message));
  let verdicts = 0;
  const kinds = new Set();
  for (const flow of flows) {
    await page.goto(fromFolder(`flows/${flow.symptom}.html`));
    for (const [at, variant] of flow.variants.entries()) {
      const checks = new Map(variant.steps.map((it) => [it.step, it.check]));
      const all = ways(variant);
      const asked = all.map(({ way }) => way.map((it) => ({ check: checks.get(it.from), answer: it.answer })));
      const found = await page.evaluate(walked, { id: `v${at + 1}`, ways: asked });
      for (const [rank, { step, way }] of all.entries()) {
        const where = `${flow.symptom} v${at + 1} step ${step.step + 1}`;
        verdictHolds(found[rank], step, where);
        assert.ok(way.length === 0 || found[rank].focused, `${where}: the verdict has the focus`);
        verdicts += 1;
        kinds.add(step.verdict);
      }
    }
    // The address is the flow as it stands: a colleague who opens it sees the same.
    const hash = await page.evaluate(() => location.hash);
    const here = await page.locator(".step:visible h3").first().textContent();
    await other.goto(fromFolder(`flows/${flow.symptom}.html`) + hash);
    assert.equal(await other.locator(".step:visible h3").first().textContent(), here, `${flow.symptom} ${hash}`);
  }
  assert.deepEqual(faults, []);
  assert.deepEqual([...kinds].sort(), ["book-in", "do-not-drive", "explain"]);
  assert.equal(flows.length, 20);
  console.log(`# ${verdicts} verdicts of ${flows.length} flows`);
  await context.close();
});

/** In the page: follows links one after the other, and tells where that does not lead to where it should. */
async function followed(edges) {
  const astray = [];
  for (const { from, answer, to } of edges) {
    const links = document.querySelectorAll(`#${from} .picks a[data-answer="${answer}"]`);
    if (links.length !== 1 || !links[0].checkVisibility()) astray.push(`${from} has no answer ${answer}`);
    else links[0].click();
    await null;
    if (document.querySelector(":target")?.id !== to) astray.push(`${from} ${answer} leads to ${location.hash}`);
  }
  return astray;
}

test("without scripts, the links of the answers lead to every verdict", { timeout: 600_000 }, async () => {
  const context = await browser.newContext({ viewport: { width: 1200, height: 900 }, javaScriptEnabled: false, reducedMotion: "reduce" });
  const page = await context.newPage();
  let links = 0;
  for (const flow of flows) {
    const file = fromFolder(`flows/${flow.symptom}.html`);
    await page.goto(file);
    for (const [at, variant] of flow.variants.entries()) {
      const anchor = (step) => `v${at + 1}-${step + 1}`;
      // Ways share their beginnings, and a link leads to the same place each time: every link is followed once.
      const edges = new Map();
      const all = ways(variant);
      for (const { way } of all) for (const { from, answer, to } of way) edges.set(`${from} ${answer}`, { from: anchor(from), answer, to: anchor(to) });
      assert.deepEqual(await page.evaluate(followed, [...edges.values()]), [], flow.symptom);
      links += edges.size;
      for (const { step } of all) {
        assert.equal(await page.locator(`#${anchor(step.step)}.verdict.v-${step.verdict}`).count(), 1);
        assert.equal(await page.locator(`#${anchor(step.step)}:has(.leads .hz:not(.hz-none)):has(.hazard-none[data-flow-drive])`).count(), 0, `${flow.symptom} ${anchor(step.step)}`);
      }
    }
    // One way with the pointer.
    const { way } = ways(flow.variants[0])[0];
    for (const { from, answer, to } of way) {
      await page.click(`#v1-${from + 1} .picks a[data-answer="${answer}"]`);
      assert.equal(page.url(), `${file}#v1-${to + 1}`);
    }
    assert.equal(await page.locator(".step:visible").count(), flow.variants.reduce((sum, it) => sum + it.steps.filter((step) => step.check || step.verdict).length, 0), `${flow.symptom}: every step can be read`);
  }
  console.log(`# ${links} links followed without scripts`);
  await context.close();
});

test("facts told unasked are passed over, a step back takes the last answer back, and parts of the page keep the answers", async () => {
  const flow = flows.find((it) => it.symptom === "speed-hum");
  const variant = flow.variants[0];
  const told = ways(variant).filter(({ way }) => way.length > 3 && way[1].answer !== "not-sure");
  const longest = told.sort((a, b) => b.way.length - a.way.length)[0];
  const checks = new Map(variant.steps.map((it) => [it.step, it.check]));
  const page = await browser.newPage({ reducedMotion: "reduce" });
  await page.goto(fromFolder("flows/speed-hum.html"));
  await page.click('[data-group="v1"]');
  const section = page.locator("#v1");
  const [first, second] = longest.way;
  // The second answer first: the flow asks the first question, and then passes over the second.
  await section.locator(".volunteer summary").click();
  const ask = await section.locator(`[data-step="${second.from + 1}"] h3`).textContent();
  await section.locator(".volunteer li").filter({ hasText: ask }).locator(`[data-told$="=${second.answer}"]`).click();
  await section.locator(`[data-step="${first.from + 1}"] a[data-answer="${first.answer}"]`).click();
  const third = longest.way[2];
  assert.equal(await section.locator(".step:visible").getAttribute("data-check"), checks.get(third.from));
  await section.locator("[data-flow-trail] button").first().click();
  assert.equal(await section.locator(".step:visible").getAttribute("data-check"), checks.get(first.from));
  // A verdict's link to the write-up keeps the answers.
  await page.goto(fromFolder("flows/speed-hum.html") + `#v1-${longest.step.step + 1}`);
  await section.locator(".verdict:visible .again a[href='#v1-writeup']").click();
  assert.equal(await section.locator(".step:visible").getAttribute("data-step"), String(longest.step.step + 1));
  assert.match(page.url(), /#at\/v1\/./);
  // The drawing has a page of its own and leads to its steps.
  await page.click('a[href$="speed-hum.drawing.html"]');
  await page.locator(`.flowchart a[href="speed-hum.html#v1-${first.to + 1}"]`).first().click();
  // Until the page is there whole, all steps stand below each other, as they do without scripts.
  await page.waitForURL(/speed-hum\.html#/);
  assert.equal(await section.locator(".step:visible").getAttribute("data-step"), String(first.to + 1));
  await page.close();
});

test("a verdict gives its reason first, says whether the vehicle may be driven, and admits when no listed cause explains the answers", async () => {
  const page = await browser.newPage({ viewport: { width: 390, height: 844 }, reducedMotion: "reduce" });
  const found = { other: 0, listed: 0 };
  for (const flow of flows) {
    for (const [at, variant] of flow.variants.entries()) {
      for (const { step, way } of ways(variant).filter((it) => (it.step.leads || []).length > 0).slice(0, 3)) {
        const given = way.map(({ from, answer }) => `${variant.steps.find((it) => it.step === from).check}=${answer}`);
        await page.goto("about:blank");
        await page.goto(`${fromFolder(`flows/${flow.symptom}.html`)}#at/v${at + 1}/${given.join("/")}`);
        const verdict = page.locator(".step.verdict:visible");
        const where = `${flow.symptom} v${at + 1} step ${step.step}`;
        const reason = await verdict.locator(".reason").textContent();
        const title = await verdict.locator("[data-flow-leads]").textContent();
        const leads = /None of the listed causes/.test(reason);
        assert.equal(title, leads ? "Of those listed, check first" : "Look first for", where);
        found[leads ? "other" : "listed"] += 1;
        assert.ok(reason && reason.length > 10, `${where}: ${reason}`);
        assert.equal(await verdict.locator("[data-flow-drive]").count(), step.verdict === "book-in" ? 1 : 0, where);
        // The word of the verdict is in sight without scrolling.
        const box = await verdict.locator("h3").boundingBox();
        assert.ok(box && box.y + box.height < 500, `${where}: ${JSON.stringify(box)}`);
      }
    }
  }
  assert.ok(found.other > 0 && found.listed > 0, JSON.stringify(found));
  await page.close();
});
