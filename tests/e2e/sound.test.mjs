// What is done by hand is heard at once, and when there is no sound the page says why and what to do.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { PHONE, start } from "./browser.mjs";

const place = (page, name) => page.getByRole("navigation").getByRole("button", { name, exact: true }).click();
const play = (page) => page.getByRole("button", { name: "Play", exact: true });

// A page whose scripts find the browser changed by `change` before they run.
async function changed(stage, change) {
  const context = await stage.browser.newContext({ viewport: PHONE, hasTouch: true });
  await context.addInitScript(change);
  const page = await context.newPage();
  await page.goto(stage.url);
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  return page;
}

describe("the sound", () => {
  let stage;
  before(async () => (stage = await start({ flags: ["--autoplay-policy=document-user-activation-required"] })));
  after(() => stage?.close());

  test("is allowed by the tap that asks for it", async () => {
    const page = await stage.open({ size: PHONE });
    await play(page).click();
    await page.waitForFunction(() => Number.parseInt(document.querySelector(".where-bar").innerText, 10) >= 2, null, {
      timeout: 20_000,
    });
    assert.equal(await page.locator(".news").innerText(), "");
  });

  test("bends with the pedal and the bar while a tapped grip rings", async () => {
    const page = await changed(stage, () => {
      globalThis.sent = [];
      const post = MessagePort.prototype.postMessage;
      MessagePort.prototype.postMessage = function (message, ...more) {
        const command = message instanceof Uint8Array ? JSON.parse(new TextDecoder().decode(message)) : {};
        if (command.live) globalThis.sent.push(command.live);
        return post.call(this, message, ...more);
      };
    });
    const sent = () => page.evaluate(() => globalThis.sent.splice(0));
    await place(page, "Neck");
    await page.locator("#place-4-5").click();
    await page.waitForFunction(() => globalThis.sent.some((event) => event.grip));
    await sent();
    await page.getByRole("button", { name: "A, pedal 1" }).click();
    const pressed = await sent();
    assert.ok(pressed.length > 0 && pressed.every((event) => event.press), JSON.stringify(pressed));
    assert.equal(pressed.at(-1).press.travel, 1);
    const grip = await page.locator(".bar-grip").boundingBox();
    await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2);
    await page.mouse.down();
    await page.mouse.move(grip.x + grip.width / 2, grip.y + grip.height / 2 + 60, { steps: 5 });
    await page.mouse.up();
    const dragged = await sent();
    assert.ok(dragged.length > 1 && dragged.every((event) => event.bar), JSON.stringify(dragged));
    const frets = dragged.map((event) => event.bar.fret);
    assert.ok(frets.at(-1) > 5, `the bar went up the neck: ${frets}`);
  });

  test("that the browser holds back is said to be held back, and comes when it lets go", async () => {
    const page = await changed(stage, () => {
      const resume = AudioContext.prototype.resume;
      const start = AudioContext;
      globalThis.held = true;
      globalThis.AudioContext = class extends start {
        constructor(...given) {
          super(...given);
          if (globalThis.held) this.suspend();
        }
      };
      AudioContext.prototype.resume = function () {
        return globalThis.held ? new Promise(() => {}) : resume.call(this);
      };
    });
    await play(page).click();
    await page.getByText("holding the sound back").waitFor();
    await play(page).waitFor();
    await page.evaluate(() => (globalThis.held = false));
    await play(page).click();
    await page.waitForFunction(() => Number.parseInt(document.querySelector(".where-bar").innerText, 10) >= 2, null, {
      timeout: 20_000,
    });
  });

  test("that the browser has not got is said to be missing, and play is play again", async () => {
    const page = await changed(stage, () => {
      globalThis.AudioContext = class {
        constructor() {
          throw new DOMException("no audio device", "NotSupportedError");
        }
      };
    });
    await play(page).click();
    await page.getByText("There is no sound: no audio device").waitFor();
    await play(page).waitFor();
  });

  test("that failed to start is tried again by the next press, and only what that asks for is done", async () => {
    const page = await changed(stage, () => {
      globalThis.sent = [];
      const post = MessagePort.prototype.postMessage;
      MessagePort.prototype.postMessage = function (message, ...more) {
        if (message instanceof Uint8Array) globalThis.sent.push(JSON.parse(new TextDecoder().decode(message)));
        return post.call(this, message, ...more);
      };
      const add = Worklet.prototype.addModule;
      Worklet.prototype.addModule = function (...given) {
        return globalThis.mended ? add.apply(this, given) : Promise.reject(new DOMException("not loaded", "AbortError"));
      };
    });
    await play(page).click();
    await page.getByText("There is no sound: not loaded").waitFor();
    await play(page).waitFor();
    await page.evaluate(() => (globalThis.mended = true));
    await place(page, "Neck");
    await page.locator("#place-4-5").click();
    await page.waitForFunction(() => globalThis.sent.some((command) => command.live?.grip));
    const asked = await page.evaluate(() => globalThis.sent.filter((command) => command.play));
    assert.deepEqual(asked, [], "the play that failed is not done by a tap on the neck");
  });

  test("whose device is lost is said to be lost, and comes again", async () => {
    const page = await changed(stage, () => {
      const start = AudioContext;
      globalThis.AudioContext = class extends start {
        constructor(...given) {
          super(...given);
          globalThis.context = this;
        }
      };
    });
    const plays = () =>
      page.waitForFunction(() => Number.parseInt(document.querySelector(".where-bar").innerText, 10) >= 2, null, {
        timeout: 20_000,
      });
    await play(page).click();
    await plays();
    await page.evaluate(() => globalThis.context.dispatchEvent(new Event("error")));
    await page.getByText("the audio device was lost").waitFor();
    await play(page).click();
    await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
    await plays();
  });
});
