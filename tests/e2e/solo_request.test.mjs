// What a player asks of a solo: strings to favour, a figure and a melody of their own, typed, tapped and picked on the neck.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, PHONE, settled, start } from "./browser.mjs";

describe("the wishes for a solo", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const button = (page, name) => page.getByRole("button", { name, exact: true });
  const passes = (page) => page.getByRole("group", { name: "Drafted passes" }).getByRole("button");
  const part = (page, name) => page.getByRole("group", { name, exact: true });
  const moves = (page) => settled(page, ".moves");

  async function opened(size) {
    const page = await stage.open({ size });
    await passes(page).first().waitFor();
    await page.locator(".move-change").first().waitFor();
    return page;
  }

  // Does something and waits until what is drafted has become another.
  async function redrafted(page, act) {
    const before = await moves(page);
    await act();
    await page.waitForFunction((old) => {
      const now = document.querySelector(".moves")?.innerText;
      return now && now !== old;
    }, before);
  }

  for (const size of [PHONE, DESK]) {
    test(`a figure is typed, mended, tapped and picked on the neck at ${size.width} px`, async () => {
      const page = await opened(size);
      const own = part(page, "Your own figure");
      await own.getByText("Your own figure").click();
      const field = own.getByRole("textbox", { name: "Figure" });
      await field.fill("3 nine");
      await field.press("Enter");
      await own.getByText(/"nine" is no part of a motif/).waitFor();
      assert.equal(await field.inputValue(), "3 nine", "what was typed stays");
      await field.fill("");
      await redrafted(page, async () => {
        await field.press("Enter");
        await own.getByRole("group", { name: "Add to the figure" }).getByRole("button", { name: "3", exact: true }).click();
      });
      assert.equal(await field.inputValue(), "3");

      await button(own, "Pick notes on the neck").click();
      const places = own.getByRole("gridcell", { name: /, fifth of the/ });
      await places.first().waitFor();
      await redrafted(page, () => places.nth(2).click());
      assert.equal(await field.inputValue(), "3 5", "the note tapped is named over its chord");
      assert.deepEqual(await axeFaults(page), []);
      await button(own, "Close the neck").click();

      const tap = button(own, "Tap its rhythm");
      for (let i = 0; i < 3; i++) {
        await tap.click();
        await page.waitForTimeout(300);
      }
      await own.getByRole("button", { name: /^Take x/ }).click();
      assert.match(await field.inputValue(), /^x(:[\d.]+)? x(:[\d.]+)? x$/);
      await redrafted(page, () => button(own, "No figure").click());
      assert.equal(await field.inputValue(), "");
      await assertSound(page);
    });

    test(`a melody is shadowed, kept and undone at ${size.width} px`, async () => {
      const page = await opened(size);
      const own = part(page, "A melody to shadow");
      await own.getByText("A melody to shadow").click();
      const field = own.getByRole("textbox", { name: "Melody" });
      await field.fill("1 | 9");
      await field.press("Enter");
      await own.getByText(/^bar 2: "9" is no part of a melody/).waitFor();
      await redrafted(page, async () => {
        await field.fill("1:2 3:2 | 5:4");
        await field.press("Enter");
      });
      assert.equal(await page.getByText(/notes of the melody could not be had/).count(), 0, "its notes are chord tones");
      await button(own, "Pick notes on the neck").click();
      await own.getByRole("gridcell").first().waitFor();
      await own.getByRole("group", { name: "Add to the melody" }).getByRole("button", { name: "| bar" }).click();
      await redrafted(page, () => own.getByRole("gridcell", { name: /fret 5\b/ }).nth(3).click());
      assert.match(await field.inputValue(), /^1:2 3:2 \| 5:4 \| [+-]?[b#]?\d$/);
      assert.deepEqual(await axeFaults(page), []);
      await kept(page, "1:2 3:2 | 5:4");
      await page.reload();
      await passes(page).first().waitFor();
      assert.match(await field.inputValue(), /^1:2 3:2 \| 5:4/, "it is kept");
      await redrafted(page, () => button(own, "No melody").click());
      await assertSound(page);
    });
  }

  test("strings are favoured and the rest is left", async () => {
    const page = await opened(PHONE);
    const strings = part(page, "Rather on strings");
    await redrafted(page, async () => {
      for (const string of ["3", "4", "5"]) await strings.getByRole("checkbox", { name: string, exact: true }).check({ force: true });
    });
    await assertSound(page);
  });
});
