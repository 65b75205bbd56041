// A MIDI controller is taught what it moves, and moves it while strings ring; where there is none, words say so.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, PHONE, start, started } from "./browser.mjs";

// A browser with one footswitch, whose messages `switchSends` sends.
function plugIn() {
  const input = { name: "Footswitch" };
  globalThis.switchSends = (...bytes) => input.onmidimessage?.({ data: new Uint8Array(bytes) });
  navigator.requestMIDIAccess = async () => ({ inputs: new Map([["1", input]]) });
  globalThis.sent = [];
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    const command = message instanceof Uint8Array ? JSON.parse(new TextDecoder().decode(message)) : {};
    if (command.live) globalThis.sent.push(command.live);
    return post.call(this, message, ...more);
  };
}

describe("MIDI controllers", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  async function open(change) {
    const page = await stage.open({ size: PHONE });
    await page.addInitScript(change);
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: /^Rig/ }).click();
    await page.getByRole("button", { name: "Use MIDI controllers" }).click();
    return page;
  }

  test("are taught by moving them, and press what they were taught", async () => {
    const page = await open(plugIn);
    await page.getByText("Heard: Footswitch.").waitFor();
    await page.getByRole("button", { name: "Teach what moves A", exact: true }).click();
    await page.getByText("Move it now").waitFor();
    await page.evaluate(() => globalThis.switchSends(0xb0, 64, 127));
    await page.getByText("Controller 64").waitFor();
    await assertSound(page);

    await page.getByRole("navigation").getByRole("button", { name: "Neck", exact: true }).click();
    await page.locator("#place-4-5").click();
    await page.waitForFunction(() => globalThis.sent.some((event) => event.grip));
    await page.evaluate(() => globalThis.sent.splice(0));
    await page.evaluate(() => globalThis.switchSends(0xb0, 64, 127));
    await page.evaluate(() => globalThis.switchSends(0xb0, 64, 0));
    const travels = await page.evaluate(() => globalThis.sent.map((event) => event.press?.travel));
    assert.deepEqual(travels, [1, 0]);
  });

  test("that may not be heard are asked for in words", async () => {
    const page = await open(() => {
      navigator.requestMIDIAccess = async () => {
        throw new DOMException("no", "SecurityError");
      };
    });
    await page.getByText("was not allowed to hear MIDI controllers").waitFor();
  });

  test("are said to be missing where the browser has none", async () => {
    const page = await open(() => {
      Object.defineProperty(navigator, "requestMIDIAccess", { value: undefined });
    });
    await page.getByText("This browser can't hear MIDI controllers").waitFor();
  });
});
