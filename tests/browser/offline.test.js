"use strict";
// The copy that a browser keeps: complete after one visit, of one version throughout, honest about its age.
const assert = require("node:assert/strict");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { after, before, test } = require("node:test");
const { fromFolder, launch, root, serve } = require("./site.js");

/** @type {import("playwright-core").Browser} */
let browser;
before(async () => { browser = await launch(); });
after(() => browser.close());

/** Waits until the copy is complete and answers for the page. */
async function copied(page) {
  await page.evaluate(async () => {
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) {
      await new Promise((taken) => navigator.serviceWorker.addEventListener("controllerchange", taken, { once: true }));
    }
  });
}

function stop(server) {
  server.closeAllConnections();
  return new Promise((stopped) => server.close(stopped));
}

test("after one visit below a sub-path every page opens without the server, and says that it is a saved copy", { timeout: 600_000 }, async () => {
  const { server, base } = await serve("/shop/reference/");
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(base + "index.html");
  await copied(page);
  assert.equal(await page.locator(".copy-note p").count(), 0, "nothing to say while the server answers");
  await stop(server);
  const faults = [];
  page.on("pageerror", (fault) => faults.push(fault.message));
  await page.reload();
  await page.locator(".copy-note p").waitFor();
  const note = await page.locator(".copy-note p").textContent();
  assert.match(note, /Saved copy/);
  assert.match(note, /Latest change in this copy: \d+ \w+ \d{4}\./);
  for (const file of [base, base + "symptoms/index.html", base + "index.html?q=hum", base + first("symptoms"), base + first("flows"), base + first("handouts")]) {
    const answer = await page.goto(file);
    assert.equal(answer.status(), 200, file);
    assert.ok(await page.evaluate(() => document.styleSheets.length > 0 && getComputedStyle(document.body).margin === "0px"), `${file} has its styles`);
  }
  // What scripts load later is there too.
  await page.goto(base + first("symptoms"));
  await page.locator("[data-vehicle]").first().click();
  await page.locator("dialog select").first().waitFor();
  assert.deepEqual(faults, []);
  await context.close();
});

/** The first page of a folder. */
const first = (folder) => `${folder}/${fs.readdirSync(path.join(root, folder)).filter((file) => file !== "index.html" && file.endsWith(".html")).sort()[0]}`;

/** A small site of three files with the real worker, in two versions. */
function versions() {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "baybook-"));
  const worker = fs.readFileSync(path.join(root, "sw.js"), "utf8").split("\n").slice(2).join("\n");
  const script = fs.readFileSync(path.join(root, "assets/offline.js"), "utf8");
  const write = (version, broken = false) => {
    const copy = { version, latest: { en: version }, whole: true, shared: ["index.html", "a.html", "offline.js"].concat(broken ? ["gone.html"] : []), editions: {} };
    fs.writeFileSync(path.join(folder, "sw.js"), `"use strict";\nself.baybookCopy = ${JSON.stringify(copy)};\n${worker}`);
    for (const file of ["index.html", "a.html"]) {
      fs.writeFileSync(path.join(folder, file), `<!doctype html><html lang="en"><body data-root=""><main id="p-main">${version}</main><template id="p-words" data-copy-new="newer" data-copy-take="take"></template><script src="offline.js"></script></body></html>`);
    }
    fs.writeFileSync(path.join(folder, "offline.js"), script);
  };
  return { folder, write };
}

test("a newer edition takes over whole, and only when the reader asks", { timeout: 600_000 }, async () => {
  const { folder, write } = versions();
  write("one");
  const { server, base } = await serve("/x/", folder);
  const context = await browser.newContext();
  const page = await context.newPage();
  const said = () => page.locator("main").textContent();
  await page.goto(base + "index.html");
  await copied(page);
  write("two");
  await page.reload();
  assert.equal(await said(), "one");
  await page.locator(".copy-note button").waitFor();
  await page.goto(base + "a.html");
  assert.equal(await said(), "one", "pages that were not visited before are of the same edition");
  await page.locator(".copy-note button").click();
  await page.waitForFunction(() => document.querySelector("main")?.textContent === "two");
  await page.goto(base + "index.html");
  assert.equal(await said(), "two");
  assert.deepEqual(await page.evaluate(async () => (await caches.keys()).map((name) => name.split(" ").pop())), ["two"], "the former copy is gone");
  await context.close();
  await stop(server);
});

test("an edition that cannot be fetched whole never takes over", { timeout: 600_000 }, async () => {
  const { folder, write } = versions();
  write("one");
  const { server, base } = await serve("/x/", folder);
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(base + "index.html");
  await copied(page);
  write("two", true);
  await page.reload();
  await page.waitForFunction(async () => {
    const registration = await navigator.serviceWorker.getRegistration();
    return registration && !registration.installing && !registration.waiting;
  });
  await page.waitForTimeout(300);
  assert.equal(await page.locator(".copy-note button").count(), 0);
  await page.goto(base + "a.html");
  assert.equal(await page.locator("main").textContent(), "one");
  await page.waitForFunction(async () => (await caches.keys()).length === 1);
  await context.close();
  await stop(server);
});

test("opened from a folder, pages work and ask for no copy", async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  const faults = [];
  page.on("pageerror", (fault) => faults.push(fault.message));
  page.on("console", (message) => { if (message.type() === "error") faults.push(message.text()); });
  page.on("requestfailed", (request) => faults.push(`${request.url()} failed`));
  await page.goto(fromFolder(first("characteristics")));
  await page.locator("[data-vehicle]").first().click();
  await page.locator("dialog select").first().waitFor();
  await page.keyboard.press("Escape");
  await page.click("#p-menu a[href*='symptoms/']");
  assert.match(page.url(), /^file:.*symptoms\/index\.html$/);
  assert.equal(await page.locator("link[rel=manifest]").count(), 0);
  assert.deepEqual(faults, []);
  await context.close();
});
