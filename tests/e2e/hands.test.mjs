// Everyone's hands and eyes: left-handed, notes by number or letter, text at twice its size, without motion.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, opened, PHONE, start, started } from "./browser.mjs";

const VIEWS = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner", "learn/three-homes"];

async function go(page, view) {
  await page.evaluate((view) => (location.hash = `#/${view}`), view);
  await page.waitForTimeout(150);
  await opened(page);
}

const choose = async (page, name) => {
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Help" }).click();
  // The radio itself is small; its word is what is tapped.
  await page.locator("#help .choice label", { hasText: new RegExp(`^${name}$`) }).click();
  await page.keyboard.press("Escape");
};

// Words that are cut off, and words that run out of what holds them. The song's facts stand in the chart's heading too:
// beside its name as many are shown as find room.
const cutWords = (page) =>
  page.evaluate(() => {
    const cut = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const words = node.data.trim();
      const around = node.parentElement;
      if (!words || !around?.checkVisibility({ visibilityProperty: true }) || around.closest("svg, .unseen, [hidden], .song-facts")) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      const text = range.getBoundingClientRect();
      if (text.width < 2) continue;
      for (let up = around; up && up !== document.documentElement; up = up.parentElement) {
        const style = getComputedStyle(up);
        const box = up.getBoundingClientRect();
        if (/auto|scroll/.test(style.overflowX + style.overflowY) || style.position === "fixed") break;
        const clips = style.overflowX !== "visible" || up.matches("button, input, summary");
        const hides = style.overflowY !== "visible" || up.matches("button");
        const wide = clips && (text.right > box.right + 2 || text.left < box.left - 2);
        const high = hides && (text.bottom > box.bottom + 4 || text.top < box.top - 4);
        if (wide || high) {
          cut.push(`"${words.slice(0, 40)}" in ${up.tagName.toLowerCase()}.${up.getAttribute("class") ?? ""}`);
          break;
        }
      }
    }
    return [...new Set(cut)];
  });

describe("text at twice its size", () => {
  let stage;
  // As a player sets it in the browser.
  before(async () => (stage = await start({ flags: ["--blink-settings=defaultFontSize=32"] })));
  after(() => stage?.close());

  for (const size of [DESK, PHONE]) {
    test(`nothing is cut and nothing scrolls sideways at ${size.width} px`, async () => {
      const page = await stage.open({ size });
      assert.ok((await page.evaluate(() => Number.parseFloat(getComputedStyle(document.documentElement).fontSize))) >= 32);
      const faults = [];
      for (const view of VIEWS) {
        await go(page, view);
        await assertSound(page).catch((error) => faults.push(`${view}: ${error.message}`));
        for (const words of await cutWords(page)) faults.push(`${view}: ${words}`);
      }
      await page.getByRole("button", { name: "Help" }).click();
      for (const words of await cutWords(page)) faults.push(`help: ${words}`);
      assert.deepEqual(faults, []);
    });
  }
});

describe("the player's own side and names", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  // Where the numbers of the first and the tenth fret stand.
  const frets = (page) =>
    page.evaluate(() => {
      const at = (number) => {
        const found = [...document.querySelectorAll(".neck-sheet .neck-number")].find((t) => t.textContent === number);
        return { x: Number(found.getAttribute("x")), y: Number(found.getAttribute("y")) };
      };
      return { first: at("1"), tenth: at("10") };
    });

  test("a left-handed neck has its nut at the right, also after a reload and in the lessons", async () => {
    const page = await stage.open({ path: "#/neck" });
    const before = await frets(page);
    assert.ok(before.first.x < before.tenth.x);
    await choose(page, "Left hand");
    const after = await frets(page);
    assert.ok(after.first.x > after.tenth.x);
    await page.waitForTimeout(800);
    await page.reload();
    await started(page);
    const again = await frets(page);
    assert.deepEqual(again, after);
    await go(page, "learn/three-homes");
    const names = page.locator(".neck-picture .neck-string-name").first();
    assert.ok(Number(await names.getAttribute("x")) > 160, "the names of the strings stand at the right");
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("the arrow keys go the way the left-handed neck lies", async () => {
    const page = await stage.open({ path: "#/neck" });
    await choose(page, "Left hand");
    await page.locator(".neck-place[tabindex='0']").focus();
    const fret = () => page.evaluate(() => Number(document.activeElement.id.split("-")[2]));
    const here = await fret();
    await page.keyboard.press("ArrowLeft");
    assert.equal(await fret(), here + 1);
  });

  test("notes and chords are called by letters, or both, on neck, lanes and tab", async () => {
    const page = await stage.open({ path: "#/neck" });
    const plates = () => page.locator(".neck-sheet .plate text").allTextContents();
    assert.ok((await plates()).every((name) => /^[b#]?\d+$/.test(name.trim()) || name === ""));
    await choose(page, "Letters");
    assert.ok((await plates()).every((name) => /^[A-G][b#]*$/.test(name.trim()) || name === ""));
    await choose(page, "Both");
    const both = (await plates()).map((name) => name.trim());
    assert.ok(both.some((name) => /^\d+$/.test(name)) && both.some((name) => /^[A-G]/.test(name)));
    await go(page, "solo");
    await page.locator(".lanes-chord").first().waitFor();
    assert.match(await page.locator(".lanes-chord").first().textContent(), /^\d\S* [A-G]/);
    await page.locator(".tab-chord").first().waitFor();
    assert.match(await page.locator(".tab-chord").first().textContent(), /^\d\S* [A-G]/);
    await assertSound(page);
  });

  for (const size of [PHONE, DESK]) {
    test(`both names keep the neck sound and axe clean at ${size.width} px`, async () => {
      const page = await stage.open({ size, path: "#/neck" });
      await choose(page, "Both");
      assert.deepEqual(await axeFaults(page), []);
      await page.getByRole("button", { name: "Help" }).click();
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });
  }
});

describe("without motion", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("nothing moves by itself where the device asks for less motion", async () => {
    const page = await stage.open({ reducedMotion: "reduce" });
    for (const view of VIEWS) {
      await go(page, view);
      const moving = await page.evaluate(() => {
        const seconds = (text) => Math.max(...text.split(",").map((part) => parseFloat(part) * (part.includes("ms") ? 0.001 : 1)));
        const moves = (style) => Math.max(seconds(style.transitionDuration), seconds(style.animationDuration)) > 0.001;
        return [...document.querySelectorAll("*")]
          .filter((e) => moves(getComputedStyle(e)) || getComputedStyle(e).scrollBehavior === "smooth")
          .map((e) => `${e.tagName}.${e.getAttribute("class")}`);
      });
      assert.deepEqual(moving, [], view);
    }
  });
});
