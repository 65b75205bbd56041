// The player's own recording: chosen, marked, followed by the solo, found again; and what can't be played is said.
import assert from "node:assert/strict";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start, started } from "./browser.mjs";
import { wav } from "./wave.mjs";

const take = { name: "take one.wav", mimeType: "audio/wav", buffer: wav(8000, 30, (t) => 0.8 * Math.sin(2 * Math.PI * 300 * t)) };

function overhear() {
  globalThis.sent = [];
  globalThis.frames = 0;
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Int16Array) globalThis.frames += message.length / 2;
    if (message instanceof Uint8Array) globalThis.sent.push(JSON.parse(new TextDecoder().decode(message)));
    return post.call(this, message, ...more);
  };
}

const button = (page, name) => page.getByRole("button", { name, exact: true });
const rig = (page) => page.getByRole("button", { name: /^Rig/ }).click();

describe("a recording of one's own", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  async function open(size) {
    const page = await stage.open({ size });
    await page.addInitScript(overhear);
    await page.reload();
    await started(page);
    await rig(page);
    return page;
  }

  const choose = (page, file) => page.getByLabel(/Choose (a sound|another) file/).setInputFiles(file);
  const known = (page, name) => page.getByText(`${name}, 0:30.00`).waitFor();
  const seek = (page, time) =>
    page.evaluate(async (time) => {
      const player = document.querySelector(".recording audio");
      const there = new Promise((done) => player.addEventListener("seeked", done, { once: true }));
      player.currentTime = time;
      await there;
    }, time);
  const clock = (page) => page.evaluate(() => globalThis.sent.findLast((command) => command.load)?.load.clock);

  test("is marked bar by bar, the solo follows it, and it is there again on the next visit", async () => {
    const page = await open(PHONE);
    // A running engine is told of every change.
    await button(page, "Play").click();
    await button(page, "Stop").click();
    await choose(page, take);
    await known(page, "take one.wav");
    await page.getByText("Mark where bar 1 begins").waitFor();
    await seek(page, 1.5);
    await button(page, "Bar 1 begins now").click();
    await seek(page, 17);
    await button(page, "Bar 9 begins now").click();
    await page.getByText("Bar 9 at 0:17.00").waitFor();
    await button(page, "Bar 9: a hundredth later").click();
    await page.getByText("Bar 9 at 0:17.01").waitFor();
    await assertSound(page);

    await button(page, "Play").click();
    await page.waitForFunction(() => globalThis.sent.some((command) => command.load?.clock));
    const anchors = await clock(page);
    assert.deepEqual(anchors.map((anchor) => anchor.at), [0, 32]);
    assert.ok(Math.abs(anchors[1].time - 17.01) < 0.001 && Math.abs(anchors[0].time - 1.5) < 0.001, JSON.stringify(anchors));
    // 8 kHz in, 48 kHz to the player: thirty seconds, whatever the browser's resampler adds at the end.
    await page.waitForFunction(() => Math.abs(globalThis.frames - 30 * 48_000) < 480, null, { timeout: 20_000 });
    const mix = await page.evaluate(() => globalThis.sent.findLast((command) => command.mix).mix);
    assert.deepEqual([mix.drums.muted, mix.recording.muted], [true, false]);

    await page.waitForTimeout(600);
    await page.reload();
    await started(page);
    await rig(page);
    await known(page, "take one.wav");
    await page.getByText("Bar 9 at 0:17.01").waitFor();
    await page.getByText("Opening the recording.").waitFor({ state: "hidden" });
    await button(page, "Play").click();
    await page.waitForFunction(() => globalThis.frames > 0);
  });

  test("with marks that do not go together says which, and undo takes the last one back", async () => {
    const page = await open(DESK);
    await choose(page, take);
    await known(page, "take one.wav");
    await seek(page, 20);
    await button(page, "Bar 1 begins now").click();
    await seek(page, 10);
    await button(page, "Bar 9 begins now").click();
    await page.getByText("Bar 9 comes too early or too late").waitFor();
    await page.keyboard.press("Control+z");
    await page.getByText("Bar 9 comes too early or too late").waitFor({ state: "hidden" });
    await button(page, "Take it off").click();
    await page.getByText("Play the solo over your own recording").waitFor();
    await assertSound(page);
  });

  test("that is no sound, or two hours long, is refused in words, and what was there stays", async () => {
    const page = await open(DESK);
    await choose(page, take);
    await known(page, "take one.wav");
    await choose(page, { name: "notes.mp3", mimeType: "audio/mpeg", buffer: Buffer.from("no sound at all") });
    await page.getByText("This file can't be read as sound").waitFor();
    const folder = await mkdtemp(join(tmpdir(), "recording-"));
    try {
      const long = join(folder, "two hours.wav");
      await writeFile(long, wav(4000, 7200));
      await choose(page, long);
      await page.getByText("This recording is 120 minutes long, and the page takes 15").waitFor();
    } finally {
      await rm(folder, { recursive: true });
    }
    await known(page, "take one.wav");
  });
});
