// Every place of the page, at every size and in both lights: nothing fails, nothing scrolls sideways,
// and axe-core finds no fault against WCAG 2.2 A and AA.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, SIZES, start } from "./browser.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

// Opens each place in turn: those of the bar, then those that a labelled button of the head opens.
async function visitPlaces(page, look) {
  const places = page.getByRole("navigation", { name: "Places" }).getByRole("button");
  const count = await places.count();
  assert.ok(count >= 3, "the bar of places is there");
  for (let i = 0; i < count; i++) {
    const name = (await places.nth(i).innerText()).trim();
    await places.nth(i).click();
    assert.equal(await places.nth(i).getAttribute("aria-current"), "page");
    await look(name);
  }
  await page.getByRole("button", { name: /^Rig/ }).click();
  await look("Rig");
}

// What axe-core finds, each as one readable line.
async function axeFaults(page) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(
    (rules) => globalThis.axe.run(document, { runOnly: rules, resultTypes: ["violations"] }),
    RULES,
  );
  return violations.flatMap((rule) => rule.nodes.map((node) => `${rule.id}: ${node.html} — ${node.failureSummary}`));
}

describe("every place", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const size of SIZES) {
    test(`fits and runs clean at ${size.width} px`, async () => {
      const page = await stage.open({ size });
      await visitPlaces(page, () => assertSound(page));
    });
  }

  for (const size of [PHONE, DESK]) {
    for (const scheme of ["light", "dark"]) {
      test(`passes axe-core at ${size.width} px, ${scheme}`, async () => {
        const page = await stage.open({ size, scheme, reducedMotion: "reduce" });
        const faults = [];
        await visitPlaces(page, async (name) => {
          for (const fault of await axeFaults(page)) faults.push(`${name}: ${fault}`);
        });
        assert.deepEqual(faults, []);
      });
    }
  }
});
