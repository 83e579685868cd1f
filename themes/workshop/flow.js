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
   * @typedef {{leader: Candidate, runnerUp: Candidate, rows: {check: number, answer: number, ratio: number}[]}} Balance
   * @typedef {object} Engine what flow-engine.js lends
   * @property {(variant: Variant, answers: Answers) => {at: number, chance: number}[]} ranking
   * @property {(variant: Variant, answers: Answers) => {ask: number | null, outcome: Outcome | null}} walk
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
   * @typedef {object} Groups what flow-group.js lends
   * @property {HTMLElement[]} sections
   * @property {(picked: number) => number} holding
   * @property {() => boolean} mayPick
   * @property {(shown: number, left: number) => void} show
   * @typedef {object} WriteUps what flow-writeup.js lends
   * @property {(section: HTMLElement, variant: Variant, answers: Answers, outcome: Outcome | null) => void} showWriteUp
   * @property {(copy: HTMLElement, now: () => {variant: Variant | undefined, answers: Answers}) => void} offerCopy
   */

  const view = /** @type {Window & {baybookFlow?: FlowData, baybookFlowEngine?: Engine, baybookFlowSay?: Say, baybookFlowVerdict?: Verdicts, baybookFlowGroup?: Groups, baybookFlowWriteUp?: WriteUps, baybookParts?: Parts}} */ (window);
  if (!view.baybookFlow || !view.baybookFlowEngine || !view.baybookFlowSay || !view.baybookFlowVerdict || !view.baybookParts) return;
  if (!view.baybookFlowGroup || !view.baybookFlowWriteUp) return;
  const doc = document;
  const flow = view.baybookFlow;
  const { ranking, walk, balance, given, notRuledOut, wayTo } = view.baybookFlowEngine;
  const { word, percent, textOf, answerText, askText, candidateText, fill } = view.baybookFlowSay;
  const { refresh, forcedStep, keyOf } = view.baybookFlowVerdict;
  const { sections, holding, mayPick, show: showGroup } = view.baybookFlowGroup;
  const { showWriteUp, offerCopy } = view.baybookFlowWriteUp;
  const { all, make, icon } = view.baybookParts;
  /** @type {Answers} */
  let answers = new Map();
  /** The group whose questions are asked; -1 while it is not certain which. */
  let shown = -1;
  /** The group that the reader or the address named, and one whose answers were let go; or -1. */
  let picked = -1;
  let left = -1;
  /** What is unfolded: as the reader left it. */
  let givenOpen = false;
  let toldOpen = false;

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

  /** The whole address; of this page alone while no group holds. */
  const here = () => address() || location.pathname + location.search;

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
    take(found, way);
    history.replaceState(null, "", address());
    return true;
  }

  function readAnswers() {
    const [at, id, ...parts] = decodeURIComponent(location.hash).split("/");
    const found = at === "#at" ? flow.variants.findIndex((it) => it.id === id) : -1;
    const variant = flow.variants[found];
    if (!variant) return false;
    /** @type {Answers} */
    const read = new Map();
    for (const part of parts) {
      const [check, answer] = part.split("=");
      const position = variant.checks.findIndex((it) => it.id === check);
      const its = variant.checks[position];
      if (!its) continue;
      const chosen = answer === "not-sure" ? its.answers.length : its.answers.indexOf(answer || "");
      if (chosen >= 0) read.set(position, chosen);
    }
    take(found, read);
    return true;
  }

  /** Takes a group, or none, and answers. Those of a group that the chosen vehicle is not of are let go. @param {number} group @param {Answers} next */
  function take(group, next) {
    [picked, shown, answers, left] = [group, group, next, -1];
    settle();
  }

  /** Keeps to the group that holds for the chosen vehicle. */
  function settle() {
    const group = holding(picked);
    if (group === shown) return;
    left = answers.size > 0 ? shown : -1;
    [shown, answers] = [group, new Map()];
  }

  /** Takes a step that the browser's back button undoes. @param {Answers} next */
  function go(next) {
    answers = next;
    left = -1;
    push();
  }

  function push() {
    history.pushState(null, "", here());
    show();
    toNow();
  }

  /** From the first question again, of whatever vehicle: the next customer comes with another one. */
  function startAgain() {
    take(-1, new Map());
    push();
  }

  /** The question or verdict that is shown; before them which vehicle it is, or that there are none for it. */
  const nowStep = () => all("[data-variant]:not([hidden]) [data-now]")[0] || all("[data-flow-which]:not([hidden]), [data-flow-note]:not([hidden])").pop();

  /** The focus goes where one reads on, and that is in sight. */
  function toNow() {
    const now = nowStep();
    if (!now) return;
    now.focus({ preventScroll: true });
    const { top } = now.getBoundingClientRect();
    if (top < 0 || top > window.innerHeight / 2) now.scrollIntoView({ block: "start" });
  }

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
    const section = sections[shown];
    showGroup(shown, left);
    all("[data-flow]").forEach((page) => page.toggleAttribute("data-answered", answers.size > 0));
    if (!variant || !section) return;
    const { ask, outcome } = walk(variant, answers);
    showStep(section, variant, ask, outcome);
    showTrail(section, variant, outcome);
    showChances(section, variant);
    showGates(section, variant);
    showWhy(section, variant, ask, outcome);
    showWriteUp(section, variant, answers, outcome);
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
      step.setAttribute("aria-label", step.querySelector("h3")?.textContent || "");
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
    const first = !last && !mayPick();
    acts.append(button(word("back"), () => (last ? go(new Map(list.slice(0, -1))) : startAgain()), first));
    // A published verdict has a link of its own that starts again.
    if (!outcome || outcome.step === null) acts.append(button(word("start_again"), startAgain, first));
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

  /** Facts that the customer told unasked, in any order. Nothing is taken before it is pressed. @param {Variant} variant */
  function volunteer(variant) {
    const box = make("details", "volunteer");
    const list = make("ul", "facts");
    box.open = toldOpen;
    box.addEventListener("toggle", () => (toldOpen = box.open));
    box.append(make("summary", "", word("volunteered")), list);
    variant.checks.forEach((check, at) => {
      if (!answers.has(at)) list.append(fact(variant, check, at));
    });
    return box;
  }

  /** A question that was not asked yet, with its answers to press. @param {Variant} variant @param {Check} check @param {number} at */
  function fact(variant, check, at) {
    const row = make("li");
    const choices = make("p", "acts");
    const ask = make("p", "", askText(variant, at));
    ask.id = variant.id + "-told-" + check.id;
    choices.setAttribute("role", "group");
    choices.setAttribute("aria-labelledby", ask.id);
    check.answers.forEach((id, answer) => {
      const choice = button(answerText(variant, at, answer), () => answered(variant, check.id, id));
      choice.dataset.told = check.id + "=" + id;
      choices.append(choice);
    });
    row.append(ask, choices);
    return row;
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

  // ---- Starting -----------------------------------------------------------------------------------

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
        startAgain();
      });
    }
    listenToGroups();
    for (const copy of all("[data-flow-copy]")) offerCopy(copy, () => ({ variant: flow.variants[shown], answers }));
    window.addEventListener("popstate", readBack);
    // The browser would put the page back to where it was scrolled, which may be past what is asked now.
    history.scrollRestoration = "manual";
  }

  function listenToGroups() {
    for (const link of all("[data-group]")) {
      link.addEventListener("click", (event) => {
        event.preventDefault();
        take(flow.variants.findIndex((it) => it.id === link.dataset.group), new Map());
        push();
      });
    }
    for (const again of all("[data-flow-regroup]")) again.addEventListener("click", startAgain);
    doc.addEventListener("baybook-vehicle", () => {
      const before = shown;
      settle();
      if (before !== shown) history.pushState(null, "", here());
      show();
    });
  }

  function readBack() {
    if (!readAddress()) {
      if (location.hash !== "") {
        // A link to a part of this page: the browser is there already, and the answers stay in the address.
        history.replaceState(null, "", here());
        return;
      }
      take(-1, new Map());
    }
    show();
    toNow();
  }

  if (!readAddress()) settle();
  listen();
  show();
  all("[data-flow]").forEach((page) => (page.dataset.ready = ""));
})();
