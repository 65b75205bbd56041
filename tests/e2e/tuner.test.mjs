// The tuner hears a string of a known pitch and says how far off it is; what keeps it from hearing is said in words.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, NARROW, PHONE, start, started } from "./browser.mjs";
import { heardFrom, hertz, mix, string } from "./strings.mjs";

const folder = mkdtempSync(join(tmpdir(), "leadbar-tuner-"));
after(() => rmSync(folder, { recursive: true, force: true }));

// A page at the tuner whose microphone hears `samples`.
async function listening(name, samples, run) {
  const stage = await start({ flags: heardFrom(join(folder, `${name}.wav`), samples) });
  try {
    await run(stage, async (more = {}) => {
      const page = await stage.open({ size: PHONE, permissions: ["microphone"], path: "#/tuner", ...more });
      await page.getByRole("button", { name: "Listen" }).click();
      await page.getByRole("button", { name: "Stop listening" }).waitFor();
      return page;
    });
  } finally {
    await stage.close();
  }
}

// The cents shown, once the needle rests.
async function cents(page) {
  const shown = page.locator(".dial-cents b");
  await page.waitForFunction(() => /\.\d$/.test(document.querySelector(".dial-cents b").textContent), null, { timeout: 15_000 });
  return Number(await shown.textContent());
}

// Holds a change down, by the keyboard.
async function hold(page, change) {
  await page.getByRole("radio", { name: change, exact: true }).focus();
  await page.keyboard.press("Space");
}

describe("the tuner", () => {
  // String 4 of the E9 is an E4, note 64; string 5 a B3, note 59; string 8 an E3, note 52; string 6 a G#3, note 56.
  for (const [note, number, off, words] of [
    [64, 4, -7.3, "Flat: tune up"],
    [59, 5, 4.6, "Sharp: let down"],
    [52, 8, 0.2, "In tune"],
  ]) {
    test(`finds string ${number} by itself and shows it ${off} cents off`, async () => {
      await listening(`string-${number}`, string(hertz(note + off / 100), 10), async (_, open) => {
        const page = await open();
        const seen = await cents(page);
        assert.ok(Math.abs(seen - off) < 0.3, `${seen} for ${off}`);
        assert.match(await page.locator(".dial-note").innerText(), new RegExp(`string ${number}`));
        await page.getByText(words, { exact: true }).waitFor();
        assert.deepEqual(await axeFaults(page), []);
        await assertSound(page);
      });
    });
  }

  test("measures against the chosen tuning, and against what a pedal makes of a string", async () => {
    // A C#4, note 61: pedal A on string 5. Pure over E it lies 15.64 cents lower (5/3 against 900 cents).
    await listening("pedal", string(hertz(61 - 0.1564), 10), async (_, open) => {
      const page = await open();
      await hold(page, "A");
      assert.ok(Math.abs((await cents(page)) + 15.6) < 0.3);
      await page.getByRole("button", { name: "Change that in the rig" }).click();
      await page.getByRole("radio", { name: "Just" }).check({ force: true });
      await page.getByRole("button", { name: "Tune it" }).click();
      await page.getByRole("button", { name: "Listen" }).click();
      await hold(page, "A");
      await page.getByText("string 5").waitFor();
      assert.ok(Math.abs(await cents(page)) < 0.3);
    });
  });

  test("is held on a string by a tap, and sounds its target", async () => {
    await listening("held", string(hertz(64), 10), async (_, open) => {
      const page = await open();
      const fifth = page.locator(".tuner-list button").nth(4);
      await fifth.click();
      assert.equal(await fifth.getAttribute("aria-pressed"), "true");
      // An E4 is 500 cents above the B3 that it is held on.
      await page.waitForFunction(() => /^\+(499|500|501)$/.test(document.querySelector(".dial-cents b").textContent));
      assert.ok(await page.getByRole("button", { name: "Hear the target" }).isEnabled());
      await page.getByRole("button", { name: "Hear the target" }).click();
      await assertSound(page);
    });
  });

  test("counts the beats of two strings", async () => {
    // E3 with a G#3 in equal temperament: 5 x 164.81 against 4 x 207.65 Hz beats 6.54 times a second.
    const both = mix(string(hertz(52), 12, { again: 6, stiffness: 0 }), string(hertz(56), 12, { again: 6, stiffness: 0 }));
    await listening("two", both, async (_, open) => {
      const page = await open();
      await page.getByRole("radio", { name: "Beats of two" }).check({ force: true });
      await page.locator(".tuner-list button").nth(7).click();
      await page.locator(".tuner-list button").nth(5).click();
      await page.getByText("Meant in this tuning: 6.5 a second").waitFor();
      await page.getByText("As they should").waitFor({ timeout: 20_000 });
      const rate = Number(await page.locator(".dial-cents b").innerText());
      assert.ok(Math.abs(rate - 6.54) < 0.3, `${rate}`);
      await assertSound(page);
    });
  });
});

// A browser whose microphone fails in one way or another.
const fails = (name) => `navigator.mediaDevices.getUserMedia = async () => { throw new DOMException("no", "${name}"); };`;

describe("what keeps the tuner from hearing", () => {
  let stage;
  before(async () => (stage = await start({ flags: heardFrom(join(folder, "quiet.wav"), new Float32Array(48_000)) })));
  after(() => stage?.close());

  async function listen(change, more = {}) {
    const page = await stage.open({ size: NARROW, path: "#/tuner", ...more });
    await page.addInitScript(change);
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: "Listen" }).click();
    return page;
  }

  for (const [what, change, words] of [
    ["no permission", fails("NotAllowedError"), "was not allowed to use the microphone"],
    ["no device", fails("NotFoundError"), "No microphone was found"],
    ["a device that is taken", fails("NotReadableError"), "Another program holds the microphone"],
    ["rates that do not fit", fails("NotSupportedError"), "run at different rates"],
    ["a page without microphones", "Object.defineProperty(navigator, 'mediaDevices', { value: undefined });", "begins with https"],
  ]) {
    test(`is said of ${what}, with the way out`, async () => {
      const page = await listen(change);
      await page.getByText(words).waitFor();
      assert.ok(await page.getByRole("button", { name: "Listen" }).isVisible());
      await assertSound(page);
    });
  }

  test("is said of silence, and of a microphone that is pulled out", async () => {
    const keep = `
      const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = async (wanted) => {
        globalThis.wanted = wanted.audio;
        return (globalThis.stream = await ask(wanted));
      };`;
    const page = await listen(keep, { permissions: ["microphone"] });
    await page.getByText("Nothing comes from the microphone").waitFor();
    assert.deepEqual(await page.evaluate(() => globalThis.wanted), {
      echoCancellation: false,
      noiseSuppression: false,
      autoGainControl: false,
      channelCount: 1,
    });
    await page.evaluate(() => globalThis.stream.getTracks()[0].dispatchEvent(new Event("ended")));
    await page.getByText("The microphone is gone").waitFor();
    assert.equal(await page.evaluate(() => globalThis.stream.getTracks()[0].readyState), "ended");
  });

  test("is over when the tuner is left: the microphone goes off", async () => {
    const keep = `
      const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = async (wanted) => (globalThis.stream = await ask(wanted));`;
    const page = await listen(keep, { permissions: ["microphone"] });
    await page.getByRole("button", { name: "Stop listening" }).waitFor();
    await page.getByRole("navigation", { name: "Places" }).getByRole("button", { name: "Chart" }).click();
    await page.waitForFunction(() => globalThis.stream.getTracks()[0].readyState === "ended");
  });
});
