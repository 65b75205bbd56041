// The page starts wherever it is put and at any size, without an error and without asking anyone else.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, BASES, PHONE, SIZES, start } from "./browser.mjs";

for (const base of BASES) {
  describe(`served at ${base}`, () => {
    let stage;
    before(async () => (stage = await start({ base })));
    after(() => stage?.close());

    for (const size of SIZES) {
      test(`starts and fits at ${size.width} px`, async () => {
        const page = await stage.open({ size });
        assert.ok(await page.locator("body :visible").count(), "the page shows something");
        assert.notEqual((await page.locator("body").innerText()).trim(), "");
        await assertSound(page);
      });
    }
  });
}

describe("a page that cannot start", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("says so in words when the module does not load", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE });
    const page = await context.newPage();
    await page.route("**/*.wasm", (route) => route.abort());
    await page.goto(stage.url);
    const note = page.getByRole("alert");
    await note.waitFor();
    assert.match(await note.innerText(), /did not start[\s\S]*load the page again/);
  });

  test("says so in words in a browser without WebAssembly", async () => {
    const context = await stage.browser.newContext({ viewport: PHONE });
    const page = await context.newPage();
    await page.addInitScript(() => delete globalThis.WebAssembly);
    await page.goto(stage.url);
    const note = page.getByRole("alert");
    await note.waitFor();
    assert.match(await note.innerText(), /lacks WebAssembly/);
  });
});
