"use strict";
// The second language: said to be so, remembered, and complete.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { launch, pages, root, serve } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
let server;
let base = "";
before(async () => {
  browser = await launch();
  ({ server, base } = await serve("/shop/"));
});
after(async () => {
  server.closeAllConnections();
  server.close();
  await browser.close();
});

test("every page says its language, and every page has its twin", () => {
  for (const file of pages()) {
    const html = fs.readFileSync(path.join(root, file), "utf8");
    const [, handout] = /^handouts\/[^.]+\.([a-z]+)\.html$/.exec(file) || [];
    const lang = handout || (file.startsWith("es/") ? "es" : "en");
    assert.match(html, new RegExp(`^<!DOCTYPE html>\\s*<html lang="${lang}"`), file);
    if (handout) continue;
    const twin = file.startsWith("es/") ? file.slice(3) : `es/${file}`;
    assert.ok(fs.existsSync(path.join(root, twin)), twin);
    const [, href] = /<link rel="alternate" hreflang="(?:es|en)" href="([^"]+)"/.exec(html) || [];
    assert.equal(path.posix.join(path.posix.dirname(file), href || "").replace(/\/$/, "/index.html"), twin, file);
  }
});

test("the interface speaks Spanish, and what is still English says that it is", async () => {
  const page = await browser.newPage();
  await page.goto(`${base}es/symptoms/speed-hum.html`);
  assert.equal(await page.getAttribute("h1", "lang"), "en");
  for (const selector of [".tabs a", ".docket h2", ".docket dt"]) {
    const text = (await page.locator(selector).allTextContents()).join(" ");
    assert.doesNotMatch(text, /\b(Symptoms|Checks|About|Review by|Sources)\b/, selector);
  }
  await page.goto(`${base}es/characteristics/block-tread-hum.html`);
  const told = await page.locator(".depth.brief").first().textContent();
  assert.ok(await page.locator(".depth.brief").first().evaluate((it) => it.closest("[lang]").lang === "es"));
  await page.goto(`${base}characteristics/block-tread-hum.html`);
  assert.notEqual(await page.locator(".depth.brief").first().textContent(), told, "it is told in Spanish first");
  await page.goto(`${base}es/changes.html`);
  assert.ok(await page.evaluate(() => Array.from(document.querySelectorAll("time")).every((it) => !/\b(January|March|May|June|July|August)\b/.test(it.textContent || ""))), "dates are by locale");
  await page.close();
});

test("a language that was chosen is remembered on the next visit", async () => {
  const context = await browser.newContext({ locale: "en-GB" });
  const page = await context.newPage();
  await page.goto(`${base}index.html`);
  await page.click("a[data-lang=es]");
  await page.waitForURL(/\/es\/index\.html$|\/es\/$/);
  await page.goto(`${base}index.html`);
  await page.waitForURL(/\/es\//);
  assert.equal(await page.getAttribute("html", "lang"), "es");
  await page.click("a[data-lang=en]");
  await page.waitForURL(/\/shop\/(index\.html)?$/);
  await page.goto(`${base}index.html`);
  await page.waitForTimeout(200);
  assert.equal(await page.getAttribute("html", "lang"), "en");
  await context.close();
});

test("a flow in Spanish is walked to its end in Spanish", async () => {
  const page = await browser.newPage({ reducedMotion: "reduce" });
  await page.goto(`${base}es/flows/speed-hum.html`);
  assert.equal(await page.locator("[data-flow-which] h2").textContent(), "¿Qué vehículo?");
  await page.locator("[data-flow-which] .picks a").first().click();
  for (let question = 0; question < 8 && !(await page.locator(".step.verdict:visible").count()); question += 1) {
    await page.locator(".step:visible .picks a[data-answer='not-sure']").click();
  }
  const said = await page.locator(".variant:visible [data-flow-verdict]").textContent();
  assert.match(said || "", /^(Explicar|Dar cita|No conducir)/);
  await page.close();
});
