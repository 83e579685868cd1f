"use strict";
// A decision flow, walked one question at a time: shows what flow-engine.js works out, and keeps the answers in the
// address so that a colleague can go on from there.
(function () {
  /**
   * @typedef {[number, number]} Given a check and an answer, by position
   * @typedef {{key: string, id: string, kind: string, hazard: string, weight: number, rows: number[][], out: Given[], alarm: Given[], only: Given[][], not: Given[], confirm: [number, string][]}} Candidate
   * @typedef {{id: string, answers: string[], drives: boolean}} Check
   * @typedef {{check?: number, next?: (number | null)[], saved?: [number, number] | null, rules?: number[], alarms?: number[], verdict?: string, entry?: number | null, leads?: number[], settled?: number | null, changes?: {answers: Given[], verdict: string, told: string}[]}} Step
   * @typedef {{id: string, hand: boolean, candidates: Candidate[], checks: Check[], bay: {id: string, minutes: number}[], start: number | null, steps: Step[]}} Variant
   * @typedef {{ask: string, title: string, answers: string[]}} CheckText
   * @typedef {{symptom: string, words: Record<string, string>, checks: Record<string, CheckText>, bay: Record<string, string>, candidates: Record<string, string>, variants: Variant[]}} FlowData
   * @typedef {Map<number, number>} Answers by check, in the order given
   * @typedef {{verdict: string, entry: number | null, leads: number[], step: number | null}} Outcome
   * @typedef {{check: number, lead: number, minutes: number, chance: number, cumulative: number}} BayRow
   * @typedef {{leader: Candidate, runnerUp: Candidate, rows: {check: number, answer: number, ratio: number}[]}} Balance
   * @typedef {object} Engine what flow-engine.js lends
   * @property {(variant: Variant, answers: Answers) => {at: number, chance: number}[]} ranking
   * @property {(variant: Variant, answers: Answers) => {ask: number | null, outcome: Outcome | null}} walk
   * @property {(variant: Variant, answers: Answers, leads: number[]) => BayRow[]} bayPlan
   * @property {(variant: Variant, answers: Answers) => Balance | null} balance
   * @property {(answers: Answers, wanted: Given[]) => boolean} given
   * @property {(variant: Variant, answers: Answers) => number[]} notRuledOut
   * @property {(variant: Variant, wanted: number) => Answers | null} wayTo
   * @typedef {object} Say what flow-say.js lends
   * @property {(key: string) => string} word
   * @property {(chance: number) => string} percent
   * @property {(variant: Variant, check: number) => CheckText | undefined} textOf
   * @property {(variant: Variant, check: number, answer: number) => string} answerText
   * @property {(variant: Variant, check: number) => string} askText
   * @property {(variant: Variant, at: number | null) => string} candidateText
   * @property {(key: string, values: Record<string, string>) => string} fill
   * @typedef {object} Verdicts what flow-verdict.js lends
   * @property {(step: HTMLElement, variant: Variant, answers: Answers, outcome: Outcome) => void} refresh
   * @property {(variant: Variant, answers: Answers, outcome: Outcome, isNow: boolean) => HTMLElement} forcedStep
   * @property {(row: HTMLElement) => string} keyOf
   * @typedef {object} Parts what site.js lends
   * @property {(selector: string, within?: ParentNode) => HTMLElement[]} all
   * @property {<K extends keyof HTMLElementTagNameMap>(tag: K, cls?: string, text?: string) => HTMLElementTagNameMap[K]} make
   * @property {(name: string) => SVGSVGElement} icon
   */

  const view = /** @type {Window & {baybookFlow?: FlowData, baybookFlowEngine?: Engine, baybookFlowSay?: Say, baybookFlowVerdict?: Verdicts, baybookParts?: Parts}} */ (window);
  if (!view.baybookFlow || !view.baybookFlowEngine || !view.baybookFlowSay || !view.baybookFlowVerdict || !view.baybookParts) return;
  const doc = document;
  const flow = view.baybookFlow;
  const { ranking, walk, bayPlan, balance, given, notRuledOut, wayTo } = view.baybookFlowEngine;
  const { word, percent, textOf, answerText, askText, candidateText, fill } = view.baybookFlowSay;
  const { refresh, forcedStep, keyOf } = view.baybookFlowVerdict;
  const { all, make, icon } = view.baybookParts;
  /** @type {Answers} */
  let answers = new Map();
  let shown = 0;
  /** Whether the given answers are unfolded: as the reader left them. */
  let givenOpen = false;
  const begun = new Date();

  const sections = all("[data-variant]");

  // ---- The address: #at/VARIANT/check=answer/…, or a step as the page without scripts names it --

  function address() {
    const variant = flow.variants[shown];
    if (!variant) return "";
    const parts = Array.from(answers).map(([check, answer]) => {
      const it = variant.checks[check];
      return it ? it.id + "=" + (it.answers[answer] || "not-sure") : "";
    });
    return ["#at", variant.id].concat(parts).join("/");
  }

  /** Reads the address; false if it is not one of this script's. */
  function readAddress() {
    return readAnswers() || readStep();
  }

  /** `#v1-12` is the twelfth step of the first flow: answers that lead there are taken as given. */
  function readStep() {
    const [, id, number] = /^#(v\d+)-(\d+)$/.exec(location.hash) || [];
    const found = flow.variants.findIndex((it) => it.id === id);
    const variant = flow.variants[found];
    const way = variant && wayTo(variant, Number(number) - 1);
    if (!way) return false;
    [shown, answers] = [found, way];
    history.replaceState(null, "", address());
    return true;
  }

  function readAnswers() {
    const [at, id, ...parts] = decodeURIComponent(location.hash).split("/");
    const found = at === "#at" ? flow.variants.findIndex((it) => it.id === id) : -1;
    const variant = flow.variants[found];
    if (!variant) return false;
    shown = found;
    answers = new Map();
    for (const part of parts) {
      const [check, answer] = part.split("=");
      const position = variant.checks.findIndex((it) => it.id === check);
      const its = variant.checks[position];
      if (!its) continue;
      const chosen = answer === "not-sure" ? its.answers.length : its.answers.indexOf(answer || "");
      if (chosen >= 0) answers.set(position, chosen);
    }
    return true;
  }

  /** Takes a step that the browser's back button undoes. @param {Answers} next */
  function go(next) {
    answers = next;
    history.pushState(null, "", address());
    show();
    nowStep()?.focus();
  }

  /** The question or verdict that is shown. */
  const nowStep = () => all("[data-variant]:not([hidden]) [data-now]")[0];

  /** @param {Variant} variant @param {string} check @param {string} answer */
  function answered(variant, check, answer) {
    const position = variant.checks.findIndex((it) => it.id === check);
    const its = variant.checks[position];
    if (!its) return;
    const next = new Map(answers);
    next.set(position, answer === "not-sure" ? its.answers.length : its.answers.indexOf(answer));
    go(next);
  }

  // ---- Showing --------------------------------------------------------------------------------

  function show() {
    const variant = flow.variants[shown];
    sections.forEach((section) => (section.hidden = section.dataset.variant !== variant?.id));
    for (const link of all(".variants a")) {
      const its = (link.getAttribute("href") || "").slice(1) === variant?.id;
      if (its) link.setAttribute("aria-current", "true");
      else link.removeAttribute("aria-current");
    }
    const section = sections.find((it) => it.dataset.variant === variant?.id);
    if (!variant || !section) return;
    const { ask, outcome } = walk(variant, answers);
    all("[data-flow]").forEach((page) => page.toggleAttribute("data-answered", answers.size > 0));
    showKeyTag(section);
    showStep(section, variant, ask, outcome);
    showTrail(section, variant, outcome);
    showChances(section, variant);
    showGates(section, variant);
    showWhy(section, variant, ask, outcome);
    showWriteUp(section, variant, outcome);
  }

  /** Without a chosen vehicle the tag in the frame says for which vehicles these questions are. @param {HTMLElement} section */
  function showKeyTag(section) {
    const which = all("h2.which", section)[0]?.textContent || "";
    for (const tag of flow.variants.length > 1 ? all("[data-vehicle]:not(.set) [data-vehicle-text]") : []) tag.textContent = which;
  }

  /** @param {HTMLElement} section @param {Variant} variant @param {number | null} ask @param {Outcome | null} outcome */
  function showStep(section, variant, ask, outcome) {
    all("[data-flow-forced]", section).forEach((it) => it.remove());
    const current = outcome?.step ?? ask;
    for (const step of all("[data-step]", section)) {
      const isNow = Number(step.dataset.step) - 1 === current;
      step.hidden = !isNow;
      step.toggleAttribute("data-now", isNow);
      step.tabIndex = -1;
      if (isNow && outcome && outcome.step !== null) refresh(step, variant, answers, outcome);
    }
    if (outcome && outcome.step === null) all(".steps", section)[0]?.prepend(forcedStep(variant, answers, outcome, ask === null));
  }

  /** What was answered so far; each can be taken back. @param {HTMLElement} section @param {Variant} variant @param {Outcome | null} outcome */
  function showTrail(section, variant, outcome) {
    const trail = all("[data-flow-trail]", section)[0];
    if (!trail) return;
    trail.hidden = false;
    const list = Array.from(answers);
    const last = list[list.length - 1];
    const acts = make("p", "acts");
    acts.append(button(word("back"), () => go(new Map(list.slice(0, -1))), !last));
    // A published verdict has a link of its own that starts again.
    if (!outcome || outcome.step === null) acts.append(button(word("start_again"), () => go(new Map()), !last));
    trail.replaceChildren(acts);
    if (last) trail.append(givenAnswers(variant, list));
    trail.append(volunteer(variant));
  }

  /** @param {Variant} variant @param {[number, number][]} list */
  function givenAnswers(variant, list) {
    const box = make("details", "given");
    const rows = make("ul", "chips");
    box.open = givenOpen;
    box.addEventListener("toggle", () => (givenOpen = box.open));
    box.append(make("summary", "", word("your_answers") + ": " + list.length), rows);
    for (const [check, answer] of list) {
      const row = make("li");
      const chip = button(askText(variant, check) + " " + answerText(variant, check, answer), () => {
        const next = new Map(answers);
        next.delete(check);
        go(next);
      });
      chip.classList.add("chip");
      chip.title = word("take_back");
      chip.append(icon("close"));
      row.append(chip);
      rows.append(row);
    }
    return box;
  }

  /** @param {string} text @param {() => void} act @param {boolean} [off] */
  function button(text, act, off) {
    const it = make("button", "act", text);
    it.type = "button";
    it.disabled = off === true;
    it.addEventListener("click", act);
    return it;
  }

  /** Facts that the customer told unasked, in any order. @param {Variant} variant */
  function volunteer(variant) {
    const box = make("details", "volunteer");
    const list = make("ul", "picks");
    box.append(make("summary", "", word("volunteered")), list);
    variant.checks.forEach((check, at) => {
      if (answers.has(at)) return;
      const row = make("li");
      const choice = make("select");
      const label = make("label", "", askText(variant, at) + " ");
      choice.append(new Option("", ""));
      check.answers.forEach((id, answer) => choice.append(new Option(answerText(variant, at, answer), id)));
      choice.addEventListener("change", () => choice.value && answered(variant, check.id, choice.value));
      label.append(choice);
      row.append(label);
      list.append(row);
    });
    return box;
  }

  /** @param {HTMLElement} section @param {Variant} variant */
  function showChances(section, variant) {
    for (const list of all("[data-flow-chances] ol.chances", section)) fillChances(list, variant);
    for (const note of all("[data-flow-chances] > .small", section)) note.hidden = answers.size > 0;
  }

  /** Orders the rows anew and moves their bars. @param {HTMLElement} list @param {Variant} variant */
  function fillChances(list, variant) {
    const rows = new Map(all(":scope > li", list).map((row) => [keyOf(row), row]));
    for (const { at, chance } of ranking(variant, answers)) {
      const row = rows.get(variant.candidates[at]?.key || "");
      const fill = row?.querySelector(".fill");
      const text = row?.querySelector(".pc");
      if (!row || !fill || !text) continue;
      fill.setAttribute("width", (chance * 100).toFixed(2));
      text.textContent = percent(chance);
      list.append(row);
    }
  }

  /** @param {HTMLElement} section @param {Variant} variant */
  function showGates(section, variant) {
    const open = new Set(notRuledOut(variant, answers).map((at) => variant.candidates[at]?.id));
    for (const gate of all("[data-gate]", section)) {
      const isOpen = open.has(gate.dataset.gate);
      gate.classList.toggle("is-open", isOpen);
      gate.classList.toggle("is-shut", !isOpen);
      let said = gate.querySelector(".gate-state");
      if (!said) gate.append((said = make("span", "gate-state vh")));
      said.textContent = word(isOpen ? "gate_open" : "gate_shut");
    }
  }

  /** @param {HTMLElement} section @param {Variant} variant @param {number | null} ask @param {Outcome | null} outcome */
  function showWhy(section, variant, ask, outcome) {
    const part = all("[data-flow-why]", section)[0];
    const body = part && all(":scope > div", part)[0];
    if (!part || !body) return;
    const told = [];
    const step = ask === null ? undefined : variant.steps[ask];
    if (step) {
      const rules = (step.rules || []).filter((at) => !given(answers, variant.candidates[at]?.out || []));
      if (rules.length > 0) told.push(word("why_rules_out") + " " + rules.map((at) => candidateText(variant, at)).join(", ") + ".");
      const [minutes, other] = step.saved || [0, 0];
      if (minutes >= 0.05) {
        told.push(fill("why_saves", { minutes: minutes.toFixed(1), other: textOf(variant, other)?.title || "" }));
      }
    }
    const ended = outcome && outcome.step !== null ? variant.steps[outcome.step] : undefined;
    if (ended && typeof ended.settled === "number") told.push(fill("settled", { chance: percent(ended.settled) }));
    body.replaceChildren(...told.map((text) => make("p", "", text)));
    const pair = balance(variant, answers);
    if (pair && pair.rows.some((row) => row.ratio !== 1)) body.append(...weighed(variant, pair));
    if (ended && (ended.changes || []).length > 0) {
      const list = make("ul");
      for (const change of ended.changes || []) {
        const what = change.answers.map(([check, answer]) => askText(variant, check) + " " + answerText(variant, check, answer));
        list.append(make("li", "", what.join(" + ") + " → " + word("verdict_" + change.verdict)));
      }
      body.append(make("h4", "", word("would_change")), list);
    }
    part.hidden = body.childElementCount === 0;
    for (const title of all(":scope > h3", part)) title.textContent = word(step && !outcome ? "why_this" : "why_verdict");
  }

  /** @param {Variant} variant @param {Balance} pair */
  function weighed(variant, pair) {
    const names = { leader: flow.candidates[pair.leader.key] || word("other_cause"), other: flow.candidates[pair.runnerUp.key] || word("other_cause") };
    const list = make("ul", "weighed");
    for (const { check, answer, ratio } of pair.rows) {
      if (ratio === 1) continue;
      const times = ratio > 1 ? ratio : 1 / ratio;
      const shownTimes = Number.isFinite(times) ? times.toFixed(times < 10 ? 1 : 0) : "∞";
      const what = askText(variant, check) + " " + answerText(variant, check, answer) + ": ";
      list.append(make("li", ratio > 1 ? "for" : "against", what + fill(ratio > 1 ? "times_for" : "times_against", { times: shownTimes })));
    }
    return [make("h4", "", fill("weighed", names)), list];
  }

  // ---- The write-up -----------------------------------------------------------------------------

  /** @param {HTMLElement} section @param {Variant} variant @param {Outcome | null} outcome */
  function showWriteUp(section, variant, outcome) {
    const rows = all("[data-asked]", section);
    for (const row of rows) {
      const check = variant.checks.findIndex((it) => it.id === row.dataset.asked);
      const answer = answers.get(check);
      row.hidden = answer === undefined;
      all("li", row).forEach((choice, at) => choice.classList.toggle("is-given", at === answer));
    }
    // In the order in which they were answered.
    for (const check of answers.keys()) {
      const row = rows.find((it) => it.dataset.asked === variant.checks[check]?.id);
      row?.parentElement?.append(row);
    }
    const verdict = all("[data-flow-verdict]", section)[0];
    if (verdict) verdict.textContent = outcome ? verdictText(variant, outcome) : "";
    for (const copy of all("[data-flow-copy]", section)) copy.hidden = false;
  }

  /** @param {Variant} variant @param {Outcome} outcome */
  function verdictText(variant, outcome) {
    const what = outcome.verdict === "explain" ? [outcome.entry] : outcome.leads;
    const names = what.map((at) => candidateText(variant, at));
    return word("verdict_" + outcome.verdict) + (names.length > 0 ? ": " + names.join(", ") : "");
  }

  function writeUp() {
    const variant = flow.variants[shown];
    if (!variant) return "";
    const { outcome } = walk(variant, answers);
    /** @param {Date} time */
    const clock = (time) => time.toLocaleString(doc.documentElement.lang, { dateStyle: "short", timeStyle: "short" });
    const vehicle = doc.querySelector("[data-vehicle-text]");
    const lines = [
      word("customers_words") + ": " + (doc.querySelector(".flow h1")?.textContent || ""),
      word("vehicle") + ": " + (vehicle?.textContent || ""),
      word("time") + ": " + clock(begun) + " – " + clock(new Date()),
      "",
      ...Array.from(answers).map(([check, answer]) => askText(variant, check) + " " + answerText(variant, check, answer)),
      "",
      word("verdict") + ": " + (outcome ? verdictText(variant, outcome) : "–"),
    ];
    const plan = outcome && outcome.verdict === "book-in" ? bayPlan(variant, answers, outcome.leads) : [];
    if (plan.length > 0) lines.push(word("bay_plan") + ":");
    for (const row of plan) {
      lines.push("- " + (flow.bay[variant.bay[row.check]?.id || ""] || "") + " (" + candidateText(variant, row.lead) + ", " + percent(row.chance) + ")");
    }
    return lines.concat(location.href).join("\n");
  }

  /** Copies the write-up; where that is not allowed, shows it selected. @param {HTMLElement} copy */
  function offerCopy(copy) {
    copy.addEventListener("click", () => {
      const text = writeUp();
      const shownText = () => {
        const area = make("textarea", "copied");
        area.value = text;
        area.rows = 10;
        area.setAttribute("aria-label", word("write_up"));
        copy.after(area);
        area.select();
      };
      if (navigator.clipboard) navigator.clipboard.writeText(text).then(() => (copy.textContent = word("copied")), shownText);
      else shownText();
    });
  }

  // ---- Starting -----------------------------------------------------------------------------------
  /** The first variant that the chosen vehicle does not rule out; site.js says which do not fit. */
  function chooseVariant() {
    const fitting = sections.findIndex((section) => !section.classList.contains("not-yours"));
    const id = sections[Math.max(0, fitting)]?.dataset.variant;
    const found = flow.variants.findIndex((it) => it.id === id);
    if (found < 0 || found === shown) return;
    shown = found;
    answers = new Map();
  }

  function listen() {
    for (const pick of all(".picks a[data-answer]")) {
      pick.addEventListener("click", (event) => {
        const variant = flow.variants[shown];
        const step = pick.closest("[data-check]");
        event.preventDefault();
        if (variant && step instanceof HTMLElement) answered(variant, step.dataset.check || "", pick.dataset.answer || "");
      });
    }
    for (const again of all("[data-flow-restart]")) {
      again.addEventListener("click", (event) => {
        event.preventDefault();
        go(new Map());
      });
    }
    for (const link of all(".variants a")) {
      link.addEventListener("click", (event) => {
        event.preventDefault();
        shown = Math.max(0, flow.variants.findIndex((it) => "#" + it.id === link.getAttribute("href")));
        go(new Map());
      });
    }
    all("[data-flow-copy]").forEach(offerCopy);
    doc.addEventListener("baybook-vehicle", () => {
      const before = shown;
      chooseVariant();
      if (before !== shown) go(new Map());
      else show();
    });
    window.addEventListener("popstate", () => {
      if (readAddress()) {
        show();
        nowStep()?.scrollIntoView({ block: "nearest" });
      } else if (location.hash === "") {
        answers = new Map();
        show();
      } else {
        // A link to a part of this page: the browser is there already, and the answers stay in the address.
        history.replaceState(null, "", address());
      }
    });
  }

  if (!readAddress()) chooseVariant();
  listen();
  show();
  all("[data-flow]").forEach((page) => (page.dataset.ready = ""));
})();
