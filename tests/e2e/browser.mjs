// The browser that the page tests share: it serves dist/, opens pages in headless Chromium, and holds
// every page to the rules that no view may break.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { existsSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";
import { serve } from "../../tools/serve.mjs";

export const DIST = process.env.DIST ?? fileURLToPath(new URL("../../dist", import.meta.url));

// The two places a copy may live: the root of a host, and a folder of one.
export const BASES = ["/", "/some/where/"];

// Viewports in CSS pixels: the narrowest phone we promise, a common phone, a small and a large desk.
export const NARROW = { width: 360, height: 740 };
export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 800 };
export const WIDE = { width: 1440, height: 900 };
export const SIZES = [NARROW, PHONE, DESK, WIDE];

const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-dev-shm-usage",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

export function chromiumPath() {
  const known = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
  const found = process.env.CHROMIUM ?? known.find(existsSync);
  return found ?? execFileSync("which", ["chromium"], { encoding: "utf8" }).trim();
}

// Starts a browser and a server for `dist`; answers with `open`, `url` and `close`.
export async function start({ base = "/", flags = [], dist = DIST } = {}) {
  assert.ok(existsSync(`${dist}/index.html`), `${dist} holds no page: run make build first`);
  const server = await serve(dist, { base });
  const browser = await chromium.launch({ executablePath: chromiumPath(), args: [...FLAGS, ...flags] });
  return {
    url: server.url,
    browser,
    // Opens the page in a profile of its own. `page.faults` gathers what must not happen.
    async open({ size = DESK, scheme = "light", path = "", reducedMotion = "no-preference", ...more } = {}) {
      const context = await browser.newContext({
        viewport: size,
        colorScheme: scheme,
        reducedMotion,
        hasTouch: size.width < 600,
        // Keeping the page for offline use has tests of its own; the others are spared a second fetch of everything.
        serviceWorkers: "block",
        ...more,
      });
      const page = await context.newPage();
      page.faults = watch(page, new URL(server.url).origin);
      await page.goto(server.url + path);
      await started(page);
      return page;
    },
    async close() {
      await browser.close();
      await server.close();
    },
  };
}

// The module has run: the loading line is gone, the view is there, and so are the sheets that lie over it.
export async function started(page) {
  // A platform that shows a package in a frame has neither.
  const there = () =>
    !document.getElementById("boot") && (!document.querySelector(".shell") || document.getElementById("help"));
  await page.waitForFunction(there, null, { timeout: 30_000 });
  await opened(page);
}

// The code of the room that is open has come.
export const opened = (page) => page.waitForFunction(() => !document.querySelector(".coming"));

// The text of an element once it no longer grows: what is long is drawn in tasks of its own.
export async function settled(page, selector) {
  const element = page.locator(selector);
  for (let last = null; ; ) {
    const now = await element.innerText();
    if (now !== "" && now === last) return now;
    last = now;
    await page.waitForTimeout(300);
  }
}

// The link to what a class sends or hands in, once it is made: the browser makes it shorter meanwhile.
export async function linkIn(page) {
  await page.locator('.class-share[aria-busy="false"]').waitFor();
  return page.getByRole("textbox", { name: "The link" }).inputValue();
}

// The texts of all records on the shelf, read past the page.
export const shelf = (page) =>
  page.evaluate(
    () =>
      new Promise((done, failed) => {
        const asked = indexedDB.open("leadbar");
        asked.onerror = () => failed(asked.error);
        asked.onsuccess = () => {
          const all = asked.result.transaction("songs").objectStore("songs").getAll();
          all.onsuccess = () => (asked.result.close(), done(all.result));
        };
      }),
  );

// Waits until a record on the shelf holds these words, as JSON has them.
export async function kept(page, words) {
  for (let tried = 0; tried < 300; tried++) {
    if ((await shelf(page)).some((text) => text.includes(words))) return;
    await page.waitForTimeout(50);
  }
  assert.fail(`never kept: ${words}`);
}

// Gathers console errors, failed loads, uncaught exceptions and requests that leave the origin.
function watch(page, origin) {
  const faults = [];
  const own = (url) => url.startsWith(origin) || /^(data|blob|about):/.test(url);
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(`console: ${message.text()} (${message.location().url})`);
  });
  page.on("pageerror", (error) => faults.push(`uncaught: ${error.stack ?? error}`));
  page.on("request", (request) => {
    if (!own(request.url())) faults.push(`left the origin: ${request.url()}`);
  });
  page.on("response", (response) => {
    if (response.status() >= 400) faults.push(`${response.status()}: ${response.url()}`);
  });
  page.on("requestfailed", (request) => {
    if (request.failure()?.errorText !== "net::ERR_ABORTED") faults.push(`not loaded: ${request.url()}`);
  });
  return faults;
}

// Holds a page to the rules of every view: nothing failed, nothing left the origin, nothing scrolls sideways.
export async function assertSound(page) {
  await opened(page);
  assert.deepEqual(page.faults, []);
  assert.equal(await page.evaluate(() => document.getElementById("boot-failure")?.textContent ?? ""), "");
  const { wide, over } = await page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    const clips = (element) => {
      for (let up = element.parentElement; up && up !== document.body; up = up.parentElement) {
        if (getComputedStyle(up).overflowX !== "visible") return true;
      }
      return false;
    };
    const over = [...document.body.querySelectorAll("*")]
      .filter((element) => element.getBoundingClientRect().right > width + 1 && !clips(element))
      .slice(0, 5)
      .map((element) => `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""}`);
    return { wide: document.documentElement.scrollWidth - width, over };
  });
  assert.ok(wide <= 0, `the page is ${wide} px too wide at ${page.viewportSize().width} px: ${over.join(", ")}`);
}

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

// What axe-core finds, each as one readable line.
export async function axeFaults(page) {
  await opened(page);
  await page.evaluate(axe);
  const { violations } = await page.evaluate(
    (rules) => globalThis.axe.run(document, { runOnly: rules, resultTypes: ["violations"] }),
    RULES,
  );
  return violations.flatMap((rule) => rule.nodes.map((node) => `${rule.id}: ${node.html} — ${node.failureSummary}`));
}
