// The reader's own colours (high contrast): what is chosen is told apart, and nothing that is drawn vanishes.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, opened, PHONE, start } from "./browser.mjs";

const VIEWS = ["chart", "neck", "solo", "learn", "learn/three-homes", "class", "rig", "deliver", "stand", "tuner"];

// What is chosen, and beside it something of its kind that is not.
const CHOSEN = "[aria-pressed=true], [aria-current=page], .choice input:checked + span";

// What of an element's look survives where grounds and shadows are not drawn.
const looks = (page) =>
  page.evaluate((chosen) => {
    const look = (element) => {
      const own = getComputedStyle(element);
      const marks = ["::before", "::after"].map((mark) => {
        const { content, display, backgroundColor, visibility } = getComputedStyle(element, mark);
        return content === "none" || display === "none" || visibility === "hidden" ? "" : backgroundColor;
      });
      const edges = [own.borderTopColor, own.borderBottomColor, own.borderLeftColor];
      const outline = own.outlineStyle === "none" ? "" : `${own.outlineStyle} ${own.outlineColor}`;
      return [outline, ...edges, ...marks].join(" | ");
    };
    const others = {
      "[aria-pressed=true]": "[aria-pressed=false]",
      "[aria-current=page]": "button:not([aria-current])",
      ".choice input:checked + span": ".choice input:not(:checked) + span",
    };
    return [...document.querySelectorAll(chosen)]
      .filter((one) => one.checkVisibility() && !one.closest("[popover]:not(:popover-open)"))
      .map((one) => {
        const kind = Object.keys(others).find((selector) => one.matches(selector));
        const group = one.closest("nav, .choice, [role=group], ul, ol, .tools, .deck") ?? document;
        const same = (other) => other.className.split(" ")[0] === one.className.split(" ")[0];
        const other = [...group.querySelectorAll(others[kind])].find(same);
        return { name: one.textContent.trim() || one.ariaLabel, mine: look(one), other: other && look(other) };
      });
  }, CHOSEN);

// What is drawn in the colour of the ground it lies on: lines of a drawing that nobody sees.
const unseen = (page) =>
  page.evaluate(() => {
    const ground = getComputedStyle(document.documentElement).backgroundColor;
    const lines = ".neck-string, .neck-fret, .tab-strings, .tab-lines, .lanes-string, .ribbon-edge, .path-sounding, .icon:not(.play *, .go *), .dial path";
    return [...document.querySelectorAll(lines)]
      .filter((line) => line.checkVisibility())
      .map((line) => ({ name: line.getAttribute("class"), stroke: getComputedStyle(line).stroke }))
      .filter(({ stroke }) => stroke === ground);
  });

describe("the reader's own colours", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const [size, scheme] of [[PHONE, "dark"], [DESK, "light"]]) {
    test(`tell what is chosen, and hide no line, at ${size.width} px, ${scheme}`, async () => {
      const page = await stage.open({ size, scheme, path: "#/solo", forcedColors: "active" });
      await page.locator("button.pass").first().waitFor();
      const faults = [];
      let compared = 0;
      for (const view of VIEWS) {
        await page.evaluate((view) => (location.hash = `#/${view}`), view);
        await opened(page);
        await page.waitForTimeout(300);
        for (const { name, mine, other } of await looks(page)) {
          compared += other ? 1 : 0;
          if (mine === other) faults.push(`${view}: "${name}" looks as what is not chosen: ${mine}`);
        }
        for (const { name, stroke } of await unseen(page)) faults.push(`${view}: ${name} is ${stroke} on its like`);
        await assertSound(page);
      }
      assert.deepEqual(faults, []);
      assert.ok(compared > 10, `${compared} chosen things were compared`);
    });
  }

  test("keep words on a ground of their own readable, and show where the keyboard is", async () => {
    const page = await stage.open({ size: DESK, scheme: "dark", path: "#/deliver", forcedColors: "active" });
    const go = page.locator("#write-stems");
    await go.waitFor();
    const look = await go.evaluate((button) => {
      const { color, backgroundColor, forcedColorAdjust } = getComputedStyle(button);
      return { color, backgroundColor, forcedColorAdjust };
    });
    assert.equal(look.forcedColorAdjust, "none", "the browser puts no ground of its own behind the words");
    assert.notEqual(look.color, look.backgroundColor);
    await page.keyboard.press("Tab");
    await page.keyboard.press("Tab");
    const ring = await page.evaluate(() => {
      const { outlineStyle, outlineWidth, outlineColor } = getComputedStyle(document.activeElement);
      const ground = getComputedStyle(document.documentElement).backgroundColor;
      return { outlineStyle, wide: parseFloat(outlineWidth) >= 2, seen: outlineColor !== ground };
    });
    assert.deepEqual({ ...ring, outlineStyle: ring.outlineStyle !== "none" }, { outlineStyle: true, wide: true, seen: true });
  });
});
