"use strict";
// The verdict of a flow for exactly the answers that were given: why, whether the vehicle may be driven, where to look.
// The page holds the same for the shortest way to each verdict, which readers without scripts see.
(function () {
  /**
   * @typedef {[number, number]} Given
   * @typedef {{key: string, id: string, kind: string, hazard: string, weight: number, alarm: Given[]}} Candidate
   * @typedef {{id: string, candidates: Candidate[], bay: {id: string, minutes: number}[]}} Variant
   * @typedef {Map<number, number>} Answers
   * @typedef {{verdict: string, entry: number | null, leads: number[], step: number | null}} Outcome
   * @typedef {{check: number, lead: number, minutes: number, chance: number, cumulative: number}} BayRow
   * @typedef {object} Engine what flow-engine.js lends
   * @property {(variant: Variant, answers: Answers) => number[]} chances
   * @property {(variant: Variant, answers: Answers) => {at: number, chance: number}[]} ranking
   * @property {(variant: Variant, answers: Answers, leads: number[]) => BayRow[]} bayPlan
   * @property {(answers: Answers, wanted: Given[]) => boolean} given
   * @property {(variant: Variant, answers: Answers) => number[]} notRuledOut
   * @property {(variant: Variant, answers: Answers) => boolean} otherLeads
   * @typedef {object} Say what flow-say.js lends
   * @property {(key: string) => string} word
   * @property {(chance: number) => string} percent
   * @property {(variant: Variant, at: number | null) => string} candidateText
   * @property {(key: string, values: Record<string, string>) => string} fill
   * @property {(chance: number) => SVGSVGElement} bar
   * @typedef {object} Parts what site.js lends
   * @property {(selector: string, within?: ParentNode) => HTMLElement[]} all
   * @property {<K extends keyof HTMLElementTagNameMap>(tag: K, cls?: string, text?: string) => HTMLElementTagNameMap[K]} make
   * @property {(name: string) => SVGSVGElement} icon
   */

  const view = /** @type {Window & {baybookFlow?: {bay: Record<string, string>}, baybookFlowEngine?: Engine, baybookFlowSay?: Say, baybookFlowVerdict?: object, baybookParts?: Parts}} */ (window);
  if (!view.baybookFlow || !view.baybookFlowEngine || !view.baybookFlowSay || !view.baybookParts) return;
  const flow = view.baybookFlow;
  const { chances, ranking, bayPlan, given, notRuledOut, otherLeads } = view.baybookFlowEngine;
  const { word, percent, candidateText, fill, bar } = view.baybookFlowSay;
  const { all, make, icon } = view.baybookParts;

  // ---- Why, and whether it may be driven --------------------------------------------------------

  /** @param {Variant} variant @param {number[]} list */
  const names = (variant, list) => list.map((at) => candidateText(variant, at)).join(", ");

  /** @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function reason(variant, answers, outcome) {
    /** @param {number} at */
    const stops = (at) => variant.candidates[at]?.hazard === "do-not-drive";
    const alarming = variant.candidates.flatMap((it, at) => (stops(at) && given(answers, it.alarm) ? [at] : []));
    const open = notRuledOut(variant, answers).filter(stops);
    if (outcome.verdict !== "do-not-drive" || alarming.length + open.length === 0) return best(variant, answers, outcome);
    const causes = names(variant, alarming.length > 0 ? alarming : open);
    const stop = fill(alarming.length > 0 ? "reason_alarm" : "reason_stop", { causes });
    return otherLeads(variant, answers) ? stop + " " + best(variant, answers, outcome) : stop;
  }

  /** What fits the answers best, or that nothing listed does. @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function best(variant, answers, outcome) {
    const [first] = ranking(variant, answers);
    if (!first) return "";
    const kind = variant.candidates[first.at]?.kind;
    const key = otherLeads(variant, answers) ? "reason_other" : kind === "characteristic" && outcome.verdict !== "explain" ? "reason_not_shown" : "reason_fits";
    return fill(key, { cause: candidateText(variant, first.at), chance: percent(first.chance) });
  }

  /** Whether it may be driven, and what is still to be checked; nothing where the verdict itself forbids it. @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function driving(variant, answers, outcome) {
    if (outcome.verdict === "do-not-drive") return null;
    // Nobody is told of a fault to look at and that there is none: leads count as open, whatever speaks against them.
    const leads = outcome.leads.filter((at) => variant.candidates[at]?.hazard !== "none");
    const open = [...new Set([...notRuledOut(variant, answers), ...leads])];
    const worst = ["do-not-drive", "drive-with-care"].find((hazard) => open.some((at) => variant.candidates[at]?.hazard === hazard));
    const key = worst === "do-not-drive" ? "drive_ask" : worst ? "drive_care" : outcome.verdict === "explain" ? "drive_freely" : "drive_until";
    const causes = names(variant, open.filter((at) => variant.candidates[at]?.hazard === worst));
    return { level: worst ? "drive-with-care" : "none", title: word(key), means: fill(key + "_means", { causes }) };
  }

  /** A box like that of a fault's hazard. @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function drive(variant, answers, outcome) {
    const its = driving(variant, answers, outcome);
    if (!its) return null;
    const box = make("div", "hazard hazard-" + its.level);
    const title = make("p");
    box.dataset.flowDrive = "";
    title.append(icon(its.level === "none" ? "tick" : its.level), make("b", "", its.title));
    box.append(title, make("p", "", its.means));
    return box;
  }

  /** The verdict for those who did not see the page: whether it may be driven belongs to it, and what is not ruled out. @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function told(variant, answers, outcome) {
    const what = outcome.verdict === "explain" ? [outcome.entry] : outcome.leads;
    const causes = what.map((at) => candidateText(variant, at)).join(", ");
    const its = driving(variant, answers, outcome);
    const open = notRuledOut(variant, answers);
    const lines = [word("verdict_" + outcome.verdict) + (causes ? ": " + causes : "")];
    if (its) lines.push(its.title + ". " + its.means);
    else lines.push(word("verdict_do-not-drive_means"), reason(variant, answers, outcome));
    if (open.length > 0) lines.push(word("gates_open") + ": " + names(variant, open));
    return lines;
  }

  // ---- Where to look ------------------------------------------------------------------------------

  /** @param {HTMLElement} row a list row or a link */
  function keyOf(row) {
    const link = row.matches("a") ? row : row.querySelector("a.ref");
    const found = /(conditions|characteristics)\/([a-z0-9-]+)\.html/.exec(link?.getAttribute("href") || "");
    return found ? found[1] + "/" + found[2] : "other";
  }

  /** The candidate's link as the panel has it. @param {Variant} variant @param {number} at */
  function nameOf(variant, at) {
    const key = variant.candidates[at]?.key || "";
    const link = all(".panel .chances a.ref").find((it) => keyOf(it) === key);
    return link ? link.cloneNode(true) : make("span", "ref", candidateText(variant, at));
  }

  /** @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function leadList(variant, answers, outcome) {
    const list = make("ol", "leads");
    const chance = chances(variant, answers);
    for (const at of outcome.leads) {
      const row = make("li");
      const shown = make("span", "chance");
      const hazard = variant.candidates[at]?.hazard || "none";
      shown.append(bar(chance[at] || 0), make("span", "pc", percent(chance[at] || 0)));
      row.append(nameOf(variant, at));
      if (hazard !== "none") row.append(tag(hazard));
      // Of one that is here for its alarm no chance is known.
      if ((variant.candidates[at]?.weight || 0) > 0) row.append(shown);
      list.append(row);
    }
    return list;
  }

  /** @param {string} hazard */
  function tag(hazard) {
    const it = make("span", "hz hz-" + hazard);
    it.append(icon(hazard), word("hazard_" + hazard));
    return it;
  }

  /** @param {Variant} variant @param {Answers} answers */
  const leadsTitle = (variant, answers) => word(otherLeads(variant, answers) ? "leads_other" : "leads");

  /** @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function planTable(variant, answers, outcome) {
    const plan = outcome.verdict === "book-in" ? bayPlan(variant, answers, outcome.leads) : [];
    if (plan.length === 0) return null;
    const columns = ["check", "confirms", "minutes", "chance", "found_by_then"];
    const table = make("table", "plan");
    const head = make("tr");
    for (const key of columns) {
      const cell = make("th", "", word(key));
      cell.scope = "col";
      head.append(cell);
    }
    const body = make("tbody");
    for (const its of plan) {
      const row = make("tr");
      const name = make("th", "", flow.bay[variant.bay[its.check]?.id || ""] || "");
      name.scope = "row";
      row.append(name);
      const texts = [candidateText(variant, its.lead), String(its.minutes), percent(its.chance), percent(its.cumulative)];
      texts.forEach((text, at) => {
        const cell = make("td", at > 0 ? "num" : "", text);
        cell.dataset.of = word(columns[at + 1] || "");
        row.append(cell);
      });
      body.append(row);
    }
    const top = make("thead");
    top.append(head);
    table.append(make("caption", "vh", word("bay_plan")), top, body);
    return table;
  }

  // ---- The verdict's step ---------------------------------------------------------------------------

  /** Makes a published verdict say what these answers say. @param {HTMLElement} step @param {Variant} variant @param {Answers} answers @param {Outcome} outcome */
  function refresh(step, variant, answers, outcome) {
    for (const told of all("[data-flow-reason]", step)) told.textContent = reason(variant, answers, outcome);
    const box = drive(variant, answers, outcome);
    for (const old of box ? all("[data-flow-drive]", step) : []) old.replaceWith(/** @type {HTMLElement} */ (box));
    const list = all(".leads", step)[0];
    if (list && outcome.verdict !== "explain") list.replaceWith(leadList(variant, answers, outcome));
    for (const title of all("[data-flow-leads]", step)) title.textContent = leadsTitle(variant, answers);
    const table = all("table.plan", step)[0];
    const plan = planTable(variant, answers, outcome);
    if (table && plan) table.replaceWith(plan);
  }

  /** A verdict that answers beside the flow made. @param {Variant} variant @param {Answers} answers @param {Outcome} outcome @param {boolean} isNow */
  function forcedStep(variant, answers, outcome, isNow) {
    const step = make("section", "step verdict v-" + outcome.verdict);
    step.tabIndex = -1;
    step.dataset.flowForced = "";
    step.toggleAttribute("data-now", isNow);
    const title = make("h3");
    const said = make("span", "vd vd-" + outcome.verdict);
    said.append(icon(outcome.verdict), word("verdict_" + outcome.verdict));
    title.append(said);
    step.append(title, make("p", "means", word("verdict_" + outcome.verdict + "_means")));
    step.append(make("p", "reason", reason(variant, answers, outcome)));
    const box = drive(variant, answers, outcome);
    if (box) step.append(box);
    const acts = make("p", "acts again");
    const on = make("a", "act strong", word("write_up"));
    on.href = "#" + variant.id + "-writeup";
    acts.append(on);
    step.append(acts, make("p", "small", word("forced_note")));
    step.append(make("h4", "", leadsTitle(variant, answers)), leadList(variant, answers, outcome));
    const plan = planTable(variant, answers, outcome);
    if (plan) step.append(make("h4", "", word("bay_plan")), plan);
    return step;
  }

  view.baybookFlowVerdict = { refresh, forcedStep, keyOf, told };
})();
