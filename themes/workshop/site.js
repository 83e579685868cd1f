"use strict";
// What every page shares: the chosen vehicle, light and language, dialogs, list filters.
// Nothing is decided here: the script remembers choices and shows what the page already holds.
(function () {
  /**
   * @typedef {{id: string, text: string}} Choice
   * @typedef {{id: string, name: string, values: Choice[]}} Option
   * @typedef {{id: string, name: string, first: number, last: number, options: Option[]}} Line
   * @typedef {{line: string, year: number, options: Record<string, string>, text: string}} Vehicle
   */

  const lent = /** @type {Window & {baybookMake?: ElementMaking}} */ (window).baybookMake;
  if (!lent) return;
  const { make, icon } = lent;
  const doc = document;
  const root = doc.body.dataset.root || "";
  const words = /** @type {DOMStringMap} */ ((doc.getElementById("p-words") || doc.body).dataset);

  /** @param {string} key @returns {string | null} */
  function recall(key) {
    try {
      return localStorage.getItem("baybook." + key);
    } catch {
      return null;
    }
  }

  /** @param {string} key @param {string | null} value */
  function remember(key, value) {
    try {
      if (value === null) localStorage.removeItem("baybook." + key);
      else localStorage.setItem("baybook." + key, value);
    } catch {
      // A choice that cannot be kept still holds for this page.
    }
  }

  /** @param {string} selector @param {ParentNode} [within] @returns {HTMLElement[]} */
  function all(selector, within) {
    return Array.from((within || doc).querySelectorAll(selector));
  }

  // ---- Light and language -------------------------------------------------------------------

  function offerLight() {
    const order = ["auto", "light", "dark"];
    for (const button of all("[data-theme-switch]")) {
      const name = button.querySelector("span");
      let at = Math.max(0, order.indexOf(recall("theme") || "auto"));
      const show = () => {
        const theme = order[at] || "auto";
        if (theme === "auto") doc.documentElement.removeAttribute("data-theme");
        else doc.documentElement.setAttribute("data-theme", theme);
        const text = { auto: words.themeAuto, light: words.themeLight, dark: words.themeDark }[theme] || "";
        if (name) name.textContent = text;
        button.title = text;
      };
      button.addEventListener("click", () => {
        at = (at + 1) % order.length;
        remember("theme", at === 0 ? null : order[at] || null);
        show();
      });
      show();
      button.hidden = false;
    }
  }

  /** The chosen language is kept, and honoured where readers arrive: on the home page. */
  function keepLanguage() {
    const links = /** @type {HTMLAnchorElement[]} */ (all("a[data-lang]"));
    for (const link of links) {
      link.addEventListener("click", () => remember("lang", link.dataset.lang || null));
    }
    const chosen = recall("lang");
    const other = links.find((link) => link.dataset.lang === chosen);
    if (doc.body.dataset.page === "home" && other && chosen !== doc.documentElement.lang) {
      location.replace(other.href);
    }
  }

  function offerMenu() {
    const nav = doc.getElementById("p-menu");
    for (const link of all("[data-menu]")) {
      link.setAttribute("role", "button");
      link.setAttribute("aria-expanded", "false");
      link.setAttribute("aria-controls", "p-menu");
      /** @param {Event} event */
      const toggle = (event) => {
        event.preventDefault();
        const open = nav ? nav.classList.toggle("open") : false;
        link.setAttribute("aria-expanded", String(open));
      };
      link.addEventListener("click", toggle);
      link.addEventListener("keydown", (event) => {
        if (event.key === " ") toggle(event);
      });
    }
  }

  // ---- The chosen vehicle -------------------------------------------------------------------

  /** @returns {Vehicle | null} */
  function chosen() {
    try {
      const value = JSON.parse(recall("vehicle") || "null");
      return value && typeof value.line === "string" && typeof value.year === "number" && value.options && typeof value.options === "object" ? value : null;
    } catch {
      return null;
    }
  }

  /**
   * Boxes as the pages write them: `line years option=value,value;…`, with `*` for every line or year.
   * A choice that the reader left open meets every box, but never surely.
   * @param {string} boxes @param {Vehicle} vehicle @returns {"yes" | "no" | "maybe"}
   */
  function fits(boxes, vehicle) {
    if (!boxes) return "yes";
    /** @type {"no" | "maybe"} */
    let best = "no";
    for (const box of boxes.split(";")) {
      const answer = inBox(box.trim().split(/\s+/), vehicle);
      if (answer === "yes") return "yes";
      if (answer === "maybe") best = "maybe";
    }
    return best;
  }

  /** @param {string[]} box @param {Vehicle} vehicle @returns {"yes" | "no" | "maybe"} */
  function inBox(box, vehicle) {
    const [line, years, ...limits] = box;
    if (line !== "*" && line !== vehicle.line) return "no";
    if (!inYears(years || "*", vehicle.year)) return "no";
    let open = false;
    for (const limit of limits) {
      const [option, values] = limit.split("=");
      const value = vehicle.options[option || ""];
      if (!value) open = true;
      else if (!(values || "").split(",").includes(value)) return "no";
    }
    return open ? "maybe" : "yes";
  }

  /** @param {string} years such as `2019-2021,2023` @param {number} year */
  function inYears(years, year) {
    if (years === "*") return true;
    return years.split(",").some((part) => {
      const [from, to] = part.includes("-") ? part.split("-") : [part, part];
      return year >= Number(from || 0) && year <= Number(to || 9999);
    });
  }

  /** Shows the choice, and says at each entry whether it fits. */
  function showVehicle() {
    const vehicle = chosen();
    for (const text of all("[data-vehicle-text]")) {
      text.textContent = vehicle ? vehicle.text : words.anyVehicle || "";
    }
    for (const key of all("[data-vehicle]")) key.classList.toggle("set", vehicle !== null);
    for (const blank of all("[data-vehicle-fill]")) blank.textContent = vehicle ? vehicle.text : "";
    for (const element of all("[data-boxes]")) {
      const answer = vehicle ? fits(element.dataset.boxes || "", vehicle) : null;
      if (element.classList.contains("fitmark")) stamp(element, answer);
      else {
        element.classList.toggle("not-yours", answer === "no");
        mark(element, answer === "no");
      }
    }
  }

  /** @param {HTMLElement} element @param {"yes" | "no" | "maybe" | null} answer */
  function stamp(element, answer) {
    element.hidden = answer === null;
    element.className = "fitmark" + (answer ? " fit-" + answer : "");
    element.textContent =
      (answer === "yes" ? words.fits : answer === "no" ? words.fitsNot : words.fitsMaybe) || "";
  }

  /** A row of a table only fades; a link also says so in words. @param {HTMLElement} element @param {boolean} not */
  function mark(element, not) {
    if (element.tagName !== "A") return;
    const next = element.nextElementSibling;
    if (next && next.classList.contains("not-yours-mark")) next.remove();
    if (not) element.after(make("small", "not-yours-mark", words.fitsNot || ""));
  }

  /** Asks for `data/vehicles.js` once, when somebody first wants to choose. @param {(lines: Line[]) => void} then */
  function withLines(then) {
    const shop = /** @type {Window & {baybookVehicles?: Line[]}} */ (window);
    if (shop.baybookVehicles) {
      then(shop.baybookVehicles);
      return;
    }
    const script = make("script");
    script.src = root + "data/vehicles.js";
    script.addEventListener("load", () => then(shop.baybookVehicles || []));
    doc.head.append(script);
  }

  /** @param {string} label @param {Choice[]} choices @param {string} [open] words for "not known" */
  function select(label, choices, open) {
    const wrap = make("label", "choice");
    const list = make("select");
    if (open !== undefined) list.append(new Option(open, ""));
    for (const choice of choices) list.append(new Option(choice.text, choice.id));
    wrap.append(make("span", "cap", label), list);
    return { wrap, list };
  }

  /** @param {Line[]} lines @param {string} [start] */
  function chooseVehicle(lines, start) {
    const now = chosen();
    const sheet = dialog(words.vehicle || "");
    const form = make("div", "choices");
    const line = select(words.line || "", lines.map((l) => ({ id: l.id, text: l.name })));
    const rest = make("div", "choices-rest");
    /** @type {HTMLSelectElement | null} */
    let year = null;
    /** @type {Map<string, HTMLSelectElement>} */
    const options = new Map();
    const drawRest = () => {
      const its = lines.find((l) => l.id === line.list.value);
      rest.replaceChildren();
      options.clear();
      if (!its) return;
      const years = [];
      for (let y = its.last; y >= its.first; y -= 1) years.push({ id: String(y), text: String(y) });
      const yearBox = select(words.year || "", years);
      year = yearBox.list;
      rest.append(yearBox.wrap);
      for (const option of its.options) {
        const box = select(option.name, option.values, words.notKnown || "");
        options.set(option.id, box.list);
        rest.append(box.wrap);
      }
      if (now && now.line === its.id) {
        year.value = String(now.year);
        for (const [id, list] of options) list.value = now.options[id] || "";
      }
    };
    line.list.value = start || (now ? now.line : (lines[0] || { id: "" }).id);
    line.list.addEventListener("change", drawRest);
    drawRest();
    const take = make("button", "act strong", words.choose || "");
    take.type = "button";
    take.addEventListener("click", () => {
      const its = lines.find((l) => l.id === line.list.value);
      if (its && year) keep(its, Number(year.value), options);
      sheet.close();
    });
    const forget = make("button", "act", words.forget || "");
    forget.type = "button";
    forget.addEventListener("click", () => {
      remember("vehicle", null);
      vehicleChanged();
      sheet.close();
    });
    const acts = make("p", "acts");
    acts.append(take, forget);
    form.append(line.wrap, rest, acts);
    sheet.body.append(form);
    sheet.open();
  }

  /** @param {Line} line @param {number} year @param {Map<string, HTMLSelectElement>} options */
  function keep(line, year, options) {
    /** @type {Record<string, string>} */
    const values = {};
    const texts = [];
    for (const [id, list] of options) {
      if (!list.value) continue;
      values[id] = list.value;
      const text = list.selectedOptions[0];
      if (text) texts.push(text.text);
    }
    const text = [line.name + " " + year].concat(texts).join(", ");
    remember("vehicle", JSON.stringify({ line: line.id, year, options: values, text }));
    vehicleChanged();
  }

  function offerVehicle() {
    for (const key of all("[data-vehicle]")) {
      key.setAttribute("role", "button");
      key.setAttribute("aria-haspopup", "dialog");
      /** @param {Event} event */
      const open = (event) => {
        event.preventDefault();
        withLines((lines) => chooseVehicle(lines));
      };
      key.addEventListener("click", open);
      key.addEventListener("keydown", (event) => {
        if (event.key === " ") open(event);
      });
    }
    for (const button of all("[data-choose-line]")) {
      button.hidden = false;
      button.addEventListener("click", () => withLines((lines) => chooseVehicle(lines, button.dataset.chooseLine)));
    }
    window.addEventListener("storage", (event) => {
      if (event.key === "baybook.vehicle") vehicleChanged();
    });
    // A page that the browser had kept may have been left with another vehicle.
    window.addEventListener("pageshow", (event) => {
      if (event.persisted) vehicleChanged();
    });
    showVehicle();
  }

  function vehicleChanged() {
    showVehicle();
    doc.dispatchEvent(new CustomEvent("baybook-vehicle"));
  }

  // ---- Dialogs ------------------------------------------------------------------------------

  /** @param {string} title @param {string} [cls] */
  function dialog(title, cls) {
    const box = make("dialog", "sheet " + (cls || "small-sheet"));
    const head = make("div", "dialog-head");
    const shut = make("button", "switch");
    const body = make("div", "dialog-body");
    shut.type = "button";
    shut.append(icon("close"), make("span", "vh", words.close || ""));
    shut.addEventListener("click", () => box.close());
    box.setAttribute("aria-label", title);
    head.append(make("p", "dialog-title", title), shut);
    box.append(head, body);
    box.addEventListener("close", () => box.remove());
    doc.body.append(box);
    return { box, head, body, open: () => box.showModal(), close: () => box.close() };
  }

  // ---- Small helps ---------------------------------------------------------------------------

  function offerPrint() {
    for (const button of all("[data-print]")) {
      button.hidden = false;
      button.addEventListener("click", () => window.print());
    }
  }

  /** Letters without accents, so that `direccion` finds `dirección`. @param {string} text */
  function plain(text) {
    return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  }

  function offerFilter() {
    for (const place of all("[data-filter]")) {
      const page = place.parentElement || doc.body;
      const rows = all(".rows > li, .rows-filter > .word, .rows-filter > .row", page).map((row) => ({ row, text: plain(row.textContent || "") }));
      if (rows.length < 8) continue;
      const wrap = make("label");
      const input = make("input");
      const none = make("p", "nothing", words.noneLeft || "");
      input.type = "search";
      none.hidden = true;
      none.setAttribute("role", "status");
      wrap.append(make("span", "cap", words.filter || ""), input);
      place.append(wrap, none);
      place.hidden = false;
      input.addEventListener("input", () => {
        const wanted = plain(input.value).split(/\s+/).filter(Boolean);
        for (const { row, text } of rows) row.hidden = !wanted.every((w) => text.includes(w));
        for (const group of all(".group", page)) group.hidden = !group.querySelector(".rows > li:not([hidden]), .row:not([hidden])");
        none.hidden = rows.some(({ row }) => !row.hidden);
      });
    }
  }

  /** A table in the text stands in a box that scrolls sideways; the box gets a name. */
  function labelTables() {
    all(".prose .scroll:not([aria-label])").forEach((box, at) => {
      const caption = box.querySelector("caption");
      box.setAttribute("aria-label", caption ? caption.textContent || "" : (words.table || "") + " " + (at + 1));
    });
  }

  /**
   * Boxes that do not overflow need no stop of the tab key; one that does shows which way there is more. The observer
   * tells of sizes when they are known anyway, and of a folded box only when it is opened: nothing is laid out for it.
   */
  function settleScrolls() {
    const boxes = all(".scroll, .prose pre");
    const sizes = new ResizeObserver((seen) => settle(seen.map((it) => /** @type {HTMLElement} */ (it.target))));
    for (const box of boxes) {
      box.addEventListener("scroll", () => settle([box]), { passive: true });
      sizes.observe(box);
    }
  }

  /** Measures first and changes then: taking turns would lay the page out for every box. @param {HTMLElement[]} boxes */
  function settle(boxes) {
    const measured = boxes.map((box) => ({ box, over: box.scrollWidth - box.clientWidth, left: box.scrollLeft }));
    for (const { box, over, left } of measured) {
      if (over > 1) box.tabIndex = 0;
      else box.removeAttribute("tabindex");
      box.classList.toggle("more-left", over > 1 && left > 1);
      box.classList.toggle("more-right", over > 1 && left < over - 1);
    }
  }

  /** A flow whose script did not come shows all its steps, as without scripts. */
  function showFlowAnyway() {
    window.addEventListener("load", () => all("[data-flow]").forEach((page) => (page.dataset.ready = "")));
  }

  /** Answers folded away on the screen belong on paper. */
  function unfoldForPrint() {
    /** @type {HTMLDetailsElement[]} */
    let opened = [];
    window.addEventListener("beforeprint", () => {
      opened = /** @type {HTMLDetailsElement[]} */ (all("details:not([open])"));
      for (const fold of opened) fold.open = true;
    });
    window.addEventListener("afterprint", () => {
      for (const fold of opened) fold.open = false;
    });
  }

  // What the other scripts of the theme build with.
  /** @type {Window & {baybookParts?: object}} */ (window).baybookParts = { all, make, icon, dialog, words, chosen, fits };

  keepLanguage();
  offerLight();
  offerMenu();
  offerVehicle();
  offerPrint();
  offerFilter();
  labelTables();
  settleScrolls();
  unfoldForPrint();
  showFlowAnyway();
})();
