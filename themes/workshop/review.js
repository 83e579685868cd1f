"use strict";
// Marks what is overdue, or due within thirty days, by the reader's own clock.
(function () {
  const words = /** @type {DOMStringMap} */ ((document.getElementById("p-words") || document.body).dataset);
  const DAY = 86400000;

  /** Today's date of the reader's calendar, as days since 1970. */
  function today() {
    const now = new Date();
    return Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / DAY;
  }

  /** @param {string} iso such as 2026-12-10 @returns {number} days since 1970, or NaN */
  function day(iso) {
    const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(iso);
    return parts ? Date.UTC(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3])) / DAY : NaN;
  }

  /** @param {HTMLElement} element @param {number} now @returns {"" | "overdue" | "soon"} */
  function judge(element, now) {
    const left = day(element.dataset.reviewBy || "") - now;
    if (!(left < 30)) return "";
    const state = left < 0 ? "overdue" : "soon";
    const stamp = document.createElement("span");
    stamp.className = "stamp " + state;
    stamp.textContent = words[state] || "";
    element.classList.add("is-" + state);
    // In a table at the end of the entry's cell, where there is room; elsewhere after the date.
    const cell = element.querySelector("th");
    if (cell) cell.append(" ", stamp);
    else element.querySelector("time")?.after(" ", stamp);
    return state;
  }

  /** @param {string} selector @returns {HTMLElement[]} */
  const all = (selector) => Array.from(document.querySelectorAll(selector));
  const now = today();
  /** @type {Record<string, number> & {overdue: number, soon: number}} */
  const count = { overdue: 0, soon: 0 };
  for (const element of all("[data-review-by]")) {
    const state = judge(element, now);
    if (state) count[state] = (count[state] || 0) + 1;
  }

  // ---- The list of reviews: only what is overdue, or due soon -----------------------------------

  for (const place of all("[data-review-sieve]")) {
    place.hidden = count.overdue + count.soon === 0;
    for (const shown of all("[data-review-count]")) shown.textContent = String(count[shown.dataset.reviewCount || ""] || 0);
    const keys = all("[data-sieve]");
    for (const key of keys) {
      key.addEventListener("click", () => {
        keys.forEach((it) => it.setAttribute("aria-pressed", String(it === key)));
        document.body.dataset.sieve = key.dataset.sieve || "all";
        for (const group of all(".group")) group.classList.toggle("is-empty", !group.querySelector(".row.is-" + key.dataset.sieve));
      });
    }
  }
})();
