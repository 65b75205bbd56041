// A chart from a recording: heard away from the page, corrected by ear, used as the song; and what can't be heard is said.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, NARROW, PHONE, start, started } from "./browser.mjs";
import { band, wav } from "./wave.mjs";

const [A, D, E] = [57, 62, 64];
const BARS = [A, D, A, A, D, D, A, A, E, D, A, E, A, D, A, A];
const song = { name: "night_take.wav", mimeType: "audio/wav", buffer: band(BARS) };

function overhear() {
  globalThis.sent = [];
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Uint8Array) globalThis.sent.push(JSON.parse(new TextDecoder().decode(message)));
    return post.call(this, message, ...more);
  };
}

const button = (page, name) => page.getByRole("button", { name, exact: true });
const choose = (page, file) => page.getByLabel("Chart from a recording", { exact: true }).last().setInputFiles(file);
const heardBars = (page) => page.locator(".heard-bar");
const numbers = (page, bars) => page.locator(`${bars} .fig`).allTextContents();
const rests = (page) => page.locator(".heard-bars .rest").count();
const audio = (page) => page.evaluate(() => (({ currentTime, paused }) => ({ currentTime, paused }))(document.querySelector(".correcting audio")));

describe("a chart from a recording", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  async function open(size, more = {}) {
    const page = await stage.open({ size, ...more });
    await page.addInitScript(overhear);
    await page.goto(`${stage.url}#/chart`);
    await page.reload();
    await started(page);
    return page;
  }

  async function heard(page) {
    await choose(page, song);
    await button(page, "Use this chart").waitFor({ timeout: 60_000 });
  }

  test("is heard bar by bar, corrected, used with its recording behind it, and undone", async () => {
    const page = await open(PHONE);
    const before = await numbers(page, ".bars");
    // A running engine is told of every change.
    await button(page, "Play").click();
    await button(page, "Stop").click();
    await heard(page);
    assert.equal(await heardBars(page).count(), BARS.length);
    const roots = (await numbers(page, ".heard-bars")).map((number) => number[0]);
    assert.deepEqual(roots, BARS.map((root) => ({ [A]: "1", [D]: "4", [E]: "5" })[root]));
    await page.getByText("16 bars in A, 4/4, 120.").waitFor();
    await assertSound(page);
    assert.deepEqual(await axeFaults(page), []);

    // A tapped bar is heard, and no more than that.
    await heardBars(page).nth(4).getByRole("button").click();
    await page.getByRole("heading", { name: "Bar 5" }).waitFor();
    await page.waitForFunction(() => document.querySelector(".heard-bar.here")?.id === "heard-bar-5");
    assert.equal(await page.locator(".heard-bar.ahead").getAttribute("id"), "heard-bar-6");
    await page.waitForFunction(() => document.querySelector(".correcting audio").paused);
    const { currentTime } = await audio(page);
    assert.ok(Math.abs(currentTime - 10.5) < 0.4, `stopped at ${currentTime}`);

    // Its candidates are heard with the band, then chosen.
    const candidates = page.getByRole("list", { name: "What it could be" });
    assert.equal(await candidates.getByRole("listitem").count(), 6);
    await candidates.getByRole("button", { name: /^Hear D/ }).first().click();
    await page.waitForFunction(() => {
      const load = globalThis.sent.findLast((command) => command.load)?.load;
      return load?.timeline.bars.length === 1 && globalThis.sent.some((command) => command.play);
    });
    await page.locator(".candidate", { hasText: "no chord" }).click();
    await page.getByRole("button", { name: /^Bar 5: .* yours$/ }).waitFor();
    assert.equal(await rests(page), 1);
    await button(page, "Undo").click();
    assert.equal(await rests(page), 0);

    await button(page, "Use this chart").click();
    await page.getByRole("button", { name: /night take/ }).waitFor();
    assert.deepEqual((await numbers(page, ".bars")).map((number) => number[0]), roots);
    await page.getByRole("button", { name: /^Rig/ }).click();
    await page.getByText("night_take.wav, 0:").waitFor();
    await page.getByText("Bar 5 at 0:08.").waitFor();
    await page.getByText("Opening the recording.").waitFor({ state: "hidden" });
    await page.keyboard.press("Control+z");
    await page.getByText("Play the solo over your own recording").waitFor();
    await button(page, "Chart").click();
    assert.deepEqual(await numbers(page, ".bars"), before);
    await assertSound(page);
  });

  test("is counted anew in another tempo, from another beat, in another key, and taken up again after a look elsewhere", async () => {
    const page = await open(DESK, { scheme: "dark" });
    await heard(page);
    assert.deepEqual(await axeFaults(page), []);
    await button(page, "Twice as fast").click();
    await page.getByText("32 bars in A, 4/4, 240.").waitFor();
    await button(page, "Half as fast").click();
    await page.getByText("16 bars in A, 4/4, 120.").waitFor();
    await button(page, "Bars a beat later").click();
    await button(page, "Bars a beat earlier").click();
    await page.getByLabel("Key heard").selectOption("D");
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    assert.equal((await numbers(page, ".heard-bars"))[0], "5");
    await page.getByRole("radio", { name: "3/4" }).check({ force: true });
    await page.getByText(" bars in D, 3/4, 120.").waitFor();
    await button(page, "Undo").click();
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    await button(page, "Neck").click();
    await button(page, "Chart").click();
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    await button(page, "Put aside").click();
    await button(page, "Go on with night_take.wav").click();
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    for (const size of [NARROW, DESK]) {
      await page.setViewportSize(size);
      await assertSound(page);
    }
  });

  test("that was corrected is there again after a reload, and can be used", async () => {
    const page = await open(PHONE);
    await heard(page);
    const keyKept = () =>
      page.evaluate(async () => {
        const kept = await (await caches.open("leadbar-recordings")).match("./recordings/heard-song");
        return kept ? JSON.stringify((await kept.json()).song.key) : null;
      });
    // It is written down a moment after it was heard or corrected.
    const changed = async (before) => {
      for (let tried = 0; tried < 200; tried++) {
        const now = await keyKept();
        if (now !== before) return now;
        await page.waitForTimeout(50);
      }
      assert.fail("never kept");
    };
    const before = await changed(null);
    await page.getByLabel("Key heard").selectOption("D");
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    await changed(before);
    await page.reload();
    await started(page);
    await button(page, "Go on with night_take.wav").click();
    await page.getByText("16 bars in D, 4/4, 120.").waitFor();
    await button(page, "Use this chart").click();
    await page.getByRole("button", { name: /night take/ }).waitFor();
    await page.getByRole("button", { name: /^Rig/ }).click();
    await page.getByText("night_take.wav, 0:").waitFor();
    await assertSound(page);
  });

  test("is reached and corrected by the keyboard alone", async () => {
    const page = await open(DESK);
    await heard(page);
    await heardBars(page).nth(1).getByRole("button").focus();
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Bar 2" }).waitFor();
    await page.waitForFunction(() => document.querySelector(".correcting audio")?.paused);
    const last = page.locator(".candidate").last();
    await last.focus();
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: /^Bar 2: .* yours$/ }).waitFor();
    assert.equal(await rests(page), 1);
    // The keys' undo is that of what is looked at: the song in hand keeps its own.
    await page.keyboard.press("Control+z");
    await page.locator(".heard-bars .rest").waitFor({ state: "detached" });
    await page.keyboard.press("Control+Shift+z");
    await page.locator(".heard-bars .rest").waitFor();
    await assertSound(page);
  });

  test("is made of a sound file that is dropped anywhere on the page", async () => {
    const page = await open(DESK);
    await button(page, "Solo").click();
    await page.evaluate((bytes) => {
      const given = new DataTransfer();
      given.items.add(new File([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))], "dropped.wav", { type: "audio/wav" }));
      document.querySelector("main").dispatchEvent(new DragEvent("drop", { dataTransfer: given, bubbles: true, cancelable: true }));
    }, song.buffer.toString("base64"));
    await page.getByRole("heading", { name: "dropped.wav" }).waitFor({ timeout: 60_000 });
    await assertSound(page);
  });

  test("that can not be made is told why, and nothing is lost", async () => {
    const page = await open(PHONE);
    const before = await numbers(page, ".bars");
    const refused = [
      [{ name: "notes.mp3", mimeType: "audio/mpeg", buffer: Buffer.from("no sound at all") }, "This file can't be read as sound"],
      [{ name: "short.wav", mimeType: "audio/wav", buffer: wav(8000, 2, (t) => Math.sin(2000 * t)) }, "The recording lasts 2.0 s"],
      [{ name: "silence.wav", mimeType: "audio/wav", buffer: wav(8000, 12) }, "No beat was found"],
      [{ name: "long.wav", mimeType: "audio/wav", buffer: wav(3000, 960) }, "This recording is 16 minutes long, and the page takes 15"],
    ];
    for (const [file, words] of refused) {
      await choose(page, file);
      await page.getByRole("alert").getByText(words).waitFor({ timeout: 20_000 });
      assert.deepEqual(await numbers(page, ".bars"), before);
    }
    await assertSound(page);
    assert.deepEqual(await axeFaults(page), []);
  });

  test("that is called off leaves everything as it was, and can be begun again", async () => {
    const page = await open(PHONE);
    const before = await numbers(page, ".bars");
    await choose(page, { ...song, buffer: band([...Array(6)].flatMap(() => BARS), { rate: 4000 }) });
    await button(page, "Cancel").click();
    await page.getByText("Stopped listening. Nothing has changed.").waitFor();
    assert.deepEqual(await numbers(page, ".bars"), before);
    await heard(page);
    await assertSound(page);
  });
});
