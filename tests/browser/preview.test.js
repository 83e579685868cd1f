"use strict";
// The preview in a browser: reloads in place, shows marks, keeps the last good pages.
const assert = require("node:assert/strict");
const { spawn } = require("node:child_process");
const fs = require("node:fs");
const http = require("node:http");
const os = require("node:os");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { launch, program, repository } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
let child;
let address = "";
const kb = path.join(fs.mkdtempSync(path.join(os.tmpdir(), "baybook-")), "kb");

before(async () => {
  fs.cpSync(path.join(repository, "kb"), kb, { recursive: true });
  child = spawn(program, ["preview", "--kb", kb, "--today", "2026-11-25"], { stdio: ["ignore", "pipe", "ignore"] });
  address = await new Promise((given, refused) => {
    child.stdout.once("data", (text) => given(String(text).trim()));
    child.once("exit", (code) => refused(new Error(`the preview ended with ${code}`)));
  });
  browser = await launch();
});
after(async () => {
  child.kill();
  await browser.close();
});

const entry = path.join(kb, "guides/writing-an-entry.md");

test("a saved entry reloads the page where it stands", { timeout: 600_000 }, async () => {
  const context = await browser.newContext({ viewport: { width: 900, height: 500 }, reducedMotion: "reduce" });
  const page = await context.newPage();
  const faults = [];
  page.on("console", (message) => { if (message.type() === "error") faults.push(message.text()); });
  page.on("pageerror", (fault) => faults.push(fault.message));
  await page.goto(`${address}guides/writing-an-entry.html?x=1#p-docket`);
  await page.locator(".baybook-preview .tab").waitFor();
  assert.equal(await page.locator(".baybook-preview .tab").textContent(), "No marks");
  await page.evaluate(() => scrollTo(0, 321));
  await page.evaluate(() => { window["isOld"] = true; });
  fs.appendFileSync(entry, "\nA sentence written just now.\n");
  await page.waitForFunction(() => !window["isOld"] && document.body.textContent?.includes("A sentence written just now."));
  await page.waitForFunction(() => scrollY === 321);
  assert.equal(page.url(), `${address}guides/writing-an-entry.html?x=1#p-docket`);
  assert.deepEqual(faults, []);
  await context.close();
});

test("marks lie over every page, with place and help, and the last good pages stay", { timeout: 600_000 }, async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  const good = fs.readFileSync(entry, "utf8");
  const line = good.split("\n").length;
  fs.writeFileSync(entry, `${good}\n[nowhere](../checks/no-such-check.md)\n`);
  for (const file of ["guides/writing-an-entry.html", "index.html", "es/index.html"]) {
    await page.goto(address + file);
    await page.locator(".baybook-preview li").first().waitFor({ timeout: 60_000 });
    assert.equal(await page.locator(".baybook-preview li").count(), 1);
    const text = await page.locator(".baybook-preview li").innerText();
    assert.ok(text.includes(`${kb}/guides/writing-an-entry.md:${line + 1}:`), text);
    assert.match(text, /dangling-reference/i);
    assert.match(await page.locator(".baybook-preview .say").textContent(), /last good pages/);
    assert.ok(await page.locator("main").isVisible());
  }
  fs.writeFileSync(entry, good);
  await page.waitForFunction(() => document.querySelector(".baybook-preview .tab")?.textContent === "No marks");
  await context.close();
});

test("a mark that quotes hostile text shows it as text", { timeout: 600_000 }, async () => {
  const page = await browser.newPage();
  await page.goto(`${address}index.html`);
  const good = fs.readFileSync(entry, "utf8");
  const hostile = "<img src=x onerror=window.__hit=1>";
  fs.writeFileSync(entry, good.replace("---\n", `---\n"${hostile}": 1\n`));
  await page.locator(".baybook-preview li").first().waitFor();
  assert.ok((await page.locator(".baybook-preview li").first().innerText()).includes(hostile));
  assert.equal(await page.locator(".baybook-preview img").count(), 0);
  assert.equal(await page.evaluate(() => window["__hit"]), undefined);
  fs.writeFileSync(entry, good);
  await page.waitForFunction(() => document.querySelector(".baybook-preview .tab")?.textContent === "No marks");
  await page.close();
});

/** What the preview answers to a question that a browser would not send. @param {string} target @param {object} headers */
function asked(target, headers = {}, method = "GET") {
  const { hostname, port } = new URL(address);
  return new Promise((done, failed) => {
    const request = http.request({ hostname, port, path: target, method, headers }, (answer) => {
      answer.resume();
      answer.once("end", () => done(answer.statusCode));
    });
    request.once("error", failed);
    request.end();
  });
}

test("names other than its own, and paths outside the site, are refused", async () => {
  assert.match(address, /^http:\/\/127\.0\.0\.1:\d+\/$/);
  assert.equal(await asked("/index.html"), 200);
  for (const host of ["hit.example", `hit.example:${new URL(address).port}`, "127.0.0.1.hit.example", "[::1]"]) {
    assert.equal(await asked("/index.html", { host }), 421, host);
  }
  for (const target of ["/../kb/shop.yaml", "/%2e%2e/kb/shop.yaml", "/..%2fkb/shop.yaml", "//etc/passwd", "/a\\..\\b", "/%00"]) {
    assert.equal(await asked(target), 403, target);
  }
  assert.equal(await asked("/index.html", {}, "POST"), 405);
  assert.equal(await asked("/index.html", {}, "HEAD"), 200);
});

test("many windows opened at once all load", { timeout: 600_000 }, async () => {
  const context = await browser.newContext();
  const files = ["index.html", "symptoms/index.html", "es/index.html", "words.html", "review.html", "checks/index.html"];
  await Promise.all(files.map(async (file) => {
    const page = await context.newPage();
    for (let turn = 0; turn < 3; turn += 1) await page.goto(address + file, { timeout: 20_000 });
  }));
  await context.close();
});

test("the preview asks for nothing but itself", { timeout: 600_000 }, async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await page.goto(`${address}symptoms/index.html`);
  await page.locator(".baybook-preview .tab").waitFor();
  assert.ok(asked.every((url) => url.startsWith(address) || url.startsWith("data:")), String(asked));
  await context.close();
});
