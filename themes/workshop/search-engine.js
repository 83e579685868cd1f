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
   * @typedef {{results: Hit[], apart: Hit[], total: number, totalApart: number, readAs: ReadAs[], unknown: string[],
   *   rare: string[], nearest: string[], whole: boolean}} Answer not whole where only the first results are there yet
   * @typedef {SearchIndex} Index
   * @typedef {{words: string[], slots: Slot[], readAs: ReadAs[], known: [string, number][]}} Asked
   * @typedef {[number, number][]} Terms terms and what each counts, ascending by term; halves of a compound in its order
   * @typedef {{terms: Terms, all: boolean}} Slot all: a document must have them all, for half of a compound is another word
   */

  const shop = /** @type {typeof globalThis & {baybookSearchReader?: SearchReader, baybookSearchEngine?: object}} */ (globalThis);
  /** What reads the index; this script may come before that one. */
  let reading = /** @type {SearchReader} */ (shop.baybookSearchReader);

  /** @type {SearchReader["open"]} */
  function open(root, part) {
    reading = /** @type {SearchReader} */ (shop.baybookSearchReader);
    return reading.open(root, part);
  }

  const SCALE = 65536;
  const ALPHABETIC = /^\p{Alphabetic}+$/u;
  const HAS_LETTER = /\p{Alphabetic}/u;
  /** So many results are the first: a reader looks no further to see what the search understood. */
  const FIRST = 3;

  // ---- From words to terms --------------------------------------------------------------------

  /** @param {Index} index @param {string} query */
  function lookUp(index, query) {
    const { rules, units } = index.root;
    const all = reading.tokens(query, units);
    const plain = all.filter((token) => !token.joined).map((token) => token.text).slice(0, rules.mostWords);
    /** @type {Asked} */
    const found = { words: plain, slots: [], readAs: [], known: [] };
    const joined = all.filter((token) => token.joined).map((token) => token.text);
    for (let at = 0; at + 1 < plain.length; at += 1) joined.push((plain[at] || "") + (plain[at + 1] || ""));
    joined.length = Math.min(joined.length, 2 * rules.mostWords);
    for (const word of plain) index.word(word);
    const asJoined = joined.map((text) => index.word(text));
    if (index.missing.size > 0) return found;
    plain.forEach((word, at) => lookUpWord(index, found, word, at + 1 === plain.length));
    for (const word of asJoined) if (word && !word.silent) add(found.slots, [[word.term, 1]]);
    bringLikenesses(index, found.slots);
    return found;
  }

  /** @param {Slot[]} slots @param {Terms} terms @param {boolean} [all] */
  function add(slots, terms, all = false) {
    const isSame = (/** @type {Slot} */ other) =>
      other.all === all && other.terms.length === terms.length && other.terms.every(([term, weight], at) => terms[at]?.[0] === term && terms[at]?.[1] === weight);
    if (terms.length > 0 && !slots.some(isSame)) slots.push({ terms, all });
  }

  /** @param {Slot[]} slots */
  function termsOf(slots) {
    return slots.flatMap((slot) => slot.terms);
  }

  /** @param {Index} index @param {Asked} found @param {string} text @param {boolean} isLast */
  function lookUpWord(index, found, text, isLast) {
    const { rules } = index.root;
    const exact = index.word(text) || byEnding(index, text);
    // While a part is not there it is open whether the word is known: asking on would ask for parts in vain.
    if (index.missing.size > 0) return;
    /** @type {Map<number, number>} */
    const terms = new Map();
    if (exact) terms.set(exact.term, 1);
    const isLittle = !exact || exact.documents < rules.little;
    const isOpen = isLast && (!index.root.cut || (exact !== null && exact.small));
    if (!exact && index.root.small.includes(text)) return;
    const cut = isLittle ? halves(index, text) : null;
    const two = cut && (!exact || isTrade(index, cut)) ? cut : null;
    // It may well be a slip, so what that needs is brought at once.
    if (index.missing.size > 0 && !isLast && reachOf(text) > 0) for (const start of alike(index, Array.from(text))) index.beginning(start);
    if (index.missing.size > 0) return;
    if (two) {
      if (exact) add(found.slots, [[exact.term, 1]]);
      add(found.slots, two.map((half) => [half.term, 1]), true);
      if (!exact) found.readAs.push({ word: text, takenFor: [two.map((half) => half.text).join(" ")] });
      return;
    }
    if (exact && !exact.small) found.known.push([text, exact.term]);
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
    const known = (/** @type {string[]} */ part, /** @type {boolean} */ isOfMany) => {
      const word = index.word(part.join(""), isOfMany);
      return word && !word.silent && !word.small ? word : null;
    };
    for (let at = letters.length - 3; at >= 3; at -= 1) {
      const first = known(letters.slice(0, at), true);
      const second = first === null ? null : known(letters.slice(at), false);
      if (first !== null && second !== null) return [first, second];
    }
    return null;
  }

  /**
   * Whether halves are a trade term, or what customers say for one. A word that a text has is cut only then: the halves
   * of others are found in texts of something else.
   * @param {Index} index @param {SearchWord[]} halves
   */
  function isTrade(index, halves) {
    return index.root.likenesses.some(([when]) => when.length === 2 && halves.every((half) => when.includes(half.term)));
  }

  /** @param {Index} index @param {string} text @param {number} typed @param {Map<number, number>} terms */
  function beginnings(index, text, typed, terms) {
    /** @type {Map<number, {length: number, documents: number}>} */
    const shortest = new Map();
    for (const words of index.beginning(text)) {
      for (let at = firstFrom(words.texts, text); words.texts[at]?.startsWith(text); at += 1) {
        const word = words.at(at);
        if (word.silent) continue;
        const length = Array.from(word.text).length;
        const kept = shortest.get(word.term);
        shortest.set(word.term, { length: kept ? Math.min(kept.length, length) : length, documents: word.documents });
      }
    }
    const found = Array.from(shortest).sort((a, b) => b[1].documents - a[1].documents || a[0] - b[0]);
    for (const [term, { length }] of found.slice(0, index.root.rules.mostTerms)) {
      if (!terms.has(term)) terms.set(term, (index.root.rules.beginning * typed) / length);
    }
  }

  /** The place of the first word that is not before a text. @param {string[]} texts @param {string} text */
  function firstFrom(texts, text) {
    return reading.countUpTo(texts, (word) => !reading.isBefore(word, text));
  }

  /** @param {Index} index @param {string} text @returns {[number, SearchWord[]]} */
  function nearest(index, text) {
    return near(index, Array.from(text), reachOf(text), true);
  }

  /** How many slips a word may have. @param {string} text */
  function reachOf(text) {
    const { length } = Array.from(text);
    return length < 4 || /[0-9]/.test(text) ? 0 : Math.min(1 + Math.floor(length / 8), 2);
  }

  /** @param {Index} index @param {string[]} letters @param {number} reach @param {boolean} silent whether stems that no text has count @returns {[number, SearchWord[]]} */
  function near(index, letters, reach, silent) {
    let best = reach;
    /** @type {[number, SearchWord][]} */
    let found = [];
    const own = reading.codesOf(letters.join(""));
    for (const start of reach > 0 ? alike(index, letters) : []) {
      for (const words of index.beginning(start)) {
        for (let at = firstFrom(words.texts, start); at < words.texts.length; at += 1) {
          const text = words.texts[at] ?? "";
          if (!text.startsWith(start)) break;
          const far = reading.distance(own, text, best);
          if (far === 0 || far > best) continue;
          const word = words.at(at);
          if (word.silent && !silent) continue;
          best = far;
          found.push([far, word]);
        }
      }
    }
    found = found.filter(([far]) => far === best);
    found.sort((a, b) => b[1].documents - a[1].documents || (reading.isBefore(a[1].text, b[1].text) ? -1 : 1));
    return [best, found.slice(0, index.root.rules.mostTerms).map(([, word]) => word)];
  }

  /** How near words begin: in a large index with the same letter, or with the first two swapped. @param {Index} index @param {string[]} letters */
  function alike(index, letters) {
    if (!index.root.cut) return [""];
    const [first = "", second = ""] = letters;
    return !second || first === second ? [first] : [first, second + first];
  }

  /** A trade term brings what customers say for it, and the reverse. @param {Index} index @param {Slot[]} slots */
  function bringLikenesses(index, slots) {
    const written = new Set(termsOf(slots).filter(([, weight]) => weight >= 1).map(([term]) => term));
    /** @type {Set<number>} */
    const brought = new Set();
    for (const [when, then] of index.root.likenesses) {
      if (!when.every((term) => written.has(term))) continue;
      for (const term of then) if (!written.has(term)) brought.add(term);
    }
    for (const term of brought) add(slots, [[term, index.root.rules.likeness]]);
  }

  // ---- From terms to results ------------------------------------------------------------------

  /**
   * Room for the scores of all documents, all 0 but while a query is ranked.
   * @typedef {{scores: Float64Array, best: Float64Array, told: Uint8Array, touched: Uint32Array}} Room
   * @typedef {{best: [number, number][], bestApart: [number, number][], total: number, totalApart: number}} Ranked
   * @type {WeakMap<Index, {room: Room, key: string, asked: Asked | null, ranked: Ranked | null, hits: Map<number, Hit>}>}
   */
  const kept = new WeakMap();

  /** What is kept of an index and of the query that was asked last. @param {Index} index @param {Query} query */
  function keptOf(index, query) {
    const all = index.root.documents;
    const known = kept.get(index);
    const key = JSON.stringify(query);
    if (known?.key === key) return known;
    const room = known?.room || { scores: new Float64Array(all), best: new Float64Array(all), told: new Uint8Array(all), touched: new Uint32Array(all) };
    const made = { room, key, asked: null, ranked: null, hits: new Map() };
    kept.set(index, made);
    return made;
  }

  /** Scores of documents, summed slot by slot; of a slot the best term counts. @returns {number} how many documents were touched @param {Index} index @param {Slot[]} slots @param {Room} room */
  function score(index, slots, room) {
    const { scores, touched } = room;
    let count = 0;
    const add = (/** @type {number} */ document, /** @type {number} */ score) => {
      const sum = scores[document] ?? 0;
      if (sum === 0) touched[count++] = document;
      scores[document] = sum + score;
    };
    for (const { terms, all } of slots) {
      const [first] = terms;
      if (all) for (const [document, score] of togetherOf(index, terms)) {
        room.told[document] = 1;
        add(document, score);
      } else if (terms.length > 1) for (const [document, score] of bestOf(index, terms, room)) add(document, score);
      else if (first) eachPosting(index, first[0], first[1], room.told, add);
    }
    return count;
  }

  /** @param {Index} index @param {number} at @param {number} weight @param {Uint8Array | null} told @param {(document: number, score: number) => void} take */
  function eachPosting(index, at, weight, told, take) {
    const term = index.term(at);
    if (!term) return;
    const { documents, weights, scale, small } = term;
    for (let place = 0; place < documents.length; place += 1) {
      const document = documents[place] ?? 0;
      if (told && !small) told[document] = 1;
      take(document, weight * ((weights[place] ?? 0) * scale));
    }
  }

  /** Documents that have every term, and the sum of the scores. @param {Index} index @param {Terms} terms @returns {[number, number][]} */
  function togetherOf(index, terms) {
    /** @type {Map<number, [number, number]>} */
    const found = new Map();
    for (const [at, weight] of terms) {
      eachPosting(index, at, weight, null, (document, score) => {
        const [had, sum] = found.get(document) || [0, 0];
        found.set(document, [had + 1, sum + score]);
      });
    }
    return Array.from(found).flatMap(([document, [had, sum]]) => (had === terms.length ? [[document, sum]] : []));
  }

  /** @param {Index} index @param {Terms} terms @param {Room} room @returns {[number, number][]} documents and the score of the best term */
  function bestOf(index, terms, room) {
    const { best } = room;
    /** @type {number[]} */
    const own = [];
    for (const [at, weight] of terms) {
      eachPosting(index, at, weight, room.told, (document, score) => {
        const sum = best[document] ?? 0;
        if (sum === 0) own.push(document);
        if (score > sum) best[document] = score;
      });
    }
    return own.map((document) => {
      const sum = best[document] ?? 0;
      best[document] = 0;
      return [document, sum];
    });
  }

  /** Keeps the best, in their order; of equals the first document. @param {[number, number][]} best @param {number} limit @param {number} document @param {number} score */
  function keepBest(best, limit, document, score) {
    const isBehind = (/** @type {[number, number] | undefined} */ other) => !other || score < other[1] || (score === other[1] && document > other[0]);
    if (best.length >= limit && isBehind(best[best.length - 1])) return;
    let at = best.length;
    while (at > 0 && !isBehind(best[at - 1])) at -= 1;
    best.splice(at, 0, [document, score]);
    if (best.length > limit) best.pop();
  }

  /** Whether anything is asked for that says more than a small word, known or not. @param {Index} index @param {Asked} asked */
  function asksMore(index, asked) {
    return unknown(asked).length > 0 || termsOf(asked.slots).some(([at]) => index.term(at)?.small === false);
  }

  /** Words that nothing here has, and that nothing was taken for. @param {Asked} asked */
  function unknown(asked) {
    return asked.readAs.filter(({ takenFor }) => takenFor.length === 0).map(({ word }) => word);
  }

  /** Whether a reader is told of an unknown word: numbers, units and other crumbs stand beside what is asked for. @param {string} word */
  function tells(word) {
    return Array.from(word).length > 2 && HAS_LETTER.test(word);
  }

  /** Words that one entry alone has, where that is not among the first results: these are not about it. @param {Index} index @param {Asked} asked @param {Ranked} ranked */
  function rare(index, asked, ranked) {
    const first = ranked.best.slice(0, FIRST);
    const isRare = (/** @type {number} */ at) => {
      const term = index.term(at);
      return term !== null && term.documents.length === 1 && !first.some(([document]) => term.documents.includes(document));
    };
    return asked.known.filter(([, at]) => isRare(at)).map(([word]) => word);
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
   * Finds documents; `null` where parts are missing, which are then in `index.missing`. Once what is shown of the first
   * `enough` results is there, they are given though the rest is missing.
   * @param {Index} index @param {Query} query @param {number} [enough] @returns {Answer | null}
   */
  function find(index, query, enough = Infinity) {
    index.missing.clear();
    const known = keptOf(index, query);
    known.asked ||= lookUp(index, query.words);
    if (index.missing.size > 0) known.asked = null;
    const asked = known.asked;
    if (!asked) return null;
    known.ranked ||= rank(index, asked, query, known.room);
    const ranked = known.ranked;
    if (!ranked) return null;
    const { best, bestApart, total, totalApart } = ranked;
    const worth = worths(index, asked);
    const show = (/** @type {[number, number]} */ [document, score]) => {
      const made = known.hits.get(document) || hit(index, asked, worth, document, score);
      if (made) known.hits.set(document, made);
      return made;
    };
    const isHit = (/** @type {Hit | null} */ hit) => hit !== null;
    const results = best.slice(0, enough).map(show);
    if (index.missing.size > 0) return null;
    results.push(...best.slice(enough).map(show));
    const apart = bestApart.slice(0, best.length > 0 ? query.limitApart ?? query.limit : query.limit).map(show);
    const nearest = total + totalApart === 0 ? suggestions(index, asked) : [];
    const whole = index.missing.size === 0;
    if (!whole && (results.length === 0 || enough === Infinity)) return null;
    const first = whole ? results : results.slice(0, results.includes(null) ? results.indexOf(null) : results.length);
    return { results: first.filter(isHit), apart: whole ? apart.filter(isHit) : [], total, totalApart, readAs: asked.readAs, unknown: unknown(asked).filter(tells), rare: rare(index, asked, ranked), nearest, whole };
  }

  /** Words to offer where nothing was found: the nearest to each that nothing is known of. @param {Index} index @param {Asked} asked */
  function suggestions(index, asked) {
    return asked.readAs.filter(({ takenFor }) => takenFor.length === 0).flatMap(({ word }) => {
      const letters = Array.from(word);
      const [, words] = near(index, letters, Math.min(Math.max(Math.floor(letters.length / 3), 1), 3), false);
      return words.slice(0, 3).map((found) => found.text);
    });
  }

  /** The best documents, and how many there are; `null` where parts are missing. @param {Index} index @param {Asked} asked @param {Query} query @param {Room} room @returns {Ranked | null} */
  function rank(index, asked, query, room) {
    for (const [at] of termsOf(asked.slots)) index.term(at);
    const admits = filter(index, query);
    const vehicle = query.vehicle || null;
    const fits = vehicle ? index.facet("fit") : new Uint32Array(0);
    if (index.missing.size > 0 || !admits || !fits) return null;
    const whether = vehicle ? index.root.fits.map(([boxes]) => meets(boxes, vehicle)) : [];
    const isTold = !asksMore(index, asked);
    const { scores, told, touched } = room;
    const count = score(index, asked.slots, room);
    /** @type {Ranked} */
    const ranked = { best: [], bestApart: [], total: 0, totalApart: 0 };
    for (let place = 0; place < count; place += 1) {
      const document = touched[place] ?? 0;
      const sum = (scores[document] ?? 0) / SCALE;
      const isFound = (isTold || told[document] === 1) && admits(document);
      scores[document] = told[document] = 0;
      if (!isFound) continue;
      const fit = !vehicle || whether[fits[document] ?? 0];
      if (fit) ranked.total += 1;
      else ranked.totalApart += 1;
      keepBest(fit ? ranked.best : ranked.bestApart, query.limit, document, sum);
    }
    return ranked;
  }

  /** What each word is worth as a reason; words that say little only where no other was asked for. @param {Index} index @param {Asked} asked @returns {Map<string, [number, number]>} */
  function worths(index, asked) {
    /** @type {Map<string, [number, number]>} */
    const found = new Map();
    const isTold = asksMore(index, asked);
    for (const [at, weight] of termsOf(asked.slots)) {
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

  /** @param {Index} index @param {Asked} asked @param {Map<string, [number, number]>} worth @param {number} document @param {number} score @returns {Hit | null} */
  function hit(index, asked, worth, document, score) {
    const { kinds, units, fits } = index.root;
    const kind = kinds[reading.countUpTo(kinds, ([, first]) => first > document) - 1]?.[0] || "";
    const row = index.row(document);
    if (!row) return null;
    const [id, written, page, flow, fit, passages] = row;
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
    for (const [at] of termsOf(asked.slots)) {
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

  shop.baybookSearchEngine = { open, find };
})();
