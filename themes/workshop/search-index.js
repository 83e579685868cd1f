"use strict";
// Reads the search index that was published with the site: words of a text, words of the index, terms, documents.
// A part that is not there it names, and whoever asked brings it and asks again.
/**
 * @typedef {{documents: number, cut: boolean, fine: boolean, part: number, languages: string[],
 *   kinds: [string, number][], systems: [string, string][], senses: string[], fits: [string, string][],
 *   likenesses: [number[], number[]][], endings: [string, boolean, string][], units: string[], small: string[],
 *   rules: {little: number, mostTerms: number, mostWords: number, beginning: number, mistyped: number[], likeness: number},
 *   words: string[], letters: string[], splits: string, terms: string, parts?: Record<string, unknown>}} SearchRoot
 * @typedef {{text: string, start: number, end: number, joined: boolean}} SearchToken
 * @typedef {{text: string, term: number, documents: number, endings: number, small: boolean, silent: boolean}} SearchWord
 * @typedef {{texts: string[], at: (place: number) => SearchWord, find: (text: string) => SearchWord | null}} SearchWords
 * @typedef {{forms: string[], small: boolean, scale: number, documents: Uint32Array, weights: Uint16Array}} SearchTerm
 * @typedef {[string, string, string, number, number, string[]]} SearchRow id, title, page, flow, fit, passages
 * @typedef {{root: SearchRoot, missing: Set<string>, word: (text: string, isOfMany?: boolean) => SearchWord | null,
 *   beginning: (text: string) => SearchWords[], term: (at: number) => SearchTerm | null, row: (at: number) => SearchRow | null,
 *   facet: (name: string) => Uint32Array | null}} SearchIndex
 * @typedef {{tokens: (text: string, units: string[]) => SearchToken[], isBefore: (a: string, b: string) => boolean,
 *   countUpTo: <T>(list: T[], isAfter: (item: T) => boolean) => number,
 *   codesOf: (text: string) => Uint32Array, distance: (a: Uint32Array, text: string, most: number) => number,
 *   open: (root: SearchRoot, part: (name: string) => unknown) => SearchIndex}} SearchReader
 */
(function () {
  /** Parts that are fetched one by one; for more words those of a whole letter are cheaper. */
  const FEW = 3;
  const DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  const VALUES = new Int8Array(128).fill(-1);
  for (let at = 0; at < DIGITS.length; at += 1) VALUES[DIGITS.charCodeAt(at)] = at;

  // ---- Words of a text ------------------------------------------------------------------------

  const WORD = /[\p{Alphabetic}\p{N}\p{M}]/u;
  const ASCII = /^[\x00-\x7f]*$/;
  const PLAIN = Uint8Array.from({ length: 128 }, (_, code) => (/[0-9A-Za-z]/.test(String.fromCharCode(code)) ? 1 : 0));
  /** A comma before three digits parts thousands; before fewer or more it is a decimal comma. */
  const DECIMAL = /^([0-9]+),((?![0-9]{3}(?![0-9]))[0-9]+)(?![0-9,])/;
  const [APOSTROPHE, CURLED] = [0x27, 0x2019];

  /** Lower case, without accents and apostrophes. @param {string} text */
  function fold(text) {
    if (ASCII.test(text)) return (text.includes("'") ? text.replace(/'/g, "") : text).toLowerCase();
    return text.normalize("NFD").replace(/[\p{M}'\u2019]/gu, "").toLowerCase();
  }

  /** @param {number} code of a character, or undefined */
  function isWord(code) {
    return code < 128 ? PLAIN[code] === 1 : code >= 128 && WORD.test(String.fromCodePoint(code));
  }

  /** @param {string} text @returns {SearchToken[]} runs of letters and digits, with the signs that bind them */
  function pieces(text) {
    /** @type {SearchToken[]} */
    const found = [];
    let start = -1;
    let before = NaN;
    for (let at = 0; at <= text.length; ) {
      const code = text.codePointAt(at) ?? NaN;
      const size = code > 0xffff ? 2 : 1;
      const inside = isWord(code) || (start >= 0 && binds(before, code, text.codePointAt(at + size) ?? NaN));
      if (inside && start < 0) start = at;
      if (!inside && start >= 0) {
        const folded = fold(text.slice(start, at)).replace(DECIMAL, "$1.$2");
        if (folded) found.push({ text: folded, start, end: at, joined: false });
        start = -1;
      }
      before = code;
      at += size;
    }
    return found;
  }

  /** @param {number} before @param {number} sign @param {number} after */
  function binds(before, sign, after) {
    if (sign === APOSTROPHE || sign === CURLED) return isWord(before) && isWord(after);
    return sign >= 0x2c && sign <= 0x2f && sign !== 0x2d && isDigit(before) && isDigit(after);
  }

  /** @param {number} code */
  function isDigit(code) {
    return code >= 0x30 && code <= 0x39;
  }

  /** @param {string} text @param {string[]} units @returns {SearchToken[]} */
  function tokens(text, units) {
    /** @type {SearchToken[]} */
    const found = [];
    /** @type {SearchToken | null} */
    let before = null;
    for (const piece of pieces(text)) {
      const digits = isDigit(piece.text.charCodeAt(0)) ? (/^[0-9.,/]*/.exec(piece.text) || [""])[0] : "";
      const written = text.slice(piece.start, piece.start + digits.length);
      const isPlain = digits !== "" && (written === digits || written.replace(",", ".") === digits);
      if (isPlain && units.includes(piece.text.slice(digits.length))) {
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

  // ---- How far words are apart -----------------------------------------------------------------

  const BEYOND = /[\ud800-\udfff]/;
  const MANY = 64;
  const ROWS = [0, 1, 2].map(() => new Uint16Array(MANY));

  /** The characters of a text, as numbers. @param {string} text */
  function codesOf(text) {
    return Uint32Array.from(text, (letter) => letter.codePointAt(0) ?? 0);
  }

  /** Letters to add, drop, change or swap with a neighbour; more than `most` is `most + 1`. @param {Uint32Array} a @param {string} text @param {number} most */
  function distance(a, text, most) {
    if (most === 0 || a.length - text.length > most) return most + 1;
    const isPlain = !BEYOND.test(text);
    if (isPlain && text.length - a.length > most) return most + 1;
    const b = isPlain ? null : codesOf(text);
    const length = b ? b.length : text.length;
    if (Math.abs(a.length - length) > most) return most + 1;
    let [before, last, row] = /** @type {Rows} */ (length < MANY ? ROWS : ROWS.map(() => new Uint16Array(length + 1)));
    for (let j = 0; j <= length; j += 1) last[j] = j;
    let letter = 0;
    for (let i = 0; i < a.length; i += 1) {
      const above = letter;
      letter = a[i] ?? 0;
      row[0] = i + 1;
      let smallest = i + 1;
      let other = 0;
      for (let j = 0; j < length; j += 1) {
        const left = other;
        other = b ? b[j] ?? 0 : text.charCodeAt(j);
        let least = Math.min((last[j] ?? 0) + (letter === other ? 0 : 1), (last[j + 1] ?? 0) + 1, (row[j] ?? 0) + 1);
        if (i > 0 && j > 0 && letter === left && above === other) least = Math.min(least, (before[j - 1] ?? 0) + 1);
        row[j + 1] = least;
        if (least < smallest) smallest = least;
      }
      if (smallest > most) return most + 1;
      [before, last, row] = [last, row, before];
    }
    return Math.min(last[length] ?? 0, most + 1);
  }

  /** @typedef {[Uint16Array, Uint16Array, Uint16Array]} Rows */

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
      place: () => at,
      /** A weight of two digits. */
      weight() {
        at += 2;
        return (VALUES[text.charCodeAt(at - 2)] || 0) * 64 + (VALUES[text.charCodeAt(at - 1)] || 0);
      },
    };
  }

  /** All numbers of a run. @param {string} text */
  function numbers(text) {
    const data = reader(text);
    const found = new Uint32Array(text.length);
    let count = 0;
    for (; !data.done(); count += 1) found[count] = data.next();
    return found.subarray(0, count);
  }

  /** Numbers of so many bits each. @param {string} text @param {number} size @param {number} count */
  function unpacked(text, size, count) {
    const found = new Uint32Array(count);
    let at = 0;
    let held = 0;
    let bits = 0;
    for (let place = 0; place < count; place += 1) {
      for (; bits < size; bits += 6) {
        held = ((held & ((1 << bits) - 1)) << 6) | (VALUES[text.charCodeAt(at)] || 0);
        at += 1;
      }
      bits -= size;
      found[place] = (held >> bits) & ((1 << size) - 1);
    }
    return found;
  }

  /** Words of which each says how many letters are those of the word before. @param {string} text */
  function frontCoded(text) {
    if (text === "") return [];
    const isPlain = ASCII.test(text);
    let word = "";
    return text.split(" ").map((coded) => {
      const shared = VALUES[coded.charCodeAt(0)] || 0;
      word = (isPlain ? word.slice(0, shared) : Array.from(word).slice(0, shared).join("")) + coded.slice(1);
      return word;
    });
  }

  /** @param {string} text front-coded words @param {string} numbers three of each @param {number} term before the first @returns {SearchWords} */
  function readWords(text, numbers, term) {
    const texts = frontCoded(text);
    const data = reader(numbers);
    const terms = new Uint32Array(texts.length);
    const documents = new Uint32Array(texts.length);
    const bits = new Uint32Array(texts.length);
    for (let at = 0; at < texts.length; at += 1) {
      const step = data.next();
      term += step % 2 ? -Math.floor(step / 2) : step / 2;
      terms[at] = term;
      documents[at] = data.next();
      bits[at] = data.next();
    }
    const at = (/** @type {number} */ place) => {
      const own = bits[place] ?? 0;
      return { text: texts[place] ?? "", term: terms[place] ?? 0, documents: documents[place] ?? 0, endings: own >> 2, small: (own & 2) !== 0, silent: (own & 1) !== 0 };
    };
    const find = (/** @type {string} */ wanted) => {
      const place = countUpTo(texts, (text) => isBefore(wanted, text)) - 1;
      return texts[place] === wanted ? at(place) : null;
    };
    return { texts, at, find };
  }

  /** @param {string} text @param {SearchRoot} root @returns {SearchTerm} */
  function readTerm(text, root) {
    const bar = text.indexOf("|");
    const data = reader(text, bar + 1);
    const head = data.next();
    const forms = text.slice(0, bar).split(" ");
    const postings = root.fine ? finePostings(data, text.length) : packedPostings(data, text, root.documents);
    return { forms, small: head % 2 === 1, scale: Math.floor(head / 2), ...postings };
  }

  /** By document: steps and weights. @param {ReturnType<typeof reader>} data @param {number} length */
  function finePostings(data, length) {
    const most = Math.ceil((length - data.place()) / 3);
    const documents = new Uint32Array(most);
    const weights = new Uint16Array(most);
    let count = 0;
    for (let document = 0; !data.done(); count += 1) {
      document += data.next();
      documents[count] = document;
      weights[count] = data.weight();
    }
    return { documents: documents.subarray(0, count), weights: weights.subarray(0, count) };
  }

  /** By weight: for each how many documents, then all steps as a run of bits. @param {ReturnType<typeof reader>} data @param {string} text @param {number} all */
  function packedPostings(data, text, all) {
    const counts = Array.from({ length: data.next() }, () => data.next());
    const total = counts.reduce((sum, count) => sum + (count >> 4), 0);
    const documents = new Uint32Array(total);
    const weights = new Uint16Array(total);
    let at = data.place();
    let held = 0;
    let bits = 0;
    let place = 0;
    for (const count of counts) {
      const many = count >> 4;
      let low = 0;
      while (many * 3 * 2 ** (low + 1) <= all * 2) low += 1;
      let next = 0;
      for (const end = place + many; place < end; place += 1) {
        let high = -1;
        for (let bit = 1; bit === 1; high += 1) {
          if (bits === 0) {
            held = VALUES[text.charCodeAt(at)] || 0;
            bits = 6;
            at += 1;
          }
          bits -= 1;
          bit = (held >> bits) & 1;
        }
        while (bits < low) {
          held = ((held & ((1 << bits) - 1)) << 6) | (VALUES[text.charCodeAt(at)] || 0);
          bits += 6;
          at += 1;
        }
        bits -= low;
        next += (high << low) + ((held >> bits) & ((1 << low) - 1));
        documents[place] = next;
        weights[place] = count & 15;
        next += 1;
      }
    }
    return { documents, weights };
  }

  /**
   * The index over whatever parts are there. A part that is not there is named in `missing`.
   * @returns {SearchIndex}
   * @param {SearchRoot} root @param {(name: string) => unknown} part
   */
  function open(root, part) {
    /** @type {Map<string, SearchWords>} */
    const wordCache = new Map();
    /** @type {Map<number, SearchTerm>} */
    const termCache = new Map();
    /** @type {Map<string, Uint32Array>} */
    const facets = new Map();
    /** @type {Set<string>} */
    const missing = new Set();
    /** The first term of each part of terms, and the least word. */
    const termFirsts = [0];
    for (const step of numbers(root.terms)) termFirsts.push((termFirsts[termFirsts.length - 1] || 0) + step);
    const splits = [""].concat(frontCoded(root.splits));

    /** @param {string} name */
    function get(name) {
      const found = part(name);
      if (found === undefined) missing.add(name);
      return found;
    }

    /** The words of a part, if it is there. @param {string} name @param {number} first the term before its first word */
    function wordsOf(name, first) {
      const known = wordCache.get(name);
      if (known) return known;
      const data = /** @type {[string, string] | undefined} */ (part(name));
      if (!data) return null;
      const words = readWords(data[0], data[1], first);
      wordCache.set(name, words);
      return words;
    }

    /** The last that is not after a word. @param {string[]} firsts @param {string} text */
    function partOf(firsts, text) {
      return Math.max(0, countUpTo(firsts, (first) => isBefore(text, first)) - 1);
    }

    /** The parts that may have words which begin so. @param {string} kind @param {string[]} firsts @param {string} text */
    function partsFrom(kind, firsts, text) {
      const names = [];
      for (let at = partOf(firsts, text); at < firsts.length; at += 1) {
        if (names.length > 0 && !firsts[at]?.startsWith(text)) break;
        names.push(kind + at);
      }
      return names;
    }

    return {
      root,
      missing,
      /** A word as written, or `null`. `isOfMany` says that many words with the same first letter are asked for. @param {string} text @param {boolean} [isOfMany] @returns {SearchWord | null} */
      word(text, isOfMany = false) {
        if (!root.cut) return wordsOf("w0", 0)?.find(text) ?? null;
        const own = partOf(splits, text);
        const letter = "l" + partOf(root.letters, text);
        const words = wordsOf(letter, 0) || wordsOf("t" + own, termFirsts[own] || 0) || wordsOf("w" + partOf(root.words, text), 0);
        if (!words) missing.add(isOfMany ? letter : "t" + own);
        return words && words.find(text);
      },
      /** The parts of words that have those which begin so. @param {string} text @returns {SearchWords[]} */
      beginning(text) {
        const few = partsFrom("w", root.words, text);
        const ways = root.cut ? [partsFrom("l", root.letters, text), few] : [few];
        for (const names of ways) {
          const words = names.flatMap((name) => wordsOf(name, 0) ?? []);
          if (words.length === names.length) return words;
        }
        for (const name of (few.length > FEW && ways[0]) || few) missing.add(name);
        return [];
      },
      /** @param {number} at @returns {SearchTerm | null} */
      term(at) {
        const known = termCache.get(at);
        if (known) return known;
        const number = countUpTo(termFirsts, (first) => first > at) - 1;
        const data = /** @type {[string, string, string[]] | undefined} */ (get("t" + number));
        if (!data) return null;
        const term = readTerm(data[2][at - (termFirsts[number] || 0)] || "|", root);
        termCache.set(at, term);
        return term;
      },
      /** @param {number} at @returns {SearchRow | null} */
      row(at) {
        const number = root.cut ? Math.floor(at / root.part) : 0;
        const list = /** @type {SearchRow[] | undefined} */ (get("d" + number));
        return (list && list[root.cut ? at % root.part : at]) || null;
      },
      /** What each document has: its `fit`, its `sense`, or how many systems in `system`, which follow. @param {string} name @returns {Uint32Array | null} */
      facet(name) {
        const known = facets.get(name);
        if (known) return known;
        const text = /** @type {string | undefined} */ (get(name));
        if (text === undefined) return null;
        const sizes = { fit: 32 - Math.clz32(root.fits.length - 1), sense: root.senses.length };
        const size = /** @type {Record<string, number>} */ (sizes)[name];
        const found = size === undefined ? numbers(text) : unpacked(text, size, root.documents);
        facets.set(name, found);
        return found;
      },
    };
  }

  /** @type {SearchReader} */
  const parts = { tokens, isBefore, countUpTo, codesOf, distance, open };
  /** @type {typeof globalThis & {baybookSearchReader?: SearchReader}} */ (globalThis).baybookSearchReader = parts;
})();
