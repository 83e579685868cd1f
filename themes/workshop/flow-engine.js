"use strict";
// The arithmetic of a decision flow. Which question is asked, and every verdict, was worked out and proved before
// the page was published; here chances are multiplied out for the answers given so far, in the same order and from
// the same tables, and the published flow is followed.
(function () {
  /**
   * @typedef {[number, number]} Given a check and an answer, by position
   * @typedef {{key: string, id: string, kind: string, hazard: string, weight: number, rows: number[][], out: Given[], alarm: Given[], only: Given[][], not: Given[], confirm: [number, string][]}} Candidate
   * @typedef {{id: string, answers: string[], drives: boolean}} Check
   * @typedef {{check?: number, next?: (number | null)[], saved?: [number, number] | null, rules?: number[], alarms?: number[], verdict?: string, entry?: number | null, leads?: number[], settled?: number | null, changes?: {answers: Given[], verdict: string, told: string}[]}} Step
   * @typedef {{id: string, hand: boolean, candidates: Candidate[], checks: Check[], bay: {id: string, minutes: number}[], start: number | null, steps: Step[]}} Variant
   * @typedef {Map<number, number>} Answers by check, in the order given
   * @typedef {{verdict: string, entry: number | null, leads: number[], step: number | null}} Outcome
   */

  // ---- Arithmetic: the same as the publisher's, in the same order -------------------------------

  /** @param {Variant} variant @param {Answers} answers @returns {number[]} */
  function weights(variant, answers) {
    const given = Array.from(answers).sort((a, b) => a[0] - b[0]);
    return variant.candidates.map((it) => {
      let weight = it.weight;
      for (const [check, answer] of given) {
        const chance = (it.rows[check] || [])[answer];
        if (chance !== undefined) weight *= chance;
      }
      return weight;
    });
  }

  /** @param {Variant} variant @param {Answers} answers @returns {number[]} */
  function chances(variant, answers) {
    const all = weights(variant, answers);
    const total = all.reduce((sum, weight) => sum + weight, 0);
    return all.map((weight, at) => (total > 0 ? weight / total : at === all.length - 1 ? 1 : 0));
  }

  /** What can be the cause by falling chance; equal ones by kind and id. @param {Variant} variant @param {Answers} answers */
  function ranking(variant, answers) {
    return ordered(variant, answers).filter(({ at }) => canBeCause(variant, at));
  }

  /** A condition of weight 0 is there for its alarms alone. @param {Variant} variant @param {number} at */
  function canBeCause(variant, at) {
    return (variant.candidates[at]?.weight || 0) > 0;
  }

  /** @param {Variant} variant @param {Answers} answers */
  function ordered(variant, answers) {
    const chance = chances(variant, answers);
    /** @param {number} at */
    const name = (at) => {
      const it = variant.candidates[at];
      return it ? it.kind + "/" + it.id : "";
    };
    const order = chance.map((_, at) => at);
    order.sort((a, b) => (chance[b] || 0) - (chance[a] || 0) || (name(a) < name(b) ? -1 : 1));
    return order.map((at) => ({ at, chance: chance[at] || 0 }));
  }

  /** @param {Answers} answers @param {Given[]} wanted */
  function given(answers, wanted) {
    return wanted.some(([check, answer]) => answers.get(check) === answer);
  }

  /** The mildest verdict that alarms leave: 0 any, 1 book in, 2 do not drive. @param {Variant} variant @param {Answers} answers */
  function floor(variant, answers) {
    return variant.candidates.reduce((least, it) => {
      const level = it.hazard === "do-not-drive" ? 2 : it.hazard === "drive-with-care" ? 1 : 0;
      return level > 0 && given(answers, it.alarm) ? Math.max(least, level) : least;
    }, 0);
  }

  /** @param {Variant} variant @param {Answers} answers */
  function otherLeads(variant, answers) {
    const all = weights(variant, answers);
    const other = all[all.length - 1] || 0;
    return all.slice(0, -1).every((weight) => weight * (1 + 1e-9) < other);
  }

  /** Hazards that no answer ruled out. @param {Variant} variant @param {Answers} answers */
  function notRuledOut(variant, answers) {
    const open = (/** @type {Candidate} */ it, /** @type {number} */ at) => it.hazard !== "none" && canBeCause(variant, at) && !given(answers, it.out);
    return variant.candidates.flatMap((it, at) => (open(it, at) ? [at] : []));
  }

  /** @param {Variant} variant @param {Answers} answers @param {string} verdict @param {number | null} entry */
  function allows(variant, answers, verdict, entry) {
    const least = floor(variant, answers);
    if (verdict === "do-not-drive") return true;
    if (verdict === "book-in") return least < 2;
    const it = entry === null ? undefined : variant.candidates[entry];
    return (
      least === 0 &&
      it !== undefined &&
      notRuledOut(variant, answers).length === 0 &&
      it.only.every((needed) => given(answers, needed)) &&
      !given(answers, it.not) &&
      !otherLeads(variant, answers)
    );
  }

  /**
   * Conditions to look at first: those that cannot be the cause and have an alarm; then those of at least 2 %, the likeliest, and
   * any with an alarm.
   * @param {Variant} variant @param {Answers} answers
   */
  function leads(variant, answers) {
    const conditions = ordered(variant, answers).filter(({ at }) => variant.candidates[at]?.kind === "condition");
    /** @param {number} at */
    const isAlarmed = (at) => variant.candidates[at]?.hazard !== "none" && given(answers, variant.candidates[at]?.alarm || []);
    const beside = conditions.filter(({ at }) => !canBeCause(variant, at) && isAlarmed(at));
    const causes = conditions.filter(({ at }) => canBeCause(variant, at));
    const kept = causes.filter(({ at, chance }, rank) => rank === 0 || chance >= 0.02 || isAlarmed(at));
    return beside.concat(kept).map(({ at }) => at);
  }

  /**
   * Follows the flow, checks already answered passed over. What was said beside the flow counts in the chances and
   * against a verdict that it forbids, never for a milder one.
   * @param {Variant} variant @param {Answers} answers
   * @returns {{ask: number | null, outcome: Outcome | null}} the step that asks, and the verdict if it stands
   */
  function walk(variant, answers) {
    const least = floor(variant, answers);
    const forced = least === 2 ? "do-not-drive" : "book-in";
    let at = variant.start;
    for (let turn = 0; turn <= variant.steps.length && at !== null; turn += 1) {
      const step = variant.steps[at];
      if (!step) break;
      if (step.verdict !== undefined) {
        const entry = step.entry ?? null;
        if (!allows(variant, answers, step.verdict, entry)) {
          return { ask: null, outcome: { verdict: forced, entry: null, leads: leads(variant, answers), step: null } };
        }
        const found = variant.hand ? step.leads || [] : leads(variant, answers);
        const list = step.verdict === "explain" ? [] : found;
        return { ask: null, outcome: { verdict: step.verdict, entry, leads: list, step: at } };
      }
      const answer = step.check === undefined ? undefined : answers.get(step.check);
      if (answer === undefined) {
        const drives = step.check !== undefined && variant.checks[step.check]?.drives;
        const stopped = { verdict: "do-not-drive", entry: null, leads: leads(variant, answers), step: null };
        return { ask: drives && least === 2 ? null : at, outcome: least === 2 ? stopped : null };
      }
      at = (step.next || [])[answer] ?? null;
    }
    return { ask: null, outcome: null };
  }

  /** The fewest answers that lead to a step. @param {Variant} variant @param {number} wanted @returns {Answers | null} */
  function wayTo(variant, wanted) {
    const seen = new Set([variant.start]);
    /** @type {{at: number | null, way: Answers}[]} */
    const ahead = [{ at: variant.start, way: new Map() }];
    for (let first = ahead.shift(); first; first = ahead.shift()) {
      const { at, way } = first;
      if (at === wanted) return way;
      const step = variant.steps[at ?? -1];
      (step?.next || []).forEach((to, answer) => {
        if (step?.check === undefined || seen.has(to)) return;
        seen.add(to);
        ahead.push({ at: to, way: new Map(way).set(step.check, answer) });
      });
    }
    return null;
  }

  /** Bay checks by chance per minute. @param {Variant} variant @param {Answers} answers @param {number[]} list */
  function bayPlan(variant, answers, list) {
    const chance = chances(variant, answers);
    /** @param {number} lead @param {number} check */
    const confirms = (lead, check) => (variant.candidates[lead]?.confirm || []).some(([at]) => at === check);
    let open = list.slice();
    let found = 0;
    const plan = [];
    for (;;) {
      let best = -1;
      let rate = -1;
      variant.bay.forEach((bay, check) => {
        const leads = open.filter((lead) => confirms(lead, check)).sort((a, b) => a - b);
        const its = leads.reduce((sum, lead) => sum + (chance[lead] || 0), 0) / Math.max(bay.minutes, Number.MIN_VALUE);
        if (leads.length > 0 && its > rate) [best, rate] = [check, its];
      });
      const bay = variant.bay[best];
      if (!bay) return plan;
      let minutes = bay.minutes;
      for (const lead of open.filter((it) => confirms(it, best))) {
        found += chance[lead] || 0;
        plan.push({ check: best, lead, minutes, chance: chance[lead] || 0, cumulative: found });
        minutes = 0;
      }
      open = open.filter((lead) => !confirms(lead, best));
    }
  }

  /** What speaks for the leader against the runner-up, the strongest first. @param {Variant} variant @param {Answers} answers */
  function balance(variant, answers) {
    const [first, second] = ranking(variant, answers);
    const [a, b] = [first && variant.candidates[first.at], second && variant.candidates[second.at]];
    if (!a || !b) return null;
    const rows = Array.from(answers).flatMap(([check, answer]) => {
      const [x, y] = [a.rows[check]?.[answer], b.rows[check]?.[answer]];
      return x === undefined || y === undefined ? [] : [{ check, answer, ratio: y > 0 ? x / y : Infinity }];
    });
    rows.sort((x, y) => Math.abs(Math.log(y.ratio)) - Math.abs(Math.log(x.ratio)));
    return { leader: a, runnerUp: b, rows };
  }

  const engine = { weights, chances, ranking, floor, allows, leads, walk, bayPlan, balance, given, notRuledOut, otherLeads, wayTo };
  /** @type {Window & {baybookFlowEngine?: typeof engine}} */ (window).baybookFlowEngine = engine;
})();
