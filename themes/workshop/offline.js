"use strict";
// Where a server serves the site: keeps a copy for times without a network, and says when that copy may be old.
(function () {
  if (location.protocol !== "http:" && location.protocol !== "https:") return;
  const doc = document;
  const root = doc.body.dataset.root || "";
  const words = /** @type {DOMStringMap} */ ((doc.getElementById("p-words") || doc.body).dataset);

  // Pages opened from a folder may not ask for a manifest, so it is named only here.
  const manifest = doc.createElement("link");
  manifest.rel = "manifest";
  manifest.href = root + "manifest.webmanifest";
  doc.head.append(manifest);

  const copies = navigator.serviceWorker;
  if (!copies) return;
  const fromCopy = copies.controller !== null;

  const note = doc.createElement("div");
  note.className = "copy-note noprint";
  note.setAttribute("role", "status");
  const main = doc.getElementById("p-main");
  if (main) main.before(note);

  /** @param {string} text @param {() => void} [take] what the button does */
  function say(text, take) {
    const line = doc.createElement("p");
    line.textContent = text;
    note.replaceChildren(line);
    if (!take) return;
    const button = doc.createElement("button");
    button.type = "button";
    button.className = "act";
    button.textContent = words.copyTake || "";
    button.addEventListener("click", take);
    note.append(button);
  }

  /** The server could not be asked: the copy itself knows how old it is. */
  function sayOld() {
    if (!fromCopy || !copies.controller) return;
    const channel = new MessageChannel();
    channel.port1.onmessage = (event) => {
      const day = event.data && event.data[doc.documentElement.lang];
      say((words.copyOld || "") + (day ? " " + (words.copyLatest || "") + " " + day + "." : ""));
    };
    copies.controller.postMessage("latest", [channel.port2]);
  }

  /** A newer edition takes over only when the reader asks, or when no page of the former one is open. @param {ServiceWorkerRegistration} registration */
  function offerNew(registration) {
    const waiting = registration.waiting;
    if (waiting && fromCopy) say(words.copyNew || "", () => waiting.postMessage("take over"));
  }

  /** @param {ServiceWorkerRegistration} registration */
  function watch(registration) {
    const check = () => registration.update().then(
      () => registration.waiting ? offerNew(registration) : note.replaceChildren(),
      sayOld,
    );
    registration.addEventListener("updatefound", () => {
      const coming = registration.installing;
      if (coming) coming.addEventListener("statechange", () => coming.state === "installed" && offerNew(registration));
    });
    addEventListener("online", check);
    addEventListener("offline", sayOld);
    doc.addEventListener("visibilitychange", () => doc.visibilityState === "visible" && check());
    setInterval(check, 60 * 60 * 1000);
    check();
  }

  copies.addEventListener("controllerchange", () => {
    if (fromCopy) location.reload();
  });
  copies.register(root + "sw.js", { scope: root || "./", updateViaCache: "none" }).then(watch, () => undefined);
})();
