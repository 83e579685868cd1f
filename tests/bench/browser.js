// A Chromium driven by the bare protocol. What watches every request and every node, as drivers for tests do, would
// cost more than the search that is measured.
"use strict";
const { spawn } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const { setTimeout: wait } = require("node:timers/promises");
const CDP = require("chrome-remote-interface");

const ARGUMENTS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--no-first-run", "--remote-debugging-port=0"];

/** The port that a browser names in its folder once it listens. */
async function portOf(folder) {
  const file = path.join(folder, "DevToolsActivePort");
  for (let round = 0; round < 600; round += 1) {
    const [port] = fs.existsSync(file) ? fs.readFileSync(file, "utf8").split("\n") : [""];
    if (port) return Number(port);
    await wait(50);
  }
  throw new Error("Chromium did not start");
}

async function launch() {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), "baybook-"));
  const child = spawn(process.env.CHROMIUM || "/usr/bin/chromium", [...ARGUMENTS, "--user-data-dir=" + folder, "about:blank"], { stdio: "ignore" });
  const ended = new Promise((resolve) => child.once("exit", resolve));
  const port = await portOf(folder);
  const { webSocketDebuggerUrl } = await CDP.Version({ port });
  const client = await CDP({ target: webSocketDebuggerUrl });
  return {
    open: (url, options) => open(client, url, options || {}),
    /** Processor time of all its processes so far, in milliseconds. */
    async busy() {
      const { processInfo } = await client.SystemInfo.getProcessInfo();
      return 1000 * processInfo.reduce((sum, process) => sum + process.cpuTime, 0);
    },
    async close() {
      await client.Browser.close().catch(() => undefined);
      await ended;
      fs.rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A page with storage of its own. `before` runs in it before anything else, with `given`. */
async function open(client, url, { before, given }) {
  const { browserContextId } = await client.Target.createBrowserContext({});
  const { targetId } = await client.Target.createTarget({ url: "about:blank", browserContextId });
  const { sessionId } = await client.Target.attachToTarget({ targetId, flatten: true });
  const send = (method, parameters = {}) => client.send(method, parameters, sessionId);
  const call = (act, all) => `(${act})(${all.map((one) => JSON.stringify(one)).join(", ")})`;
  await send("Page.enable");
  if (before) await send("Page.addScriptToEvaluateOnNewDocument", { source: call(before, [given ?? null]) });
  const loaded = new Promise((resolve) => client.once("Page.loadEventFired." + sessionId, resolve));
  await send("Page.navigate", { url });
  await loaded;
  await send("Page.disable");
  return {
    send,
    /** What a function gives that runs in the page. */
    async run(act, ...all) {
      const { result, exceptionDetails } = await send("Runtime.evaluate", { expression: call(act, all), awaitPromise: true, returnByValue: true });
      if (exceptionDetails) throw new Error(exceptionDetails.exception?.description || exceptionDetails.text);
      return result.value;
    },
    close: () => client.Target.disposeBrowserContext({ browserContextId }),
  };
}

module.exports = { launch };
