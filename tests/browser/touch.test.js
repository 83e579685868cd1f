"use strict";
// Everything that is touched is large enough for a gloved finger: WCAG 2.2, 2.5.5 (44 by 44 CSS pixels) on every type of
// page at the width of a phone. Links within a sentence are excepted there; they keep the distance that 2.5.8 asks for
// of small targets: a circle of 24 pixels around each meets no other target and no other circle.
const assert = require("node:assert/strict");
const { after, before, test } = require("node:test");
const { fromFolder, launch, pageOfEachType } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

/** In the page: targets that are too small, and small ones that are too near to another. */
function faults() {
  const selector = "a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [tabindex='0']:not(.scroll):not(pre)";
  const name = (element) => `${element.tagName.toLowerCase()}.${element.getAttribute("class") || ""} “${(element.textContent || element.id).trim().slice(0, 40)}”`;
  /** What is touched: in a drawing the disc or the words with their invisible rim, at a field its label too. */
  const touched = (element) => {
    const of = element.querySelector(":scope > .hit") || element.closest("label") || element;
    const words = element instanceof SVGElement ? element.querySelector(":scope > text") : null;
    const style = words && getComputedStyle(words);
    const rim = style?.pointerEvents === "all" ? parseFloat(style.strokeWidth) / 2 : 0;
    return Array.from(of.getClientRects(), (box) => new DOMRect(box.x - rim, box.y - rim, box.width + 2 * rim, box.height + 2 * rim));
  };
  const isSeen = (element) => element.checkVisibility({ visibilityProperty: true }) && element.getClientRects().length > 0 && !element.disabled;
  const all = Array.from(document.querySelectorAll(selector)).filter(isSeen);
  /** Whether words that are no target stand in the same line of words. */
  const inSentence = (element) => {
    if (element.tagName !== "A" || getComputedStyle(element).display !== "inline") return false;
    const block = element.parentElement?.closest("p, li, dd, td, th, figcaption, blockquote, div");
    if (!block) return false;
    const words = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
    while (words.nextNode()) {
      const parent = words.currentNode.parentElement;
      if (/\p{L}/u.test(words.currentNode.textContent || "") && parent && !parent.closest(selector)) return true;
    }
    return false;
  };
  const found = [];
  const small = [];
  for (const element of all) {
    const boxes = touched(element);
    const [left, top] = [Math.min(...boxes.map((it) => it.left)), Math.min(...boxes.map((it) => it.top))];
    const box = new DOMRect(left, top, Math.max(...boxes.map((it) => it.right)) - left, Math.max(...boxes.map((it) => it.bottom)) - top);
    // What stands outside the window until it has the focus, such as the way past the navigation.
    if (box.bottom < 0 && scrollY === 0) continue;
    if (box.width >= 43.5 && box.height >= 43.5) continue;
    if (inSentence(element)) small.push(element);
    else found.push(`${name(element)}: ${Math.round(box.width)} by ${Math.round(box.height)}`);
  }
  const middle = (box) => ({ x: box.left + box.width / 2, y: box.top + box.height / 2 });
  const far = (point, box) => Math.hypot(Math.max(box.left - point.x, 0, point.x - box.right), Math.max(box.top - point.y, 0, point.y - box.bottom));
  for (const element of small) {
    const lines = Array.from(element.getClientRects());
    for (const other of all) {
      if (other === element || other.contains(element) || element.contains(other)) continue;
      for (const rect of touched(other)) {
        const at = middle(lines[0]);
        const isSmall = rect.width < 24 || rect.height < 24;
        const to = middle(rect);
        const gap = isSmall && small.includes(other) ? Math.hypot(at.x - to.x, at.y - to.y) - 12 : far(at, rect);
        const isTall = lines[0].height >= 24 && lines[0].width >= 24;
        if (!isTall && gap < 12) found.push(`${name(element)} is too near to ${name(other)}`);
      }
    }
  }
  return found;
}

const more = new Map([["flow, answered", "flows/harsh-shifts.html"], ["drawing, one digit", "flows/steering-shake.drawing.html"]]);

for (const [type, file] of [...pageOfEachType(), ...more]) {
  test(`${type}: what is touched is 44 pixels wide and high`, { timeout: 300_000 }, async () => {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 }, hasTouch: true, reducedMotion: "reduce" });
    const page = await context.newPage();
    await page.goto(fromFolder(file));
    if (type.endsWith("answered")) {
      for (let step = 0; step < 20 && (await page.locator(".step.ask [data-answer]:visible").count()) > 0; step += 1) {
        await page.locator(".step.ask [data-answer]:visible").first().click();
      }
      await page.locator("summary:visible").first().waitFor();
    }
    if (type !== "booklet") await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
    await page.waitForTimeout(50);
    const found = await page.evaluate(faults);
    assert.deepEqual(found.slice(0, 25), [], `${file}: ${found.length} in all`);
    await context.close();
  });
}
