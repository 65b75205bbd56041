// A stroke taken in hand: dragged, stepped and mended; a bar typed as tab; the pass as a listener hears it.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start } from "./browser.mjs";

describe("editing by hand", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const button = (page, name) => page.getByRole("button", { name, exact: true });
  const strip = (page) => page.getByRole("region", { name: "What is proposed" });
  const knob = (page, name) => page.locator(".lanes-scroll").getByRole("slider", { name, exact: true });
  const told = (page, name) => knob(page, name).getAttribute("aria-valuetext");
  const tree = (page) => page.locator(".tree li");

  async function opened(size, more = {}) {
    const page = await stage.open({ size, ...more });
    await page.locator(".move-change").first().waitFor();
    return page;
  }

  async function taken(page, index) {
    await page.locator(".move-change").nth(index).click();
    await button(page, "By hand").click();
    await knob(page, "Played").waitFor();
  }

  // The first move of the list that can be slid into: one whose start has a handle on the path.
  async function takenSlide(page) {
    for (let index = 0; index < 12; index += 1) {
      await taken(page, index);
      if (await knob(page, "Comes from").count()) return index;
      await button(page, "Leave it").click();
    }
    throw new Error("no move with a handle on the bar's path");
  }

  async function drag(page, name, by) {
    const box = await knob(page, name).boundingBox();
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + by.x / 2, y + by.y / 2);
    await page.mouse.move(x + by.x, y + by.y);
    await page.mouse.up();
  }

  for (const size of [PHONE, DESK]) {
    test(`a slide's start is dragged, heard, kept as one change and undone at ${size.width} px`, async () => {
      const page = await opened(size);
      await takenSlide(page);
      const before = await told(page, "Comes from");
      const box = await knob(page, "Comes from").boundingBox();
      assert.ok(box.width >= 44 && box.height >= 44, "a thumb can take it");
      assert.ok(await page.locator(".lanes-snap").getAttribute("d"), "the grid is shown");
      await drag(page, "Comes from", { x: 0, y: 60 });
      assert.notEqual(await told(page, "Comes from"), before);
      await button(page, "Stop").waitFor();
      assert.equal(await page.locator(".lanes-other").count(), 1, "what it was made of lies over it");
      await button(page, "Play").waitFor();
      assert.deepEqual(await axeFaults(page), []);
      await button(page, "Keep this").click();
      await page.getByText("Kept as a new pass").waitFor();
      assert.match(await tree(page).nth(1).innerText(), /by hand/);
      await page.keyboard.press("Control+z");
      await tree(page).nth(1).waitFor({ state: "detached" });
      await assertSound(page);
    });
  }

  test("keys move a note along the grid, step back takes it back, Escape leaves it", async () => {
    const page = await opened(DESK);
    await taken(page, 2);
    const before = await told(page, "Played");
    await knob(page, "Played").focus();
    await page.keyboard.press("ArrowRight");
    const moved = await told(page, "Played");
    assert.notEqual(moved, before);
    await page.keyboard.press("Control+z");
    assert.equal(await told(page, "Played"), before);
    await strip(page).getByRole("button", { name: "Played: more" }).click();
    assert.equal(await told(page, "Played"), moved, "a step by a tap is the same");
    await knob(page, "Played").focus();
    await page.keyboard.press("Escape");
    await strip(page).waitFor({ state: "detached" });
    assert.ok(await button(page, "Undo").first().isDisabled(), "nothing of it is in the work");
    await assertSound(page);
  });

  test("what no body can play is said at once, and mended by a change that is offered", async () => {
    const page = await opened(DESK);
    await takenSlide(page);
    for (let i = 0; i < 3; i += 1) {
      await knob(page, "Comes from").focus();
      await page.keyboard.press("PageUp");
    }
    await knob(page, "Takes").focus();
    for (let i = 0; i < 8; i += 1) await page.keyboard.press("PageDown");
    await strip(page).getByText(/Not playable/).waitFor();
    await strip(page).locator(".mend").first().click();
    await strip(page).getByText("A body can play it.").waitFor();
    await button(page, "Step back").click();
    await strip(page).waitFor({ state: "detached" });

    await takenSlide(page);
    await knob(page, "Comes from").focus();
    for (let i = 0; i < 3; i += 1) await page.keyboard.press("PageUp");
    await knob(page, "Takes").focus();
    for (let i = 0; i < 8; i += 1) await page.keyboard.press("PageDown");
    await strip(page).getByText(/Not playable/).waitFor();
    await button(page, "Keep this").click();
    await page.locator(".playable").getByRole("button", { name: "Mend it" }).first().click();
    await strip(page).locator(".mend").first().waitFor();
    assert.ok(await button(page, "Keep this").isDisabled(), "nothing is changed yet");
    await strip(page).locator(".mend").first().click();
    await button(page, "Keep this").click();
    await page.getByText("Playable.", { exact: true }).waitFor();
    assert.match(await tree(page).nth(2).innerText(), /to make it playable/);
    await assertSound(page);
  });

  test("a bar is typed as tab, faults told by line and column", async () => {
    const page = await opened(PHONE);
    await page.locator(".move-change").nth(1).click();
    await page.locator("#change").getByRole("button", { name: /^Type bar/ }).click();
    const field = page.getByRole("textbox", { name: /as tab/ });
    const text = await field.inputValue();
    assert.match(text, /count/);
    await field.fill("count   1\n4 E   |-?---|\n");
    await button(page, "Read and hear it").click();
    await strip(page).getByText(/Line 2, column 9/).waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await field.fill("count   1   3\n4 E   |-5---7---|\n5 B   |-5---7---|\n");
    await button(page, "Read and hear it").click();
    await strip(page).getByText(/typed as tab/).waitFor();
    await button(page, "Keep this").click();
    assert.match(await tree(page).nth(1).innerText(), /typed as tab/);
    await assertSound(page);
  });

  test("a pass is read as a listener hears it, and what is dull is helped with one tap", async () => {
    const page = await opened(PHONE);
    const reading = page.getByRole("region", { name: "As a listener hears it" });
    await reading.getByText("Strong beats", { exact: true }).waitFor();
    assert.match(await reading.innerText(), /Arc[\s\S]*Register[\s\S]*Breathing[\s\S]*How hard each bar is/);
    const help = reading.getByRole("button", { name: /^Try: / });
    if (await help.count()) {
      const words = (await help.first().innerText()).replace("Try: ", "");
      await help.first().click();
      assert.ok((await strip(page).innerText()).includes(words));
      await button(page, "Keep this").click();
      assert.ok((await tree(page).nth(1).innerText()).includes(words));
    }
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });
});

describe("attitudes of one's own and the story of a pass", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());
  const button = (page, name) => page.getByRole("button", { name, exact: true });

  test("a mixture is saved under a name, taken again after a reload, renamed and let go", async () => {
    const page = await stage.open({ size: PHONE });
    await page.locator(".move-change").first().waitFor();
    await page.getByRole("combobox", { name: "Mixed with" }).selectOption({ label: "Blues" });
    await page.getByRole("slider", { name: "How much of it" }).fill("30");
    await page.getByRole("textbox", { name: "Save this mixture as" }).fill("Late set");
    await button(page, "Save").click();
    const own = page.getByRole("list", { name: "Your own attitudes" });
    const late = own.getByRole("button", { name: "Late set", exact: true });
    assert.equal(await late.getAttribute("aria-pressed"), "true");
    assert.deepEqual(await axeFaults(page), []);
    await page.getByRole("combobox", { name: "Mixed with" }).selectOption("");
    assert.equal(await late.getAttribute("aria-pressed"), "false");
    await page.waitForTimeout(800);
    await page.reload();
    await late.click();
    assert.equal(await page.getByRole("slider", { name: "How much of it" }).inputValue(), "30");
    await button(page, "Rename Late set").click();
    await page.getByRole("textbox", { name: "New name" }).fill("Last call");
    await page.keyboard.press("Enter");
    await own.getByRole("button", { name: "Last call", exact: true }).waitFor();
    await button(page, "Let Last call go").click();
    await own.waitFor({ state: "detached" });
    await button(page, "Undo").first().click();
    await own.getByRole("button", { name: "Last call", exact: true }).waitFor();
    await assertSound(page);
  });

  test("how a pass came about is copied as tab with every change", async () => {
    const page = await stage.open({ size: DESK, permissions: ["clipboard-read", "clipboard-write"] });
    await page.locator(".move-change").nth(2).click();
    await page.locator("#change .offer input").nth(1).click();
    await button(page, "Keep this").click();
    await button(page, "Copy how it came about, as tab").click();
    await page.getByText(/^Copied: every pass/).waitFor();
    const text = await page.evaluate(() => navigator.clipboard.readText());
    assert.match(text, /^Pass 1: Drafted, [\s\S]*bar 1 [\s\S]*Pass 2: Bar \d+: [\s\S]*count/);
    await assertSound(page);
  });
});

describe("where two passes differ on the neck", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("it is drawn and told, this pass and the other apart by shape", async () => {
    const page = await stage.open({ size: PHONE });
    await page.locator(".move-change").first().waitFor();
    await page.getByRole("combobox", { name: "Compare with" }).selectOption({ label: "draft 2" });
    const neck = page.locator(".neck-diff");
    await neck.waitFor();
    const told = await neck.getAttribute("aria-label");
    assert.match(told, /(this pass|the other): string \d+ fret \d+/);
    const marks = await neck.locator(".diff-here, .diff-there, .diff-both").count();
    assert.equal(marks, told.match(/string \d+/g).length, "every mark is told");
    const differences = page.getByRole("list", { name: "Where they differ" }).getByRole("button");
    assert.ok((await differences.count()) >= 1);
    await differences.last().click();
    assert.equal(await differences.last().getAttribute("aria-pressed"), "true");
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });
});
