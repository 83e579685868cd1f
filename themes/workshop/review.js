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

  /** @param {HTMLElement} element @param {number} now @returns {boolean} whether it is overdue */
  function judge(element, now) {
    const left = day(element.dataset.reviewBy || "") - now;
    if (!(left < 30)) return false;
    const late = left < 0;
    const stamp = document.createElement("span");
    stamp.className = "stamp " + (late ? "overdue" : "soon");
    stamp.textContent = (late ? words.overdue : words.soon) || "";
    element.classList.add(late ? "is-overdue" : "is-soon");
    const date = element.querySelector("time");
    if (date) date.after(" ", stamp);
    return late;
  }

  const now = today();
  let late = 0;
  for (const element of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-review-by]"))) {
    if (judge(element, now)) late += 1;
  }
  const tally = /** @type {HTMLElement | null} */ (document.querySelector("[data-review-tally]"));
  const count = document.querySelector("[data-review-count]");
  if (tally && count && late > 0) {
    count.textContent = String(late);
    tally.hidden = false;
  }
})();
