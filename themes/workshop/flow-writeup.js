"use strict";
// The write-up of a flow: what was asked and answered, the verdict, and whether the vehicle may be driven; on the page, on
// paper, and as a text to copy.
(function () {
  /**
   * @typedef {[number, number]} Given
   * @typedef {{id: string, candidates: object[], checks: {id: string}[], bay: {id: string, minutes: number}[]}} Variant
   * @typedef {Map<number, number>} Answers
   * @typedef {{verdict: string, entry: number | null, leads: number[], step: number | null}} Outcome
   * @typedef {{check: number, lead: number, minutes: number, chance: number, cumulative: number}} BayRow
   * @typedef {object} Engine what flow-engine.js lends
   * @property {(variant: Variant, answers: Answers) => {ask: number | null, outcome: Outcome | null}} walk
   * @property {(variant: Variant, answers: Answers, leads: number[]) => BayRow[]} bayPlan
   * @typedef {object} Say what flow-say.js lends
   * @property {(key: string) => string} word
   * @property {(chance: number) => string} percent
   * @property {(variant: Variant, check: number, answer: number) => string} answerText
   * @property {(variant: Variant, check: number) => string} askText
   * @property {(variant: Variant, at: number | null) => string} candidateText
   * @typedef {object} Verdicts what flow-verdict.js lends
   * @property {(variant: Variant, answers: Answers, outcome: Outcome) => string[]} told
   * @typedef {object} Parts what site.js lends
   * @property {(selector: string, within?: ParentNode) => HTMLElement[]} all
   * @property {<K extends keyof HTMLElementTagNameMap>(tag: K, cls?: string, text?: string) => HTMLElementTagNameMap[K]} make
   * @property {() => {text: string} | null} chosen
   */

  const view = /** @type {Window & {baybookFlow?: {symptom: string, bay: Record<string, string>}, baybookFlowEngine?: Engine, baybookFlowSay?: Say, baybookFlowVerdict?: Verdicts, baybookFlowWriteUp?: object, baybookParts?: Parts}} */ (window);
  if (!view.baybookFlow || !view.baybookFlowEngine || !view.baybookFlowSay || !view.baybookFlowVerdict || !view.baybookParts) return;
  const flow = view.baybookFlow;
  const { walk, bayPlan } = view.baybookFlowEngine;
  const { word, percent, answerText, askText, candidateText } = view.baybookFlowSay;
  const { told } = view.baybookFlowVerdict;
  const { all, make, chosen } = view.baybookParts;
  const begun = new Date();
  /** To be filled in by hand. */
  const BLANK = "_".repeat(30);

  /** What the customer said, where a search for it led to this symptom. */
  function customersWords() {
    try {
      const asked = JSON.parse(sessionStorage.getItem("baybook.asked") || "null");
      return asked && asked.symptom === flow.symptom ? String(asked.words) : "";
    } catch {
      return "";
    }
  }

  /** @param {HTMLElement} section @param {Variant} variant @param {Answers} answers @param {Outcome | null} outcome */
  function showWriteUp(section, variant, answers, outcome) {
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
    const lines = outcome ? told(variant, answers, outcome) : [];
    for (const verdict of all("[data-flow-verdict]", section)) verdict.textContent = lines.join("\n");
    for (const words of all("[data-flow-words]", section)) words.textContent = customersWords();
    for (const copy of all("[data-flow-copy]", section)) copy.hidden = false;
  }

  /** The vehicle, if somebody chose one, and the group whose questions were asked. @param {Variant} variant */
  function vehicleLines(variant) {
    const group = all("#" + variant.id + " [data-flow-group]")[0]?.textContent;
    return [word("vehicle") + ": " + (chosen()?.text || word("not_named"))].concat(group ? [word("group") + ": " + group] : []);
  }

  /** @param {Variant} variant @param {Answers} answers */
  function writeUp(variant, answers) {
    const { outcome } = walk(variant, answers);
    /** @param {Date} time */
    const clock = (time) => time.toLocaleString(document.documentElement.lang, { dateStyle: "short", timeStyle: "short" });
    return [
      document.querySelector(".flow h1")?.textContent || "",
      word("customers_words") + ": " + (customersWords() || BLANK),
      ...vehicleLines(variant),
      word("time") + ": " + clock(begun) + " – " + clock(new Date()),
      "",
      ...Array.from(answers).map(([check, answer]) => askText(variant, check) + " " + answerText(variant, check, answer)),
      "",
      word("verdict") + ": " + (outcome ? told(variant, answers, outcome).join("\n") : "–"),
      ...planLines(variant, answers, outcome),
      location.href,
    ].join("\n");
  }

  /** @param {Variant} variant @param {Answers} answers @param {Outcome | null} outcome */
  function planLines(variant, answers, outcome) {
    const plan = outcome && outcome.verdict === "book-in" ? bayPlan(variant, answers, outcome.leads) : [];
    const lines = plan.map((row) => {
      const check = flow.bay[variant.bay[row.check]?.id || ""] || "";
      return "- " + check + " (" + candidateText(variant, row.lead) + ", " + percent(row.chance) + ")";
    });
    return lines.length > 0 ? [word("bay_plan") + ":", ...lines] : [];
  }

  /** Copies the write-up; where that is not allowed, shows it selected. @param {HTMLElement} copy @param {() => {variant: Variant | undefined, answers: Answers}} now */
  function offerCopy(copy, now) {
    copy.addEventListener("click", () => {
      const { variant, answers } = now();
      const text = variant ? writeUp(variant, answers) : "";
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

  view.baybookFlowWriteUp = { showWriteUp, offerCopy };
})();
