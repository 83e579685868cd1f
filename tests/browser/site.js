"use strict";
// The site under test, a browser, and one page of every type.
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const http = require("node:http");
const os = require("node:os");
const path = require("node:path");
const { pathToFileURL } = require("node:url");
const { Worker } = require("node:worker_threads");
const { chromium } = require("playwright-core");

const repository = path.resolve(__dirname, "../..");
const root = path.resolve(process.env.BAYBOOK_SITE || path.join(__dirname, "../../site-out"));

/** Every page of a site, by its path inside it. @param {string} folder */
function pagesOf(folder) {
  return fs.readdirSync(folder, { recursive: true }).map(String).filter((file) => file.endsWith(".html")).sort();
}

/** Every page of the demonstration. */
const pages = () => pagesOf(root);

/** What is not valid HTML, worked out by two workers. @param {string} folder @param {string[]} files @returns {Promise<string[]>} */
async function validate(folder, files) {
  const config = JSON.parse(fs.readFileSync(path.join(__dirname, ".htmlvalidate.json"), "utf8"));
  const check = (/** @type {string[]} */ half) => new Promise((done, failed) => {
    const worker = new Worker(path.join(__dirname, "validate.js"), { workerData: { root: folder, files: half, config } });
    worker.once("message", done);
    worker.once("error", failed);
  });
  return (await Promise.all([0, 1].map((rest) => check(files.filter((_, at) => at % 2 === rest))))).flat();
}

/** The page of that path as it opens from a folder. @param {string} file */
const fromFolder = (file, folder = root) => pathToFileURL(path.join(folder, file)).href;

const program = process.env.BAYBOOK_PROGRAM || path.join(repository, "target/debug/baybook");

/** Publishes a folder of entries into a new folder beside it. @param {string} kb */
function publish(kb) {
  const site = path.join(path.dirname(kb), "site");
  execFileSync(program, ["publish", "--kb", kb, "--out", site, "--today", "2026-11-25"], { stdio: ["ignore", "ignore", "pipe"] });
  return site;
}

/** The site of a shop with one entry of each kind: the base of the examples of marks. */
function smallSite() {
  const kb = path.join(fs.mkdtempSync(path.join(os.tmpdir(), "baybook-")), "kb");
  fs.cpSync(path.join(repository, "src/diagnostic/catalogue/base"), kb, { recursive: true });
  return publish(kb);
}

/** The first page of every type, by the type that the page itself names. */
function pageOfEachType() {
  const types = new Map();
  for (const file of pages()) {
    const type = /data-page="([^"]+)"/.exec(fs.readFileSync(path.join(root, file), "utf8"))?.[1] || "?";
    if (!types.has(type) && !file.startsWith("es/")) types.set(type, file);
  }
  return types;
}

const launch = () => chromium.launch({
  executablePath: process.env.BAYBOOK_CHROMIUM || "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"],
});

const types = { ".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".json": "application/json", ".woff2": "font/woff2", ".webmanifest": "application/manifest+json", ".xml": "application/xml" };

/** Serves the site, or another folder, below a sub-path on loopback. @param {string} prefix */
function serve(prefix, folder = root) {
  const server = http.createServer((request, response) => {
    const url = decodeURIComponent((request.url || "").split("?")[0] || "");
    const file = path.join(folder, url.startsWith(prefix) ? url.slice(prefix.length) || "index.html" : "\0");
    if (!file.startsWith(folder) || file.includes("\0") || !fs.existsSync(file) || fs.statSync(file).isDirectory()) {
      response.writeHead(404).end();
      return;
    }
    response.writeHead(200, { "content-type": types[path.extname(file)] || "application/octet-stream" });
    fs.createReadStream(file).pipe(response);
  });
  // A kept connection that the server closes while the browser writes to it would count as a fault of the site.
  server.keepAliveTimeout = 60_000;
  // A test that fails leaves its server behind; that must not keep the run from ending.
  server.unref();
  return new Promise((resolve) => server.listen(0, "127.0.0.1", () => resolve({ server, base: `http://127.0.0.1:${server.address().port}${prefix}` })));
}

module.exports = { repository, program, root, publish, smallSite, pages, pagesOf, validate, fromFolder, pageOfEachType, launch, serve };
