"use strict";
// What comes out of the printer: how many pages, and what is on them.
const assert = require("node:assert/strict");
const { after, before, test } = require("node:test");
const { fromFolder, launch, pages } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

/** Pages of a PDF, counted by its page objects. */
const sheets = (pdf) => (pdf.toString("latin1").match(/\/Type\s*\/Page\b/g) || []).length;

// As wide as A4 and as high as US Letter: what fits there fits on either.
test("every hand-out prints on one page, in every language", { timeout: 600_000 }, async () => {
  const page = await browser.newPage();
  const handouts = pages().filter((file) => file.startsWith("handouts/"));
  assert.ok(handouts.length >= 37);
  for (const file of handouts) {
    await page.goto(fromFolder(file));
    assert.equal(sheets(await page.pdf({ width: "210mm", height: "279mm" })), 1, file);
  }
  await page.close();
});

// Columns that a browser balances over pages can keep it busy for ever: every flow is printed, whole.
test("every flow prints whole without scripts, and in letters that can be read", { timeout: 600_000 }, async () => {
  const still = await browser.newContext({ javaScriptEnabled: false });
  const sheet = await still.newPage();
  const flows = pages().filter((file) => /^flows\/[^.]+\.html$/.test(file));
  assert.ok(flows.length >= 20, `${flows.length} flows`);
  for (const file of flows) {
    await sheet.goto(fromFolder(file));
    const steps = await sheet.locator(".step").count();
    const count = sheets(await sheet.pdf({ format: "A4" }));
    // A browser shrinks what is too wide for the paper, and then more than six steps stand on a page.
    assert.ok(count >= steps / 6 && count <= steps + 12, `${file}: ${steps} steps on ${count} pages`);
  }
  await still.close();
});

test("a flow prints as a sheet: every step without scripts, the way that was gone with them", { timeout: 600_000 }, async () => {
  const still = await browser.newContext({ javaScriptEnabled: false });
  const sheet = await still.newPage();
  await sheet.goto(fromFolder("flows/speed-hum.html"));
  const whole = sheets(await sheet.pdf({ format: "A4" }));
  await still.close();
  const page = await browser.newPage();
  await page.goto(fromFolder("flows/speed-hum.html") + "#v1-8");
  const gone = sheets(await page.pdf({ format: "A4" }));
  assert.ok(gone <= 2, `${gone} pages for one way`);
  assert.ok(whole > gone && whole <= 24, `${whole} pages for the whole flow`);
  console.log(`# speed-hum: the whole flow ${whole} pages, one way ${gone}`);
  await page.close();
});

test("on paper there is no navigation, tables are whole and cautions keep their frames", async () => {
  const page = await browser.newPage({ viewport: { width: 700, height: 1000 } });
  await page.emulateMedia({ media: "print" });
  await page.goto(fromFolder("symptoms/speed-hum.html"));
  for (const gone of [".tabs", ".switches", ".search", ".skip", ".bottom nav"]) {
    assert.equal(await page.locator(gone).locator("visible=true").count(), 0, gone);
  }
  assert.ok(await page.evaluate(() => Array.from(document.querySelectorAll(".scroll")).every((box) => getComputedStyle(box).overflowX === "visible")));
  assert.ok(await page.evaluate(() => Array.from(document.querySelectorAll(".caution")).every((it) => parseFloat(getComputedStyle(it).borderTopWidth) >= 1)));
  await page.close();
});

test("the booklet prints with a table of contents that leads to every entry", { timeout: 600_000 }, async () => {
  const page = await browser.newPage();
  await page.goto(fromFolder("booklet.html"));
  const contents = await page.evaluate(() => {
    const links = Array.from(document.querySelectorAll(".contents a[href^='#']"));
    return { links: links.length, dead: links.filter((it) => !document.getElementById(it.getAttribute("href").slice(1))).length, items: document.querySelectorAll(".item").length };
  });
  assert.equal(contents.dead, 0);
  assert.ok(contents.links >= contents.items && contents.items > 200, JSON.stringify(contents));
  const pdf = await page.pdf({ format: "A4", outline: true, tagged: true });
  const count = sheets(pdf);
  assert.ok(count > 60 && count < 400, `${count} pages`);
  assert.match(pdf.toString("latin1"), /\/Type\s*\/Outlines|\/Outlines/, "the PDF has bookmarks");
  console.log(`# booklet: ${count} pages, ${(pdf.length / 1e6).toFixed(1)} MB`);
  await page.close();
});
