"use strict";
// The site under test, a browser, and one page of every type.
const fs = require("node:fs");
const http = require("node:http");
const path = require("node:path");
const { pathToFileURL } = require("node:url");
const { chromium } = require("playwright-core");

const repository = path.resolve(__dirname, "../..");
const root = path.resolve(process.env.BAYBOOK_SITE || path.join(__dirname, "../../site-out"));

/** Every page, by its path inside the site. */
function pages() {
  return fs.readdirSync(root, { recursive: true }).map(String).filter((file) => file.endsWith(".html")).sort();
}

/** The page of that path as it opens from a folder. @param {string} file */
const fromFolder = (file) => pathToFileURL(path.join(root, file)).href;

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
  return new Promise((resolve) => server.listen(0, "127.0.0.1", () => resolve({ server, base: `http://127.0.0.1:${server.address().port}${prefix}` })));
}

module.exports = { repository, root, pages, fromFolder, pageOfEachType, launch, serve };
