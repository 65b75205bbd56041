// How far one is: one clear first step, parts with how far each is, progress brought in from elsewhere, and what is due
// met again across the lessons.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start } from "./browser.mjs";

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

// Two skills of two lessons, tried long ago.
const LONG_AGO = { box: 0, due: 101, tries: 1, right: 1, seen: 100 };
const SKILLS = { "Read numbers": LONG_AGO, "Find minor chords": LONG_AGO };

for (const [size, scheme] of [[PHONE, "light"], [DESK, "dark"]]) {
  describe(`the course's page at ${size.width} px`, () => {
    let page;
    before(async () => (page = await stage.open({ size, scheme, path: "#/learn" })));
    after(() => page?.context().close());

    const give = (name, text) =>
      page.locator("section[aria-label='Your progress'] input[type=file]").setInputFiles({
        name,
        mimeType: "application/json",
        buffer: Buffer.from(text),
      });

    test("has one clear first step for who has done nothing yet", async () => {
      assert.deepEqual(await page.locator(".course .go").allInnerTexts(), ["Begin: A song with a hole"]);
      assert.equal(await page.locator(".course-part ol").count(), 5);
      assert.equal(await page.locator(".course-far").count(), 0);
      assert.equal(await page.getByRole("region", { name: "Due today" }).count(), 0);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });

    test("takes in what was saved elsewhere, and names a file that is none", async () => {
      await give("notes.json", '{"shopping": ["strings"]}');
      await page.getByText(/^notes\.json: this is no file of progress/).waitFor();
      await give("leadbar-progress.json", JSON.stringify({ skills: SKILLS, lessons: { "a-song-with-a-hole": 100 } }));
      await page.getByText(/^Brought in from leadbar-progress\.json/).waitFor();
      assert.match(await page.locator(".course-part", { has: page.getByRole("heading", { name: "Numbers", exact: true }) }).innerText(), /1 of 5 lessons read/);
      assert.equal(await page.locator(".course-far").count(), 5);
      assert.deepEqual(await page.locator(".course .go").allInnerTexts(), ["Go on: Bright, dark, leaning"]);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });

    test("leads from what is due to its exercises, whatever lesson they are of", async () => {
      const due = page.getByRole("region", { name: "Due today" });
      assert.match(await due.innerText(), /Find minor chords/);
      await due.getByRole("button", { name: "Meet 2 again" }).click();
      await page.getByRole("heading", { level: 1, name: "To be met again today" }).waitFor();
      assert.match(page.url(), /#\/learn\/review$/);
      const exercises = page.locator(".exercise");
      assert.equal(await exercises.count(), 2);
      const said = (await exercises.allInnerTexts()).join("\n");
      assert.match(said, /from “A song with a hole”/);
      assert.match(said, /from “The dark ones”/);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });

    test("has less that is due once it was tried, and saves it all", async () => {
      const first = page.locator(".exercise", { hasText: "A song with a hole" });
      await first.getByRole("textbox").fill("F#m");
      await first.getByRole("button", { name: "Check" }).click();
      await first.locator(".marked").waitFor();
      assert.equal(await page.locator(".exercise").count(), 2, "an answer takes no exercise away");
      await page.getByRole("button", { name: "Done: back to the course" }).click();
      await page.getByRole("region", { name: "Due today" }).getByRole("button", { name: "Meet it again" }).waitFor();
      const coming = page.waitForEvent("download");
      await page.getByRole("region", { name: "Your progress" }).getByRole("button", { name: "Save as a file" }).click();
      const saved = JSON.parse(await readFile(await (await coming).path(), "utf8"));
      assert.deepEqual(saved.skills["Find minor chords"], LONG_AGO);
      assert.equal(saved.skills["Read numbers"].tries, 2);
    });
  });
}
