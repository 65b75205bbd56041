// A lesson's exercises: a wrong answer gets its reason, a right one its points, and what was learnt is kept.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start, started } from "./browser.mjs";

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

// The chords of the keys that the first exercise draws from; by hand, from the notes of the major scale.
const CHORDS = { G: { 1: "G", 4: "C", 5: "D" }, D: { 1: "D", 4: "G", 5: "A" }, C: { 1: "C", 4: "F", 5: "G" } };

// The place that a hint gives away, as in "Try strings 3-4-5 at fret 8, A+B."
function placeOf(hint) {
  const [, strings, fret, pressed] = hint.match(/strings ([\d-]+) at fret (\d+), (.*)\.$/);
  const names = pressed === "nothing pressed" ? [] : pressed.split("+");
  return { strings: strings.split("-"), fret: Number(fret), names };
}

// A place of the drawn neck.
const cell = (exercise, string, fret) =>
  exercise.getByRole("gridcell", { name: new RegExp(`^String ${string}, .*fret ${fret}\\b`) });

// Holds a place on the drawn neck by touch: strings under the bar, pedals and levers.
async function touch(exercise, { strings, fret, names }) {
  for (const string of strings) await cell(exercise, string, fret).click();
  for (const name of names) {
    const pedal = exercise.getByRole("button", { name: new RegExp(`^${name.replace("/2", "")}, `) });
    await pedal.click();
    if (name.endsWith("/2")) await pedal.click();
  }
}

async function hintsOf(exercise) {
  const more = exercise.getByRole("button", { name: "Hint", exact: true });
  for (let i = 0; i < 3; i++) await more.click();
  return exercise.locator(".exercise-hints .hint").allInnerTexts();
}

const open = async (page, lesson) => {
  await page.evaluate((id) => (location.hash = `#/learn/${id}`), lesson);
  await page.locator(".lesson-practice").waitFor();
};
const points = async (exercise) => (await exercise.locator("div.marked > p").first().innerText()).match(/\d+/g).map(Number);

for (const size of [PHONE, DESK]) {
  describe(`answers at ${size.width} px`, () => {
    let page;
    before(async () => (page = await stage.open({ size, path: "#/learn/three-homes" })));
    after(() => page?.context().close());

    test("are given on the drawn neck by touch, sound at once, and are known as right", async () => {
      const exercise = page.getByRole("region", { name: "Exercise 1" });
      const [, , told] = await hintsOf(exercise);
      await exercise.locator(".slot").first().click();
      await touch(exercise, placeOf(told));
      await page.waitForFunction(() => document.querySelector(".neck-place[aria-selected=true]"));
      await exercise.getByRole("button", { name: "Check" }).click();
      await exercise.locator("div.marked.right").waitFor();
      // What is right is shown by its degrees, and a right answer can be seen beside it.
      await exercise.locator(".steel-bar .plate.root").first().waitFor();
      await exercise.getByRole("button", { name: "Show a right answer" }).click();
      assert.ok((await exercise.getByRole("region", { name: "A right answer" }).locator(".neck-picture").count()) >= 2);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });

    test("are given by keys alone", async () => {
      const exercise = page.getByRole("region", { name: "Exercise 2" });
      const [, , told] = await hintsOf(exercise);
      const { strings, fret, names } = placeOf(told);
      await exercise.locator(".slot").first().focus();
      await page.keyboard.press("Enter");
      await cell(exercise, 1, 3).waitFor();
      await exercise.locator("[role=gridcell][tabindex='0']").focus();
      // On a phone the neck stands upright: its strings lie across.
      const upright = size.width < 700;
      const along = upright ? "ArrowDown" : "ArrowRight";
      const across = upright ? "ArrowLeft" : "ArrowDown";
      await page.keyboard.press("Home");
      for (let at = 0; at < fret; at++) await page.keyboard.press(along);
      let at = 1;
      for (const string of strings.map(Number).sort((a, b) => a - b)) {
        for (; at < string; at++) await page.keyboard.press(across);
        await page.keyboard.press("Enter");
      }
      for (const name of names) {
        await page.keyboard.press(name.replace("/2", ""));
        if (name.endsWith("/2")) await page.keyboard.press(name.replace("/2", ""));
      }
      await exercise.getByRole("button", { name: "Check" }).press("Enter");
      await exercise.locator("div.marked.right").waitFor();
    });

    test("of a phrase are seen while they are built, taken back, marked where they fail, and laid beside a right one", async () => {
      await open(page, "leaving");
      const exercise = page.getByRole("region", { name: "Exercise 1" });
      const lanes = exercise.getByRole("group", { name: /^Lanes/ });
      await lanes.waitFor();
      const strokes = exercise.getByRole("list", { name: "Strokes" }).getByRole("button");
      const put = exercise.getByRole("button", { name: "Put down a stroke" });
      await put.click();
      await exercise.locator(".slot").first().click();
      await touch(exercise, { strings: ["4", "5", "6"], fret: 8, names: [] });
      await lanes.locator(".lanes-pass .plate").nth(2).waitFor();
      await put.click();
      assert.equal(await strokes.count(), 2);
      await exercise.getByRole("button", { name: "Move later" }).click();
      assert.match(await strokes.nth(1).innerText(), /^1\.2\.5 /);
      await exercise.getByRole("button", { name: "Undo" }).click();
      await exercise.getByRole("button", { name: "Undo" }).click();
      assert.equal(await strokes.count(), 1);
      await exercise.getByRole("button", { name: "Redo" }).click();
      assert.equal(await strokes.count(), 2);
      // Wherever one looks, the lanes show it.
      for (let i = 0; i < 22; i++) await exercise.getByRole("button", { name: "Half a beat later" }).click();
      await page.waitForFunction(() => {
        const sheet = document.querySelector(".exercise .lanes-scroll");
        const [room, head] = [sheet, sheet.querySelector(".playhead")].map((e) => e.getBoundingClientRect());
        return sheet.scrollLeft > 0 === sheet.scrollWidth > sheet.clientWidth && head.left >= room.left && head.right <= room.right;
      });
      for (let i = 0; i < 22; i++) await exercise.getByRole("button", { name: "Half a beat earlier" }).click();
      await exercise.getByRole("radio", { name: "Slide up" }).check();
      await exercise.getByRole("button", { name: "Check" }).click();
      const [got, all] = await points(exercise);
      assert.ok(got < all);
      await lanes.locator(".spot-missed").first().waitFor();
      await exercise.locator("div.marked li.missed button").first().click();
      await exercise.getByRole("button", { name: "Show a right answer" }).click();
      const right = exercise.getByRole("region", { name: "A right answer" });
      await right.locator(".lanes-pass .plate").first().waitFor();
      assert.ok((await right.locator(".lanes-other .plate").count()) > 0, "one's own lies behind it");
      assert.equal(await exercise.locator(".exercise-hints .hint").count(), 3, "who has seen it has had every hint");
      await right.getByRole("button", { name: "Tab" }).click();
      await right.locator(".tab-fret").first().waitFor();
      // What is changed after the mark is not what was marked.
      await exercise.getByRole("button", { name: "Take it away" }).click();
      assert.equal(await lanes.first().locator(".spot-missed").count(), 0);
      await assertSound(page);
    });

    test("of a heard pedal are given by pressing it", async () => {
      await open(page, "squeeze-and-half");
      const exercise = page.getByRole("region", { name: /^Exercise \d/ }).filter({ hasText: "Hear which pedal moved" }).first();
      assert.equal(await exercise.getByRole("button", { name: "Show a right answer" }).count(), 0, "not before an attempt");
      const pedals = exercise.locator(".change-pad button");
      await pedals.first().click();
      assert.equal(await exercise.locator(".change-pad [aria-pressed=true]").count(), 1);
      await pedals.last().click();
      assert.equal(await exercise.locator(".change-pad [aria-pressed=true]").count(), 1, "one at a time");
      const show = exercise.getByRole("button", { name: "Show a right answer" });
      const check = async () => {
        await exercise.getByRole("button", { name: "Check" }).click();
        await exercise.locator("div.marked").waitFor();
      };
      await check();
      // What is asked is drawn anew each time: whoever guessed right needs no answer, and the other pedal is wrong.
      if ((await exercise.locator(".marked.right").count()) === 1) {
        assert.equal(await show.count(), 0, "not to whoever has it");
        await pedals.first().click();
        await check();
      }
      await show.click();
      await exercise.getByRole("button", { name: "Hear this" }).waitFor();
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });
  });
}

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
      await first.locator("div.marked:not(.right) li.missed").first().waitFor();
      assert.ok((await first.locator("div.marked .hint").innerText()).length > 10, "one next step");
      await first.getByRole("button", { name: "Hint" }).click();
      assert.equal(await first.locator(".exercise-hints .hint").count(), 1);
      await field.fill(right);
      await first.getByRole("button", { name: "Check" }).click();
      await first.locator("div.marked.right").waitFor();
    });

    test("can be asked again with another draw", async () => {
      const first = page.getByRole("region", { name: "Exercise 1" });
      const question = () => first.getByText(/which chord is/).innerText();
      const seen = new Set([await question()]);
      for (let i = 0; i < 8; i++) {
        await first.getByRole("button", { name: "Another one like it" }).click();
        seen.add(await question());
        assert.equal(await first.locator("div.marked").count(), 0);
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
