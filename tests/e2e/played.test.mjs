// A phrase is played into the microphone and marked. The page's own sound, led back with a known delay, is the player:
// it makes no mistakes, so none may be found.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, PHONE, start, started } from "./browser.mjs";
import { DELAY, loop } from "./loopback.mjs";

describe("a phrase that is played", () => {
  let stage;
  before(async () => (stage = await start({ flags: ["--autoplay-policy=no-user-gesture-required"] })));
  after(() => stage?.close());

  async function open(size) {
    const page = await stage.open({ size });
    await page.addInitScript(loop);
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: "Play it and be marked" }).waitFor();
    return page;
  }

  test("is all right when it is played as written, once the delay is measured", async () => {
    const page = await open(DESK);
    await page.getByRole("button", { name: "Measure the delay" }).click();
    await page.getByText(/hears itself \d+ ms late/).waitFor({ timeout: 30_000 });
    const told = Number(/itself (\d+) ms/.exec(await page.locator(".play-it").innerText())[1]);
    // The browser's own way from a stream back to samples takes some tens of milliseconds more, on a busy machine hundreds.
    assert.ok(told >= 1000 * DELAY - 5 && told < 1000 * DELAY + 150, `${told} ms`);

    await page.getByRole("button", { name: "Play it and be marked" }).click();
    await page.locator(".played-head").waitFor({ timeout: 90_000 });
    const [, right, all] = /(\d+) of (\d+) notes/.exec(await page.locator(".played-head").innerText());
    const words = await page.locator(".played-lines").innerText();
    assert.ok(Number(all) > 10 && Number(right) >= 0.9 * Number(all), `${right} of ${all}: ${words}`);
    const extra = words.match(/a note too many/g)?.length ?? 0;
    assert.ok(extra <= 0.1 * Number(all), words);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });

  test("that is not heard is said so, and can be stopped", async () => {
    const page = await open(PHONE);
    await page.evaluate(() => (globalThis.plays.solo = false));
    await page.getByRole("button", { name: "Play it and be marked" }).click();
    await page.getByText("Listening: play after the count").waitFor();
    await page.locator(".play-it").getByRole("button", { name: "Stop" }).click();
    await page.getByRole("button", { name: "Play it and be marked" }).waitFor();
    await assertSound(page);
  });

  test("needs a microphone, and says which way to get one", async () => {
    const page = await open(PHONE);
    await page.evaluate(() => {
      navigator.mediaDevices.getUserMedia = async () => {
        throw new DOMException("no", "NotAllowedError");
      };
    });
    await page.getByRole("button", { name: "Play it and be marked" }).click();
    await page.getByText("was not allowed to use the microphone").waitFor();
    await assertSound(page);
  });
});
