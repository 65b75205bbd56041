// Every part has its level and its mute, the amplifier its knobs; what is set reaches the sound and stays.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, DESK, PHONE, start, started } from "./browser.mjs";

// Keeps every command that the page gives to the sound.
function overhear() {
  globalThis.sent = [];
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Uint8Array) globalThis.sent.push(JSON.parse(new TextDecoder().decode(message)));
    return post.call(this, message, ...more);
  };
}

const last = (page, kind) => page.evaluate((kind) => globalThis.sent.findLast((c) => c[kind])?.[kind], kind);

describe("levels and amplifier", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  async function sounding(size) {
    const page = await stage.open({ size });
    await page.addInitScript(overhear);
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: "Play", exact: true }).click();
    await page.getByRole("button", { name: "Stop", exact: true }).click();
    await page.getByRole("button", { name: "Levels, speed and loop" }).click();
    return page;
  }

  test("a part is muted and levelled from the song's head, by keyboard too, and found so again", async () => {
    const page = await sounding(PHONE);
    const sheet = page.getByRole("dialog", { name: "Levels, speed and loop" });
    await sheet.getByRole("button", { name: "Mute drums" }).click();
    const bass = sheet.getByRole("slider", { name: "Bass" });
    await bass.focus();
    for (let i = 0; i < 3; i++) await page.keyboard.press("ArrowLeft");
    assert.equal(await bass.getAttribute("aria-valuetext"), "−3 dB");
    const mix = await last(page, "mix");
    assert.equal(mix.drums.muted, true);
    assert.equal(mix.bass.level, -3);
    assert.ok(mix.master <= -12, `the start is modest: ${mix.master} dB`);
    await assertSound(page);
    await page.waitForTimeout(600);
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: "Levels, speed and loop" }).click();
    assert.equal(await sheet.getByRole("button", { name: "Mute drums" }).getAttribute("aria-pressed"), "true");
    assert.equal(await bass.getAttribute("aria-valuetext"), "−3 dB");
  });

  test("each of the two set-ups keeps its own knobs, and a reset brings back the shipped ones", async () => {
    const page = await sounding(DESK);
    await page.keyboard.press("Escape");
    await page.getByRole("button", { name: /^Rig/ }).click();
    const view = page.getByRole("main");
    const bass = view.getByRole("slider", { name: "Bass, 160 Hz" });
    await bass.focus();
    await page.keyboard.press("End");
    assert.equal((await last(page, "amp")).tone.bass, 12);
    await view.getByRole("radio", { name: "Driven" }).check({ force: true });
    const driven = await last(page, "amp");
    assert.ok(driven.drive && driven.tone.bass < 12);
    await view.getByRole("radio", { name: "Clean" }).check({ force: true });
    assert.equal(await bass.getAttribute("aria-valuetext"), "+12 dB");
    await view.getByRole("button", { name: "Reset the knobs" }).click();
    assert.equal((await last(page, "amp")).tone.bass, 1);
    await view.getByRole("checkbox", { name: "Echo" }).check();
    assert.ok((await last(page, "amp")).echo.time > 0);
    await assertSound(page);
  });
});
