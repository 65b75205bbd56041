// A take as stems: what will be written is said before, it can be called off, and what comes is what was said.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start } from "./browser.mjs";
import { unpacked } from "./parcel.mjs";

const CHART = "Tin Box\nkey G, 150; 1 4";

const place = (page, name) => page.getByRole("navigation").getByRole("button", { name, exact: true }).click();
const write = (page) => page.getByRole("button", { name: /^Write/ });
const stem = (page, name) => page.getByRole("checkbox", { name, exact: true });

// The delivery of a take over two bars.
async function opened(stage, size, change) {
  const page = await stage.open({ size, path: "#/chart", acceptDownloads: true });
  if (change) await page.evaluate(change);
  if (size === PHONE) await page.getByRole("button", { name: "Write", exact: true }).click();
  await page.getByRole("textbox", { name: "Chart" }).fill(CHART);
  await place(page, "Solo");
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  await page.getByRole("button", { name: /^Deliver/ }).click();
  await write(page).waitFor();
  return page;
}

describe("a delivery", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const size of [PHONE, DESK]) {
    test(`is written and saved as it was said, at ${size.width} px`, async () => {
      const page = await opened(stage, size);
      for (const name of ["Steel, direct, driven", "Steel, amplifier, driven"]) await stem(page, name).uncheck();
      await page.getByRole("radio", { name: "16 bits" }).check();
      await page.getByText("The files").click();
      const names = (await page.locator(".deliver-files li").allInnerTexts()).map((name) => name.trim());
      assert.equal(names.length, 5);
      assert.ok(names.every((name) => /^tin-box_[a-z-]+_take1_G_150bpm\.(wav|txt)$/.test(name)), names.join());
      await assertSound(page);

      await write(page).click();
      const save = page.getByRole("button", { name: /^Save the parcel/ });
      await save.waitFor({ timeout: 60_000 });
      await page.getByText("turn down before you listen").waitFor();
      const [download] = await Promise.all([page.waitForEvent("download"), save.click()]);
      assert.equal(download.suggestedFilename(), "tin-box_stems_take1_G_150bpm.zip");
      const files = unpacked(await readFile(await download.path()));
      assert.deepEqual([...files.keys()], names);
      const waves = [...files].filter(([name]) => name.endsWith(".wav"));
      for (const [name, bytes] of waves) {
        assert.equal(bytes.toString("latin1", 0, 4), "RIFF", name);
        assert.equal(bytes.readUInt32LE(4), bytes.length - 8, name);
      }
      // Two bars and a bar counted in at 150 are 4.8 s, and everything rings on for 4 s.
      const frames = (bytes, channels) => bytes.readUInt32LE(bytes.indexOf("data") + 4) / 2 / channels;
      assert.deepEqual(waves.map(([name, bytes]) => frames(bytes, /mix|backing/.test(name) ? 2 : 1)), Array(4).fill(422_400));
      assert.match(files.get(names.at(-1)).toString(), /key G, 150; 1 4/);
      await assertSound(page);

      // What is changed afterwards is not in it, and that is said.
      await page.getByRole("radio", { name: "24 bits" }).check();
      await page.getByText("Something has changed").waitFor();
    });
  }

  test("is told in the reader's language on its sheet and in its figures", async () => {
    const page = await stage.open({ size: DESK, locale: "de-DE", path: "#/chart", acceptDownloads: true });
    await page.getByRole("textbox", { name: "Chart" }).fill(CHART);
    await place(page, "Solo");
    await page.getByRole("group", { name: "Entworfene Durchgänge" }).getByRole("button").first().waitFor();
    await page.evaluate(() => (location.hash = "#/deliver"));
    // The boxes come a task after the view; `all` takes those that are there.
    await stem(page, "Mischung zum Vergleich").waitFor();
    for (const box of await page.locator(".deliver-stems").getByRole("checkbox").all()) await box.uncheck();
    await stem(page, "Mischung zum Vergleich").check();
    const size = page.locator(".deliver-size").filter({ hasText: "MB" });
    assert.match(await size.first().innerText(), /^\d,\d MB$/);
    await page.locator("#write-stems").click();
    const save = page.getByRole("button", { name: /, \d,\d MB/ });
    await save.waitFor({ timeout: 60_000 });
    const [download] = await Promise.all([page.waitForEvent("download"), save.click()]);
    const files = unpacked(await readFile(await download.path()));
    const [name, sheet] = [...files].find(([name]) => name.endsWith(".txt"));
    assert.equal(name, "tin-box_notes_take1_G_150bpm.txt", "files are called alike in every language");
    const text = sheet.toString();
    for (const words of ["Tonart       G", "Tempo        150 Schläge in der Minute", "Durchgang 1, gerade entworfen", "Takt   1  "]) {
      assert.ok(text.includes(words), `${words}\n${text}`);
    }
    assert.match(text, /Die Mischung: -\d+,\d LUFS/);
    assert.match(text, /\nkey G, 150; 1 4\n/, "a chart is written in English");
    assert.doesNotMatch(text, /\b(Bar|bars?|beats?|the|with|raised|lowered|pedals?)\b/, "nothing else is");
    await assertSound(page);
  });

  test("can be called off, and drafting does not wait for it", async () => {
    const page = await opened(stage, PHONE);
    await write(page).click();
    const cancel = page.getByRole("button", { name: "Cancel" });
    await cancel.waitFor();
    await place(page, "Solo");
    await page.getByRole("slider", { name: "Climbs to, fret" }).fill("22");
    await page.waitForFunction(() => !document.querySelector(".solo [aria-busy='true']"));
    await page.getByRole("button", { name: /^Deliver/ }).click();
    // On a fast machine the parcel may be finished while the button is reached for.
    if (await cancel.isVisible()) await cancel.click({ timeout: 5_000 }).catch(() => {});
    await write(page).waitFor();
    await assertSound(page);
  });

  test("whose worker breaks says so, and can be tried again", async () => {
    const page = await opened(stage, PHONE, () => {
      const post = Worker.prototype.postMessage;
      globalThis.broken = true;
      Worker.prototype.postMessage = function (message, ...more) {
        if (globalThis.broken && message?.job?.Deliver) throw new RangeError("out of memory");
        return post.call(this, message, ...more);
      };
    });
    await write(page).click();
    await page.getByText("Nothing was written").waitFor();
    await page.evaluate(() => (globalThis.broken = false));
    await write(page).click();
    await page.getByRole("button", { name: /^Save the parcel/ }).waitFor({ timeout: 60_000 });
  });

  test("of nothing is not begun", async () => {
    const page = await opened(stage, PHONE);
    for (const box of await page.locator(".deliver-stems").getByRole("checkbox").all()) await box.uncheck();
    assert.ok(await write(page).isDisabled());
    await page.getByText("Tick at least one stem").waitFor();
    await place(page, "Chart");
    await page.getByRole("textbox", { name: "Chart" }).fill("");
    await page.getByRole("button", { name: /^Deliver/ }).click();
    await page.getByText("There is no song yet").waitFor();
    await assertSound(page);
  });
});
