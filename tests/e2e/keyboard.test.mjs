// The whole way by keyboard alone: a chart is typed, a solo drafted, heard, asked for otherwise, and read as tab.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, start } from "./browser.mjs";

// More stops than any place of the page has.
const MOST_STOPS = 150;

describe("by keyboard alone", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  // What the focus is on, as its role or kind and its name.
  const focused = (page) =>
    page.evaluate(() => {
      const at = document.activeElement;
      const name = at?.getAttribute("aria-label") ?? at?.labels?.[0]?.innerText ?? at?.innerText ?? "";
      return { kind: at?.localName ?? "", name: name.trim(), seen: at?.matches(":focus-visible") ?? false };
    });

  // Presses Tab until the focus is on what `wanted` accepts.
  async function tabTo(page, wanted, what) {
    for (let stop = 0; stop < MOST_STOPS; stop++) {
      await page.keyboard.press("Tab");
      const at = await focused(page);
      if (wanted(at)) {
        assert.ok(at.seen, `the focus on ${what} shows`);
        return at;
      }
    }
    assert.fail(`Tab never reached ${what}`);
  }

  const button = (page, name) => tabTo(page, (at) => at.kind === "button" && at.name === name, name);

  test("a chart becomes a solo that is heard, asked for otherwise and copied as tab", async () => {
    const page = await stage.open({ size: DESK, permissions: ["clipboard-read", "clipboard-write"] });
    await button(page, "Chart");
    await page.keyboard.press("Enter");
    await tabTo(page, (at) => at.kind === "textarea", "the text of the chart");
    await page.keyboard.press("Control+a");
    await page.keyboard.type("Porch Step, key Bb, 96, country;\nVerse: 1 4 5 1 / 6- 2- 5 1");
    await page.getByText("Porch Step").first().waitFor();
    assert.equal(await page.locator(".bars .bar").count(), 8);

    await page.keyboard.press("Shift+Tab");
    await button(page, "Solo");
    await page.keyboard.press("Enter");
    await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
    await page.waitForFunction(() => document.querySelector(".go[aria-busy]")?.getAttribute("aria-busy") === "false");
    const moves = () => page.locator(".moves").innerText();
    const first = await moves();

    await page.keyboard.press("Escape");
    await button(page, "Play");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => Number.parseInt(document.querySelector(".where-bar").innerText, 10) >= 2, null, {
      timeout: 30_000,
    });
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Play", exact: true }).waitFor();

    const slider = await tabTo(page, (at) => at.name === "Climbs to, fret", "the highest place");
    assert.equal(slider.kind, "input");
    for (let step = 0; step < 5; step++) await page.keyboard.press("ArrowUp");
    await page.waitForFunction((old) => document.querySelector(".moves").innerText !== old, first);

    await button(page, "Copy as text");
    await page.keyboard.press("Enter");
    await page.getByText("The tab is copied").waitFor();
    const tab = await page.evaluate(() => navigator.clipboard.readText());
    assert.match(tab, /^bar 1 +1/, "the tab begins with the first bar and its number");
    assert.match(tab, /^10 B +\|/m, "and has a line for each string");
    await assertSound(page);
  });
});
