// The neck can be read, reached and played by touch, mouse and keys; a tap on the lanes goes there.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start } from "./browser.mjs";

// Targets: WCAG 2.2, 2.5.8 (24 px) for the places; 44 px for what a thumb presses without looking.
const PLACE = 24;
const PEDAL = 44;

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

const open = async (size, place) => {
  const page = await stage.open({ size });
  await page.getByRole("navigation").getByRole("button", { name: place }).click();
  return page;
};
const stance = (page) => page.locator(".neck-stance").innerText();

for (const size of [PHONE, DESK]) {
  describe(`the neck at ${size.width} px`, () => {
    let page;
    before(async () => {
      page = await open(size, "Neck");
      await page.locator("[role=gridcell]").first().waitFor();
    });
    after(() => page?.context().close());

    test("is a grid with one tab stop, and its targets are large enough", async () => {
      const found = await page.evaluate(() => {
        const least = (selector) =>
          [...document.querySelectorAll(selector)]
            .map((e) => e.getBoundingClientRect())
            .reduce((m, r) => Math.min(m, r.width, r.height), Infinity);
        return {
          rows: document.querySelectorAll(".neck-sheet [role=row]").length,
          cells: document.querySelectorAll(".neck-sheet [role=gridcell]").length,
          stops: document.querySelectorAll(".neck-sheet [tabindex='0']").length,
          place: least(".neck-ground"),
          pedal: least(".pedal"),
        };
      });
      assert.equal(found.cells, found.rows * 25, "a place for each string at each of 0 to 24");
      assert.equal(found.stops, 1);
      assert.ok(found.place >= PLACE, `the smallest place is ${found.place} px`);
      assert.ok(found.pedal >= PEDAL, `the smallest pedal is ${found.pedal} px`);
    });

    test("says what it draws: every figure is part of its place's name", async () => {
      const silent = await page.evaluate(() =>
        [...document.querySelectorAll("[role=gridcell]")]
          .map((cell) => [cell.textContent.trim(), cell.getAttribute("aria-label")])
          .filter(([figure, name]) => !name || (figure && !name.includes(`, ${figure},`))),
      );
      assert.deepEqual(silent, []);
    });

    test("moves by arrow keys and puts the bar where Enter is pressed", async () => {
      await page.locator("#place-4-5").click();
      assert.match(await stance(page), /^Fret 5/);
      assert.equal(await page.locator("#place-4-5").getAttribute("aria-selected"), "true");
      await page.keyboard.press(size === PHONE ? "ArrowDown" : "ArrowRight");
      assert.equal(await page.evaluate(() => document.activeElement.id), "place-4-6");
      await page.keyboard.press("Enter");
      assert.match(await stance(page), /^Fret 6/);
    });

    test("presses a pedal by taps: down, half, up", async () => {
      const pedal = page.getByRole("button", { name: "A, pedal 1" });
      for (const pressed of ["true", "mixed", "false"]) {
        await pedal.click();
        assert.equal(await pedal.getAttribute("aria-pressed"), pressed);
      }
    });

    test("holds a pedal as long as its key is held", async () => {
      await page.locator("#place-4-6").focus();
      await page.keyboard.down("b");
      assert.match(await stance(page), /B$/);
      await page.keyboard.up("b");
      assert.match(await stance(page), /no pedals$/);
    });

    test("lists where another chord lives, and goes there", async () => {
      await page.locator(".neck-any input").fill("4-");
      await page.locator(".neck-any input").press("Enter");
      const home = page.locator(".neck-home").last();
      await home.click();
      assert.equal(await home.getAttribute("aria-pressed"), "true");
      assert.equal(await stance(page).then((s) => /^(Open|Fret \d+)\s/.test(s)), true);
      await page.locator(".neck-any input").fill("9");
      await page.locator(".neck-any input").press("Enter");
      assert.match(await page.locator("#neck-fault").innerText(), /write one/);
      await assertSound(page);
    });
  });
}

test("a tap on the lanes goes to that moment", async () => {
  const page = await open(DESK, "Solo");
  const head = page.locator(".playhead");
  await page.locator(".lanes-sheet .lanes-chord").nth(1).waitFor();
  const before = await head.getAttribute("transform");
  await page.locator(".lanes-sheet").click({ position: { x: 300, y: 20 } });
  const tapped = await head.getAttribute("transform");
  assert.notEqual(tapped, before);
  assert.ok(Math.abs(Number(/\(([\d.]+)/.exec(tapped)[1]) - 300) < 1, `the line stands where it was tapped: ${tapped}`);
  await page.context().close();
});
