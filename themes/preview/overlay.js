"use strict";
// The overlay of the preview: waits for news, reloads the page where it stands, and shows the marks of the entries.
(function () {
  /**
   * @typedef {{mark: string, severity: string, message: string, file: string, line: number, column: number, help: string | null}} Mark
   * @typedef {object} State what the preview says
   * @property {number} revision
   * @property {number} edition
   * @property {boolean} current whether the pages are those of the entries as they are now
   * @property {string | null} fault
   * @property {string} folder
   * @property {{marks: Mark[], errors: number, warnings: number, advice: number} | null} report
   */

  const own = /** @type {HTMLScriptElement} */ (document.currentScript);
  const edition = Number(own.dataset.edition);
  let revision = -1;
  let connected = true;
  const keep = "baybook.preview";

  /** @param {string} tag @param {string} cls @param {string} [text] */
  function make(tag, cls, text) {
    const element = document.createElement(tag);
    element.className = cls;
    if (text !== undefined) element.textContent = text;
    return element;
  }

  const box = make("aside", "baybook-preview");
  box.setAttribute("aria-label", "Preview: marks");
  const list = make("div", "list");
  list.id = "baybook-preview-list";
  const tab = /** @type {HTMLButtonElement} */ (make("button", "tab"));
  tab.type = "button";
  tab.setAttribute("aria-controls", list.id);
  const status = make("p", "say");
  status.setAttribute("role", "status");
  const marks = document.createElement("ol");
  list.append(status, marks);
  box.append(list, tab);
  document.body.append(box);

  /** @type {{open: boolean, x?: number, y?: number, at?: string}} */
  let memory = { open: true };
  try {
    memory = Object.assign(memory, JSON.parse(sessionStorage.getItem(keep) || "{}"));
  } catch {
    // Without storage the list opens anew on every page.
  }
  function remember() {
    try {
      sessionStorage.setItem(keep, JSON.stringify(memory));
    } catch {
      // See above.
    }
  }

  /** The page as it was left when it reloaded itself. */
  function restore() {
    if (memory.at !== location.href) return;
    scrollTo(memory.x || 0, memory.y || 0);
    delete memory.at;
    remember();
  }

  function reload() {
    memory = { open: memory.open, x: scrollX, y: scrollY, at: location.href };
    remember();
    location.reload();
  }

  /** @param {boolean} open */
  function fold(open) {
    list.hidden = !open;
    tab.setAttribute("aria-expanded", String(open));
  }
  tab.addEventListener("click", () => {
    memory.open = list.hidden !== false;
    remember();
    fold(memory.open);
  });

  /** Whether the mark is about the entry of this page. @param {Mark} mark */
  function isHere(mark) {
    return location.pathname.replace(/^\/[a-z]{2,3}\//, "/").replace(/\.html$/, ".md") === "/" + mark.file;
  }

  /** @param {Mark} mark @param {string} folder */
  function row(mark, folder) {
    const item = make("li", isHere(mark) ? "here" : "");
    const place = folder.replace(/\/$/, "") + "/" + mark.file + ":" + mark.line + ":" + mark.column;
    const copy = /** @type {HTMLButtonElement} */ (make("button", "place", place));
    copy.type = "button";
    copy.title = "Copy this place, for an editor or a terminal";
    copy.addEventListener("click", () => {
      navigator.clipboard.writeText(place).then(() => say("Copied: " + place), () => undefined);
    });
    item.append(make("p", "weight", mark.severity + " · " + mark.mark), make("p", "headline", mark.message), copy);
    if (mark.help) item.append(make("p", "help", mark.help));
    return item;
  }

  /** @param {string} text */
  function say(text) {
    status.textContent = text;
    status.hidden = text === "";
  }

  /** @param {number} count @param {string} one @param {string} many */
  const counted = (count, one, many) => (count ? [count + " " + (count === 1 ? one : many)] : []);

  /** @param {State} state */
  function show(state) {
    const report = state.report || { marks: [], errors: 0, warnings: 0, advice: 0 };
    const all = report.marks.filter(isHere).concat(report.marks.filter((mark) => !isHere(mark)));
    marks.replaceChildren(...all.map((mark) => row(mark, state.folder)));
    say(state.fault || (state.current ? "" : "The entries have errors: these are the last good pages."));
    const counts = counted(report.errors, "error", "errors").concat(counted(report.warnings, "warning", "warnings"), counted(report.advice, "advice", "pieces of advice"));
    tab.textContent = state.fault ? "The pages cannot be made" : counts.join(", ") || "No marks";
    box.classList.toggle("has-errors", !state.current);
    fold(memory.open && (all.length > 0 || state.fault !== null));
  }

  /** @param {State} state */
  function take(state) {
    revision = state.revision;
    // A preview that was started again counts its editions anew.
    if (state.edition !== edition || !connected) {
      reload();
      return;
    }
    show(state);
  }

  /** @param {number} ms */
  const pause = (ms) => new Promise((over) => setTimeout(over, ms));

  /** A window in the background asks nothing: browsers allow few open questions to one server. */
  function seen() {
    if (document.visibilityState === "visible") return Promise.resolve();
    return new Promise((over) => document.addEventListener("visibilitychange", () => over(undefined), { once: true }));
  }

  async function listen() {
    for (;;) {
      await seen();
      const stop = new AbortController();
      const hide = () => document.visibilityState === "hidden" && stop.abort();
      document.addEventListener("visibilitychange", hide);
      try {
        const answer = await fetch("/.preview/state?after=" + revision, { signal: stop.signal, cache: "no-store" });
        take(await answer.json());
      } catch {
        if (!stop.signal.aborted) {
          if (connected) say("The preview has ended.");
          connected = false;
          revision = -1;
          await pause(1000);
        }
      } finally {
        document.removeEventListener("visibilitychange", hide);
      }
    }
  }

  // A copy that a site kept which this address served before would hide the preview's pages.
  if (navigator.serviceWorker) {
    navigator.serviceWorker.getRegistrations().then((known) => known.forEach((one) => one.unregister()), () => undefined);
  }
  restore();
  listen();
})();
