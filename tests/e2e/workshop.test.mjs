// An instrument is altered in the rig: copied first, checked in words, worth told for the song, saved and opened.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start, started } from "./browser.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

describe("your own instrument", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  async function rig(size) {
    const page = await stage.open({ size });
    await started(page);
    await page.getByRole("button", { name: /^Rig/ }).click();
    return page;
  }

  test("a pedal is altered on a copy, what cannot be is refused in words, and undo takes it back", async () => {
    const page = await rig(PHONE);
    const section = page.getByRole("region", { name: "Your own instrument" });
    await section.getByText("Alter this instrument").click();
    await section.getByRole("group", { name: "String 5", exact: true }).getByRole("button", { name: /less/ }).click();
    await page.getByRole("heading", { name: /^My E9/ }).waitFor();
    const cell = page.getByRole("row", { name: /^5 B/ }).getByRole("cell").first();
    assert.match(await cell.innerText(), /C\s*\+1/);
    const gauge = section.getByRole("textbox", { name: "String 1: gauge in thousandths of an inch" });
    await gauge.fill("900");
    await gauge.blur();
    await section.getByText("write a number from 6 to 90").waitFor();
    await page.getByRole("button", { name: "Add a string" }).click();
    assert.equal(await section.getByRole("list", { name: "Strings" }).getByRole("listitem").count(), 11);
    await assertSound(page);
    await page.keyboard.press("Control+z");
    await page.keyboard.press("Control+z");
    await page.getByRole("heading", { name: /^E9/ }).waitFor();
  });

  test("the lever that would help most is found, tried, and told beside the old instrument", async () => {
    const page = await rig(DESK);
    const section = page.getByRole("region", { name: "Your own instrument" });
    await section.getByRole("button", { name: "Which lever would help this song most?" }).click();
    const first = section.getByRole("button", { name: /^Try it/ }).first();
    await first.waitFor();
    await first.click();
    await page.getByRole("heading", { name: /^My E9/ }).waitFor();
    await section.getByLabel("Beside another, for this song").selectOption("e9");
    const table = section.getByRole("table");
    const joins = table.getByRole("row", { name: /by pedals alone/ }).getByRole("cell");
    const [here, there] = (await joins.allInnerTexts()).map(Number);
    assert.ok(here >= there, `${here} and ${there}`);
    await assertSound(page);
  });

  test("an instrument goes to a file and comes back; a file that is none is told by line", async () => {
    const page = await rig(DESK);
    const section = page.getByRole("region", { name: "Your own instrument" });
    const saving = page.waitForEvent("download");
    await section.getByRole("button", { name: "Save this instrument as a file" }).click();
    const text = await readFile(await (await saving).path(), "utf8");
    assert.match(text, /\[\[changes\]\]/);
    const input = section.getByLabel("Open an instrument file");
    const give = (name, text) => input.setInputFiles({ name, mimeType: "text/plain", buffer: Buffer.from(text) });
    await give("mine.toml", text.replace(/name = ".*"/, 'name = "Attic find"'));
    const question = page.getByRole("alertdialog");
    assert.match(await question.innerText(), /Attic find: 10 strings .*3 pedals and \d levers/);
    await page.getByRole("heading", { name: /^E9/ }).waitFor();
    await page.keyboard.press("Escape");
    await question.waitFor({ state: "detached" });
    await give("mine.toml", text.replace(/name = ".*"/, 'name = "Attic find"'));
    await question.getByRole("button", { name: "Put it in my rig" }).press("Enter");
    await page.getByRole("heading", { name: "Attic find" }).waitFor();
    await give("bad.toml", 'id = "x"\nname = "x"\nscale-length-mm = 9\n');
    await section.getByText(/line 3, column 19: 9 cannot be right for a scale length/).waitFor();
    await page.waitForTimeout(600);
    await page.reload();
    await started(page);
    await page.getByRole("heading", { name: "Attic find" }).waitFor();
    await section.getByRole("button", { name: "Let this instrument go" }).click();
    await page.getByRole("heading", { name: /^E9/ }).waitFor();
  });

  test("a link brings an instrument by itself, asks first, leaves the song and what is there alone; a forged one is refused", async () => {
    const page = await rig(PHONE);
    await page.context().grantPermissions(["clipboard-read", "clipboard-write"]);
    const section = page.getByRole("region", { name: "Your own instrument" });
    await section.getByText("Alter this instrument").click();
    await section.getByRole("textbox", { name: "Name" }).fill("Attic find");
    await section.getByRole("textbox", { name: "Name" }).blur();
    await page.getByRole("heading", { name: /Attic find/ }).waitFor();
    await section.getByRole("button", { name: "Copy a link to this instrument" }).click();
    await page.getByRole("status").filter({ hasText: "link to the instrument is copied" }).first().waitFor();
    const address = await page.evaluate(() => navigator.clipboard.readText());
    const link = address.slice(address.indexOf("#"));

    const other = await stage.open({ size: PHONE, path: link });
    await started(other);
    const question = other.getByRole("alertdialog");
    await question.getByText(/Attic find: 10 strings/).waitFor();
    await other.getByRole("heading", { name: /^E9/ }).waitFor();
    assert.ok(await question.getByRole("button", { name: "Put it in my rig" }).evaluate((b) => b === document.activeElement));
    await other.evaluate(axe);
    const found = await other.evaluate(() => globalThis.axe.run(".notices"));
    assert.deepEqual(found.violations.map((v) => v.id), []);
    const song = await other.locator(".song-name").innerText();
    await question.getByRole("button", { name: "Put it in my rig" }).click();
    await other.getByRole("heading", { name: /Attic find/ }).waitFor();
    assert.equal(await other.locator(".song-name").innerText(), song);
    await other.evaluate((link) => (location.hash = link), link);
    await question.getByText("You have this instrument already").waitFor();
    await question.getByRole("button", { name: "Leave it" }).click();
    await other.evaluate((link) => (location.hash = link.slice(0, -3)), link);
    await other.getByRole("status").filter({ hasText: "cut or changed" }).first().waitFor();
    await assertSound(other);
  });
});
