"use strict";
// The search box: shows what the engine finds, and brings the parts of the index that it misses.
// A plain field over a list of links: the arrows move between them, Enter opens, Escape clears.
// It needs nothing but a page that has been read and what early.js lends: the other scripts of the search may come before it or after.
(function (/** @type {() => void} */ start) {
  if (document.readyState === "loading") document.addEventListener("readystatechange", start, { once: true });
  else start();
})(function () {
  /**
   * @typedef {{line: string, year: number, options: Record<string, string>, text: string}} Chosen
   * @typedef {{open: SearchReader["open"], find: (index: SearchIndex, query: object, enough: number) => SearchAnswer | null}} Engine
   * @typedef {(its: SearchRoot, state: SearchState, acts: SearchActs) => SearchView} View
   */

  const lent = /** @type {Window & {baybookMake?: ElementMaking}} */ (window).baybookMake;
  if (!lent) return;
  const { make } = lent;
  const doc = document;
  const shop = /** @type {Window & {baybookSearchIndex?: SearchRoot, baybookSearchParts?: Record<string, unknown>, baybookSearchReader?: object,
   *   baybookSearchEngine?: Engine, baybookSearchView?: View}} */ (window);
  const box = /** @type {HTMLElement | null} */ (doc.querySelector("[data-search]"));
  const input = box && box.querySelector("input");
  const found = box && /** @type {HTMLElement | null} */ (box.querySelector("[data-search-found]"));
  const status = box && /** @type {HTMLElement | null} */ (box.querySelector("[data-search-status]"));
  if (!box || !input || !found || !status) return;

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
  /** @type {SearchIndex | null} */
  let index = null;
  /** @type {SearchView | null} */
  let view = null;

  // ---- The index and its parts ----------------------------------------------------------------

  /** @type {Map<string, Promise<void>>} */
  const coming = new Map();

  /** Each try fetches anew, whatever became of the one before. @param {string} path @param {() => boolean} isThere @returns {Promise<void>} */
  function bring(path, isThere) {
    if (isThere()) return Promise.resolve();
    const source = root + path + (attempt > 0 ? "?again=" + attempt : "");
    const known = coming.get(source);
    if (known) return known;
    const brought = awaited(path)
      .then(() => (isThere() ? undefined : added(source)))
      .then(() => {
        coming.delete(source);
        if (!isThere()) throw new Error(path);
      });
    coming.set(source, brought);
    return brought;
  }

  /** Waits for a script that the page itself names, if it may still come. @param {string} path @returns {Promise<void>} */
  async function awaited(path) {
    const script = doc.readyState === "complete" ? null : doc.querySelector('script[src="' + root + path + '"]');
    if (script) await settled([script, window]);
  }

  /** @param {string} source @returns {Promise<void>} */
  async function added(source) {
    const script = doc.createElement("script");
    script.fetchPriority = "high";
    script.src = source;
    const end = settled([script]);
    doc.head.append(script);
    await end;
    script.remove();
  }

  /** @param {EventTarget[]} targets of which one loads, fails, or takes too long @returns {Promise<void>} */
  function settled(targets) {
    return new Promise((resolve) => {
      const end = () => {
        clearTimeout(timer);
        resolve();
      };
      const timer = setTimeout(end, WAIT);
      for (const target of targets) for (const event of ["load", "error"]) target.addEventListener(event, end, { once: true });
    });
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
    await Promise.all([
      bring("assets/search-index.js", () => Boolean(shop.baybookSearchReader)),
      bring("assets/search-engine.js", () => Boolean(shop.baybookSearchEngine)),
      bring("assets/search-view.js", () => Boolean(shop.baybookSearchView)),
      bring("data/search.js", () => Boolean(shop.baybookSearchIndex && shop.baybookSearchIndex.documents >= 0)),
    ]);
    const { baybookSearchEngine: engine, baybookSearchIndex: root } = shop;
    if (!index && engine && root) index = engine.open(root, part);
    if (!view && shop.baybookSearchView && root) view = shop.baybookSearchView(root, state, { change, more, drop, take });
    return engine;
  }

  function change() {
    state.limit = STEP;
    ask();
  }

  function more() {
    state.limit += STEP;
    ask();
  }

  function drop() {
    state.kind = state.system = state.sense = "";
    if (input) input.focus();
    ask();
  }

  /** @param {string} word */
  function take(word) {
    if (!input) return;
    input.value = word;
    input.focus();
    ask();
  }

  /** Asks until no part is missing. @param {object} query @param {() => boolean} isWanted @param {(answer: SearchAnswer) => void} take the first results, then all @returns {Promise<void>} */
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
    const take = (/** @type {SearchAnswer} */ answer) => {
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
    clearTimeout(addressTimer);
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

  /** The write-up of a symptom's questions gives the customer's words, if they led there. @param {EventTarget | null} target */
  function keepWords(target) {
    const hit = target instanceof Element ? target.closest("a[data-hit]") : null;
    if (!hit || !input) return;
    const symptom = /(?:symptoms|flows)\/([a-z0-9-]+)\.html/.exec(hit.getAttribute("href") || "")?.[1];
    try {
      if (symptom) sessionStorage.setItem("baybook.asked", JSON.stringify({ words: input.value.trim(), symptom }));
      else sessionStorage.removeItem("baybook.asked");
    } catch {
      // Then the words are written in by hand.
    }
  }

  /** Where one begins or looks through a list, the next customer may be there: the last one's words are not theirs. */
  function forgetWords() {
    if (!["home", "kind-index"].includes(doc.body.dataset.page || "")) return;
    try {
      sessionStorage.removeItem("baybook.asked");
    } catch {
      // Nothing was kept.
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

  /** Shows an answer, or the results that it has so far. @param {SearchAnswer} result @param {Chosen | null} chosen @param {number} own the number of the question */
  function show(result, chosen, own) {
    if (!found || !view) return;
    const total = result.total + result.totalApart;
    const setApart = (words.apartCount || "").replace("{n}", String(result.totalApart));
    if (begun.own !== own || !begun.list) {
      const note = result.totalApart > 0 && result.total > 0 ? make("p", "found-say found-note", setApart) : null;
      const rows = result.results.length > 0 ? view.list(result.results, "hits") : null;
      const readAs = view.readAs(result);
      put(view.filters(), readAs, note, rows);
      begun = { ...begun, own, list: rows };
      const count = total === 0 ? words.none || "" : (words.found || "") + " " + result.total + (result.totalApart > 0 ? ", " + setApart : "");
      say(readAs ? readAs.textContent + " " + count : count);
      if (!result.whole) {
        found.setAttribute("aria-busy", "true");
        return;
      }
    } else begun.list.append(...result.results.slice(begun.list.children.length).map(view.row));
    const rest = [];
    if (total === 0) rest.push(view.nothing(result));
    if (result.total > result.results.length) rest.push(view.more(result.total - result.results.length));
    if (result.apart.length > 0) {
      const head = make("p", "found-head", (words.apart || "").replace("{vehicle}", chosen ? chosen.text : ""));
      rest.push(head, view.list(result.apart, "hits hits-apart"));
    }
    found.append(...rest);
    found.removeAttribute("aria-busy");
    if (doc.activeElement === doc.body) holdAgain();
    begun = NONE;
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
  // Who comes back from a result finds the question again.
  found.addEventListener("click", (event) => {
    keepAddress();
    keepWords(event.target);
  });
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

  forgetWords();
  window.addEventListener("pageshow", forgetWords);
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
});
