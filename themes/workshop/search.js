"use strict";
// The search box: shows what the engine finds, and brings the parts of the index that it misses.
// A plain field over a list of links: the arrows move between them, Enter opens, Escape clears.
(function () {
  /**
   * @typedef {{line: string, year: number, options: Record<string, string>, text: string}} Chosen
   * @typedef {[string, boolean][]} Stretches
   * @typedef {{kind: string, id: string, page: string, score: number, title: Stretches, fits: string, flow: boolean,
   *   reason: {what: string, text: Stretches} | null}} Hit
   * @typedef {{results: Hit[], apart: Hit[], total: number, totalApart: number,
   *   readAs: {word: string, takenFor: string[]}[], nearest: string[], whole: boolean}} Answer
   * @typedef {{documents: number, cut: boolean, languages: string[], kinds: [string, number][], systems: [string, string][],
   *   senses: string[], parts?: Record<string, unknown>}} Root
   * @typedef {{missing: Set<string>}} Index
   * @typedef {{open: (root: Root, part: (name: string) => unknown) => Index, find: (index: Index, query: object, enough: number) => Answer | null}} Engine
   */

  const doc = document;
  const shop = /** @type {Window & {baybookSearchIndex?: Root, baybookSearchParts?: Record<string, unknown>, baybookSearchReader?: object,
   *   baybookSearchEngine?: Engine}} */ (window);
  const parts = /** @type {any} */ (window).baybookParts;
  const box = /** @type {HTMLElement | null} */ (doc.querySelector("[data-search]"));
  const input = box && box.querySelector("input");
  const found = box && /** @type {HTMLElement | null} */ (box.querySelector("[data-search-found]"));
  const status = box && /** @type {HTMLElement | null} */ (box.querySelector("[data-search-status]"));
  if (!box || !input || !found || !status || !parts) return;

  /** @type {(tag: string, cls?: string, text?: string) => any} */
  const make = parts.make;
  /** @type {(name: string) => SVGSVGElement} */
  const icon = parts.icon;
  const template = /** @type {HTMLElement | null} */ (doc.querySelector("[data-search-words]"));
  const words = (template || doc.body).dataset;
  const root = doc.body.dataset.root || "";
  const STEP = 10;
  /** So many results are shown as soon as they are there, before the rest of the list. */
  const FIRST = 3;
  const WAIT = 15000;

  const state = { kind: "", system: "", sense: "", limit: STEP };
  let asked = 0;
  let attempt = 0;
  /** @type {Index | null} */
  let index = null;

  // ---- The index and its parts ----------------------------------------------------------------

  /** @type {Map<string, Promise<void>>} */
  const coming = new Map();

  /** @param {string} path @param {() => boolean} isThere @returns {Promise<void>} */
  function bring(path, isThere) {
    if (isThere()) return Promise.resolve();
    const known = coming.get(path);
    if (known) return known;
    /** @type {Promise<void>} */
    const brought = new Promise((resolve, reject) => {
      const script = make("script");
      const settle = () => {
        clearTimeout(timer);
        script.remove();
        coming.delete(path);
        if (isThere()) resolve();
        else reject(new Error(path));
      };
      const timer = setTimeout(settle, WAIT);
      script.addEventListener("load", settle);
      script.addEventListener("error", settle);
      script.fetchPriority = "high";
      script.src = root + path + (attempt > 0 ? "?again=" + attempt : "");
      doc.head.append(script);
    });
    coming.set(path, brought);
    return brought;
  }

  /** @param {string} name */
  function part(name) {
    const own = shop.baybookSearchIndex;
    return own && own.parts && name in own.parts ? own.parts[name] : (shop.baybookSearchParts || {})[name];
  }

  /** @param {string} name */
  function bringPart(name) {
    return bring("data/search/" + name + ".js", () => part(name) !== undefined);
  }

  async function ready() {
    const isThere = () => Boolean(shop.baybookSearchIndex && shop.baybookSearchIndex.documents >= 0);
    await bring("assets/search-index.js", () => Boolean(shop.baybookSearchReader));
    await bring("assets/search-engine.js", () => Boolean(shop.baybookSearchEngine));
    await bring("data/search.js", isThere);
    const { baybookSearchEngine: engine, baybookSearchIndex: root } = shop;
    if (!index && engine && root) index = engine.open(root, part);
    return engine;
  }

  /** Asks until no part is missing. @param {object} query @param {() => boolean} isWanted @param {(answer: Answer) => void} take the first results, then all @returns {Promise<void>} */
  async function answer(query, isWanted, take) {
    const engine = await ready();
    for (let round = 0; round < 30 && index && engine && isWanted(); round += 1) {
      const answer = engine.find(index, query, FIRST);
      if (answer) take(answer);
      if (answer && answer.whole) return;
      await Promise.all(Array.from(index.missing, bringPart));
    }
    if (isWanted()) throw new Error("search");
  }

  // ---- Asking ---------------------------------------------------------------------------------

  /** @returns {Chosen | null} */
  function vehicle() {
    try {
      const value = JSON.parse(localStorage.getItem("baybook.vehicle") || "null");
      return value && typeof value.line === "string" && typeof value.options === "object" ? value : null;
    } catch {
      return null;
    }
  }

  async function ask() {
    asked += 1;
    const own = asked;
    const text = input ? input.value.trim() : "";
    keepAddressSoon();
    if (!text) {
      hide();
      say("");
      return;
    }
    const chosen = vehicle();
    const slow = setTimeout(() => own === asked && tell(words.loading || ""), 300);
    const take = (/** @type {Answer} */ answer) => {
      clearTimeout(slow);
      show(answer, chosen, own);
    };
    try {
      const query = { words: text, vehicle: chosen, kind: state.kind, system: state.system, sense: state.sense, limit: state.limit, limitApart: 3 };
      await answer(query, () => own === asked, take);
    } catch {
      if (own === asked) fail();
    }
    clearTimeout(slow);
  }

  let addressTimer = 0;
  /** A changed address costs the browser more than an answer does, so it waits until the reader does. */
  function keepAddressSoon() {
    clearTimeout(addressTimer);
    addressTimer = setTimeout(keepAddress, 250);
  }

  function keepAddress() {
    const address = new URL(location.href);
    const values = { q: input ? input.value.trim() : "", kind: state.kind, system: state.system, sense: state.sense };
    for (const [name, value] of Object.entries(values)) {
      if (value && values.q) address.searchParams.set(name, value);
      else address.searchParams.delete(name);
    }
    if (address.href === location.href) return;
    try {
      history.replaceState(history.state, "", address.href);
    } catch {
      // Some places allow no such change; the search works without it.
    }
  }

  function readAddress() {
    const given = new URL(location.href).searchParams;
    state.kind = given.get("kind") || "";
    state.system = given.get("system") || "";
    state.sense = given.get("sense") || "";
    const text = given.get("q");
    if (text && input) {
      input.value = text;
      ask();
    }
  }

  // ---- Showing --------------------------------------------------------------------------------

  /** @param {string} text for those who hear the page */
  function say(text) {
    if (status && status.textContent !== text) status.textContent = text;
  }

  function hide() {
    if (found) found.hidden = true;
  }

  const NONE = { own: 0, held: "", list: /** @type {HTMLElement | null} */ (null) };
  /** The question whose first results stand there, and what had the focus before. */
  let begun = NONE;

  /** @param {...(Node | null)} nodes */
  function put(...nodes) {
    if (!found) return;
    found.removeAttribute("aria-busy");
    const held = doc.activeElement instanceof HTMLElement && found.contains(doc.activeElement) ? doc.activeElement.id : "";
    found.replaceChildren(...nodes.filter((node) => node !== null));
    found.hidden = false;
    begun = { ...NONE, held };
    holdAgain();
  }

  function holdAgain() {
    const again = begun.held && doc.getElementById(begun.held);
    if (again) again.focus();
  }

  /** @param {string} text */
  function tell(text) {
    put(make("p", "found-say", text));
    say(text);
  }

  function fail() {
    const again = make("button", "act", words.retry);
    again.type = "button";
    again.addEventListener("click", () => {
      attempt += 1;
      if (input) input.focus();
      ask();
    });
    const message = make("p", "found-say", words.failed);
    put(message, again);
    say(words.failed || "");
  }

  /** Shows an answer, or the results that it has so far. @param {Answer} result @param {Chosen | null} chosen @param {number} own the number of the question */
  function show(result, chosen, own) {
    if (!found) return;
    const total = result.total + result.totalApart;
    const setApart = (words.apartCount || "").replace("{n}", String(result.totalApart));
    if (begun.own !== own || !begun.list) {
      const note = result.totalApart > 0 && result.total > 0 ? make("p", "found-say found-note", setApart) : null;
      const rows = result.results.length > 0 ? list(result.results, "hits") : null;
      put(filters(), readAs(result), note, rows);
      begun = { ...begun, own, list: rows };
      say(total === 0 ? words.none || "" : (words.found || "") + " " + result.total + (result.totalApart > 0 ? ", " + setApart : ""));
      if (!result.whole) {
        found.setAttribute("aria-busy", "true");
        return;
      }
    } else begun.list.append(...result.results.slice(begun.list.children.length).map(row));
    const rest = [];
    if (total === 0) rest.push(nothing(result));
    if (result.total > result.results.length) rest.push(more(result.total - result.results.length));
    if (result.apart.length > 0) {
      const head = make("p", "found-head", (words.apart || "").replace("{vehicle}", chosen ? chosen.text : ""));
      rest.push(head, list(result.apart, "hits hits-apart"));
    }
    found.append(...rest);
    found.removeAttribute("aria-busy");
    if (doc.activeElement === doc.body) holdAgain();
    begun = NONE;
  }

  /** @param {Answer} result */
  function readAs(result) {
    const taken = result.readAs.filter((read) => read.takenFor.length > 0);
    if (taken.length === 0) return null;
    const note = make("p", "found-say");
    for (const { word, takenFor } of taken) {
      const text = (words.readAs || "").replace("{word}", word).replace("{words}", takenFor.slice(0, 3).join(", "));
      note.append(make("span", "", text), " ");
    }
    return note;
  }

  /** @param {Hit[]} hits @param {string} cls */
  function list(hits, cls) {
    const rows = make("ol", cls);
    rows.append(...hits.map(row));
    return rows;
  }

  function edition() {
    const languages = (shop.baybookSearchIndex && shop.baybookSearchIndex.languages) || [];
    const lang = doc.documentElement.lang;
    const isFirst = languages.indexOf(lang) < 1;
    return { prefix: isFirst ? "" : lang + "/", textLang: isFirst ? "" : languages[0] || "" };
  }

  /** @param {Hit} hit */
  function row(hit) {
    const { prefix, textLang } = edition();
    const item = make("li", "hit hit-" + hit.kind);
    const link = make("a", "hit-link");
    const title = stretches("b", hit.title, textLang);
    link.href = root + prefix + hit.page;
    link.dataset.hit = "";
    link.append(icon(hit.kind === "word" ? "words" : hit.kind), title, make("span", "hit-kind", label("kind", hit.kind)));
    item.append(link);
    if (hit.reason) item.append(reason(hit.reason, textLang));
    if (hit.fits) {
      const fits = make("p", "hit-fits", (words.fits || "") + " ");
      fits.append(withLang(make("span", "", hit.fits), textLang));
      item.append(fits);
    }
    if (hit.flow) {
      const flow = make("a", "mini", words.flow);
      flow.href = root + prefix + "flows/" + hit.id + ".html";
      flow.dataset.hit = "";
      flow.prepend(icon("flow"));
      flow.append(make("span", "vh", ": " + title.textContent));
      item.append(flow);
    }
    return item;
  }

  /** @param {{what: string, text: Stretches}} reason @param {string} lang */
  function reason(reason, lang) {
    const why = make("p", "hit-why");
    if (reason.what === "") {
      why.append((words.inText || "") + " ", stretches("span", /** @type {Stretches} */ (reason.text.flatMap((part, at) => (at > 0 ? [[", ", false], part] : [part]))), lang));
    } else why.append(stretches(reason.what === "p" ? "q" : "span", reason.text, lang));
    return why;
  }

  /** @param {string} tag @param {Stretches} text @param {string} lang */
  function stretches(tag, text, lang) {
    const element = withLang(make(tag), lang);
    for (const [part, isFound] of text) element.append(isFound ? make("mark", "", part) : part);
    return element;
  }

  /** @template {HTMLElement} T @param {T} element @param {string} lang @returns {T} */
  function withLang(element, lang) {
    if (lang) element.lang = lang;
    return element;
  }

  /** A label that the page gives for a name. @param {string} group @param {string} name */
  function label(group, name) {
    return (template && template.getAttribute("data-" + group + "-" + name)) || name;
  }

  /** @type {HTMLElement | null} */
  let filterBar = null;

  function filters() {
    const its = shop.baybookSearchIndex;
    if (!its) return null;
    filterBar ||= makeFilters(its);
    for (const select of filterBar.querySelectorAll("select")) {
      select.value = state[/** @type {"kind" | "system" | "sense"} */ (select.name)];
      select.classList.toggle("set", select.value !== "");
    }
    return filterBar;
  }

  /** @param {Root} its @returns {HTMLElement} */
  function makeFilters(its) {
    const bar = make("div", "found-bar");
    bar.setAttribute("role", "group");
    bar.setAttribute("aria-label", words.filters || "");
    /** @type {["kind" | "system" | "sense", string, [string, string][]][]} */
    const lists = [
      ["kind", words.anyKind || "", its.kinds.map(([name]) => [name, label("kind", name)])],
      ["system", words.anySystem || "", its.systems],
      ["sense", words.anySense || "", its.senses.map((name) => [name, label("sense", name)])],
    ];
    for (const [name, any, choices] of lists) {
      const select = make("select");
      select.id = "p-search-" + name;
      select.name = name;
      select.setAttribute("aria-label", words[name] || name);
      select.append(new Option(any, ""), ...choices.map(([id, text]) => new Option(text, id)));
      select.addEventListener("change", () => {
        state[name] = select.value;
        state.limit = STEP;
        ask();
      });
      bar.append(select);
    }
    return bar;
  }

  /** @param {number} left */
  function more(left) {
    const button = make("button", "act found-more", (words.more || "").replace("{n}", String(left)));
    button.type = "button";
    button.id = "p-search-more";
    button.addEventListener("click", () => {
      state.limit += STEP;
      ask();
    });
    return button;
  }

  /** Nothing found: the nearest words, and ways in by sense and by system. @param {Answer} result */
  function nothing(result) {
    const { prefix, textLang } = edition();
    const its = shop.baybookSearchIndex;
    const all = make("div", "found-none");
    all.append(make("p", "", words.none));
    if (state.kind || state.system || state.sense) {
      const drop = make("button", "act", words.dropFilters);
      drop.type = "button";
      drop.addEventListener("click", () => {
        state.kind = state.system = state.sense = "";
        if (input) input.focus();
        ask();
      });
      all.append(drop);
    }
    if (result.nearest.length > 0) {
      const near = make("p", "found-near", (words.nearest || "") + " ");
      for (const word of result.nearest) {
        const button = withLang(make("button", "chip", word), textLang);
        button.type = "button";
        button.dataset.hit = "";
        button.addEventListener("click", () => {
          if (!input) return;
          input.value = word;
          input.focus();
          ask();
        });
        near.append(button);
      }
      all.append(near);
    }
    if (its) {
      const senses = its.senses.map((sense) => browse(prefix + "symptoms/index.html#" + sense, label("sense", sense), ""));
      const systems = its.systems.map(([id, title]) => browse(prefix + "systems/" + id + ".html", title, textLang));
      all.append(links(words.bySense || "", senses), links(words.bySystem || "", systems));
    }
    return all;
  }

  /** @param {string} href @param {string} text @param {string} lang */
  function browse(href, text, lang) {
    const link = withLang(make("a", "", text), lang);
    link.setAttribute("href", root + href);
    link.dataset.hit = "";
    return link;
  }

  /** @param {string} head @param {HTMLElement[]} all */
  function links(head, all) {
    const group = make("div", "found-browse");
    const rows = make("ul");
    for (const link of all) {
      const item = make("li");
      item.append(link);
      rows.append(item);
    }
    group.append(make("p", "cap", head), rows);
    return group;
  }

  // ---- Keys -----------------------------------------------------------------------------------

  /** @param {KeyboardEvent} event */
  function isTyping(event) {
    const target = event.target;
    return target instanceof HTMLElement && (target.isContentEditable || /^(input|textarea|select)$/i.test(target.tagName));
  }

  /** @param {number} step */
  function move(step) {
    const stops = [input, ...Array.from(box ? box.querySelectorAll("[data-search-found] [data-hit]") : [])];
    const at = stops.indexOf(/** @type {any} */ (doc.activeElement));
    const next = /** @type {HTMLElement | undefined} */ (stops[Math.min(Math.max(at + step, 0), stops.length - 1)]);
    if (next) next.focus();
  }

  function clear() {
    if (!input) return;
    input.value = "";
    state.kind = state.system = state.sense = "";
    state.limit = STEP;
    input.focus();
    ask();
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    const isSelect = event.target instanceof HTMLSelectElement;
    if ((event.key === "ArrowDown" || event.key === "ArrowUp") && !isSelect) {
      event.preventDefault();
      if (found && found.hidden && input && input.value.trim()) ask();
      else move(event.key === "ArrowDown" ? 1 : -1);
    } else if (event.key === "Escape") {
      event.preventDefault();
      clear();
    } else if (event.key === "Enter" && event.target === input) {
      event.preventDefault();
      ask().then(() => {
        const first = found && !found.hidden && /** @type {HTMLElement | null} */ (found.querySelector("a[data-hit]"));
        if (first) first.click();
      });
    }
  }

  doc.addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || isTyping(event)) return;
    event.preventDefault();
    input.focus();
    input.select();
  });
  box.addEventListener("keydown", onKey);
  input.addEventListener("input", () => {
    state.limit = STEP;
    ask();
  });
  input.addEventListener("focus", () => {
    if (found.hidden && input.value.trim()) ask();
  });
  const leave = (/** @type {Event} */ event) => {
    if (event.target instanceof Node && !box.contains(event.target)) hide();
  };
  doc.addEventListener("pointerdown", leave);
  doc.addEventListener("focusin", leave);
  const again = () => {
    if (!found.hidden) ask();
  };
  doc.addEventListener("baybook-vehicle", again);
  window.addEventListener("storage", (event) => {
    if (event.key === "baybook.vehicle") again();
  });

  readAddress();
  /** What a small index shows of documents comes while nobody waits. */
  function bringShown() {
    if (!shop.baybookSearchIndex?.cut) bringPart("d0").catch(() => undefined);
  }

  const whenIdle = window.requestIdleCallback || ((/** @type {() => void} */ act) => setTimeout(act, 200));
  ready().then(() => {
    box.setAttribute("data-search-ready", "");
    whenIdle(bringShown);
  }, () => undefined);
})();
