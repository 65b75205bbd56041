// The first visit: what is seen before the page runs, and what nobody has to wait for.
import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, DIST, PHONE, start, started } from "./browser.mjs";

const PASSES = "[aria-label='Drafted passes'] button";

// Notes of every request, and of every worker that is begun, which picture it was made after: nothing while there is no
// pass on the screen.
function note(passes) {
  globalThis.requests = [];
  let pictures = 0;
  const draw = () => {
    if (document.querySelector(passes)) pictures++;
    requestAnimationFrame(draw);
  };
  requestAnimationFrame(draw);
  const noted = (address) => globalThis.requests.push({ file: String(address).split("/").at(-1), pictures });
  const real = globalThis.fetch;
  globalThis.fetch = (what, ...more) => {
    noted(what.url ?? what);
    return real(what, ...more);
  };
  // A worker's own requests are not seen here, but that it is begun.
  globalThis.Worker = class extends Worker {
    constructor(address, ...more) {
      noted(address);
      super(address, ...more);
    }
  };
}

describe("the first visit", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  // A page that waits for its module until it may go on.
  async function loading({ size = PHONE, path = "", locale = "en-GB" } = {}) {
    const context = await stage.browser.newContext({ viewport: size, locale, serviceWorkers: "block" });
    const page = await context.newPage();
    page.faults = [];
    let go;
    const held = new Promise((done) => (go = done));
    await page.route("**/leadbar_bg.wasm", async (route) => (await held, route.continue()));
    await page.goto(stage.url + path, { waitUntil: "domcontentloaded" });
    await page.locator("#boot h1").waitFor();
    return { page, go };
  }

  for (const size of [PHONE, DESK]) {
    test(`shows the frame before the page runs, where the page will have it, at ${size.width} px`, async () => {
      const { page, go } = await loading({ size, path: "#/neck" });
      assert.equal(await page.locator("#boot h1").innerText(), "Neck");
      assert.equal(await page.locator("#boot .nav [aria-current]").innerText(), "Neck");
      assert.deepEqual(await axeFaults(page), []);
      const places = async () => {
        const boxes = [];
        for (const part of [".mark", ".nav", ".deck"]) boxes.push(await page.locator(part).boundingBox());
        return boxes;
      };
      await page.evaluate(() => document.fonts.ready);
      const seen = await places();
      go();
      await started(page);
      assert.deepEqual(await places(), seen);
      assert.equal(await page.locator("main").count(), 1);
      await page.context().close();
    });
  }

  test("begins in the light that was chosen, whatever the device's", async () => {
    const { page, go } = await loading();
    const ground = () => page.evaluate(() => getComputedStyle(document.documentElement).colorScheme);
    assert.equal(await ground(), "light dark");
    go();
    await started(page);
    await page.getByRole("button", { name: "Night colours" }).click();
    await page.route("**/leadbar_bg.wasm", () => {});
    await page.reload({ waitUntil: "domcontentloaded" });
    await page.locator("#boot h1").waitFor();
    assert.equal(await ground(), "dark");
    await page.context().close();
  });

  test("begins in the reader's language", async () => {
    const { page, go } = await loading({ path: "#/learn", locale: "de-AT" });
    const seen = () => page.evaluate(() => [document.documentElement.lang, document.querySelector(".nav").innerText]);
    const before = await seen();
    assert.equal(await page.locator("#boot h1").innerText(), "Lernen");
    assert.equal(await page.locator("#boot .nav [aria-current]").innerText(), "Lernen");
    go();
    await started(page);
    assert.deepEqual(await seen(), before);
    await page.context().close();
  });

  test("has the solo on the screen before it asks for the engine", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
    const page = await context.newPage();
    await page.addInitScript(note, PASSES);
    await page.goto(stage.url);
    // Either is the page's way to the engine.
    const asked = () => globalThis.requests.find(({ file }) => ["compile.js", "engine_bg.wasm"].includes(file));
    await page.waitForFunction(asked);
    const engine = await page.evaluate(asked);
    assert.ok(engine.pictures > 0, "no pass was on the screen");
    await context.close();
  });

  test("has the solo without the engine", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
    const page = await context.newPage();
    await page.route("**/engine_bg.wasm", (route) => route.abort());
    await page.goto(stage.url);
    await page.locator(PASSES).nth(2).waitFor();
    await page.locator(".lanes-sheet").waitFor();
    await page.locator(".moves li").first().waitFor();
    await context.close();
  });

  test("opens a sheet that is asked for before it has come", { skip: !existsSync(`${DIST}/__wasm_split.js`) }, async () => {
    const context = await stage.browser.newContext({ viewport: PHONE, serviceWorkers: "block" });
    const page = await context.newPage();
    page.faults = [];
    let go;
    const held = new Promise((done) => (go = done));
    await page.route("**/split_places.wasm", async (route) => (await held, route.continue()));
    await page.goto(stage.url);
    await page.locator(PASSES).first().waitFor();
    await page.getByRole("button", { name: "Help" }).click();
    go();
    await page.getByRole("dialog", { name: "Help" }).waitFor();
    await assertSound(page);
    await context.close();
  });
});
