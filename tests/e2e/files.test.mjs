// Files and links: what is saved opens again, a link brings a song and a solo, and what is hostile is refused in words.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start } from "./browser.mjs";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

async function openSheet(page) {
  await page.locator("button.song").click();
  await page.getByRole("button", { name: "Files and links" }).click();
  await page.getByRole("dialog", { name: "Files and links" }).waitFor();
}

const songName = (page) => page.locator(".song-name").innerText();
const news = (page, words) => page.getByRole("status").filter({ hasText: words }).first().waitFor();

for (const [name, size] of [["a phone", PHONE], ["a desk", DESK]]) {
  describe(`files and links on ${name}`, () => {
    let stage;
    before(async () => (stage = await start()));
    after(() => stage?.close());

    const open = (more = {}) => stage.open({ size, permissions: ["clipboard-read", "clipboard-write"], ...more });

    async function saved(page, label) {
      const button = page.locator("#files").getByRole("button", { name: new RegExp(`^${label}`) });
      await page.waitForFunction((element) => !element.disabled, await button.elementHandle(), { timeout: 60_000 });
      const [download] = await Promise.all([page.waitForEvent("download"), button.click()]);
      return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
    }

    test("every kind of file is saved with a name of its own, and the sheet is accessible", async () => {
      const page = await open();
      await openSheet(page);
      const files = [];
      for (const label of ["Everything", "Chart", "Tab", "Score", "MIDI, a channel", "MIDI, expressive", "MIDI, plain"]) {
        files.push(await saved(page, label));
      }
      assert.equal(new Set(files.map((f) => f.name)).size, 7);
      assert.equal(JSON.parse(files[0].bytes.toString()).leadbar, "project");
      assert.match(files[2].bytes.toString(), /^bar \d+[\s\S]*\ncount /);
      assert.match(files[3].bytes.toString(), /<score-partwise version="4.0">/);
      for (const midi of files.slice(4)) assert.equal(midi.bytes.subarray(0, 4).toString(), "MThd");
      await page.evaluate(axe);
      const found = await page.evaluate(() => globalThis.axe.run("#files"));
      assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(" ")}`), []);
      await assertSound(page);
    });

    test("a project that was saved opens again, and undo brings back what was there", async () => {
      const page = await open();
      await openSheet(page);
      const { bytes } = await saved(page, "Everything");
      const text = bytes.toString().replaceAll("Tin Roof Monday", "Harbour Steps");
      const file = { name: "x.leadbar.json", mimeType: "application/json", buffer: Buffer.from(text) };
      await page.locator("#files input[type=file]").setInputFiles(file);
      await news(page, "Harbour Steps is open");
      assert.equal(await songName(page), "Harbour Steps");
      await page.keyboard.press("Escape");
      await page.keyboard.press("Control+z");
      await page.waitForFunction(() => document.querySelector(".song-name").innerText === "Tin Roof Monday");
      await assertSound(page);
    });

    test("a chart as text opens, and what is none is told why", async () => {
      const page = await open();
      await openSheet(page);
      const give = (text) =>
        page.locator("#files input[type=file]").setInputFiles({ name: "a.txt", mimeType: "text/plain", buffer: Buffer.from(text) });
      await give("Dry Creek, key F; 1 4 5 1");
      await news(page, "Dry Creek is open");
      await give("\u0000\u0001");
      await news(page, "no bars in this text");
      await give('{"leadbar":"project","schema":1,"songs":');
      await news(page, "can't be read");
      assert.equal(await songName(page), "Dry Creek");
      await assertSound(page);
    });

    test("a chart that is dropped opens and leaves the rig as it is, but not where a box of its own takes files in", async () => {
      const page = await open({ path: "#/rig" });
      const change = page.getByRole("checkbox").first();
      await change.uncheck();
      const drop = (selector) =>
        page.evaluate((selector) => {
          const dataTransfer = new DataTransfer();
          dataTransfer.items.add(new File(["Dry Creek, key F; 1 4 5 1"], "a.txt", { type: "text/plain" }));
          const event = new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true });
          document.querySelector(selector).dispatchEvent(event);
        }, selector);
      await drop(".head");
      await news(page, "Dry Creek is open");
      assert.equal(await change.isChecked(), false);
      await page.keyboard.press("Control+z");
      await page.waitForFunction(() => document.querySelector(".song-name").innerText === "Tin Roof Monday");
      await page.evaluate(() => (location.hash = "#/class"));
      await page.getByRole("radio", { name: "Mark answers" }).check();
      await drop(".class-drop");
      await page.getByText(/a\.txt/).waitFor();
      assert.equal(await songName(page), "Tin Roof Monday");
      await assertSound(page);
    });

    test("a score and a MIDI file open as the chart of their chords", async () => {
      const page = await open();
      await openSheet(page);
      for (const [label, name] of [["Score", "a.musicxml"], ["MIDI, a channel", "a.mid"]]) {
        const { bytes } = await saved(page, label);
        await page.locator("#files input[type=file]").setInputFiles({ name, mimeType: "", buffer: bytes });
        await news(page, "Tin Roof Monday is open");
        assert.equal(await page.evaluate(() => document.querySelector(".song-facts").innerText.includes("132")), true);
      }
      await assertSound(page);
    });

    test("a link to a solo brings song and solo to another page", async () => {
      const page = await open();
      await openSheet(page);
      const copy = page.getByRole("button", { name: "Copy a link to this solo" });
      await page.waitForFunction((element) => !element.disabled, await copy.elementHandle(), { timeout: 60_000 });
      await copy.click();
      await news(page, "link to the solo is copied");
      const address = await page.evaluate(() => navigator.clipboard.readText());
      assert.ok(address.includes("#open="), address);
      const other = await open({ path: address.slice(address.indexOf("#")) });
      await news(other, "Tin Roof Monday is open");
      assert.match(await other.evaluate(() => location.hash), /^#\/solo$/);
      assert.deepEqual(other.faults, []);
    });

    test("a link that was cut, or carries markup, is refused in words and changes nothing", async () => {
      const page = await open({ path: "#open=AXNhYmNk" });
      await news(page, "cut or changed");
      assert.equal(await songName(page), "Tin Roof Monday");
      await page.evaluate(() => (location.hash = "#open=<img src=x onerror=alert(1)>"));
      await news(page, "cut or changed");
      assert.equal(await page.locator("img").count(), 0);
      await assertSound(page);
    });
  });
}
