// A player without pedals gets slants: told, drawn on neck and tab, and left out when they are not wanted.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start } from "./browser.mjs";

let stage;
before(async () => (stage = await start()));
after(() => stage?.close());

for (const [size, scheme] of [[PHONE, "dark"], [DESK, "light"]]) {
  describe(`slants at ${size.width} px, ${scheme}`, () => {
    let page;
    before(async () => {
      page = await stage.open({ size, scheme });
      await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
      await page.getByRole("button", { name: /^Rig/ }).click();
      await page.getByRole("region", { name: "Which instrument" }).getByRole("combobox").first().selectOption({ label: "C6, six strings, no pedals" });
      await page.getByRole("heading", { name: "C6, six strings, no pedals" }).waitFor();
    });
    after(() => page?.context().close());

    const slanted = () => page.locator(".moves button").filter({ hasText: /slanted/ });

    test("are drafted and explained: which way, how far, which string at which fret", async () => {
      await page.getByRole("navigation").getByRole("button", { name: "Solo" }).click();
      await slanted().first().waitFor();
      assert.match(await slanted().first().innerText(), /slanted (forward|reverse), \d+ degrees from straight: string \d at fret \d+/);
      await assertSound(page);
    });

    test("turn the bar on the neck while they sound", async () => {
      await slanted().first().click();
      await page.getByRole("navigation").getByRole("button", { name: "Neck" }).click();
      await page.waitForFunction(() => document.querySelector(".steel-bar g[transform^=rotate]"), null, { timeout: 20_000 });
      await assertSound(page);
    });

    test("are where a seventh chord lives, to be tapped and heard", async () => {
      await page.getByRole("button", { name: "Stop", exact: true }).click();
      const field = page.getByLabel("Any number");
      await field.fill("57");
      await field.press("Enter");
      await page.getByRole("button", { name: /slanted forward/ }).first().click();
      assert.match(await page.locator(".neck-stance").innerText(), /^Slanted forward, frets \d/);
      await assertSound(page);
    });

    test("are left out where they are not wanted", async () => {
      await page.getByRole("navigation").getByRole("button", { name: "Solo" }).click();
      await page.getByRole("group", { name: "Bar slanted" }).getByRole("radio", { name: "never" }).check();
      await page.waitForFunction(
        () => {
          const rows = [...document.querySelectorAll(".moves button")];
          return rows.length > 5 && rows.every((row) => !/slanted/.test(row.innerText));
        },
        null,
        { timeout: 20_000 },
      );
      await page.keyboard.press("Control+z");
      await slanted().first().waitFor();
    });
  });
}
