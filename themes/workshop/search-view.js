"use strict";
// What the search found, as elements: results with their reasons, filters, ways on where nothing was found.
/**
 * @typedef {[string, boolean][]} SearchStretches texts, and whether each was found
 * @typedef {{kind: string, id: string, page: string, score: number, title: SearchStretches, fits: string, flow: boolean,
 *   reason: {what: string, text: SearchStretches} | null}} SearchHit
 * @typedef {{results: SearchHit[], apart: SearchHit[], total: number, totalApart: number,
 *   readAs: {word: string, takenFor: string[]}[], unknown: string[], rare: string[], nearest: string[], whole: boolean}} SearchAnswer
 * @typedef {{kind: string, system: string, sense: string, limit: number}} SearchState
 * @typedef {{change: () => void, more: () => void, drop: () => void, take: (word: string) => void}} SearchActs a filter
 *   was chosen, more is wanted, all filters are dropped, another word is taken
 * @typedef {{filters: () => HTMLElement, readAs: (result: SearchAnswer) => HTMLElement | null,
 *   list: (hits: SearchHit[], cls: string) => HTMLElement, row: (hit: SearchHit) => HTMLElement,
 *   more: (left: number) => HTMLElement, nothing: (result: SearchAnswer) => HTMLElement}} SearchView
 */
(function () {
  const lent = /** @type {Window & {baybookMake?: ElementMaking}} */ (window).baybookMake;
  if (!lent) return;
  const { make, icon } = lent;
  const doc = document;

  /** @param {SearchRoot} its @param {SearchState} state @param {SearchActs} acts @returns {SearchView} */
  function view(its, state, acts) {
    const template = /** @type {HTMLElement | null} */ (doc.querySelector("[data-search-words]"));
    const words = (template || doc.body).dataset;
    const root = doc.body.dataset.root || "";

    /** How the query was read, and which of its words lead nowhere, so that nobody takes results for an answer to them. @param {SearchAnswer} result */
    function understood(result) {
      const taken = result.readAs.filter((read) => read.takenFor.length > 0);
      const said = taken.map(({ word, takenFor }) => (words.readAs || "").replace("{word}", word).replace("{words}", takenFor.slice(0, 3).join(", ")));
      if (result.unknown.length > 0) said.push((words.unknown || "").replace("{words}", result.unknown.join(", ")));
      said.push(...result.rare.map((word) => (words.rare || "").replace("{word}", word)));
      return said.join(" ");
    }

    /** @param {SearchAnswer} result */
    function readAs(result) {
      const text = understood(result);
      return text ? make("p", "found-say", text) : null;
    }

    /** @param {SearchHit[]} hits @param {string} cls */
    function list(hits, cls) {
      const rows = make("ol", cls);
      rows.append(...hits.map(row));
      return rows;
    }

    /** Of a page in another language than the shop's first: the folder of its edition, and the language of what is found. */
    function edition() {
      const { lang } = doc.documentElement;
      const isFirst = its.languages.indexOf(lang) < 1;
      return { prefix: isFirst ? "" : lang + "/", textLang: isFirst ? "" : its.languages[0] || "" };
    }

    /** @param {SearchHit} hit */
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

    /** @param {{what: string, text: SearchStretches}} reason @param {string} lang */
    function reason(reason, lang) {
      const why = make("p", "hit-why");
      if (reason.what === "") {
        why.append((words.inText || "") + " ", stretches("span", /** @type {SearchStretches} */ (reason.text.flatMap((part, at) => (at > 0 ? [[", ", false], part] : [part]))), lang));
      } else why.append(stretches(reason.what === "p" ? "q" : "span", reason.text, lang));
      return why;
    }

    /** @param {"b" | "q" | "span"} tag @param {SearchStretches} text @param {string} lang */
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
      filterBar ||= makeFilters();
      for (const select of filterBar.querySelectorAll("select")) {
        select.value = state[/** @type {"kind" | "system" | "sense"} */ (select.name)];
        select.classList.toggle("set", select.value !== "");
      }
      return filterBar;
    }

    /** @returns {HTMLElement} */
    function makeFilters() {
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
          acts.change();
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
      button.addEventListener("click", acts.more);
      return button;
    }

    /** Nothing found: the nearest words, and ways in by sense and by system. @param {SearchAnswer} result */
    function nothing(result) {
      const { prefix, textLang } = edition();
      const all = make("div", "found-none");
      all.append(make("p", "", words.none));
      if (state.kind || state.system || state.sense) {
        const drop = make("button", "act", words.dropFilters);
        drop.type = "button";
        drop.addEventListener("click", acts.drop);
        all.append(drop);
      }
      if (result.nearest.length > 0) {
        const near = make("p", "found-near", (words.nearest || "") + " ");
        for (const word of result.nearest) {
          const button = withLang(make("button", "chip", word), textLang);
          button.type = "button";
          button.dataset.hit = "";
          button.addEventListener("click", () => acts.take(word));
          near.append(button);
        }
        all.append(near);
      }
      const senses = its.senses.map((sense) => browse(prefix + "symptoms/index.html#" + sense, label("sense", sense), ""));
      const systems = its.systems.map(([id, title]) => browse(prefix + "systems/" + id + ".html", title, textLang));
      all.append(links(words.bySense || "", senses), links(words.bySystem || "", systems));
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

    return { filters, readAs, list, row, more, nothing };
  }

  /** @type {typeof globalThis & {baybookSearchView?: object}} */ (globalThis).baybookSearchView = view;
})();
