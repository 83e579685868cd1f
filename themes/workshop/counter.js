"use strict";
// The counter screen of a characteristic: what a customer may see, and nothing else of the page.
(function () {
  /**
   * @typedef {object} Parts what site.js lends
   * @property {(selector: string, within?: ParentNode) => HTMLElement[]} all
   * @property {<K extends keyof HTMLElementTagNameMap>(tag: K, cls?: string, text?: string) => HTMLElementTagNameMap[K]} make
   * @property {(title: string, cls?: string) => {box: HTMLDialogElement, body: HTMLElement, open: () => void}} dialog
   * @property {DOMStringMap} words
   */

  const doc = document;
  const parts = /** @type {Window & {baybookParts?: Parts}} */ (window).baybookParts;
  if (!parts) return;
  const { all, make, dialog, words } = parts;

  function offerCounter() {
    for (const part of all("[data-tells]")) {
      const tells = all("[data-tell]", part);
      for (const button of all("[data-counter]", part)) {
        button.hidden = false;
        button.addEventListener("click", () => showCounter(tells));
      }
    }
  }

  /** @param {HTMLElement[]} tells one for each language, each with its three depths */
  function showCounter(tells) {
    const shop = doc.querySelector(".shop");
    const sheet = dialog(shop ? shop.textContent || "" : "", "counter");
    const text = make("div", "counter-text");
    const depths = make("div", "seg");
    const langs = make("div", "seg");
    let tell = tells.find((t) => t.dataset.tell === doc.documentElement.lang) || tells[0];
    let depth = "brief";
    let size = 3;
    const draw = () => {
      if (!tell) return;
      text.replaceChildren();
      text.className = "counter-text size-" + size;
      text.lang = tell.lang;
      depths.lang = tell.lang;
      depths.replaceChildren();
      for (const source of all("[data-depth]", tell)) {
        const its = source.dataset.depth || "";
        depths.append(toggle(source.dataset.label || "", its === depth, () => pick(its)));
        if (its === depth) for (const child of all(":scope > div > *", source)) text.append(child.cloneNode(true));
      }
      langs.replaceChildren();
      if (tells.length < 2) return;
      for (const other of tells) {
        const button = toggle(other.dataset.name || "", other === tell, () => speak(other));
        button.lang = other.lang;
        langs.append(button);
      }
    };
    /** @param {string} its */
    const pick = (its) => {
      depth = its;
      redraw(depths, draw);
    };
    /** @param {HTMLElement} other */
    const speak = (other) => {
      tell = other;
      redraw(langs, draw);
    };
    /** @param {number} by */
    const grow = (by) => {
      size = Math.min(4, Math.max(0, size + by));
      draw();
    };
    const sizes = make("div", "seg");
    sizes.append(sized("A−", words.smaller || "", () => grow(-1)), sized("A+", words.larger || "", () => grow(1)));
    const bar = make("div", "counter-bar");
    bar.append(depths, langs, sizes);
    sheet.body.append(text, bar);
    draw();
    fullScreen(sheet.box, sheet.open);
  }

  /** Draws anew and gives the focus back to the pressed button. @param {HTMLElement} group @param {() => void} draw */
  function redraw(group, draw) {
    draw();
    const pressed = all('[aria-pressed="true"]', group)[0];
    if (pressed) pressed.focus();
  }

  /** @param {string} text @param {boolean} on @param {() => void} act */
  function toggle(text, on, act) {
    const button = make("button", "act", text);
    button.type = "button";
    button.setAttribute("aria-pressed", String(on));
    button.addEventListener("click", act);
    return button;
  }

  /** @param {string} text @param {string} name @param {() => void} act */
  function sized(text, name, act) {
    const button = make("button", "act");
    const sign = make("span", "", text);
    sign.setAttribute("aria-hidden", "true");
    button.type = "button";
    button.append(sign, make("span", "vh", name));
    button.addEventListener("click", act);
    return button;
  }

  /**
   * The whole screen where the device allows it, and then the dialog: what opens last lies on top. It fills the window
   * in any case.
   * @param {HTMLDialogElement} box @param {() => void} open
   */
  function fullScreen(box, open) {
    const whole = doc.documentElement;
    if (!whole.requestFullscreen || !doc.fullscreenEnabled) return open();
    box.addEventListener("close", () => doc.fullscreenElement && doc.exitFullscreen());
    whole.requestFullscreen().then(open, open);
  }

  offerCounter();
})();
