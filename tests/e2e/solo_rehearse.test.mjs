// Rehearsing: the speed climbs by itself, the solo falls silent, the tab is taken away, one limb is looked at,
// and the stand turns its own leaves.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start } from "./browser.mjs";

const LANDSCAPE = { width: 844, height: 390 };

describe("rehearsing", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const button = (page, name) => page.getByRole("button", { name, exact: true });
  const drafted = (page) => page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();

  const choose = (dialog, name) => dialog.getByRole("radio", { name, exact: true }).check({ force: true });

  async function opened(size, more = {}) {
    const page = await stage.open({ size, ...more });
    await drafted(page);
    return page;
  }

  async function sheet(page) {
    await button(page, "Rehearse").click();
    return page.getByRole("dialog", { name: "Rehearse" });
  }

  test("the speed climbs a step each time round", async () => {
    const page = await opened(PHONE);
    const dialog = await sheet(page);
    await dialog.getByText("Count a bar in").click();
    await dialog.getByText("Get faster by itself").click();
    await dialog.getByText("Now 60%, time 1 of 2, then 65%.").waitFor();
    // Once round a single bar, from nearly the top.
    for (let press = 0; press < 7; press++) await dialog.getByRole("button", { name: "lowest: more" }).click();
    await dialog.getByRole("button", { name: "times round: less" }).click();
    await dialog.getByText("Now 95%, time 1 of 1, then 100%.").waitFor();
    const to = dialog.getByRole("group", { name: "to", exact: true });
    while ((await to.locator("output").innerText()) !== "1") await to.getByRole("button", { name: "to: less" }).click();
    await page.keyboard.press("Escape");
    await button(page, "Play").click();
    await page.getByText("The top of the ladder: 100%.").waitFor();
    await button(page, "Stop").click();
    await assertSound(page);
  });

  test("what is held back is said, and comes back at one tap", async () => {
    const page = await opened(PHONE);
    const signs = () => page.locator(".tab .tab-fret").count();
    const all = await signs();
    const dialog = await sheet(page);
    await choose(dialog, "every 2nd bar out");
    await dialog.getByText("Mute the solo").click();
    await page.keyboard.press("Escape");
    await page.getByText("solo muted, tab hidden in part").waitFor();
    const half = await signs();
    assert.ok(half > 0 && half < all, `${half} of ${all} signs are left`);
    assert.ok((await page.locator(".tab .tab-chord").count()) > 2, "the chords stay");
    await sheet(page);
    await choose(dialog, "chords only");
    await page.keyboard.press("Escape");
    assert.equal(await signs(), 0);
    await button(page, "Show and hear all").click();
    assert.equal(await signs(), all);
    await assertSound(page);
  });

  test("one limb is looked at alone, in lanes and tab", async () => {
    const page = await opened(DESK);
    const parts = async () => ({
      path: ((await page.locator(".lanes-pass .path-sounding").first().getAttribute("d")) ?? "").length > 0,
      ribbons: (await page.locator(".lanes-pass .ribbon").count()) > 0,
      strings: (await page.locator(".lanes-pass .ring-tail").count()) > 0,
    });
    assert.deepEqual(await parts(), { path: true, ribbons: true, strings: true });
    const dialog = await sheet(page);
    await choose(dialog, "bar");
    assert.deepEqual(await parts(), { path: true, ribbons: false, strings: false });
    await choose(dialog, "feet and knees");
    assert.deepEqual(await parts(), { path: false, ribbons: true, strings: false });
    await choose(dialog, "right hand");
    assert.deepEqual(await parts(), { path: false, ribbons: false, strings: true });
    const letters = new Set(await page.locator(".tab .tab-fret:not(.held)").allTextContents());
    assert.deepEqual([...letters].map((l) => l[0]).filter((l) => !"TIMR".includes(l)), []);
    await dialog.getByText("Hear it alone too").click();
    await assertSound(page);
  });

  for (const size of [PHONE, LANDSCAPE, DESK]) {
    test(`the stand shows the next four bars and turns by itself at ${size.width} x ${size.height}`, async () => {
      const page = await opened(size);
      await button(page, "Stand").click();
      const leaves = page.locator(".leaf-head b");
      assert.deepEqual(await leaves.allInnerTexts(), ["1", "2", "3", "4"]);
      const box = await page.locator(".stand").boundingBox();
      assert.ok(box.height <= size.height + 1, "all of it is in sight");
      for (const text of await page.locator(".leaf .tab-fret").all()) {
        const { height } = await text.boundingBox();
        assert.ok(height >= 14, `a fret is ${height} px high`);
      }
      assert.deepEqual(await axeFaults(page), []);
      await button(page, "Play").click();
      await page.waitForFunction(() => document.querySelector(".leaf-head b").innerText === "5", null, { timeout: 30_000 });
      assert.equal(await page.locator(".leaf.here .leaf-head b").innerText(), "2");
      await button(page, "Stop").click();
      await assertSound(page);
      await button(page, "Close the stand").click();
      await button(page, "Stand").waitFor();
    });
  }

  test("the screen is kept awake while the stand plays, and let go when it stops", async () => {
    const page = await opened(PHONE);
    await page.evaluate(() => {
      globalThis.held = [];
      Object.defineProperty(navigator, "wakeLock", {
        value: {
          request: async (kind) => {
            globalThis.held.push(kind);
            return { released: false, release: async () => void globalThis.held.push("released") };
          },
        },
      });
    });
    await button(page, "Stand").click();
    await button(page, "Play").click();
    await page.waitForFunction(() => globalThis.held.includes("screen"));
    await button(page, "Stop").click();
    await page.waitForFunction(() => globalThis.held.at(-1) === "released");
    assert.deepEqual(await page.evaluate(() => globalThis.held), ["screen", "released"]);
  });
});
