// What a student, a teacher and a player have stumbled over, each walked once more.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { crc32, deflateRawSync } from "node:zlib";
import { assertSound, axeFaults, DESK, kept, PHONE, start, started } from "./browser.mjs";

const SONG = `Copper Gate, key Bb, 96, ballad
Verse: |: 1 1/3 4 5 [1.] 1 6- 2- 5 :| [2.] 1 4 1 1
Hole: 6- 3- 4 1 [2/4] 5 [4/4] 4 4- 1 1`;

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

const places = (page) => page.getByRole("navigation", { name: "Places" });

describe("a student on the first day", () => {
  const exercise = (page, number) => page.getByRole("region", { name: `Exercise ${number}`, exact: true });

  test("answers with Enter and with a small letter, and what can't be read is no try", async () => {
    const page = await stage.open({ size: PHONE, path: "#/learn/a-song-with-a-hole" });
    const first = exercise(page, 1);
    const field = first.getByRole("textbox");
    await field.fill("hello");
    await field.press("Enter");
    await first.getByText(/"hello" is not a chord/).waitFor();
    assert.equal(await first.locator(".marked").count(), 0);
    assert.equal(await page.evaluate(() => localStorage.getItem("leadbar-learnt")), null);

    const [, key, number] = (await first.innerText()).match(/In the key of (\w), which chord is (\d)\?/);
    const scales = { G: "GABCDEF", D: "DEFGABC", C: "CDEFGAB" };
    await field.fill(scales[key][number - 1].toLowerCase());
    await field.press("Enter");
    await first.locator(".marked.right").waitFor();
    assert.equal(await first.getByRole("button", { name: "Show a right answer" }).count(), 0, "who has it needs no other");
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("learns from the help what the picture shows", async () => {
    const page = await stage.open({ size: PHONE });
    await page.getByRole("button", { name: "Help", exact: true }).click();
    const help = page.getByRole("dialog", { name: "Help" });
    await help.getByRole("heading", { name: "What the picture of a solo shows" }).waitFor();
    assert.equal(await help.locator("dt", { hasText: "The ribbons" }).count(), 1);
    await assertSound(page);
  });

  for (const [size, way] of [[PHONE, "Tab"], [PHONE, "Shift+Tab"], [DESK, "Shift+Tab"]]) {
    test(`sees what the keyboard is on with ${way} at ${size.width} px`, async () => {
      const page = await stage.open({ size, path: "#/learn/three-homes" });
      await exercise(page, 1).waitFor();
      if (way === "Tab") await page.getByRole("button", { name: "Course" }).focus();
      else await page.getByRole("button", { name: /^Next: / }).focus();
      for (let step = 0; step < 25; step++) {
        await page.keyboard.press(way);
        await page.waitForTimeout(40);
        // WCAG 2.2, success criterion 2.4.11: not entirely hidden.
        const hidden = await page.evaluate(() => {
          const fixed = (e) => e && (["fixed", "sticky"].includes(getComputedStyle(e).position) || fixed(e.parentElement));
          const on = document.activeElement;
          const box = on.getBoundingClientRect();
          const over = [0.1, 0.5, 0.9].map((y) => document.elementFromPoint(box.x + box.width / 2, box.y + box.height * y));
          return !fixed(on) && over.every((e) => e && !on.contains(e) && fixed(e)) && (on.innerText || on.tagName);
        });
        assert.equal(hidden, false, `hidden under the frame: ${hidden}`);
      }
    });
  }
});

describe("a teacher with answers to mark", () => {
  // In C, which chord is 5? As the page's own addresses are made: version, kind, checksum, then deflated JSON.
  const handed = (name, chord) => {
    const work = { title: "Week nine", items: [{ exercise: { kind: "name-chord" }, seed: 9557 }] };
    const answers = [{ answer: { chord }, tries: 3, hints: 1 }];
    const body = deflateRawSync(JSON.stringify({ work, name, answers, claim: 0, grader: 1 }));
    const head = Buffer.from([1, "h".charCodeAt(0)]);
    const sum = Buffer.alloc(4);
    sum.writeUInt32LE(crc32(Buffer.concat([head, body])));
    return `https://school.example/#open=${Buffer.concat([head, sum, body]).toString("base64url")}`;
  };

  for (const size of [PHONE, DESK]) {
    test(`orders them, reads one, and finds them again tomorrow, at ${size.width} px`, async () => {
      const page = await stage.open({ size, path: "#/class" });
      const marking = () => page.getByRole("radio", { name: "Mark answers" }).check({ force: true });
      const names = () => page.locator("tbody th .place").allInnerTexts();
      await marking();
      const links = [handed("Wren", "G"), handed("Ash", "D"), handed("Rowan", "Gm"), handed("wren ", "E")];
      await page.getByRole("textbox", { name: "Links" }).fill(links.join("\n"));
      await page.getByRole("button", { name: "Mark these" }).click();
      await page.getByText("handed in more than once").waitFor();
      assert.deepEqual((await names()).map((n) => n.trim().toLowerCase()), ["ash", "rowan", "wren", "wren"]);
      await page.getByRole("button", { name: "Score" }).click();
      await page.locator("th[aria-sort=ascending]").getByText("Score").waitFor();
      await page.getByRole("button", { name: "Score" }).click();
      assert.equal((await names())[0], "Wren", "the best is on top when it is turned round");

      await page.getByRole("button", { name: "Rowan" }).click();
      const sheet = page.getByRole("dialog", { name: "What was answered" });
      await sheet.getByText("5 asks for G, and Gm is another kind.").waitFor();
      await sheet.getByText("One hint was taken. 2 other answers were checked before.").waitFor();
      assert.deepEqual(await axeFaults(page), []);
      await page.keyboard.press("Escape");

      await page.getByRole("radio", { name: "Set work" }).check({ force: true });
      await marking();
      assert.equal((await names()).length, 4);
      await page.reload();
      await started(page);
      await marking();
      assert.equal((await names()).length, 4);
      const table = await page.getByRole("link", { name: "Save the table" }).getAttribute("href");
      assert.ok(table.startsWith("data:text/csv;charset=utf-8,%EF%BB%BFname%2Cwork"), "a spreadsheet is told that it is UTF-8");
      await page.getByRole("button", { name: "Clear", exact: true }).click();
      await page.getByRole("button", { name: "Clear these answers" }).click();
      await page.locator("tbody").waitFor({ state: "detached" });
      await page.reload();
      await started(page);
      await marking();
      assert.equal((await names()).length, 0);
      await assertSound(page);
    });
  }
});

describe("a player with a song to deliver tonight", () => {
  test("is blamed for nothing on an empty chart, and finds how everything is written", async () => {
    const page = await stage.open({ size: PHONE, path: "#/chart" });
    await page.locator("button.song").click();
    await page.getByRole("button", { name: "Start an empty chart" }).click();
    await page.getByRole("heading", { name: "No bars yet" }).waitFor();
    assert.equal(await page.locator(".chart .fault .place").count(), 0);
    await page.getByText("How to write it").click();
    for (const sign of ["[1.] 5 :| [2.] 1", "[2/4]", "5/7"]) await page.locator(".signs code", { hasText: sign }).first().waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("is taken to the hole of the song, here and where the link is opened", async () => {
    const page = await stage.open({ size: PHONE, path: "#/chart" });
    await page.getByRole("button", { name: "Write", exact: true }).click();
    await page.getByRole("textbox", { name: "Chart" }).fill(SONG);
    await kept(page, "Copper Gate");
    await places(page).getByRole("button", { name: "Solo", exact: true }).click();
    await page.getByText("Only some: the hole in the song").click();
    const part = page.getByRole("group", { name: "Section" });
    await part.waitFor();
    assert.ok(await part.getByRole("radio", { name: "Hole" }).isChecked());
    const bar = page.locator(".where-bar");
    await bar.filter({ hasText: "17" }).waitFor();
    const first = async (wanted) =>
      page.waitForFunction((wanted) => document.querySelector(".move-bar")?.textContent === wanted, wanted, { timeout: 30_000 });
    await first("17");

    // The bars before it say where it begins.
    await page.locator("h1").first().evaluate(() => document.activeElement?.blur());
    await page.keyboard.press("Home");
    await page.getByText("The solo begins in bar 17.").waitFor();
    await page.getByRole("button", { name: "Rehearse", exact: true }).click();
    const loop = page.getByRole("dialog", { name: "Rehearse" }).getByRole("group", { name: "from", exact: true });
    assert.equal(await loop.locator("output").innerText(), "17");
    await page.keyboard.press("Escape");
    await assertSound(page);

    // The stand is left by Escape, and by a second one where a sheet lies over it.
    await page.getByRole("button", { name: "Stand", exact: true }).click();
    await page.waitForURL(/#\/stand$/);
    await page.getByRole("button", { name: "Rehearse", exact: true }).last().click();
    await page.getByRole("dialog", { name: "Rehearse" }).waitFor();
    await page.keyboard.press("Escape");
    await page.getByRole("dialog", { name: "Rehearse" }).waitFor({ state: "hidden" });
    assert.match(page.url(), /#\/stand$/);
    await page.keyboard.press("Escape");
    await page.waitForURL(/#\/solo$/);

    await page.context().grantPermissions(["clipboard-read", "clipboard-write"]);
    await page.getByRole("button", { name: /^Deliver/ }).click();
    await page.getByRole("button", { name: "Files and links" }).last().click();
    await page.getByRole("button", { name: /^Copy a link to this solo/ }).click();
    await page.getByText("The link to the solo is copied").waitFor();
    const link = await page.evaluate(() => navigator.clipboard.readText());
    const other = await stage.open({ size: PHONE, path: link.slice(link.indexOf("#")) });
    await other.locator(".where-bar").filter({ hasText: "17" }).waitFor();
    await assertSound(other);
  });
});
