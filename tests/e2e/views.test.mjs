// Every place of the page, at every size and in both lights: nothing fails, nothing scrolls sideways,
// and axe-core finds no fault against WCAG 2.2 A and AA.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, SIZES, start } from "./browser.mjs";

// Opens each place in turn: those of the bar, then those that a labelled button of the head opens.
async function visitPlaces(page, look) {
  const places = page.getByRole("navigation", { name: "Places" }).getByRole("button");
  const count = await places.count();
  assert.ok(count >= 3, "the bar of places is there");
  for (let i = 0; i < count; i++) {
    const name = (await places.nth(i).innerText()).trim();
    await places.nth(i).click();
    assert.equal(await places.nth(i).getAttribute("aria-current"), "page");
    await look(name);
  }
  for (const name of ["Tuner", "Rig", "Deliver"]) {
    await page.getByRole("button", { name: new RegExp(`^${name}`) }).click();
    await look(name);
  }
}

describe("every place", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const size of SIZES) {
    test(`fits and runs clean at ${size.width} px`, async () => {
      const page = await stage.open({ size });
      await visitPlaces(page, () => assertSound(page));
    });
  }

  for (const size of [PHONE, DESK]) {
    for (const scheme of ["light", "dark"]) {
      test(`passes axe-core at ${size.width} px, ${scheme}`, async () => {
        const page = await stage.open({ size, scheme, reducedMotion: "reduce" });
        const faults = [];
        await visitPlaces(page, async (name) => {
          for (const fault of await axeFaults(page)) faults.push(`${name}: ${fault}`);
        });
        assert.deepEqual(faults, []);
      });
    }
  }
});
