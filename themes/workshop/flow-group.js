"use strict";
// Which group of vehicles a flow is asked for. Each group has questions of its own, and those of a wrong one never ask
// for the faults of the right one: so only a vehicle that surely belongs to a group, or a reader who picks it, settles it.
(function () {
  /**
   * @typedef {{line: string, year: number, options: Record<string, string>, text: string}} Vehicle
   * @typedef {object} Parts what site.js lends
   * @property {(selector: string, within?: ParentNode) => HTMLElement[]} all
   * @property {() => Vehicle | null} chosen
   * @property {(boxes: string, vehicle: Vehicle) => "yes" | "no" | "maybe"} fits
   * @typedef {object} Say what flow-say.js lends
   * @property {(key: string) => string} word
   * @property {(key: string, values: Record<string, string>) => string} fill
   */

  const view = /** @type {Window & {baybookFlow?: {variants: {id: string}[]}, baybookFlowSay?: Say, baybookFlowGroup?: object, baybookParts?: Parts}} */ (window);
  if (!view.baybookFlow || !view.baybookFlowSay || !view.baybookParts) return;
  const { word, fill } = view.baybookFlowSay;
  const { all, chosen, fits } = view.baybookParts;
  /** The questions of each group, in the order of the data. */
  const sections = view.baybookFlow.variants.flatMap((it) => all('[data-variant="' + it.id + '"]'));

  /** @param {number} at */
  const boxes = (at) => sections[at]?.dataset.boxes || "";
  /** @param {number} at */
  const nameOf = (at) => all("h2.which", sections[at])[0]?.textContent || "";

  /** The groups that the chosen vehicle may belong to, and the one that it surely belongs to, or -1. */
  function groups() {
    const vehicle = chosen();
    const fitting = sections.map((_, at) => (vehicle ? fits(boxes(at), vehicle) : "maybe"));
    return { possible: fitting.flatMap((it, at) => (it === "no" ? [] : [at])), sure: fitting.indexOf("yes") };
  }

  /** The group whose questions are asked, or -1 while none is certain. @param {number} picked by hand or by the address, or -1 */
  function holding(picked) {
    const { possible, sure } = groups();
    if (sure >= 0) return sure;
    if (possible.includes(picked)) return picked;
    return sections.length === 1 && !chosen() ? 0 : -1;
  }

  /** Whether it is for the reader to say which group it is. */
  const mayPick = () => groups().sure < 0 && (sections.length > 1 || chosen() !== null);

  /** Options that were left open and tell the groups apart. @param {number[]} possible */
  function deciding(possible) {
    const vehicle = chosen();
    if (!vehicle) return [];
    const open = possible.flatMap((at) => boxes(at).split(";")).filter((box) => fits(box, vehicle) === "maybe");
    const options = open.flatMap((box) => box.trim().split(/\s+/).slice(2)).map((limit) => limit.split("=")[0] || "");
    return [...new Set(options)].filter((option) => !vehicle.options[option]).map((option) => option.replace(/-/g, " "));
  }

  /** What stands above the questions: that they are not for the vehicle, or that answers were given for another one. @param {number} left the group of answers that were let go, or -1 */
  function noteText(left) {
    const vehicle = chosen()?.text || "";
    if (groups().possible.length === 0) return fill("not_for_vehicle", { vehicle });
    return left < 0 ? "" : fill("answers_apart", { group: nameOf(left), vehicle: vehicle || word("not_named") });
  }

  /** @param {number} shown @param {number} left */
  function show(shown, left) {
    const { possible } = groups();
    const options = deciding(possible);
    const note = noteText(left);
    for (const it of all("[data-flow-note]")) {
      if (it.textContent !== note) it.textContent = note;
      it.tabIndex = -1;
      it.hidden = note === "";
    }
    for (const which of all("[data-flow-which]")) {
      which.hidden = shown >= 0 || possible.length === 0;
      which.tabIndex = -1;
    }
    for (const pick of all("[data-group]")) {
      const its = sections.findIndex((it) => it.id === pick.dataset.group);
      if (pick.parentElement) pick.parentElement.hidden = !possible.includes(its);
    }
    for (const it of all("[data-flow-depends]")) {
      it.textContent = fill("which_depends", { vehicle: chosen()?.text || "", options: options.join(", ") });
      it.hidden = options.length === 0;
    }
    for (const again of all("[data-flow-regroup]")) again.hidden = !mayPick();
    sections.forEach((section, at) => (section.hidden = at !== shown));
  }

  view.baybookFlowGroup = { sections, nameOf, holding, mayPick, show };
})();
