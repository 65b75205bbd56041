// The course can be read, heard and tried: its path, a lesson with its charts, necks and passes, and the way on.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start, started } from "./browser.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];
// A target for the thumb.
const THUMB = 44;

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

const faultsOf = async (page) => {
  await page.evaluate(axe);
  const { violations } = await page.evaluate((rules) => globalThis.axe.run(document, { runOnly: rules }), RULES);
  return violations.flatMap((rule) => rule.nodes.map((node) => `${rule.id}: ${node.html}`));
};

for (const size of [PHONE, DESK]) {
  describe(`the course at ${size.width} px`, () => {
    let page;
    before(async () => {
      page = await stage.open({ size });
      await page.getByRole("navigation", { name: "Places" }).getByRole("button", { name: "Learn" }).click();
    });
    after(() => page?.context().close());

    test("is a path of lessons, each wide enough for a thumb", async () => {
      const steps = page.locator(".course-lesson > button");
      await steps.nth(17).waitFor();
      const heights = await steps.evaluateAll((all) => all.map((e) => e.getBoundingClientRect().height));
      assert.ok(Math.min(...heights) >= THUMB);
      await assertSound(page);
    });

    test("opens a lesson, whose address opens it again", async () => {
      await page.getByRole("button", { name: /^A song with a hole/ }).click();
      await page.getByRole("heading", { level: 1, name: "A song with a hole" }).waitFor();
      assert.match(page.url(), /#\/learn\/a-song-with-a-hole$/);
      await page.reload();
      await started(page);
      await page.getByRole("heading", { level: 1, name: "A song with a hole" }).waitFor();
    });

    test("plays a chart of a lesson, and gives the song back when one leaves", async () => {
      const play = page.getByRole("button", { name: "Play the chart" });
      await play.click();
      await page.locator(".live-chart .bar.here").waitFor();
      assert.equal(await page.locator(".where-bar span").innerText(), "of 24");
      await page.locator(".live-chart").getByRole("button", { name: "Stop" }).click();
      await page.getByRole("button", { name: "Course" }).click();
      await page.waitForFunction(() => document.querySelector(".where-bar span")?.textContent === "of 16");
    });

    test("shows a place on the neck, which can be tried", async () => {
      await page.getByRole("button", { name: /^Three homes/ }).click();
      const card = page.getByRole("button", { name: /^Play 1 ?G ?Fret 3, no pedals/ });
      await card.click();
      const tries = page.getByRole("button", { name: "Try it on the neck" });
      await tries.first().click();
      await page.locator("[role=gridcell]").first().waitFor();
      await tries.first().click();
      assert.equal(await page.locator(".neck-sheet").count(), 1, "one neck at a time");
      assert.deepEqual(await faultsOf(page), []);
      await page.getByRole("button", { name: "Close the neck" }).click();
      await assertSound(page);
    });

    test("shows what is played as lanes and tab, written or drafted", async () => {
      await page.goto(`${page.url().split("#")[0]}#/learn/attitude`);
      await page.waitForFunction(() => document.querySelectorAll(".live-pass .lanes-sheet").length === 4, null, {
        timeout: 60_000,
      });
      await page.getByRole("button", { name: "Tab", exact: true }).first().click();
      await page.locator(".live-pass .tab-system").first().waitFor();
      await page.getByRole("button", { name: "Play this" }).first().click();
      await page.locator(".live-pass").first().getByRole("button", { name: "Stop" }).click();
      assert.deepEqual(await faultsOf(page), []);
      await assertSound(page);
    });

    test("leads from each lesson to the next", async () => {
      await page.getByRole("button", { name: /^Next: Leaving/ }).click();
      await page.getByRole("heading", { level: 1, name: "Leaving" }).waitFor();
      await page.goBack();
      await page.getByRole("heading", { level: 1, name: "Attitude" }).waitFor();
    });
  });
}

test("every lesson fits the narrowest phone, in the dark too", async () => {
  const page = await stage.open({ size: { width: 360, height: 740 }, scheme: "dark", path: "#/learn" });
  const names = await page.locator(".course-lesson b").allInnerTexts();
  await page.locator(".course-lesson > button").first().click();
  for (const name of names) {
    await page.getByRole("heading", { level: 1, name, exact: true }).waitFor();
    await assertSound(page);
    const next = page.getByRole("button", { name: /^Next: / });
    if (await next.count()) await next.click();
  }
  await page.context().close();
});

test("an address of no lesson leads to the course", async () => {
  const page = await stage.open({ size: PHONE, path: "#/learn/no-such-lesson" });
  await page.getByRole("button", { name: "To the course" }).click();
  assert.ok((await page.locator(".course-lesson").count()) >= 18);
  await page.context().close();
});
