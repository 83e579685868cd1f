"use strict";
// Reads the search index that was published with the site: words of a text, words of the index, terms, documents.
// A part that is not there it names, and whoever asked brings it and asks again.
/**
 * @typedef {{documents: number, cut: boolean, digits: number, part: number, languages: string[],
 *   kinds: [string, number][], systems: [string, string][], senses: string[], fits: [string, string][],
 *   likenesses: [number[], number[]][], endings: [string, boolean, string][], units: string[], small: string[],
 *   rules: {little: number, mostTerms: number, mostWords: number, beginning: number, mistyped: number[], likeness: number},
 *   words: string[], terms: number[], parts?: Record<string, unknown>}} SearchRoot
 * @typedef {{text: string, start: number, end: number, joined: boolean}} SearchToken
 * @typedef {{text: string, term: number, documents: number, endings: number, small: boolean, silent: boolean}} SearchWord
 * @typedef {{forms: string[], small: boolean, scale: number, documents: number[], weights: number[]}} SearchTerm
 * @typedef {[string, string, string, number, number, string[]]} SearchRow id, title, page, flow, fit, passages
 * @typedef {{root: SearchRoot, missing: Set<string>, word: (text: string) => SearchWord | null,
 *   beginning: (text: string) => SearchWord[], around: (letters: string[]) => SearchWord[],
 *   term: (at: number) => SearchTerm | null, row: (at: number) => SearchRow | null,
 *   facet: (name: string) => number[][] | null}} SearchIndex
 * @typedef {{tokens: (text: string, units: string[]) => SearchToken[], isBefore: (a: string, b: string) => boolean,
 *   countUpTo: <T>(list: T[], isAfter: (item: T) => boolean) => number,
 *   open: (root: SearchRoot, part: (name: string) => unknown) => SearchIndex}} SearchReader
 */
(function () {
  const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  const VALUES = new Int8Array(128).fill(-1);
  for (let at = 0; at < DIGITS.length; at += 1) VALUES[DIGITS.charCodeAt(at)] = at;

  // ---- Words of a text ------------------------------------------------------------------------

  const WORD = /[\p{Alphabetic}\p{N}\p{M}]/u;

  /** Lower case, without accents and apostrophes. @param {string} text */
  function fold(text) {
    return text.normalize("NFD").replace(/[\p{M}'\u2019]/gu, "").toLowerCase();
  }

  /** @param {string} text @returns {SearchToken[]} runs of letters and digits, with the signs that bind them */
  function pieces(text) {
    const chars = Array.from(text);
    /** @type {SearchToken[]} */
    const found = [];
    let offset = 0;
    let start = -1;
    const end = () => {
      const folded = fold(text.slice(start, offset));
      if (folded) found.push({ text: folded, start, end: offset, joined: false });
      start = -1;
    };
    for (let at = 0; at < chars.length; at += 1) {
      const char = chars[at] || "";
      const inside = WORD.test(char) || (start >= 0 && binds(chars[at - 1] || "", char, chars[at + 1] || ""));
      if (inside && start < 0) start = offset;
      if (!inside && start >= 0) end();
      offset += char.length;
    }
    if (start >= 0) end();
    return found;
  }

  /** @param {string} before @param {string} sign @param {string} after */
  function binds(before, sign, after) {
    if (sign === "'" || sign === "\u2019") return WORD.test(before) && WORD.test(after);
    return (sign === "." || sign === "," || sign === "/") && /[0-9]/.test(before) && /[0-9]/.test(after);
  }

  /** @param {string} text @param {string[]} units @returns {SearchToken[]} */
  function tokens(text, units) {
    /** @type {SearchToken[]} */
    const found = [];
    /** @type {SearchToken | null} */
    let before = null;
    for (const piece of pieces(text)) {
      const digits = (/^[0-9.,/]*/.exec(piece.text) || [""])[0];
      const plain = text.startsWith(digits, piece.start);
      if (plain && isNumber(digits) && units.includes(piece.text.slice(digits.length))) {
        found.push({ text: digits, start: piece.start, end: piece.start + digits.length, joined: false });
        found.push({ text: piece.text, start: piece.start, end: piece.end, joined: true });
      } else found.push(piece);
      if (before && areJoined(before, piece, text.slice(before.end, piece.start), units)) {
        found.push({ text: before.text + piece.text, start: before.start, end: piece.end, joined: true });
      }
      before = piece;
    }
    return found;
  }

  /** @param {SearchToken} before @param {SearchToken} piece @param {string} between @param {string[]} units */
  function areJoined(before, piece, between, units) {
    if (between === "-" || between === "\u2010" || between === "\u2011") return true;
    const space = between === " " || between === "\u00a0" || between === "\u202f";
    return space && isNumber(before.text) && units.includes(piece.text);
  }

  /** @param {string} text */
  function isNumber(text) {
    return /^[0-9][0-9.,/]*$/.test(text);
  }

  // ---- The index as published -----------------------------------------------------------------

  /** By code points, as the index is sorted. @param {string} a @param {string} b */
  function isBefore(a, b) {
    const length = Math.min(a.length, b.length);
    for (let at = 0; at < length; at += 1) {
      if (a.charCodeAt(at) !== b.charCodeAt(at)) return (a.codePointAt(at) || 0) < (b.codePointAt(at) || 0);
    }
    return a.length < b.length;
  }

  /** How many of the first are not after the wanted one. @template T @param {T[]} list @param {(item: T) => boolean} isAfter */
  function countUpTo(list, isAfter) {
    let low = 0;
    let high = list.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (isAfter(/** @type {T} */ (list[middle]))) high = middle;
      else low = middle + 1;
    }
    return low;
  }

  /** @param {string} text a run of numbers @param {number} [from] */
  function reader(text, from) {
    let at = from || 0;
    return {
      done: () => at >= text.length,
      next() {
        let value = 0;
        for (let factor = 1; at < text.length; factor *= 32) {
          const group = VALUES[text.charCodeAt(at)] || 0;
          at += 1;
          value += (group & 31) * factor;
          if (group < 32) break;
        }
        return value;
      },
      /** @param {number} count */
      digits(count) {
        let value = 0;
        for (let left = count; left > 0; left -= 1) {
          value = value * 64 + (VALUES[text.charCodeAt(at)] || 0);
          at += 1;
        }
        return value;
      },
    };
  }

  /** @param {[string, string]} part @returns {SearchWord[]} */
  function readWords(part) {
    const data = reader(part[1]);
    let text = "";
    let term = 0;
    return part[0].split(" ").map((packed) => {
      const shared = VALUES[packed.charCodeAt(0)] || 0;
      const kept = shared <= text.length ? text.slice(0, shared) : text;
      text = (ASCII.test(kept) ? kept : Array.from(text).slice(0, shared).join("")) + packed.slice(1);
      const step = data.next();
      term += step % 2 ? -Math.floor(step / 2) : step / 2;
      const documents = data.next();
      const bits = data.next();
      return { text, term, documents, endings: bits >> 2, small: (bits & 2) !== 0, silent: (bits & 1) !== 0 };
    });
  }

  const ASCII = /^[\x20-\x7e]*$/;

  /** @param {string} text @param {number} digits @returns {SearchTerm} */
  function readTerm(text, digits) {
    const bar = text.indexOf("|");
    const data = reader(text, bar + 1);
    const head = data.next();
    const documents = [];
    const weights = [];
    let document = 0;
    while (!data.done()) {
      const step = data.next();
      document += digits === 0 ? Math.floor(step / 16) : step;
      documents.push(document);
      weights.push(digits === 0 ? step % 16 : data.digits(digits));
    }
    const forms = text.slice(0, bar).split(" ");
    return { forms, small: head % 2 === 1, scale: Math.floor(head / 2), documents, weights };
  }

  /**
   * The index over whatever parts are there. A part that is not there is named in `missing`.
   * @returns {SearchIndex}
   * @param {SearchRoot} root @param {(name: string) => unknown} part
   */
  function open(root, part) {
    /** @type {Map<number, {list: SearchWord[], map: Map<string, SearchWord>}>} */
    const wordParts = new Map();
    /** @type {Map<number, SearchTerm>} */
    const termCache = new Map();
    /** @type {Map<string, number[][]>} */
    const facetCache = new Map();
    /** @type {Set<string>} */
    const missing = new Set();

    /** @param {string} name */
    function get(name) {
      const found = part(name);
      if (found === undefined) missing.add(name);
      return found;
    }

    /** @param {number} at */
    function wordPart(at) {
      const known = wordParts.get(at);
      if (known) return known;
      const data = /** @type {[string, string] | undefined} */ (get("w" + at));
      if (!data) return null;
      const list = readWords(data);
      const read = { list, map: new Map(list.map((word) => [word.text, word])) };
      wordParts.set(at, read);
      return read;
    }

    /** @param {string} text */
    function partOf(text) {
      return Math.max(0, countUpTo(root.words, (first) => isBefore(text, first)) - 1);
    }

    return {
      root,
      missing,
      /** @param {string} text @returns {SearchWord | null} */
      word(text) {
        const found = wordPart(partOf(text));
        return (found && found.map.get(text)) || null;
      },
      /** Words that begin so. @param {string} text @returns {SearchWord[]} */
      beginning(text) {
        const found = [];
        for (let at = partOf(text); at < root.words.length; at += 1) {
          const first = root.words[at] || "";
          if (at > partOf(text) && !first.startsWith(text)) break;
          const list = wordPart(at);
          if (list) found.push(...list.list.filter((word) => word.text.startsWith(text) && !word.silent));
        }
        return found;
      },
      /** Words that may be near: all, or in a cut index those that begin alike. @param {string[]} letters @returns {SearchWord[]} */
      around(letters) {
        if (root.cut) {
          const [first = "", second = ""] = letters;
          return !second || first === second ? this.beginning(first) : this.beginning(first).concat(this.beginning(second + first));
        }
        const all = wordPart(0);
        return all ? all.list.filter((word) => !word.silent) : [];
      },
      /** @param {number} at @returns {SearchTerm | null} */
      term(at) {
        const known = termCache.get(at);
        if (known) return known;
        const number = countUpTo(root.terms, (first) => first > at) - 1;
        const list = /** @type {string[] | undefined} */ (get("t" + number));
        if (!list) return null;
        const term = readTerm(list[at - (root.terms[number] || 0)] || "|", root.digits);
        termCache.set(at, term);
        return term;
      },
      /** @param {number} at @returns {SearchRow | null} */
      row(at) {
        const number = root.cut ? Math.floor(at / root.part) : 0;
        const list = /** @type {SearchRow[] | undefined} */ (get("d" + number));
        return (list && list[root.cut ? at % root.part : at]) || null;
      },
      /** What documents can be filtered by: `fit`, `system` or `sense`. @param {string} name @returns {number[][] | null} */
      facet(name) {
        const known = facetCache.get(name);
        if (known) return known;
        const text = /** @type {string | undefined} */ (get(name));
        if (text === undefined) return null;
        const data = reader(text);
        const found = [];
        while (!data.done()) {
          const values = [data.next()];
          if (name === "system") {
            const count = values.pop() || 0;
            for (let left = count; left > 0; left -= 1) values.push(data.next());
          }
          found.push(values);
        }
        facetCache.set(name, found);
        return found;
      },
    };
  }

  /** @type {SearchReader} */
  const parts = { tokens, isBefore, countUpTo, open };
  /** @type {typeof globalThis & {baybookSearchReader?: SearchReader}} */ (globalThis).baybookSearchReader = parts;
})();
