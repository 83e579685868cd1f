"use strict";
// Runs the page's own arithmetic on data from the test, and prints what it makes of each sequence of answers.
const fs = require("node:fs");
const vm = require("node:vm");

const [engineFile, dataFile] = process.argv.slice(2);
const window = {};
vm.runInNewContext(fs.readFileSync(engineFile, "utf8"), { window, Map, Array, Math, Infinity, Number });
const engine = window.baybookFlowEngine;
const results = JSON.parse(fs.readFileSync(dataFile, "utf8")).map(({ variant, sequences }) =>
  sequences.map((sequence) => {
    const answers = new Map(sequence);
    const { ask, outcome } = engine.walk(variant, answers);
    const leads = outcome ? outcome.leads : [];
    const plan = outcome && outcome.verdict === "book-in" ? engine.bayPlan(variant, answers, leads) : [];
    return {
      ranking: engine.ranking(variant, answers).map(({ at }) => at),
      chances: engine.chances(variant, answers),
      ask,
      verdict: outcome ? [outcome.verdict, outcome.entry, outcome.step] : null,
      leads,
      plan: plan.map(({ check, lead }) => [check, lead]),
    };
  }),
);
process.stdout.write(JSON.stringify(results));
