// Changing one thing: a move is pointed at, each change is heard as it is chosen, one is kept, compared with the
// pass before, starred, noted, taken back.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, PHONE, settled, start } from "./browser.mjs";

describe("changing one thing", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const button = (page, name) => page.getByRole("button", { name, exact: true });
  const menu = (page) => page.getByRole("dialog", { name: "Change one thing" });
  const offers = (page) => menu(page).getByRole("radio");
  const stopped = (page) => button(page, "Play").waitFor();

  async function opened(size, more = {}) {
    const page = await stage.open({ size, ...more });
    await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
    return page;
  }

  // Opens the menu of the move at a place in the list and waits for what is offered.
  async function change(page, index) {
    await page.locator(".move-change").nth(index).click();
    await menu(page).waitFor();
    await page.waitForFunction(() => document.querySelectorAll("#change .offer").length > 3);
  }

  for (const size of [PHONE, DESK]) {
    test(`a move tapped in the lanes has a menu at ${size.width} px`, async () => {
      const page = await opened(size);
      const lanes = page.locator(".lanes-sheet");
      const box = await lanes.boundingBox();
      await lanes.click({ position: { x: 40, y: 100 } });
      await menu(page).waitFor();
      await page.waitForFunction(() => document.querySelectorAll("#change .offer").length > 3);
      assert.equal(await page.locator(".lanes-sheet .spot-picked").count(), 1, "the move is marked");
      assert.ok((await menu(page).boundingBox()).y > box.y + 60 || size === DESK, "the move stays in sight");
      assert.deepEqual(await axeFaults(page), []);
      await page.keyboard.press("Escape");
      await menu(page).waitFor({ state: "hidden" });
      await page.locator(".lanes-sheet .spot-picked").waitFor({ state: "detached" });
      await lanes.click({ position: { x: 40, y: 20 } });
      assert.ok(await menu(page).isHidden(), "the ruler is for going there");
      await assertSound(page);
    });
  }

  test("a change is heard and drawn as soon as it is chosen, and left without a trace", async () => {
    const page = await opened(PHONE);
    const before = await settled(page, ".moves");
    await change(page, 2);
    await offers(page).nth(1).click();
    await button(page, "Stop").waitFor();
    assert.equal(await page.locator(".lanes-other").count(), 1, "the changed pass lies over the other");
    await stopped(page);
    await menu(page).getByRole("button", { name: "Leave it as it is" }).click();
    await page.locator(".lanes-other").waitFor({ state: "detached" });
    assert.equal(await settled(page, ".moves"), before);
    assert.ok(await button(page, "Undo").isDisabled(), "nothing to undo");
    await assertSound(page);
  });

  test("a change is kept as a new pass with its way, compared, starred, noted and undone", async () => {
    const page = await opened(PHONE);
    await change(page, 2);
    const words = await menu(page).locator(".offer-words").nth(1).innerText();
    await offers(page).nth(1).click();
    await button(page, "Keep this").click();
    await page.getByText("Kept as a new pass").waitFor();
    const tree = page.locator(".tree li");
    assert.equal(await tree.count(), 2, "the draft and what came of it");
    assert.ok((await tree.nth(1).innerText()).includes(words), `the change is told: ${words}`);
    assert.equal(await tree.nth(1).locator(".tree-pass").getAttribute("aria-pressed"), "true");

    await page.getByRole("combobox", { name: "Compare with" }).selectOption({ index: 1 });
    const differs = page.getByRole("list", { name: "Where they differ" }).getByRole("button");
    assert.ok((await differs.count()) >= 1);
    assert.ok((await page.locator(".lanes-sheet .spot-differs").count()) >= 1, "marked in the lanes");
    assert.ok((await page.locator(".tab .spot-differs").count()) >= 1, "marked in the tab");
    await differs.first().click();
    await button(page, "Stop").waitFor();
    await page.getByRole("radio", { name: "the other" }).check({ force: true });
    assert.equal(await button(page, "Stop").count(), 1, "it goes on playing");
    await button(page, "Stop").click();

    await page.getByRole("button", { name: "Pass 2: 0 of 3 stars, give 1" }).click();
    await page.getByRole("button", { name: "Pass 2: 1 of 3 stars, give 2" }).waitFor();
    await page.getByLabel("Note on pass 2").fill("for the bridge");
    assert.ok((await tree.nth(1).innerText()).includes("for the bridge"));
    await assertSound(page);

    await kept(page, "for the bridge");
    await page.reload();
    await page.locator(".tree li").nth(1).waitFor();
    assert.ok((await tree.nth(1).innerText()).includes("for the bridge"), "all of it is kept on the device");
  });

  test("keeping a change is one step to undo", async () => {
    const page = await opened(DESK);
    await change(page, 1);
    await offers(page).nth(1).click();
    await button(page, "Keep this").click();
    await page.locator(".tree li").nth(1).waitFor();
    await button(page, "Undo").click();
    assert.equal(await page.locator(".tree li").count(), 0);
    await button(page, "Redo").click();
    assert.equal(await page.locator(".tree li").count(), 2);
    await assertSound(page);
  });

  test("a locked move is said to be and offers nothing", async () => {
    const page = await opened(PHONE);
    await change(page, 1);
    await menu(page).getByRole("button", { name: "Lock", exact: true }).click();
    await menu(page).getByText("Locked: it stays as it is").waitFor();
    assert.equal(await offers(page).count(), 0);
    await page.keyboard.press("Escape");
    assert.equal(await page.locator(".move-locked").count(), 1);
    assert.equal(await page.locator(".lanes-sheet .spot-lock").count(), 1);
    await page.locator(".move-change").nth(1).click();
    await menu(page).getByRole("button", { name: "Locked", exact: true }).click();
    await page.waitForFunction(() => document.querySelectorAll("#change .offer").length > 3);
    await assertSound(page);
  });

  test("by keyboard: C opens the menu, arrows hear one after another, Enter keeps", async () => {
    const page = await opened(DESK);
    await page.keyboard.press("c");
    await menu(page).waitFor();
    await page.waitForFunction(() => document.querySelectorAll("#change .offer").length > 3);
    await offers(page).first().focus();
    await page.keyboard.press("ArrowDown");
    await button(page, "Stop").waitFor();
    await page.keyboard.press("ArrowDown");
    assert.ok(await offers(page).nth(2).isChecked());
    await button(page, "Keep this").focus();
    await page.keyboard.press("Enter");
    await page.locator(".tree li").nth(1).waitFor();
    await assertSound(page);
  });
});
