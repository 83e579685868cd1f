"use strict";
// What the page of a flow says: its words and numbers, the texts of checks and candidates, bars.
(function () {
  /**
   * @typedef {{checks: {id: string}[], candidates: {key: string}[]}} Variant
   * @typedef {{ask: string, title: string, answers: string[]}} CheckText
   * @typedef {{words: Record<string, string>, checks: Record<string, CheckText>, candidates: Record<string, string>}} FlowData
   */

  const view = /** @type {Window & {baybookFlow?: FlowData, baybookFlowSay?: object}} */ (window);
  if (!view.baybookFlow) return;
  const flow = view.baybookFlow;

  /** @param {string} key */
  const word = (key) => flow.words[key] || key;
  /** @param {number} chance */
  const percent = (chance) => (chance >= 0.995 ? "> 99" : chance > 0 && chance < 0.005 ? "< 1" : String(Math.round(chance * 100))) + " %";
  /** @param {Variant} variant @param {number} check */
  const textOf = (variant, check) => flow.checks[variant.checks[check]?.id || ""];
  /** @param {Variant} variant @param {number} check @param {number} answer */
  const answerText = (variant, check, answer) => textOf(variant, check)?.answers[answer] ?? word("not_sure");
  /** @param {Variant} variant @param {number} check */
  const askText = (variant, check) => textOf(variant, check)?.ask || variant.checks[check]?.id || "";
  /** @param {Variant} variant @param {number | null} at */
  const candidateText = (variant, at) => flow.candidates[(at === null ? undefined : variant.candidates[at])?.key || "other"] || word("other_cause");

  /** A sentence with its gaps filled. @param {string} key @param {Record<string, string>} values */
  function fill(key, values) {
    return word(key).replace(/\{(\w+)\}/g, (gap, name) => values[name] ?? gap);
  }

  /** @param {number} chance */
  function bar(chance) {
    const space = "http://www.w3.org/2000/svg";
    const svg = document.createElementNS(space, "svg");
    svg.setAttribute("class", "bar");
    svg.setAttribute("viewBox", "0 0 100 8");
    svg.setAttribute("preserveAspectRatio", "none");
    svg.setAttribute("aria-hidden", "true");
    for (const [cls, width] of /** @type {[string, number][]} */ ([["rail", 100], ["fill", chance * 100]])) {
      const rect = document.createElementNS(space, "rect");
      rect.setAttribute("class", cls);
      rect.setAttribute("width", width.toFixed(2));
      rect.setAttribute("height", "8");
      svg.append(rect);
    }
    return svg;
  }

  view.baybookFlowSay = { word, percent, textOf, answerText, askText, candidateText, fill, bar };
})();
