"use strict";
// Hostile texts in every text field: none runs, none asks for anything, none breaks a page, and each is shown as it
// was typed. The list and the shop that holds it stand beside this file.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { after, before, test } = require("node:test");
const texts = require("./injections.js");
const { BETWEEN, body, common, errors, refused, writeShop } = require("./injection-shop.js");
const { fromFolder, launch, pagesOf, publish, validate } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
let site = "";
let bodies = [];
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "baybook-"));

before(async () => {
  // Fields of plain text take everything; Markdown refuses raw HTML and addresses that could run.
  const inFields = refused(path.join(folder, "fields"), texts, (text) => ["---", ...common([text]), "---", "x"]);
  assert.deepEqual([...inFields], []);
  const inBodies = refused(path.join(folder, "bodies"), texts, (text) => ["---", "title: T", ...body([text])]);
  bodies = texts.filter((text) => !inBodies.has(text));
  const kb = path.join(folder, "shop/kb");
  writeShop(kb, { plain: texts, marked: bodies, bodies });
  assert.deepEqual(errors(kb), []);
  site = publish(kb);
  console.log(`# ${texts.length} texts; Markdown refuses ${inBodies.size} of them, all are published in plain fields`);
  browser = await launch();
});
after(() => browser.close());

const reported = "__violations";

/** A page that notes whatever runs, is asked for, or is forbidden. */
async function watched() {
  const context = await browser.newContext({ reducedMotion: "reduce", viewport: { width: 1200, height: 900 } });
  const page = await context.newPage();
  const faults = [];
  await page.addInitScript((name) => {
    window[name] = [];
    document.addEventListener("securitypolicyviolation", (event) => window[name].push(`${event.violatedDirective} ${event.blockedURI} ${event.sample}`));
  }, reported);
  page.on("dialog", (dialog) => { faults.push(`dialog ${dialog.message()}`); dialog.dismiss(); });
  page.on("pageerror", (fault) => faults.push(`${page.url()}: ${fault.message}`));
  page.on("request", (request) => { if (!request.url().startsWith(fromFolder("", site))) faults.push(`${page.url()} asks for ${request.url()}`); });
  page.on("popup", () => faults.push(`${page.url()} opens a window`));
  return { page, faults, close: () => context.close() };
}

/** In the page: what should not be there, and what there is to read. */
function looked(name) {
  const odd = [];
  const allowed = /^(?:https?:|mailto:|tel:|#|\.{0,2}\/|[\w.-]+(?:\/|\.html|\.css|\.js|\.svg|$))/i;
  for (const it of document.querySelectorAll("*")) {
    if (/^(iframe|object|embed|base|frameset|portal|style|math|form|video|audio|foreignobject|animate|set|plaintext|xmp)$/i.test(it.localName)) odd.push(it.outerHTML.slice(0, 120));
    if (it.localName === "script" && !/^(\.\.\/)*(assets|data)\/[\w/.-]+$/.test(it.getAttribute("src") || "")) odd.push(it.outerHTML.slice(0, 120));
    for (const { name: attribute, value } of it.attributes) {
      if (/^on|^style$|^srcdoc$|^formaction$|["'<=`]/.test(attribute)) odd.push(`${it.localName} ${attribute}=${value}`.slice(0, 160));
      if (/(^|:)(href|src)$/.test(attribute) && !allowed.test(value)) odd.push(`${it.localName} ${attribute}=${value}`.slice(0, 160));
    }
  }
  const text = Array.from(document.querySelectorAll("title, main, header, footer")).map((it) => it.textContent).join("\n");
  return { odd, hit: window.__hit, violations: window[name], text };
}

const squeezed = (text) => text.replace(/\s+/g, " ").trim();

test("on no page does anything run, and every text is to be read as it was typed", { timeout: 600_000 }, async () => {
  const { page, faults, close } = await watched();
  const every = pagesOf(site);
  assert.ok(every.length > 200, `${every.length} pages`);
  for (const file of every) {
    await page.goto(fromFolder(file, site));
    const { odd, hit, violations, text } = await page.evaluate(looked, reported);
    assert.equal(hit, undefined, `${file}: something ran`);
    assert.deepEqual(odd, [], file);
    assert.deepEqual(violations, [], file);
    const [, kind, at] = /^(symptoms|conditions|characteristics|checks|systems|guides)\/[a-z](\d+)\.html$/.exec(file) || [];
    if (!kind) continue;
    const read = squeezed(text);
    for (const typed of texts.slice(Number(at) * 8, Number(at) * 8 + 8)) assert.ok(read.includes(squeezed(typed)), `${file} does not say ${typed}`);
  }
  assert.deepEqual(faults, []);
  await close();
});

test("what scripts write is text too: search, vehicle, flow, write-up", { timeout: 600_000 }, async () => {
  const { page, faults, close } = await watched();
  const still = async (where) => {
    const { odd, hit, violations } = await page.evaluate(looked, reported);
    assert.deepEqual({ odd, hit, violations }, { odd: [], hit: undefined, violations: [] }, where);
  };
  await page.goto(fromFolder("index.html", site));
  for (const typed of ["<script>", "onerror", "javascript:", "\"><img src=x onerror=window.__hit=1>", "{{ 7 * 7 }}", "hit.example", "script alert svg"]) {
    await page.fill("input[type=search]", typed);
    await page.waitForTimeout(120);
    await still(`search for ${typed}`);
  }
  for (let at = 0; at * 8 < texts.length; at += 1) {
    await page.goto(fromFolder(`flows/s${at}.html`, site));
    if (at === 0) {
      await page.click("[data-vehicle]");
      const dialog = page.locator("dialog[open]");
      await dialog.locator("select").first().waitFor();
      assert.equal(squeezed(await dialog.locator("option").first().textContent()), squeezed(texts.slice(0, 8).join(BETWEEN)));
      await dialog.locator("button.strong").click();
      assert.ok(squeezed(await page.locator("[data-vehicle-text]").first().textContent()).startsWith(squeezed(texts[0])));
      await still("vehicle");
    }
    const answer = page.locator(".variant:not([hidden]) .step:visible .picks a").first();
    assert.equal(squeezed(await answer.locator("span").first().textContent()), squeezed(texts[at * 8]));
    await answer.click();
    assert.equal(await page.locator(".step.verdict:visible").count(), 1);
    await page.evaluate(() => {
      Object.defineProperty(navigator, "clipboard", { value: undefined });
      document.querySelector(".variant:not([hidden]) [data-flow-copy]").click();
    });
    assert.ok(squeezed(await page.locator("textarea.copied").first().inputValue()).includes(squeezed(texts[at * 8])));
    await still(`flow ${at}`);
  }
  assert.deepEqual(faults, []);
  await close();
});

test("every page of that shop is valid HTML", { timeout: 600_000 }, async () => {
  const faults = await validate(site, pagesOf(site));
  assert.deepEqual(faults.slice(0, 10), [], `${faults.length} faults`);
});
