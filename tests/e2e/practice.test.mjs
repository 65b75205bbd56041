// A lesson's exercises: a wrong answer gets its reason, a right one its points, and what was learnt is kept.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start, started } from "./browser.mjs";

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

// The chords of the keys that the first exercise draws from; by hand, from the notes of the major scale.
const CHORDS = { G: { 1: "G", 4: "C", 5: "D" }, D: { 1: "D", 4: "G", 5: "A" }, C: { 1: "C", 4: "F", 5: "G" } };

for (const size of [PHONE, DESK]) {
  describe(`the exercises of a lesson at ${size.width} px`, () => {
    let page;
    before(async () => {
      page = await stage.open({ size });
      await page.getByRole("navigation", { name: "Places" }).getByRole("button", { name: "Learn" }).click();
      await page.getByRole("button", { name: /^A song with a hole/ }).click();
    });
    after(() => page?.context().close());

    test("tell why an answer is wrong, and know a right one", async () => {
      const first = page.getByRole("region", { name: "Exercise 1" });
      const asked = await first.getByText(/which chord is/).innerText();
      const [, key, number] = /key of (\w+), which chord is (\d)/.exec(asked);
      const right = CHORDS[key][number];
      const field = first.getByRole("textbox");
      await field.fill(right === "C" ? "Bm" : "C#m");
      await first.getByRole("button", { name: "Check" }).click();
      await first.locator(".marked:not(.right) li.missed").first().waitFor();
      assert.ok((await first.locator(".marked .hint").innerText()).length > 10, "one next step");
      await first.getByRole("button", { name: "Hint" }).click();
      assert.equal(await first.locator(".exercise-hints .hint").count(), 1);
      await field.fill(right);
      await first.getByRole("button", { name: "Check" }).click();
      await first.locator(".marked.right").waitFor();
    });

    test("can be asked again with another draw", async () => {
      const first = page.getByRole("region", { name: "Exercise 1" });
      const question = () => first.getByText(/which chord is/).innerText();
      const seen = new Set([await question()]);
      for (let i = 0; i < 8; i++) {
        await first.getByRole("button", { name: "Another one like it" }).click();
        seen.add(await question());
        assert.equal(await first.locator(".marked").count(), 0);
      }
      assert.ok(seen.size > 2, [...seen].join());
    });

    test("pass axe-core, and what was learnt is still there after a reload, until it is erased", async () => {
      assert.deepEqual(await axeFaults(page), []);
      await page.getByRole("button", { name: /^Next:/ }).click();
      await page.getByRole("button", { name: "Course", exact: true }).click();
      await page.reload();
      await started(page);
      const done = page.getByRole("button", { name: /^A song with a hole/ });
      assert.match(await done.innerText(), /read, begun/);
      await assertSound(page);
      await page.getByRole("button", { name: "Erase", exact: true }).click();
      await page.getByRole("button", { name: "Erase it" }).click();
      assert.doesNotMatch(await done.innerText(), /read|begun/);
    });
  });
}
