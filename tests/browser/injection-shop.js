"use strict";
// A shop whose every text field holds hostile texts. A field of one line holds eight of them, so that thirty entries
// of each kind show them all.
const { execFileSync } = require("node:child_process");
const fs = require("node:fs");
const path = require("node:path");
const { program } = require("./site.js");

const TOGETHER = 8;
const BETWEEN = " \u00b7 ";

/** A text as YAML writes it: JSON's quotes are YAML's. */
const quoted = (text) => JSON.stringify(text).replace(/[\u007f-\u009f\u2028\u2029\ufeff]/g, (it) => `\\u${it.charCodeAt(0).toString(16).padStart(4, "0")}`);

/** Eight texts a time. */
function packs(texts) {
  const packs = [];
  for (let at = 0; at < texts.length; at += TOGETHER) packs.push(texts.slice(at, at + TOGETHER));
  return packs;
}

function write(kb, file, lines) {
  fs.mkdirSync(path.dirname(path.join(kb, file)), { recursive: true });
  fs.writeFileSync(path.join(kb, file), lines.flat().join("\n") + "\n");
}

/** What every entry may say of itself. @param {string[]} pack */
const common = (pack) => [
  `title: ${quoted(pack.join(BETWEEN))}`,
  `author: ${quoted(pack.join(BETWEEN))}`,
  "source:",
  ...pack.map((text) => `  - {name: ${quoted(text)}, locator: ${quoted(text)}}`),
];

/** A body: every text as a paragraph, a heading, a cell, a row of a list, a picture's words, a link's words, code. */
const body = (pack) => ["---", ...pack.flatMap((text) => [text, "", `## ${text}`, "", `- ${text}`, "", `| a | b |`, "|---|:-:|", `| ${text} | x |`, "", `![${text}](../media/x.svg)`, "", `[${text}](../guides/g0.md)`, "", "```yaml", `x: ${text}`, "```", ""])];

/** Writes the shop. @param {string} kb @param {{plain: string[], marked: string[], bodies: string[]}} texts */
function writeShop(kb, texts) {
  const plain = packs(texts.plain);
  const marked = packs(texts.marked);
  const bodies = packs(texts.bodies);
  const markedOf = (at) => marked[at % marked.length].join(BETWEEN);
  write(kb, "shop.yaml", [`name: ${quoted(plain[0].join(BETWEEN))}`, "languages: [en]", `local_rules: ${quoted(texts.plain.join(BETWEEN))}`]);
  write(kb, "vehicles.yaml", ["lines:", ...plain.map((pack, at) => `  l${at}: {name: ${quoted(pack.join(BETWEEN))}, years: 2016-2024, options: {drive: {front: ${quoted(pack.join(BETWEEN))}, all: x}}}`)]);
  write(kb, "words.yaml", plain.map((pack, at) => `${quoted(`w${at} ${pack.join(BETWEEN)}`)}: {means: ${quoted(pack.join(BETWEEN))}, heard_as: [${pack.map(quoted).join(", ")}], see: [guides/g0]}`));
  write(kb, "cautions.yaml", plain.map((_, at) => `c${at}: {signal: warning, text: ${quoted(markedOf(at))}}`));
  write(kb, "media/x.svg", ['<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"></svg>']);
  plain.forEach((pack, at) => {
    const at2 = bodies[at % bodies.length];
    const say = quoted(markedOf(at));
    write(kb, `symptoms/s${at}.md`, ["---", common(pack), "senses: [hear]", "heard_as:", pack.map((text) => `  - ${quoted(text)}`), body(at2)]);
    write(kb, `checks/k${at}.md`, ["---", common(pack), `ask: ${quoted(pack.join(BETWEEN))}`, "where: counter", "minutes: 1", `hazards: [c${at}]`, `tools: [${pack.map(quoted).join(", ")}]`, "answers:", pack.map((text, rank) => `  a${rank}: ${quoted(text)}`), body(at2)]);
    write(kb, `checks/b${at}.md`, ["---", common(pack), "where: bay", "minutes: 1", `hazards: [c${at}]`, `measures: {quantity: ${quoted(pack.join(BETWEEN))}, unit: mm, from: 0, to: 9}`, "bands: {low: < 3, high: '>= 3'}", body(at2)]);
    const evidence = (answer, other) => ["accounts_for:", `  - {symptom: s${at}, prior: 1, evidence: {k${at}: {a0: ${answer}, a1: ${other}}}}`];
    write(kb, `conditions/c${at}.md`, ["---", common(pack), "hazard: do-not-drive", evidence(0.02, 0.9), `confirm: {b${at}: high}`, `ruled_out_by: {k${at}: a0}`, `alarm: {k${at}: a1}`, `remedy: ${say}`, body(at2)]);
    write(kb, `characteristics/n${at}.md`, ["---", common(pack), evidence(0.9, 0.02), `because: ${say}`, `show: ${say}`, `leave_alone: ${say}`, `only_if: {k${at}: a0}`, "tell:", `  brief: ${say}`, `  plain: ${say}`, `  full: ${say}`, body(at2)]);
    write(kb, `systems/y${at}.md`, ["---", common(pack), "changes:", `  - {from: 2020, line: l${at}, text: ${say}}`, body(at2)]);
    write(kb, `guides/g${at}.md`, ["---", common(pack), body(at2)]);
  });
}

/** The errors of a folder's proof. @returns {{mark: string, file: string, line: number, message: string}[]} */
function errors(kb) {
  let report;
  try {
    report = execFileSync(program, ["proof", "--kb", kb, "--report", "json", "--today", "2026-11-25"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1 << 28 });
  } catch (failed) {
    report = failed.stdout;
  }
  return JSON.parse(report).marks.filter((it) => it.severity === "error");
}

/** Which texts a place refuses, each tried in a guide of its own. @param {(text: string) => string[]} guide */
function refused(folder, texts, guide) {
  const kb = path.join(folder, "kb");
  write(kb, "shop.yaml", ["name: Shop", "languages: [en]"]);
  write(kb, "vehicles.yaml", ["lines:", "  l0: {name: Line, years: 2016-2024}"]);
  write(kb, "words.yaml", ["{}"]);
  write(kb, "media/x.svg", ['<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"></svg>']);
  texts.forEach((text, at) => write(kb, `guides/g${at}.md`, guide(text)));
  return new Set(errors(kb).map((it) => texts[Number(/g(\d+)\.md$/.exec(it.file)?.[1])]));
}

module.exports = { BETWEEN, body, common, errors, quoted, refused, writeShop };
