// Takes are recorded over the song, survive a reload, are put together bar by bar and written beside the stems; what was
// played lies in the files where it was played.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, PHONE, start, started } from "./browser.mjs";
import { loop } from "./loopback.mjs";
import { unpacked } from "./parcel.mjs";
import { heardFrom } from "./strings.mjs";

const CHART = "Tin Box\nkey G, 150; 1 4";
const RATE = 48_000;
const BEAT = (60 / 150) * RATE;
// A bar is counted in.
const BAR_ONE = 4 * BEAT;
const AUTOPLAY = "--autoplay-policy=no-user-gesture-required";

const button = (page, name) => page.locator(".takes").getByRole("button", { name, exact: true });
const rows = (page) => page.locator(".take-row");
const cell = (page, bar, take) => page.getByRole("button", { name: `Bar ${bar}: Take ${take}`, exact: true });

// A song of two bars at the solo, with a pass over it.
async function opened(stage, size, script, more = {}) {
  const page = await stage.open({ size, path: "#/chart", acceptDownloads: true, ...more });
  if (script) await page.addInitScript(script);
  if (size === PHONE) await page.getByRole("button", { name: "Write", exact: true }).click();
  await page.getByRole("textbox", { name: "Chart" }).fill(CHART);
  await kept(page, "Tin Box");
  await page.getByRole("navigation").getByRole("button", { name: "Solo", exact: true }).click();
  if (script) {
    await page.reload();
    await started(page);
  }
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  await page.getByRole("heading", { name: "Record takes" }).waitFor();
  return page;
}

// Records the whole song once more.
async function recorded(page, count) {
  await button(page, "Record the song").click();
  await page.waitForFunction((count) => document.querySelectorAll(".take-row").length === count, count, { timeout: 30_000 });
  await button(page, "Record the song").waitFor();
}

async function saved(page, press) {
  const [download] = await Promise.all([page.waitForEvent("download"), press.click()]);
  return { name: download.suggestedFilename(), bytes: await readFile(await download.path()) };
}

// The samples of a mono file of 24 bits.
function samples(wave) {
  const at = wave.indexOf("data") + 8;
  assert.equal(wave.readUInt16LE(wave.indexOf("fmt ") + 22), 24);
  const count = wave.readUInt32LE(at - 4) / 3;
  return Float64Array.from({ length: count }, (_, n) => wave.readIntLE(at + 3 * n, 3) / 8_388_607);
}

// Where something rises after at least a tenth of a second of quiet.
function rises(wave, part = 0.3) {
  const top = wave.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
  const found = [];
  let last = -RATE;
  wave.forEach((x, n) => {
    if (Math.abs(x) < part * top) return;
    if (n - last > RATE / 10) found.push(n);
    last = n;
  });
  return found;
}

describe("a take", () => {
  let stage;
  before(async () => (stage = await start({ flags: [AUTOPLAY] })));
  after(() => stage?.close());

  test("lies within 2 ms of where it was played, beside the stems and as long as they are", async () => {
    const page = await opened(stage, DESK, loop);
    await page.getByRole("button", { name: "Measure the delay" }).click();
    await page.getByText(/hears itself \d+ ms late/).waitFor({ timeout: 30_000 });

    // The player plays a click on every beat.
    await page.evaluate(() => (globalThis.plays = { solo: false, band: false, click: true }));
    await button(page, "Set up the microphone").click();
    await page.getByText(/Takes are laid \d+ ms earlier/).waitFor();
    await recorded(page, 1);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);

    await page.getByRole("button", { name: /^Deliver/ }).click();
    for (const name of ["Steel, direct, clean", "Steel, direct, driven", "Steel, amplifier, driven", "Backing", "Reference mix"]) {
      await page.getByRole("checkbox", { name, exact: true }).uncheck();
    }
    assert.ok(await page.getByRole("checkbox", { name: "What you played" }).isChecked());
    await page.getByRole("button", { name: /^Write/ }).click();
    const save = page.getByRole("button", { name: /^Save the parcel/ });
    await save.waitFor({ timeout: 60_000 });
    const { bytes } = await saved(page, save);
    const files = unpacked(bytes);
    const names = [...files.keys()];
    assert.deepEqual(names, [
      "tin-box_steel-amp-clean_take1_G_150bpm.wav",
      "tin-box_steel-played-1_take1_G_150bpm.wav",
      "tin-box_steel-played-comp_take1_G_150bpm.wav",
      "tin-box_notes_take1_G_150bpm.txt",
    ]);
    const sheet = files.get(names[3]).toString();
    assert.ok(sheet.includes(names[1]) && sheet.includes("played by hand: Take 1") && sheet.includes(names[2]), sheet);
    const stem = samples(files.get(names[0]));
    for (const name of names.slice(1, 3)) {
      const wave = samples(files.get(name));
      assert.equal(wave.length, stem.length, name);
      const beats = rises(wave).filter((n) => n > BAR_ONE - BEAT / 2);
      assert.equal(beats.length, 8, `${name}: ${beats}`);
      beats.forEach((at, beat) => {
        const off = (1000 * (at - BAR_ONE - beat * BEAT)) / RATE;
        assert.ok(Math.abs(off) < 2, `${name}, beat ${beat + 1}: ${off.toFixed(2)} ms off`);
      });
    }
    await assertSound(page);
  });

  test("that is stopped on the way is kept as far as it goes, and so is one whose microphone is unplugged", async () => {
    const page = await opened(stage, PHONE, loop);
    await button(page, "Set up the microphone").click();
    await page.getByText("is not measured, so takes will lie late").waitFor();
    await button(page, "Record the song").click();
    await page.getByText(/[2-9] s recorded/).waitFor({ timeout: 15_000 });
    await button(page, "Stop").click();
    await rows(page).nth(0).waitFor();

    await page.evaluate(() => {
      const ask = navigator.mediaDevices.getUserMedia;
      navigator.mediaDevices.getUserMedia = async (...asked) => (globalThis.heard = await ask(...asked));
    });
    await button(page, "Microphone off").click();
    await button(page, "Set up the microphone").click();
    await button(page, "Record the song").click();
    await page.getByText(/[2-9] s recorded/).waitFor({ timeout: 15_000 });
    await page.evaluate(() => globalThis.heard.getTracks()[0].dispatchEvent(new Event("ended")));
    await page.getByText("The microphone is gone").waitFor();
    await rows(page).nth(1).waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("is kept as far as it goes when the page is left in the middle of it", async () => {
    const page = await opened(stage, PHONE, loop);
    await page.evaluate(() => (globalThis.plays = { solo: false, band: false, click: true }));
    await button(page, "Set up the microphone").click();
    await button(page, "Record the song").click();
    await page.getByText(/[5-9](\.\d)? s recorded/).waitFor({ timeout: 20_000 });
    await page.reload();
    await started(page);
    await page.getByText("What was played until then is kept: Take 1").waitFor({ timeout: 20_000 });
    await rows(page).nth(0).waitFor();
    // It is heard, and its clicks are where they were played.
    await rows(page).nth(0).locator("summary").click();
    const { bytes } = await saved(page, button(page, "Save as WAV: Take 1"));
    const wave = samples(bytes);
    assert.ok(wave.length > 2.5 * RATE, `${wave.length / RATE} s`);
    const beats = rises(wave);
    assert.ok(beats.length > 4, `${beats}`);
    for (const [n, at] of beats.slice(1).entries()) {
      assert.ok(Math.abs(at - beats[n] - BEAT) < 0.004 * RATE, `${beats}`);
    }
    // Saved now: it is there once more, and once only.
    await page.waitForTimeout(3_000);
    await page.reload();
    await started(page);
    await rows(page).nth(0).waitFor();
    await page.waitForTimeout(8_000);
    assert.equal(await rows(page).count(), 1);
  });

  test("finds no room, and a file is offered", async () => {
    const page = await opened(stage, PHONE, loop);
    await page.evaluate(() => {
      Cache.prototype.put = async () => {
        throw new DOMException("full", "QuotaExceededError");
      };
    });
    await button(page, "Set up the microphone").click();
    await recorded(page, 1);
    await page.getByText("There is no room on this device for this take").waitFor();
    const { name, bytes } = await saved(page, button(page, "Save it as WAV"));
    assert.match(name, /^tin-box_steel-played-1_/);
    assert.ok(samples(bytes).length > 4 * BEAT);
    await assertSound(page);
  });

  test("needs a microphone, and says which way to get one", async () => {
    const page = await opened(stage, PHONE, loop);
    for (const [name, words] of [
      ["NotAllowedError", "was not allowed to use the microphone"],
      ["NotFoundError", "No microphone was found"],
      ["NotSupportedError", "run at different rates"],
    ]) {
      await page.evaluate((name) => {
        navigator.mediaDevices.getUserMedia = async () => {
          throw new DOMException("no", name);
        };
      }, name);
      await button(page, "Set up the microphone").click();
      await page.locator(".takes").getByText(words).waitFor();
    }
    await assertSound(page);
  });
});

describe("takes from a device", () => {
  const folder = mkdtempSync(join(tmpdir(), "leadbar-takes-"));
  after(() => rmSync(folder, { recursive: true, force: true }));
  // An impulse every half second.
  const played = Float32Array.from({ length: 20 * RATE }, (_, n) => (n % (RATE / 2) === 100 ? 0.8 : 0));
  let stage;
  before(async () => (stage = await start({ flags: [AUTOPLAY, ...heardFrom(join(folder, "impulses.wav"), played)] })));
  after(() => stage?.close());

  test("survive a reload, are put together by bars, heard in the solo's place and saved", async () => {
    const page = await opened(stage, DESK, null, { permissions: ["microphone"] });
    await button(page, "Set up the microphone").click();
    await page.getByRole("meter", { name: "Level of the microphone" }).waitFor();
    await recorded(page, 1);
    await recorded(page, 2);
    // The first one sounds in both bars until another is chosen.
    assert.equal(await cell(page, 2, 1).getAttribute("aria-pressed"), "true");
    await cell(page, 2, 2).click();
    await page.getByRole("button", { name: "Star Take 2" }).click();
    await kept(page, '"starred":true');
    await page.reload();
    await started(page);
    await rows(page).nth(1).waitFor();
    for (const [bar, take, on] of [[1, 1, "true"], [2, 1, "false"], [1, 2, "false"], [2, 2, "true"]]) {
      assert.equal(await cell(page, bar, take).getAttribute("aria-pressed"), on, `bar ${bar}, take ${take}`);
    }
    assert.equal(await page.getByText("Its sound is not on this device").count(), 0);

    await page.getByRole("checkbox", { name: "Hear them in the solo's place" }).check();
    await page.getByText("your takes sound in the solo's place").waitFor();
    const takes = [];
    for (const name of ["Save as WAV: Take 1", "Save as WAV: Take 2", "Save this as WAV"]) {
      takes.push(samples((await saved(page, button(page, name))).bytes));
    }
    const [first, second, comp] = takes;
    assert.ok(first.length === second.length && first.length === comp.length);
    // Away from the bar line each bar is its take, sample for sample.
    const line = BAR_ONE + 4 * BEAT;
    const fade = 0.006 * RATE + 2;
    for (let n = BAR_ONE; n < line - fade; n++) assert.equal(comp[n], first[n]);
    for (let n = line + fade; n < comp.length; n++) assert.equal(comp[n], second[n]);
    // Nothing was lost on the way: the impulses lie half a second apart.
    for (const take of [first, second]) {
      const at = rises(take);
      assert.ok(at.length > 6, `${at}`);
      at.slice(1).forEach((n, i) => assert.ok(Math.abs(n - at[i] - RATE / 2) < 0.002 * RATE, `${n - at[i]} samples apart`));
    }

    await page.getByRole("button", { name: "Discard: Take 1" }).click();
    await rows(page).nth(1).waitFor({ state: "detached" });
    await page.getByRole("button", { name: "Undo" }).first().click();
    await rows(page).nth(1).waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });
});
