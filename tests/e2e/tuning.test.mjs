// The rig's tuning: found for the pass, kept after a reload, undone, and played.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start } from "./browser.mjs";

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

const third = (page) => page.locator(".tuning-targets tbody tr").nth(5).locator("td b").first();

for (const size of [PHONE, DESK]) {
  describe(`the tuning at ${size.width} px`, () => {
    test("is found for the pass, kept after a reload, and taken back", async () => {
      const page = await stage.open({ size });
      // There is a pass to tune for once one is drafted.
      await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
      await page.getByRole("button", { name: /^Rig/ }).click();
      assert.equal(await third(page).innerText(), "0");
      await page.getByRole("radio", { name: "For this pass" }).check({ force: true });
      // A G# over the home E, where the pass sounds it in chords of E's shape, is a pure third: 13.7 cents flat.
      const found = await third(page).innerText();
      assert.match(found, /^-1[0-4]\.\d$/);
      const yours = await page.locator(".tuning-beats tbody td b").allInnerTexts();
      const equal = await page.locator(".tuning-beats tbody tr td:nth-of-type(2)").allInnerTexts();
      assert.ok(yours.length > 1 && yours.every((rate, i) => Number(rate) < Number(equal[i])), `${yours} ${equal}`);
      await page.waitForTimeout(1000);
      await page.reload();
      await third(page).waitFor();
      assert.equal(await third(page).innerText(), found);
      await assertSound(page);
    });

    test("can be set from a scheme, its sliders by keys", async () => {
      const page = await stage.open({ size });
      await page.getByRole("button", { name: /^Rig/ }).click();
      await page.getByRole("radio", { name: "Meantone" }).check({ force: true });
      const flat = Number(await third(page).innerText());
      await page.getByRole("slider", { name: /Home strings/ }).focus();
      for (let i = 0; i < 4; i++) await page.keyboard.press("ArrowRight");
      assert.ok(Math.abs(Number(await third(page).innerText()) - flat - 2) < 0.11);
      await assertSound(page);
    });
  });
}
