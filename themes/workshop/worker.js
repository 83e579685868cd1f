// The service worker: answers from a copy of the site that is of one version throughout.
// `baybookCopy` stands above this text in the published file: the version, and the paths of the files to keep.
(function () {
  /**
   * @typedef {object} Copy
   * @property {string} version
   * @property {Record<string, string>} latest the day of the latest change, by language
   * @property {boolean} whole whether all pages of an edition are kept
   * @property {string[]} shared
   * @property {Record<string, string[]>} editions paths by the folder of the edition
   * @typedef {Event & {waitUntil: (work: Promise<unknown>) => void}} Lasting
   * @typedef {Lasting & {request: Request, respondWith: (answer: Promise<Response>) => void}} Asking
   * @typedef {object} Worker what this script uses of its global scope
   * @property {Copy} baybookCopy
   * @property {ServiceWorkerRegistration} registration
   * @property {{claim: () => Promise<void>, matchAll: (options: object) => Promise<{url: string}[]>}} clients
   * @property {() => Promise<void>} skipWaiting
   * @property {(type: string, listener: (event: any) => void) => void} addEventListener
   */

  const worker = /** @type {Worker} */ (/** @type {unknown} */ (self));
  const copy = worker.baybookCopy;
  const scope = new URL(worker.registration.scope);
  // Several sites may stand below one origin; addresses have no blanks, so no name begins with another's.
  const family = "baybook " + scope.pathname + " ";
  const own = family + copy.version;
  const markOf = "edition-is-kept:";

  /** The path inside the site, or null for what is outside. @param {string} address */
  function inside(address) {
    const url = new URL(address);
    if (url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return null;
    const path = decodeURIComponent(url.pathname.slice(scope.pathname.length));
    return path === "" || path.endsWith("/") ? path + "index.html" : path;
  }

  /** @param {string} path */
  const key = (path) => new URL(path.split("/").map(encodeURIComponent).join("/"), scope).href;

  /** The edition that a path belongs to, if editions are kept apart. @param {string | null} path */
  function editionOf(path) {
    if (path === null) return undefined;
    const named = Object.keys(copy.editions).find((edition) => edition !== "" && path.startsWith(edition));
    return named !== undefined ? named : "" in copy.editions ? "" : undefined;
  }

  /** A page that a server answered through a redirection may not answer a visit. @param {Response} response */
  async function direct(response) {
    if (!response.redirected) return response;
    return new Response(await response.blob(), { headers: response.headers });
  }

  /** A connection that breaks once must not cost the whole copy. @param {string} path @returns {Promise<Response>} */
  function fetched(path) {
    const ask = () => fetch(key(path), { cache: "no-cache", credentials: "same-origin" });
    return ask().catch(ask).catch(ask);
  }

  /** Fetches what is not there yet, six files at a time. @param {Cache} cache @param {string[]} paths */
  async function fill(cache, paths) {
    const left = paths.slice();
    const take = async () => {
      for (let path = left.shift(); path !== undefined; path = left.shift()) {
        if (await cache.match(key(path))) continue;
        const response = await fetched(path);
        if (!response.ok) throw new Error(path + ": " + response.status);
        await cache.put(key(path), await direct(response));
      }
    };
    await Promise.all(Array.from({ length: 6 }, take));
  }

  /** Whether the server still has this version: then nothing that was fetched meanwhile is of another. */
  async function isPublished() {
    const response = await fetch(key("sw.js"), { cache: "no-store", credentials: "same-origin" });
    return response.ok && (await response.text()).includes('"version":"' + copy.version + '"');
  }

  /** Keeps editions whole, or not at all. @param {string[]} editions */
  async function keep(editions) {
    const cache = await caches.open(own);
    await fill(cache, copy.shared.concat(...editions.map((edition) => copy.editions[edition] || [])));
    if (!(await isPublished())) throw new Error("published anew meanwhile");
    for (const edition of editions) await cache.put(key(markOf + edition), new Response(""));
  }

  /** Editions that are open in a window, or that a former version keeps. */
  async function editionsInUse() {
    const used = new Set();
    for (const window of await worker.clients.matchAll({ type: "window", includeUncontrolled: true })) {
      used.add(editionOf(inside(window.url)));
    }
    for (const name of await caches.keys()) {
      if (!name.startsWith(family)) continue;
      for (const edition of Object.keys(copy.editions)) {
        if (await caches.match(key(markOf + edition), { cacheName: name })) used.add(edition);
      }
    }
    used.delete(undefined);
    return /** @type {string[]} */ (Array.from(used));
  }

  worker.addEventListener("install", (/** @type {Lasting} */ event) => {
    const work = editionsInUse().then(keep).catch(async (fault) => {
      await caches.delete(own);
      throw fault;
    });
    event.waitUntil(work);
  });

  worker.addEventListener("activate", (/** @type {Lasting} */ event) => {
    const clear = async () => {
      const names = await caches.keys();
      await Promise.all(names.filter((name) => name.startsWith(family) && name !== own).map((name) => caches.delete(name)));
      await worker.clients.claim();
    };
    event.waitUntil(clear());
  });

  /**
   * What the copy has. The version that follows deletes this one's copy, maybe while this one still answers: then it
   * must not be made anew, as opening it would. @param {string} path
   */
  const kept = (path) => caches.match(key(path), { cacheName: own });

  /** @param {() => Promise<unknown>} act on the copy, if it is still there */
  const onCopy = async (act) => (await caches.has(own)) && act();

  /** From the copy; what is not in it, from the server. @param {Asking} event @param {string} path */
  async function fromCopy(event, path) {
    const answer = await kept(path);
    if (answer) return answer;
    const response = await fetch(event.request);
    const edition = editionOf(path);
    if (event.request.mode === "navigate" && edition !== undefined) {
      event.waitUntil(onCopy(() => keep([edition])).catch(() => undefined));
    }
    return response;
  }

  /** A copy in part: from the server while it answers, and what it answered is kept. @param {Asking} event @param {string} path */
  async function fromServer(event, path) {
    try {
      const response = await fetch(event.request);
      const { waiting, installing } = worker.registration;
      // What the server says once a newer version is on its way does not belong into this copy.
      if (response.ok && response.status === 200 && !waiting && !installing) {
        const plain = direct(response.clone());
        event.waitUntil(onCopy(async () => (await caches.open(own)).put(key(path), await plain)));
      }
      return response;
    } catch (fault) {
      const answer = await kept(path);
      if (answer) return answer;
      throw fault;
    }
  }

  worker.addEventListener("fetch", (/** @type {Asking} */ event) => {
    const path = event.request.method === "GET" ? inside(event.request.url) : null;
    if (path === null || path === "sw.js") return;
    event.respondWith(copy.whole ? fromCopy(event, path) : fromServer(event, path));
  });

  worker.addEventListener("message", (/** @type {MessageEvent} */ event) => {
    if (event.data === "take over") worker.skipWaiting();
    const port = event.ports[0];
    if (event.data === "latest" && port) port.postMessage(copy.latest);
  });
})();
