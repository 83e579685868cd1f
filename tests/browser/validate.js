"use strict";
// A worker that checks pages against the rules of HTML.
const fs = require("node:fs");
const path = require("node:path");
const { parentPort, workerData } = require("node:worker_threads");
const { HtmlValidate, StaticConfigLoader } = require("html-validate");

(async () => {
  const { root, files, config } = workerData;
  const validator = new HtmlValidate(new StaticConfigLoader(config));
  const faults = [];
  for (const file of files) {
    const report = await validator.validateString(fs.readFileSync(path.join(root, file), "utf8"));
    for (const result of report.results) {
      for (const message of result.messages) faults.push(`${file}:${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
    }
  }
  parentPort?.postMessage(faults);
})();
