"use strict";
// The search itself: from words to results. It takes the same steps on the same numbers as the program's `find`, and
// gives the same results in the same order. It knows nothing of the page.
(function () {
  /**
   * @typedef {{line: string, year: number, options: Record<string, string>}} Vehicle
   * @typedef {{words: string, vehicle?: Vehicle | null, kind?: string, system?: string, sense?: string, limit: number,
   *   limitApart?: number}} Query `limitApart` holds where something fits
   * @typedef {[string, boolean]} Stretch
   * @typedef {{kind: string, id: string, page: string, score: number, title: Stretch[], fits: string, boxes: string, flow: boolean,
   *   reason: {what: string, text: Stretch[]} | null}} Hit
   * @typedef {{word: string, takenFor: string[]}} ReadAs
   * @typedef {{results: Hit[], apart: Hit[], total: number, totalApart: number, readAs: ReadAs[], nearest: string[]}} Answer
   * @typedef {[number, number][]} Slot terms and what each counts, ascending by term
   */

  const reading = /** @type {SearchReader} */ (/** @type {{baybookSearchReader?: SearchReader}} */ (globalThis).baybookSearchReader);
  const SCALE = 65536;
  const ALPHABETIC = /^\p{Alphabetic}+$/u;

  /**
   * @typedef {SearchIndex} Index
   * @typedef {{words: string[], slots: Slot[], readAs: ReadAs[]}} Asked
   */

  // ---- From words to terms --------------------------------------------------------------------

  /** @param {Index} index @param {string} query */
  function lookUp(index, query) {
    const { rules, units } = index.root;
    const all = reading.tokens(query, units);
    const plain = all.filter((token) => !token.joined).map((token) => token.text).slice(0, rules.mostWords);
    /** @type {Asked} */
    const found = { words: plain, slots: [], readAs: [] };
    for (const word of plain) index.word(word);
    if (index.missing.size > 0) return found;
    plain.forEach((word, at) => lookUpWord(index, found, word, at + 1 === plain.length));
    const joined = all.filter((token) => token.joined).map((token) => token.text);
    for (let at = 0; at + 1 < plain.length; at += 1) joined.push((plain[at] || "") + (plain[at + 1] || ""));
    for (const text of joined.slice(0, 2 * rules.mostWords)) {
      const word = index.word(text);
      if (word && !word.silent) add(found.slots, [[word.term, 1]]);
    }
    bringLikenesses(index, found.slots);
    return found;
  }

  /** @param {Slot[]} slots @param {Slot} slot */
  function add(slots, slot) {
    const isSame = (/** @type {Slot} */ other) =>
      other.length === slot.length && other.every(([term, weight], at) => slot[at]?.[0] === term && slot[at]?.[1] === weight);
    if (slot.length > 0 && !slots.some(isSame)) slots.push(slot);
  }

  /** @param {Index} index @param {Asked} found @param {string} text @param {boolean} isLast */
  function lookUpWord(index, found, text, isLast) {
    const { rules } = index.root;
    const asWritten = index.word(text);
    // Whether a word is known is open while its part is not there: asking on would ask for parts in vain.
    if (index.missing.size > 0) return;
    const exact = asWritten || byEnding(index, text);
    if (index.missing.size > 0) return;
    /** @type {Map<number, number>} */
    const terms = new Map();
    if (exact) terms.set(exact.term, 1);
    const isLittle = !exact || exact.documents < rules.little;
    const isOpen = isLast && (!index.root.cut || (exact !== null && exact.small));
    if (!exact && index.root.small.includes(text)) return;
    const two = isLittle ? halves(index, text) : null;
    if (index.missing.size > 0) return;
    if (two) {
      add(found.slots, exact ? [[exact.term, 1]] : []);
      add(found.slots, [[two[0], 1]]);
      add(found.slots, [[two[1], 1]]);
      return;
    }
    const typed = Array.from(text).length;
    if ((isLittle || isOpen) && typed >= (isLast ? 2 : 3)) beginnings(index, text, typed, terms);
    if (isLittle && !(isLast && terms.size > 0)) {
      const [distance, words] = nearest(index, text);
      const weight = rules.mistyped[distance - 1] || 0;
      for (const word of words) terms.set(word.term, Math.max(terms.get(word.term) ?? weight, weight));
      if (!exact && (terms.size === 0 || words.length > 0)) {
        found.readAs.push({ word: text, takenFor: words.map((word) => word.text) });
      }
    }
    add(found.slots, Array.from(terms).sort((a, b) => a[0] - b[0]));
  }

  /** @param {Index} index @param {string} text @returns {SearchWord | null} */
  function byEnding(index, text) {
    for (const [bit, [cut, doubles, put]] of index.root.endings.entries()) {
      if (!text.endsWith(put)) continue;
      let letters = Array.from(text.slice(0, text.length - put.length));
      if (doubles) {
        if (letters.length < 2 || letters[letters.length - 1] !== letters[letters.length - 2]) continue;
        letters = letters.slice(0, -1);
      }
      if (letters.length < 2) continue;
      const known = index.word(letters.join("") + cut);
      if (known && (known.endings >> bit) & 1) return known;
    }
    return null;
  }

  /** Two known words written together; the longest first half wins. @param {Index} index @param {string} text */
  function halves(index, text) {
    const letters = Array.from(text);
    if (letters.length < 6 || !ALPHABETIC.test(text)) return null;
    const known = (/** @type {string[]} */ part) => {
      const word = index.word(part.join(""));
      return word && !word.silent && !word.small ? word.term : null;
    };
    for (let at = letters.length - 3; at >= 3; at -= 1) {
      const first = known(letters.slice(0, at));
      const second = first === null ? null : known(letters.slice(at));
      if (first !== null && second !== null) return /** @type {[number, number]} */ ([first, second]);
    }
    return null;
  }

  /** @param {Index} index @param {string} text @param {number} typed @param {Map<number, number>} terms */
  function beginnings(index, text, typed, terms) {
    /** @type {Map<number, {length: number, documents: number}>} */
    const shortest = new Map();
    for (const word of index.beginning(text)) {
      const length = Array.from(word.text).length;
      const kept = shortest.get(word.term);
      shortest.set(word.term, { length: kept ? Math.min(kept.length, length) : length, documents: word.documents });
    }
    const found = Array.from(shortest).sort((a, b) => b[1].documents - a[1].documents || a[0] - b[0]);
    for (const [term, { length }] of found.slice(0, index.root.rules.mostTerms)) {
      if (!terms.has(term)) terms.set(term, (index.root.rules.beginning * typed) / length);
    }
  }

  /** @param {Index} index @param {string} text @returns {[number, SearchWord[]]} */
  function nearest(index, text) {
    const letters = Array.from(text);
    const reach = letters.length < 4 || /[0-9]/.test(text) ? 0 : 1 + Math.floor(letters.length / 8);
    return near(index, letters, Math.min(reach, 2), true);
  }

  /** @param {Index} index @param {string[]} letters @param {number} reach @param {boolean} silent whether stems that no text has count @returns {[number, SearchWord[]]} */
  function near(index, letters, reach, silent) {
    let best = reach;
    /** @type {[number, SearchWord][]} */
    let found = [];
    if (reach > 0) {
      for (const word of index.around(letters)) {
        const far = word.silent && !silent ? reach + 1 : distance(letters, word.text, best);
        if (far > 0 && far <= best) {
          best = far;
          found.push([far, word]);
        }
      }
    }
    found = found.filter(([far]) => far === best);
    found.sort((a, b) => b[1].documents - a[1].documents || (reading.isBefore(a[1].text, b[1].text) ? -1 : 1));
    return [best, found.slice(0, index.root.rules.mostTerms).map(([, word]) => word)];
  }

  const BEYOND = /[\ud800-\udfff]/;
  const MANY = 64;

  /** Letters to add, drop, change or swap with a neighbour; more than `most` is `most + 1`. @param {string[]} a @param {string} text @param {number} most */
  function distance(a, text, most) {
    if (most === 0 || a.length - text.length > most) return most + 1;
    if (text.length - a.length > most && !BEYOND.test(text)) return most + 1;
    const b = Array.from(text);
    if (Math.abs(a.length - b.length) > most) return most + 1;
    let [before, last, row] = b.length < MANY ? ROWS : /** @type {Rows} */ (ROWS.map(() => new Uint16Array(b.length + 1)));
    for (let j = 0; j <= b.length; j += 1) last[j] = j;
    for (let i = 0; i < a.length; i += 1) {
      row[0] = i + 1;
      let smallest = i + 1;
      for (let j = 0; j < b.length; j += 1) {
        let least = Math.min(at(last, j) + (a[i] === b[j] ? 0 : 1), at(last, j + 1) + 1, at(row, j) + 1);
        if (i > 0 && j > 0 && a[i] === b[j - 1] && a[i - 1] === b[j]) least = Math.min(least, at(before, j - 1) + 1);
        row[j + 1] = least;
        if (least < smallest) smallest = least;
      }
      if (smallest > most) return most + 1;
      [before, last, row] = [last, row, before];
    }
    return Math.min(at(last, b.length), most + 1);
  }

  /** @typedef {[Uint16Array, Uint16Array, Uint16Array]} Rows */
  const ROWS = /** @type {Rows} */ ([0, 1, 2].map(() => new Uint16Array(MANY)));

  /** @param {Uint16Array} row @param {number} place */
  function at(row, place) {
    return row[place] ?? 0;
  }

  /** A trade term brings what customers say for it, and the reverse. @param {Index} index @param {Slot[]} slots */
  function bringLikenesses(index, slots) {
    const written = new Set(slots.flat().filter(([, weight]) => weight >= 1).map(([term]) => term));
    /** @type {Set<number>} */
    const brought = new Set();
    for (const [when, then] of index.root.likenesses) {
      if (!when.every((term) => written.has(term))) continue;
      for (const term of then) if (!written.has(term)) brought.add(term);
    }
    for (const term of brought) add(slots, [[term, index.root.rules.likeness]]);
  }

  // ---- From terms to results ------------------------------------------------------------------

  /** @param {Index} index @param {Slot[]} slots @returns {{scores: Float64Array, told: Uint8Array}} */
  function rank(index, slots) {
    const scores = new Float64Array(index.root.documents);
    const best = new Float64Array(index.root.documents);
    const told = new Uint8Array(index.root.documents).fill(asksMore(index, slots) ? 0 : 1);
    for (const slot of slots) {
      /** @type {number[]} */
      const touched = [];
      for (const [at, weight] of slot) {
        const term = index.term(at);
        if (!term) continue;
        for (let place = 0; place < term.documents.length; place += 1) {
          const document = term.documents[place] ?? 0;
          const score = weight * ((term.weights[place] ?? 0) * term.scale);
          if (!term.small) told[document] = 1;
          if (best[document] === 0) touched.push(document);
          if (score > (best[document] ?? 0)) best[document] = score;
        }
      }
      for (const document of touched) {
        scores[document] = (scores[document] ?? 0) + (best[document] ?? 0);
        best[document] = 0;
      }
    }
    return { scores, told };
  }

  /** Keeps the best in their order; documents come ascending, so an equal score goes behind. @param {[number, number][]} best @param {number} limit @param {number} document @param {number} score */
  function keepBest(best, limit, document, score) {
    const last = best[best.length - 1];
    if (best.length >= limit && (!last || score <= last[1])) return;
    let at = best.length;
    while (at > 0 && (best[at - 1]?.[1] ?? 0) < score) at -= 1;
    best.splice(at, 0, [document, score]);
    if (best.length > limit) best.pop();
  }

  /** Whether anything is asked for that says more than a small word. @param {Index} index @param {Slot[]} slots */
  function asksMore(index, slots) {
    return slots.flat().some(([at]) => index.term(at)?.small === false);
  }

  /** @param {Index} index @param {Query} query @returns {((document: number) => boolean) | null} */
  function filter(index, query) {
    const { kinds, systems, senses, documents } = index.root;
    const kind = kinds.findIndex(([name]) => name === query.kind);
    const from = kind < 0 ? 0 : kinds[kind]?.[1] ?? 0;
    const to = kind < 0 ? documents : kinds[kind + 1]?.[1] ?? documents;
    const counted = query.system ? index.facet("system") : null;
    const ofSense = query.sense ? index.facet("sense") : null;
    if ((query.system && !counted) || (query.sense && !ofSense)) return null;
    const inSystem = counted && ofSystem(counted, documents, systems.findIndex(([id]) => id === query.system));
    const sense = 1 << senses.indexOf(query.sense || "");
    return (document) =>
      document >= from &&
      document < to &&
      (!inSystem || inSystem[document] === 1) &&
      (!ofSense || ((ofSense[document] ?? 0) & sense) !== 0);
  }

  /** Which documents are of a system. @param {Uint32Array} counted how many systems each has, and which @param {number} documents @param {number} wanted */
  function ofSystem(counted, documents, wanted) {
    const found = new Uint8Array(documents);
    let place = 0;
    for (let document = 0; document < documents; document += 1) {
      const last = place + (counted[place] ?? 0);
      for (place += 1; place <= last; place += 1) if (counted[place] === wanted) found[document] = 1;
    }
    return found;
  }

  /** Whether boxes as the pages write them meet a vehicle. @param {string} boxes @param {Vehicle} vehicle */
  function meets(boxes, vehicle) {
    if (!boxes) return true;
    return boxes.split(";").some((box) => {
      const [line, years, ...limits] = box.trim().split(/\s+/);
      if (line !== "*" && line !== vehicle.line) return false;
      const inYears = (years || "*").split(",").some((part) => {
        const [first, last] = part.split("-");
        return part === "*" || (vehicle.year >= Number(first) && vehicle.year <= Number(last || first));
      });
      return inYears && limits.every((limit) => {
        const [option, values] = limit.split("=");
        const value = vehicle.options[option || ""];
        return !value || (values || "").split(",").includes(value);
      });
    });
  }

  /**
   * Finds documents; `null` where parts are missing, which are then in `index.missing`.
   * @param {Index} index @param {Query} query @returns {Answer | null}
   */
  function find(index, query) {
    index.missing.clear();
    const asked = lookUp(index, query.words);
    if (index.missing.size > 0) return null;
    const { scores, told } = rank(index, asked.slots);
    const admits = filter(index, query);
    const vehicle = query.vehicle || null;
    const fits = vehicle ? index.facet("fit") : new Uint32Array(0);
    if (index.missing.size > 0 || !admits || !fits) return null;
    const whether = vehicle ? index.root.fits.map(([boxes]) => meets(boxes, vehicle)) : [];
    /** @type {Answer} */
    const answer = { results: [], apart: [], total: 0, totalApart: 0, readAs: asked.readAs, nearest: [] };
    const worth = worths(index, asked.slots);
    /** @type {[number, number][]} */
    const best = [];
    /** @type {[number, number][]} */
    const bestApart = [];
    for (let document = 0; document < scores.length; document += 1) {
      const score = (scores[document] ?? 0) / SCALE;
      if (score <= 0 || told[document] !== 1 || !admits(document)) continue;
      const fit = !vehicle || whether[fits[document] ?? 0];
      if (fit) answer.total += 1;
      else answer.totalApart += 1;
      if (fit) keepBest(best, query.limit, document, score);
      else keepBest(bestApart, query.limit, document, score);
    }
    const show = (/** @type {[number, number]} */ [document, score]) => hit(index, asked, worth, document, score);
    answer.results = best.map(show);
    answer.apart = bestApart.slice(0, best.length > 0 ? query.limitApart ?? query.limit : query.limit).map(show);
    if (answer.total + answer.totalApart === 0) {
      for (const { word, takenFor } of asked.readAs) {
        if (takenFor.length > 0) continue;
        const letters = Array.from(word);
        const [, words] = near(index, letters, Math.min(Math.max(Math.floor(letters.length / 3), 1), 3), false);
        answer.nearest.push(...words.slice(0, 3).map((found) => found.text));
      }
    }
    return index.missing.size > 0 ? null : answer;
  }

  /** What each word is worth as a reason; words that say little only where no other was asked for. @param {Index} index @param {Slot[]} slots @returns {Map<string, [number, number]>} */
  function worths(index, slots) {
    /** @type {Map<string, [number, number]>} */
    const found = new Map();
    const isTold = asksMore(index, slots);
    for (const [at, weight] of slots.flat()) {
      const term = index.term(at);
      if (!term || (isTold && term.small)) continue;
      const worth = weight * term.scale;
      for (const form of term.forms) {
        const kept = found.get(form);
        if (!kept) found.set(form, [at, worth]);
        else if (worth > kept[1]) kept[1] = worth;
      }
    }
    return found;
  }

  /** @param {Index} index @param {Asked} asked @param {Map<string, [number, number]>} worth @param {number} document @param {number} score @returns {Hit} */
  function hit(index, asked, worth, document, score) {
    const { kinds, units, fits } = index.root;
    const kind = kinds[reading.countUpTo(kinds, ([, first]) => first > document) - 1]?.[0] || "";
    const row = index.row(document);
    const [id, written, page, flow, fit, passages] = row || ["", "", "", 0, 0, []];
    const [boxes, phrase] = fits[fit] || ["", ""];
    const title = marked(written || id, worth, units);
    let best = 0;
    /** @type {Hit["reason"]} */
    let reason = null;
    for (const passage of passages) {
      const text = passage.slice(1);
      const sum = worthOf(text, worth, units);
      if (sum > best) {
        best = sum;
        reason = { what: passage.slice(0, 1), text: [[text, false]] };
      }
    }
    if (reason) reason.text = marked(reason.text[0]?.[0] || "", worth, units);
    else if (!title.some(([, isFound]) => isFound)) reason = { what: "", text: byWords(index, asked, worth, document) };
    return { kind, id, page: page || kind + "s/" + id + ".html", score, title, fits: phrase, boxes, flow: flow === 1, reason };
  }

  /** The words that the document has, one for each term: the reader's own if the term has it. @param {Index} index @param {Asked} asked @param {Map<string, [number, number]>} worth @param {number} document @returns {Stretch[]} */
  function byWords(index, asked, worth, document) {
    /** @type {Stretch[]} */
    const found = [];
    for (const [at] of asked.slots.flat()) {
      const term = index.term(at);
      const form = (term && (term.forms.find((form) => asked.words.includes(form)) || term.forms[0])) || "";
      if (term && worth.has(form) && term.documents.includes(document)) found.push([form, true]);
    }
    return found;
  }

  /** Each term counts once. @param {string} text @param {Map<string, [number, number]>} worth @param {string[]} units */
  function worthOf(text, worth, units) {
    const counted = new Set();
    let sum = 0;
    for (const token of reading.tokens(text, units)) {
      const known = worth.get(token.text);
      if (!known || counted.has(known[0])) continue;
      counted.add(known[0]);
      sum += known[1];
    }
    return sum;
  }

  /** @param {string} text @param {Map<string, [number, number]>} worth @param {string[]} units @returns {Stretch[]} */
  function marked(text, worth, units) {
    /** @type {Stretch[]} */
    const found = [];
    let end = 0;
    const push = (/** @type {number} */ from, /** @type {number} */ to, /** @type {boolean} */ isFound) => {
      if (from < to) found.push([text.slice(from, to), isFound]);
    };
    for (const token of reading.tokens(text, units)) {
      if (!worth.has(token.text)) continue;
      const start = Math.max(token.start, end);
      push(end, start, false);
      push(start, token.end, true);
      end = Math.max(end, token.end);
    }
    push(end, text.length, false);
    return found;
  }

  /** @type {typeof globalThis & {baybookSearchEngine?: object}} */ (globalThis).baybookSearchEngine = { open: reading.open, tokens: reading.tokens, find };
})();
