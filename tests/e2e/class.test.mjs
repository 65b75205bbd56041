// A class without a server: a teacher sets work, a student answers it on a phone, the teacher marks what comes back.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, linkIn, PHONE, start } from "./browser.mjs";

// The place that the last hint of an exercise gives away, as in "Try strings 3-4-5 at fret 8, A+B."
function placeOf(hint) {
  const [, strings, fret, pressed] = hint.match(/strings ([\d-]+) at fret (\d+), (.*)\.$/);
  return {
    strings: strings.split("-"),
    fret: Number(fret),
    pressed: pressed === "nothing pressed" ? [] : pressed.split("+"),
  };
}

// Opens a place and holds it in figures.
async function hold(exercise, { strings, fret, pressed }) {
  await exercise.locator(".slot").first().click();
  await exercise.getByRole("radio", { name: "In figures" }).check();
  const pad = exercise.getByRole("group", { name: "The place" });
  const less = pad.getByRole("button", { name: "Fret: less" });
  const more = pad.getByRole("button", { name: "Fret: more" });
  const now = async () => Number(await pad.getByRole("group", { name: "Fret" }).locator("output").innerText());
  while ((await now()) > fret) await less.click();
  while ((await now()) < fret) await more.click();
  for (const string of strings) await pad.getByRole("button", { name: `String ${string}`, exact: true }).click();
  for (const name of pressed) {
    const change = pad.getByRole("button", { name: `Press ${name.replace("/2", "")}`, exact: true });
    await change.click();
    if (name.endsWith("/2")) await change.click();
  }
}

async function hints(exercise) {
  for (let i = 0; i < 3; i++) await exercise.getByRole("button", { name: "Hint" }).click();
  await exercise.locator(".exercise-hints .hint").nth(2).waitFor();
  return exercise.locator(".exercise-hints .hint").allInnerTexts();
}

describe("a class", () => {
  let stage;
  let work;
  let handedIn;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("a teacher sets work and gets a link, a code and a file", async () => {
    const page = await stage.open({ size: DESK, path: "#/learn" });
    await page.getByRole("button", { name: "Class" }).click();
    await page.getByLabel("Title").fill("Week three");
    await page.getByLabel("Your words").fill("Slow is fine.");
    for (const kind of ["name-chord", "find-chord", "ending"]) {
      await page.getByLabel("Kind").selectOption(kind);
      await page.getByRole("button", { name: "Add", exact: true }).click();
    }
    assert.equal(await page.locator(".class-items > li").count(), 3);
    const first = page.locator(".class-items > li").first();
    await first.getByLabel("Key").selectOption("D");
    await page.waitForFunction(() => document.querySelector(".class-items p").innerText.includes("key of D"));
    work = await linkIn(page);
    assert.ok(await page.locator("svg.class-code").isVisible());
    assert.match(work, /#open=[\w-]+$/);
    const saved = await page.getByRole("link", { name: "Save as a file" }).getAttribute("download");
    assert.equal(saved, "work-Week-three.txt");
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("a student answers on a phone, is told why, and hands in", async () => {
    const page = await stage.open({ size: PHONE, path: `#${work.split("#")[1]}` });
    await page.getByRole("heading", { name: "Week three" }).waitFor();
    await page.getByLabel(/^Your name/).fill("Wren");

    const naming = page.getByRole("region", { name: "Exercise 1" });
    const chord = naming.getByRole("textbox");
    await chord.fill("F");
    await naming.getByRole("button", { name: "Check" }).click();
    assert.match(await naming.locator("div.marked").innerText(), /\d of 5 points[\s\S]*Next:/);
    const [, , told] = await hints(naming);
    const number = (await naming.innerText()).match(/which chord is (\S+)\?/)[1];
    const kind = number.replace(/^[b#]?\d/, "").replace("-", "m");
    await chord.fill(told.match(/is (\S+)\.$/)[1] + kind);
    await naming.getByRole("button", { name: "Check" }).click();
    await naming.locator("div.marked.right").waitFor();

    const finding = page.getByRole("region", { name: "Exercise 2" });
    const [, , place] = await hints(finding);
    await hold(finding, placeOf(place));
    await finding.getByRole("button", { name: "Check" }).click();
    await finding.locator("div.marked.right").waitFor();

    const ending = page.getByRole("region", { name: "Exercise 3" });
    const [, begin, end] = await hints(ending);
    await ending.getByRole("button", { name: "Put down a stroke" }).click();
    await hold(ending, placeOf(begin));
    await ending.getByRole("button", { name: "Check" }).click();
    assert.match(await ending.locator("div.marked").innerText(), /last bar/);

    handedIn = await linkIn(page);
    assert.match(handedIn, /#open=[\w-]+$/);
    assert.ok(placeOf(end).strings.length > 0);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);

    // What was answered is still there after a reload.
    await page.goto("about:blank");
    await page.goto(`${stage.url}#/class`);
    await page.getByRole("heading", { name: "Week three" }).waitFor();
    assert.equal(await page.getByLabel(/^Your name/).inputValue(), "Wren");
    assert.equal(await page.locator("div.marked.right").count(), 2);
  });

  test("the teacher marks what came back, and what is no answer is named", async () => {
    const page = await stage.open({ size: DESK, path: "#/class" });
    await page.getByRole("radio", { name: "Mark answers" }).check();
    await page.getByRole("textbox", { name: "Links" }).fill(handedIn);
    await page.getByRole("button", { name: "Mark these" }).click();
    const row = page.getByRole("row", { name: /Wren/ });
    await row.waitFor();
    const cells = await row.getByRole("cell").allInnerTexts();
    assert.deepEqual(cells.slice(1, 3), ["100", "100"]);
    await page.locator("input[type=file]").first().setInputFiles([
      { name: "essay.txt", mimeType: "text/plain", buffer: Buffer.from("I did it on paper.") },
      { name: "cut.txt", mimeType: "text/plain", buffer: Buffer.from(handedIn.slice(0, -30)) },
      { name: "film.mov", mimeType: "video/quicktime", buffer: Buffer.alloc(3 << 20) },
    ]);
    await page.getByText("film.mov").waitFor();
    const faults = await page.locator(".fault").allInnerTexts();
    assert.match(faults.join("\n"), /essay\.txt: there is nothing in it/);
    assert.match(faults.join("\n"), /cut\.txt: this link was cut or changed/);
    assert.match(faults.join("\n"), /film\.mov: it is 3 MB/);
    assert.equal(await page.getByRole("row", { name: /Wren/ }).count(), 1);
    const csv = decodeURIComponent(await page.getByRole("link", { name: "Save the table" }).getAttribute("href"));
    assert.match(csv, /\r\nWren,Week three,\d+,100,100,/);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("a folder of answers is dropped with the folders in it", async () => {
    const page = await stage.open({ size: DESK, path: "#/class" });
    await page.getByRole("radio", { name: "Mark answers" }).check();
    await page.locator(".class-drop").waitFor();
    // A folder as browsers give it out: by entries, some at a time.
    await page.evaluate((answer) => {
      const file = (name, text) => ({ isFile: true, isDirectory: false, file: (give) => give(new File([text], name)) });
      const folder = (...inside) => ({
        isDirectory: true,
        createReader() {
          const parts = [inside.slice(0, 1), inside.slice(1), []];
          return { readEntries: (give) => give(parts.shift() ?? []) };
        },
      });
      const dropped = folder(file("wren.txt", answer), folder(file("essay.txt", "On paper."), file("notes.txt", "Later.")));
      const event = new Event("drop", { bubbles: true, cancelable: true });
      const items = [{ webkitGetAsEntry: () => dropped }];
      Object.defineProperty(event, "dataTransfer", { value: { types: ["Files"], files: [], items } });
      document.querySelector(".class-drop").dispatchEvent(event);
    }, handedIn);
    await page.getByText(/notes\.txt: there is nothing in it/).waitFor();
    await page.getByText(/essay\.txt: there is nothing in it/).waitFor();
    assert.equal(await page.getByRole("row", { name: /Wren/ }).count(), 1);
    await assertSound(page);
  });
});
