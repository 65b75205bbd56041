// The pictures that a first visitor sees before the page runs. Where one is stale, `node tools/picture.mjs` takes all of
// them anew; then build again.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, PHONE, start, started } from "./browser.mjs";

const PLACES = ["chart", "neck", "solo", "learn", "class", "rig", "deliver"];
const STALE = "is stale: node tools/picture.mjs, then build again";

// Whatever is seen in the window: texts, fields and what is drawn, each with its place in whole pixels.
function looks() {
  const seen = [];
  const shell = document.querySelector(".shell");
  for (const element of shell.querySelectorAll("*")) {
    // What is only told is not seen, and the sign of the light is the light's own.
    if (element.closest(".unseen, defs, .tools button:nth-of-type(4), option")) continue;
    // A group is as large as all that is in it, seen or not.
    if (element.localName === "g") continue;
    const { x, y, width, height } = element.getBoundingClientRect();
    if (!width || !height || x >= innerWidth || y >= innerHeight || x + width <= 0 || y + height <= 0) continue;
    const own = [...element.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE).map((node) => node.data);
    const isField = element.matches("input, select, textarea");
    const words = (isField ? element.value : own.join("")).trim();
    const isDrawn = element.namespaceURI.endsWith("svg");
    if (!words && !isDrawn && !isField && element.localName !== "button") continue;
    const marks = element.checked ? " checked" : "";
    seen.push(`${element.localName} "${words}"${marks} at ${[x, y, width, height].map(Math.round).join(" ")}`);
  }
  return { seen, scrolls: scrollY, title: shell.querySelector("[aria-current]")?.textContent };
}

describe("the picture of a first visit", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  // A page that waits for its module until it may go on.
  async function waiting({ size = PHONE, path = "", scheme = "light", locale = "en-GB", prepare } = {}) {
    const context = await stage.browser.newContext({ viewport: size, colorScheme: scheme, locale, serviceWorkers: "block" });
    if (prepare) await context.addInitScript(prepare);
    const page = await context.newPage();
    page.faults = [];
    page.on("console", (message) => message.type() === "error" && page.faults.push(message.text()));
    let go;
    const held = new Promise((done) => (go = done));
    await page.route("**/leadbar_bg.wasm", async (route) => (await held, route.continue()));
    const asked = page.waitForRequest("**/leadbar_bg.wasm");
    await page.goto(stage.url + path, { waitUntil: "domcontentloaded" });
    await asked;
    await page.evaluate(() => document.fonts.ready);
    return { page, go };
  }

  for (const size of [PHONE, DESK]) {
    for (const place of PLACES) {
      test(`of ${place} is what the page draws, at ${size.width} px`, async () => {
        const { page, go } = await waiting({ size, path: `#/${place}`, scheme: size === PHONE ? "light" : "dark" });
        const before = await page.evaluate(looks);
        assert.ok(before.seen.length > 20, "there is no picture");
        assert.deepEqual(await axeFaults(page), []);
        go();
        await started(page);
        // What is measured first and drawn then.
        await page.waitForTimeout(500);
        assert.deepEqual(before, await page.evaluate(looks), `the picture of ${place} ${STALE}`);
        await assertSound(page);
        await page.context().close();
      });
    }
  }

  test("can be looked at only: nothing in it is reached by key or pointer, and it is told as the frame is", async () => {
    const { page } = await waiting();
    for (const part of [".frame", "div.page"]) assert.equal(await page.locator(`#boot ${part}[inert][aria-hidden]`).count(), 1);
    await page.keyboard.press("Tab");
    assert.equal(await page.evaluate(() => document.activeElement.localName), "body");
    assert.equal(await page.locator("#boot main h1").innerText(), "Solo");
    assert.equal(await page.getByRole("status").innerText(), "Loading…");
    await page.context().close();
  });

  test("is on the screen before the page's code is asked for", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE, locale: "en-GB", serviceWorkers: "block" });
    const page = await context.newPage();
    let seen;
    await page.route("**/leadbar.js", async (route) => {
      seen = await page.locator("#boot .lanes-room").count();
      await route.continue();
    });
    await page.goto(stage.url);
    await started(page);
    assert.equal(seen, 1);
    await context.close();
  });

  const lacking = {
    "in another language": { locale: "de-AT" },
    "where notes are called otherwise": { prepare: () => localStorage.setItem("leadbar.notes", "german") },
    "over what is left of earlier work": { prepare: () => localStorage.setItem("leadbar.unsaved.1", "{}") },
    "of a lesson": { path: "#/learn/three-homes" },
    "of what a link holds": { path: "#t=hello" },
  };
  for (const [which, how] of Object.entries(lacking)) {
    test(`is not shown ${which}`, async () => {
      const { page } = await waiting(how);
      assert.equal(await page.locator("#boot div.page").count(), 0);
      assert.equal(await page.locator("#boot main h1").isVisible(), true);
      await page.context().close();
    });
  }

  test("is not shown to somebody who has work here", async () => {
    const page = await stage.open({ size: PHONE, locale: "en-GB", path: "#/chart" });
    const asked = [];
    page.on("request", (request) => asked.push(request.url()));
    await page.getByRole("button", { name: "Write" }).click();
    await page.getByRole("textbox", { name: "Chart" }).fill("Elsewhere, key G, 90\n1 4 5 1");
    await kept(page, "Elsewhere");
    await page.route("**/leadbar_bg.wasm", () => {});
    await page.reload({ waitUntil: "domcontentloaded" });
    await page.waitForRequest("**/leadbar_bg.wasm").catch(() => {});
    assert.equal(await page.locator("#boot div.page").count(), 0);
    await page.context().close();
  });

  test("does not hold up a page whose picture does not come", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE, locale: "en-GB", serviceWorkers: "block" });
    const page = await context.newPage();
    await page.route("**/first/*", (route) => route.abort());
    await page.goto(stage.url);
    await started(page);
    await context.close();
  });
});
