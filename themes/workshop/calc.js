"use strict";
// Turns the worked examples of calculations into calculators. The formulas come as generated functions in base units
// (`window.baybookCalc`, one object for the entry); this script reads inputs, converts units, and shows results.
(function () {
  /**
   * @typedef {{symbol: string, multiply: number, divide: number, offset: number}} Unit
   * @typedef {number | boolean | undefined} Value
   * @typedef {{at: number, name: string, block: number, unit: number, value: number | boolean, from: number | null, to: number | null}} Given
   * @typedef {{at: number, name: string, block: number, unit: number, places: number | null, written: ([number, number] | null)[]}} Step
   * @typedef {{label: string, unit: number, values: ([number, number] | null)[]}} Specification
   * @typedef {{block: number, given: number, step: number, from: number, to: number}} PlotData
   * @typedef {{givens: Given[], steps: Step[], specifications: Specification[], vehicles: string[], plots: PlotData[],
   *   units: Unit[][], count: number, compute: (values: Value[], specifications: (number | undefined)[]) => Value[]}} Sheet
   * @typedef {{given: Given, input: HTMLInputElement, select: HTMLSelectElement | null, unit: Unit | null, range: HTMLElement | null,
   *   truth: HTMLElement | null, start: string}} Field
   * @typedef {{step: Step, unit: Unit | null, select: HTMLSelectElement | null}} Shown a result and the unit that a reader chose
   */

  const words = /** @type {DOMStringMap} */ ((document.getElementById("p-words") || document.body).dataset);
  const all = /** @type {Window & {baybookCalc?: Record<string, Sheet>}} */ (window).baybookCalc || {};
  const NONE = "\u2013";
  const STEPS = 60;

  /** @param {number} number @param {Unit | null} unit */
  function toBase(number, unit) {
    return unit ? ((number + unit.offset) * unit.multiply) / unit.divide : number;
  }

  /** @param {number} base @param {Unit | null} unit */
  function fromBase(base, unit) {
    return unit ? (base * unit.divide) / unit.multiply - unit.offset : base;
  }

  /**
   * What somebody typed, with a decimal point or comma; NaN for what is no number. A comma before three digits may mean
   * thousands where the point is the decimal mark: nobody guesses which.
   * @param {string} text
   */
  function typed(text) {
    const plain = text.trim().replace(/^[\u2212\u2013]/, "-");
    const thousands = words.decimalMark !== "," && /^[+-]?[1-9]\d{0,2},\d{3}$/.test(plain);
    return !thousands && /^[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i.test(plain) ? Number(plain.replace(",", ".")) : NaN;
  }

  /** Up to so many significant digits, without trailing zeros. @param {number} number @param {number} digits */
  function short(number, digits) {
    return String(Number(number.toPrecision(digits)));
  }

  /** @param {string} number @param {Unit | null} unit */
  function withUnit(number, unit) {
    return unit && unit.symbol ? number + " " + unit.symbol : number;
  }

  /** @param {Sheet} sheet @param {number} at @returns {Unit | null} */
  function firstUnit(sheet, at) {
    const list = at < 0 ? undefined : sheet.units[at];
    return (list && list[0]) || null;
  }

  /** @param {Sheet} sheet @param {HTMLElement[]} panels */
  function start(sheet, panels) {
    /** @type {Field[]} */
    const fields = [];
    /** @type {Map<Step, Shown>} */
    const shown = new Map();
    for (const step of sheet.steps) shown.set(step, { step: step, unit: firstUnit(sheet, step.unit), select: null });
    let group = 0;

    /** @returns {(number | undefined)[]} */
    function specifications() {
      return sheet.specifications.map(function (specification) {
        const value = specification.values[group];
        return value ? value[0] + (value[1] - value[0]) / 2 : undefined;
      });
    }

    /** Reads one input; undefined if it is no number or outside its range. @param {Field} field @returns {Value} */
    function read(field) {
      if (typeof field.given.value === "boolean") return field.input.checked;
      if (field.input.value === field.start && field.unit === firstUnit(sheet, field.given.unit)) return field.given.value;
      const base = toBase(typed(field.input.value), field.unit);
      const slack = 1e-9 * Math.max(Math.abs(field.given.from || 0), Math.abs(field.given.to || 0));
      const low = field.given.from === null || base >= field.given.from - slack;
      const high = field.given.to === null || base <= field.given.to + slack;
      return Number.isFinite(base) && low && high ? base : undefined;
    }

    /** The unit that a result is shown in. @param {Step} step */
    function unitOf(step) {
      const own = shown.get(step);
      return own ? own.unit : null;
    }

    /** @param {boolean} value */
    function truth(value) {
      return (value ? words.calcYes : words.calcNo) || "";
    }

    /** @param {Step} step @param {Value} value */
    function show(step, value) {
      if (value === undefined) return NONE;
      if (typeof value === "boolean") return truth(value);
      const unit = unitOf(step);
      const number = fromBase(value, unit);
      const places = unit === firstUnit(sheet, step.unit) ? step.places : null;
      return withUnit(places === null ? short(number, 4) : number.toFixed(places), unit);
    }

    /** What a result comes to as it is written, in the chosen unit: from end to end, for every group of vehicles. @param {Step} step */
    function showWritten(step) {
      const unit = unitOf(step);
      const values = step.written.map(function (ends) {
        if (!ends) return NONE;
        const [low, high] = ends.map(function (end) { return short(fromBase(end, unit), 4); });
        return withUnit(low === high ? low || "" : low + " " + (words.to || NONE) + " " + high, unit);
      });
      const alike = values.every(function (value) { return value === values[0]; });
      return alike ? values[0] || NONE : values.map(function (value, at) { return value + " (" + sheet.vehicles[at] + ")"; }).join("; ");
    }

    /** Whether some result is shown in another unit than the entry's. */
    function turned() {
      return Array.from(shown.values()).some(function (own) { return own.unit !== firstUnit(sheet, own.step.unit); });
    }

    /** Every value, with the inputs as they stand. @param {number} [given] @param {number} [base] one input that is moved */
    function values(given, base) {
      /** @type {Value[]} */
      const inputs = new Array(sheet.count).fill(undefined);
      for (const own of sheet.givens) inputs[own.at] = own.value;
      for (const field of fields) inputs[field.given.at] = read(field);
      if (given !== undefined) inputs[given] = base;
      return sheet.compute(inputs, specifications());
    }

    /** Whether anything differs from what is written. */
    function changed() {
      const moved = fields.some(function (field) {
        if (typeof field.given.value === "boolean") return field.input.checked !== field.given.value;
        return field.input.value !== field.start || field.unit !== firstUnit(sheet, field.given.unit);
      });
      return moved || group !== 0;
    }

    function update() {
      const results = values();
      const off = changed();
      for (const panel of panels) {
        for (const step of sheet.steps) {
          const row = /** @type {HTMLElement | null} */ (panel.querySelector('[data-result="' + step.name + '"]'));
          const output = row && row.querySelector("output");
          if (!row || !output) continue;
          if (output.dataset.written === undefined) output.dataset.written = output.textContent || "";
          const own = unitOf(step) === firstUnit(sheet, step.unit);
          const next = off ? show(step, results[step.at]) : own ? output.dataset.written || NONE : showWritten(step);
          if (output.textContent !== next) output.textContent = next;
          row.classList.toggle("is-off", off);
        }
        const reset = /** @type {HTMLElement | null} */ (panel.querySelector("[data-calc-reset]"));
        if (reset) reset.hidden = !off && !turned();
        plot(panel, results);
      }
      for (const field of fields) if (field.truth) field.truth.textContent = truth(field.input.checked);
      complain();
    }

    /** Says which inputs cannot be used. */
    function complain() {
      for (const panel of panels) {
        const message = panel.querySelector("[data-calc-message]");
        const wrong = fields.filter(function (field) {
          const bad = read(field) === undefined;
          if (panel.contains(field.input)) field.input.setAttribute("aria-invalid", String(bad));
          return bad && panel.contains(field.input);
        });
        const text = wrong.map(complaint);
        if (message && message.textContent !== text.join(". ")) message.textContent = text.join(". ");
      }
    }

    /** Why an input cannot be used. @param {Field} field */
    function complaint(field) {
      if (Number.isNaN(typed(field.input.value))) return named(field.given) + ": " + (words.calcNoNumber || "");
      const limits = ends(field).map(function (end) { return withUnit(end, field.unit); });
      return (words.calcOutside || "Outside the range of this calculation") + ": " + named(field.given) +
        (limits.length ? " (" + limits.join(" " + NONE + " ") + ")" : "");
    }

    /** The range of an input in its present unit. @param {Field} field @returns {string[]} */
    function ends(field) {
      if (field.given.from === null || field.given.to === null) return [];
      return [field.given.from, field.given.to].map(function (end) { return short(fromBase(end, field.unit), 6); });
    }

    /** @param {Field} field */
    function showRange(field) {
      const limits = ends(field);
      if (limits.length !== 2) return;
      if (!field.range) return;
      const joint = field.range.dataset.joint || NONE;
      field.range.textContent = withUnit(limits[0] || "", field.unit) + " " + joint + " " + withUnit(limits[1] || "", field.unit);
    }

    /** Moves the live point, and draws the curve anew: the other inputs shape it. @param {HTMLElement} panel @param {Value[]} results */
    function plot(panel, results) {
      const own = sheet.plots.find(function (data) { return String(data.block) === block(panel); });
      const svg = panel.querySelector("[data-calc-plot] svg");
      const axes = svg && svg.querySelector(".axis");
      if (!own || !svg || !axes) return;
      // The axes are drawn as `M left,top V base H end`.
      const [left = 0, top = 0, base = 0, end = 0] = ((axes.getAttribute("d") || "").match(/[0-9.]+/g) || []).map(Number);
      /** @type {(number | undefined)[]} */
      const curve = [];
      let low = Infinity;
      let high = -Infinity;
      for (let step = 0; step <= STEPS; step += 1) {
        const value = values(own.given, own.from + ((own.to - own.from) * step) / STEPS)[own.step];
        const number = typeof value === "number" ? value : undefined;
        curve.push(number);
        if (number !== undefined) {
          low = Math.min(low, number);
          high = Math.max(high, number);
        }
      }
      /** @param {number} x @param {number} y */
      function place(x, y) {
        const share = high > low ? (y - low) / (high - low) : 0.5;
        return { x: left + x * (end - left), y: base - share * (base - top) };
      }
      draw(svg, curve, place);
      const x = results[own.given];
      const y = results[own.step];
      const point = svg.querySelector(".at");
      const seen = typeof x === "number" && typeof y === "number";
      if (point) point.setAttribute("visibility", seen ? "visible" : "hidden");
      if (point && typeof x === "number" && typeof y === "number") {
        const at = place((x - own.from) / (own.to - own.from), y);
        point.setAttribute("cx", at.x.toFixed(2));
        point.setAttribute("cy", at.y.toFixed(2));
      }
      label(panel, svg, own, low, high);
    }

    /** @param {HTMLElement} panel @param {Element} svg @param {PlotData} own @param {number} low @param {number} high */
    function label(panel, svg, own, low, high) {
      const step = sheet.steps.find(function (row) { return row.at === own.step; });
      const given = sheet.givens.find(function (row) { return row.at === own.given; });
      const field = fields.find(function (row) { return row.given === given; });
      const down = step ? unitOf(step) : null;
      const first = given ? firstUnit(sheet, given.unit) : null;
      const across = field ? field.unit : first;
      // A range ends where its writer put it; in another unit three digits do.
      const digits = across === first ? 6 : 3;
      /** @type {[string, number, Unit | null, number][]} */
      const labels = [["from", own.from, across, digits], ["to", own.to, across, digits], ["low", low, down, 3], ["high", high, down, 3]];
      let caption = (words.calcPlot || "").replace("{result}", named(step)).replace("{input}", named(given));
      for (const [name, base, unit, digits] of labels) {
        const value = Number.isFinite(base) ? withUnit(short(fromBase(base, unit), digits), unit) : "";
        const text = svg.querySelector("." + name);
        if (text) text.textContent = value;
        caption = caption.replace("{" + name + "}", value || NONE);
      }
      const figure = panel.querySelector("[data-calc-plot] figcaption");
      if (figure && figure.textContent !== caption) figure.textContent = caption;
      svg.setAttribute("aria-label", caption);
    }

    /** A name with blanks. @param {{name: string} | undefined} row */
    function named(row) {
      return row ? row.name.replace(/_/g, " ") : "";
    }

    /** @param {HTMLElement} panel */
    function block(panel) {
      return panel.dataset.calc || "";
    }

    /** @param {Field} field @param {Unit} unit */
    function changeUnit(field, unit) {
      const number = typed(field.input.value);
      const base = field.input.value === field.start && typeof field.given.value === "number" && field.unit === firstUnit(sheet, field.given.unit)
        ? field.given.value : toBase(number, field.unit);
      field.unit = unit;
      if (Number.isFinite(base)) {
        const own = unit === firstUnit(sheet, field.given.unit) && base === field.given.value;
        field.input.value = own ? field.start : short(fromBase(base, unit), 6);
      }
      showRange(field);
    }

    function reset() {
      group = 0;
      for (const field of fields) {
        field.unit = firstUnit(sheet, field.given.unit);
        if (field.select) field.select.selectedIndex = 0;
        if (typeof field.given.value === "boolean") field.input.checked = field.given.value;
        else field.input.value = field.start;
        showRange(field);
      }
      for (const own of shown.values()) {
        own.unit = firstUnit(sheet, own.step.unit);
        if (own.select) own.select.selectedIndex = 0;
      }
      for (const panel of panels) {
        const select = /** @type {HTMLSelectElement | null} */ (panel.querySelector("[data-calc-vehicle]"));
        if (select) select.selectedIndex = 0;
      }
      update();
    }

    /** What stands between the two ends of a written range, such as "to". @param {Field} field @param {string} text */
    function joint(field, text) {
      const limits = [field.given.from, field.given.to].map(function (end) {
        return end === null ? "" : withUnit(short(fromBase(end, field.unit), 12), field.unit);
      });
      const low = limits[0] || "";
      const high = limits[1] || "";
      return text.startsWith(low) && text.endsWith(high) ? text.slice(low.length, text.length - high.length).trim() || NONE : NONE;
    }

    /** @param {HTMLElement} panel @param {Given} given */
    function enable(panel, given) {
      const input = /** @type {HTMLInputElement | null} */ (panel.querySelector('input[name="' + given.name + '"]'));
      if (!input) return;
      const select = /** @type {HTMLSelectElement | null} */ (panel.querySelector('select[name="' + given.name + '-unit"]'));
      const described = input.getAttribute("aria-describedby");
      const range = described ? document.getElementById(described) : null;
      const unit = firstUnit(sheet, given.unit);
      /** @type {Field} */
      const field = { given: given, input: input, select: select, unit: unit, range: range, truth: null, start: input.value };
      if (typeof given.value === "boolean" && input.parentElement) field.truth = input.parentElement.querySelector("[data-calc-truth]");
      if (range) range.dataset.joint = joint(field, (range.textContent || "").trim());
      fields.push(field);
      // What has no range is fixed: nothing is proved of other values.
      input.readOnly = typeof given.value === "number" && given.from === null;
      input.disabled = false;
      input.addEventListener("input", update);
      if (select) {
        select.disabled = false;
        select.addEventListener("change", function () {
          const list = sheet.units[given.unit] || [];
          const chosen = list[select.selectedIndex];
          if (chosen) changeUnit(field, chosen);
          update();
        });
      }
    }

    /** A choice of units for a result. @param {HTMLElement} panel @param {Step} step */
    function offerUnits(panel, step) {
      const row = panel.querySelector('[data-result="' + step.name + '"]');
      const output = row && row.querySelector("output");
      const units = sheet.units[step.unit] || [];
      const own = shown.get(step);
      if (!output || !own || units.length < 2) return;
      const select = document.createElement("select");
      select.className = "turn";
      select.setAttribute("aria-label", (words.unit || "") + ": " + named(step));
      for (const unit of units) select.append(new Option(unit.symbol));
      select.addEventListener("change", function () {
        own.unit = units[select.selectedIndex] || null;
        update();
      });
      own.select = select;
      output.after(" ", select);
    }

    /** @param {HTMLElement} panel */
    function addReset(panel) {
      const inputs = panel.querySelector(".calc-in");
      if (!inputs || !panel.querySelector("input, select")) return;
      const button = document.createElement("button");
      button.type = "button";
      button.className = "act";
      button.hidden = true;
      button.dataset.calcReset = "";
      button.textContent = words.calcReset || "Back to the written values";
      button.addEventListener("click", function () {
        reset();
        const first = /** @type {HTMLElement | null} */ (panel.querySelector("input, select"));
        if (first) first.focus();
      });
      inputs.after(button);
    }

    /** A choice of vehicles, where the specifications that are read differ. @param {HTMLElement} panel */
    function addVehicles(panel) {
      const inputs = panel.querySelector(".calc-in");
      if (!inputs || sheet.vehicles.length < 2) return;
      const holder = document.createElement("div");
      const label = document.createElement("label");
      const entry = document.createElement("span");
      const select = document.createElement("select");
      holder.className = "given";
      entry.className = "entry";
      select.id = panel.id + "-vehicles";
      select.dataset.calcVehicle = "";
      label.htmlFor = select.id;
      label.textContent = words.vehicle || "Vehicle";
      for (const vehicles of sheet.vehicles) select.append(new Option(vehicles));
      select.addEventListener("change", function () {
        group = select.selectedIndex;
        for (const other of panels) {
          const twin = /** @type {HTMLSelectElement | null} */ (other.querySelector("[data-calc-vehicle]"));
          if (twin) twin.selectedIndex = group;
        }
        update();
      });
      entry.append(select);
      holder.append(label, entry);
      inputs.append(holder);
    }

    for (const panel of panels) {
      for (const given of sheet.givens) if (String(given.block) === block(panel)) enable(panel, given);
      for (const step of sheet.steps) if (String(step.block) === block(panel)) offerUnits(panel, step);
      addVehicles(panel);
      addReset(panel);
    }
    update();
  }

  /** Polylines through the points that exist. @param {Element} svg @param {(number | undefined)[]} curve @param {(x: number, y: number) => {x: number, y: number}} place */
  function draw(svg, curve, place) {
    /** @type {string[]} */
    const runs = [];
    let open = false;
    curve.forEach(function (y, step) {
      if (y === undefined) {
        open = false;
        return;
      }
      const at = place(step / STEPS, y);
      const text = at.x.toFixed(2) + "," + at.y.toFixed(2);
      if (open) runs[runs.length - 1] += " " + text;
      else runs.push(text);
      open = true;
    });
    const lines = Array.from(svg.querySelectorAll(".curve"));
    while (lines.length < runs.length) {
      const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
      line.setAttribute("class", "curve");
      svg.insertBefore(line, svg.querySelector(".at"));
      lines.push(line);
    }
    lines.forEach(function (line, at) { line.setAttribute("points", runs[at] || ""); });
  }

  const key = Object.keys(all)[0];
  const sheet = key === undefined ? undefined : all[key];
  const panels = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll("[data-calc]")));
  if (sheet && panels.length > 0) start(sheet, panels);
})();
