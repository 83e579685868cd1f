"use strict";
// Runs before the page is drawn: says that scripts run, sets the chosen light, and lends all later scripts the making of
// elements, in whatever order those come.
/**
 * @typedef {object} ElementMaking
 * @property {<K extends keyof HTMLElementTagNameMap>(tag: K, cls?: string, text?: string) => HTMLElementTagNameMap[K]} make
 * @property {(name: string) => SVGSVGElement} icon an icon of the page's own
 */
(function () {
  const doc = document;
  const root = doc.documentElement;
  root.classList.add("js");
  try {
    const theme = localStorage.getItem("baybook.theme");
    if (theme === "light" || theme === "dark") root.setAttribute("data-theme", theme);
  } catch {
    // Storage may be refused; the page then follows the system's setting.
  }

  /**
   * @template {keyof HTMLElementTagNameMap} K
   * @param {K} tag @param {string} [cls] @param {string} [text]
   * @returns {HTMLElementTagNameMap[K]}
   */
  function make(tag, cls, text) {
    const element = doc.createElement(tag);
    if (cls) element.className = cls;
    if (text !== undefined) element.textContent = text;
    return element;
  }

  /** @param {string} name @returns {SVGSVGElement} */
  function icon(name) {
    const space = "http://www.w3.org/2000/svg";
    const svg = doc.createElementNS(space, "svg");
    const use = doc.createElementNS(space, "use");
    svg.setAttribute("class", "i");
    svg.setAttribute("aria-hidden", "true");
    use.setAttribute("href", "#i-" + name);
    svg.append(use);
    return svg;
  }

  /** @type {Window & {baybookMake?: ElementMaking}} */ (window).baybookMake = { make, icon };
})();
