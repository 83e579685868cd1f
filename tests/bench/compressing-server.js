"use strict";
// Serves a folder on loopback as web servers commonly do: compressed, with a media type, kept for an hour.
const fs = require("node:fs");
const http = require("node:http");
const path = require("node:path");
const zlib = require("node:zlib");

const types = { ".html": "text/html; charset=utf-8", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".json": "application/json", ".woff2": "font/woff2", ".webmanifest": "application/manifest+json", ".xml": "application/xml" };

/** @param {string} folder @returns {Promise<{server: import("node:http").Server, base: string}>} */
function serve(folder) {
  const server = http.createServer((request, response) => {
    const file = path.join(folder, decodeURIComponent((request.url || "/").split("?")[0] || "/").replace(/\/$/, "/index.html"));
    if (!file.startsWith(folder) || !fs.existsSync(file) || fs.statSync(file).isDirectory()) {
      response.writeHead(404).end();
      return;
    }
    const ending = path.extname(file);
    const head = { "content-type": types[ending] || "application/octet-stream", "cache-control": "max-age=3600" };
    const bytes = fs.readFileSync(file);
    if (ending === ".woff2") response.writeHead(200, head).end(bytes);
    else response.writeHead(200, { ...head, "content-encoding": "gzip" }).end(zlib.gzipSync(bytes));
  });
  return new Promise((resolve) => server.listen(0, "127.0.0.1", () => {
    const address = server.address();
    resolve({ server, base: `http://127.0.0.1:${address && typeof address === "object" ? address.port : 0}/` });
  }));
}

if (require.main === module) serve(path.resolve(process.argv[2] || "site-out")).then(({ base }) => console.log(base));

module.exports = { serve };
