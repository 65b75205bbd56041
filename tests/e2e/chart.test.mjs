// Writing a chart, on a phone with a thumb and on a desk with a keyboard; and the instrument behind it.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, kept, PHONE, start } from "./browser.mjs";

describe("the chart", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const open = async (size) => {
    const page = await stage.open({ size, path: "#/chart" });
    if (size === PHONE) await page.getByRole("button", { name: "Write", exact: true }).click();
    return page;
  };
  const text = (page) => page.getByRole("textbox", { name: "Chart" });
  const bars = (page) => page.locator(".bars .bar");
  const inTransport = (page, what) => page.locator(".where-bar").filter({ hasText: what }).waitFor();

  test("is tapped in on the pad", async () => {
    const page = await open(PHONE);
    await text(page).fill("");
    const pad = page.getByRole("group", { name: "Pad" });
    for (const key of ["1", "4", "b: flat", "7", "5", "seventh: 7"]) {
      await pad.getByRole("button", { name: key, exact: true }).click();
    }
    assert.equal(await text(page).inputValue(), "1 4 b7 57");
    assert.equal(await bars(page).count(), 4);
    await inTransport(page, "of 4");
    await pad.getByRole("button", { name: "del: take away" }).click();
    assert.equal(await text(page).inputValue(), "1 4 b7 5");
    await assertSound(page);
  });

  test("shows what its heading says before any bar is written", async () => {
    const page = await open(DESK);
    await text(page).fill("");
    const heading = page.getByRole("group", { name: "Heading" });
    const shown = async () => ({
      key: await heading.getByRole("combobox", { name: "Key" }).inputValue(),
      tempo: await heading.getByRole("spinbutton", { name: "Tempo" }).inputValue(),
      metre: await heading.getByRole("combobox", { name: "Metre" }).inputValue(),
    });
    assert.equal((await shown()).tempo, "", "nothing is written, nothing is said");
    await text(page).fill("Weir Cottage, key Eb, 96, 3/4");
    await page.waitForFunction(() => document.querySelector(".heading input[type=number]").value === "96");
    assert.deepEqual(await shown(), { key: "Eb", tempo: "96", metre: "3/4" });
    assert.equal(await bars(page).count(), 0);
    await page.getByRole("button", { name: "Weir Cottage" }).waitFor();
    await assertSound(page);
  });

  test("says what it does not understand, where, and puts the caret there", async () => {
    const page = await open(DESK);
    await text(page).fill("key G; 1 4\n5 nonsense 1");
    const place = page.getByRole("button", { name: "Line 2, column 3" });
    await place.click();
    assert.equal(await text(page).evaluate((area) => area.selectionStart), "key G; 1 4\n5 ".length);
    await inTransport(page, "of 4");
  });

  test("is rewritten by the controls of its heading", async () => {
    const page = await open(DESK);
    await text(page).fill("key G, 100; 1 4 5 1");
    await page.getByRole("combobox", { name: "Key" }).selectOption("Bb");
    await page.getByRole("spinbutton", { name: "Tempo" }).fill("88");
    await page.getByRole("spinbutton", { name: "Tempo" }).press("Enter");
    assert.equal(await text(page).inputValue(), "key Bb, 88; 1 4 5 1");
    await page.locator(".song-facts").filter({ hasText: "Key Bb" }).waitFor();
  });

  test("comes back by undo and by a new visit", async () => {
    const page = await open(DESK);
    const demo = await text(page).inputValue();
    await text(page).fill("key D; 1 5");
    await page.getByRole("button", { name: "Undo" }).click();
    assert.equal(await text(page).inputValue(), demo);
    await page.getByRole("button", { name: "Redo" }).click();
    await kept(page, "key D; 1 5");
    await page.reload();
    assert.equal(await text(page).inputValue(), "key D; 1 5");
  });

  test("opens each demo song, and an empty chart says what to write", async () => {
    const page = await open(DESK);
    const head = page.locator("button.song");
    await head.click();
    const songs = page.getByRole("dialog", { name: "Songs" });
    const demos = songs.locator("ul.songs:not(.shelf) > li");
    const count = await demos.count();
    assert.ok(count >= 4);
    const seen = new Set();
    for (let i = 0; i < count; i++) {
      if (i) await head.click();
      await demos.nth(i).getByRole("button").click();
      seen.add(await text(page).inputValue());
      assert.ok((await bars(page).count()) >= 8);
    }
    assert.equal(seen.size, count);
    await head.click();
    await songs.getByRole("button", { name: "Start an empty chart" }).click();
    await page.getByRole("heading", { name: "No bars yet" }).waitFor();
    await assertSound(page);
  });

  test("goes to a bar that is tapped, and by the arrow keys", async () => {
    const page = await open(DESK);
    await bars(page).nth(4).getByRole("button").click();
    await inTransport(page, "5");
    await page.keyboard.press("ArrowLeft");
    await inTransport(page, "4");
    await page.keyboard.press("Home");
    await inTransport(page, "1");
  });
});

describe("the rig", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("leaves out of the solo what the instrument has not got", async () => {
    const page = await stage.open({ size: DESK, path: "#/rig" });
    await page.getByRole("checkbox", { name: "A: mine has it" }).uncheck();
    await page.getByRole("navigation", { name: "Places" }).getByRole("button", { name: "Solo" }).click();
    const wanted = page.getByRole("group", { name: "May use" });
    await wanted.getByRole("checkbox", { name: "B", exact: true }).waitFor();
    assert.equal(await wanted.getByRole("checkbox", { name: "A", exact: true }).count(), 0);
    await page.getByText("Playable.").waitFor();
    await assertSound(page);
  });
});
