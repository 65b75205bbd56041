// What a player does first: hear the solo over the demo song, ask for another, keep one, come back to it.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { assertSound, kept, PHONE, settled, start } from "./browser.mjs";

describe("the solo", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  const passes = (page) => page.getByRole("group", { name: "Drafted passes" }).getByRole("button");
  const drafted = (page) => passes(page).first().waitFor();
  const bar = async (page) => Number.parseInt(await page.locator(".where-bar").innerText(), 10);
  const slider = (page, name) => page.getByRole("slider", { name });

  // The whole list of moves: it is made a few rows a picture, so it is read once it stands still.
  async function moves(page) {
    let [before, now] = ["", ""];
    do {
      before = now;
      await page.waitForTimeout(200);
      now = await page.locator(".moves").innerText();
    } while (!now || now !== before);
    return now;
  }

  test("is heard over the demo song with one tap", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    await page.getByRole("button", { name: "Play", exact: true }).click();
    await page.waitForFunction(() => Number.parseInt(document.querySelector(".where-bar").innerText, 10) >= 2, null, {
      timeout: 20_000,
    });
    await page.getByRole("button", { name: "Stop", exact: true }).click();
    await assertSound(page);
  });

  test("is drafted anew when a wish is changed, and the wish can be undone", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    const before = await settled(page, ".moves");
    await slider(page, "Climbs to, fret").fill("22");
    await page.waitForFunction((old) => document.querySelector(".moves").innerText !== old, before);
    await page.keyboard.press("Control+z");
    assert.equal(await slider(page, "Climbs to, fret").inputValue(), "15");
    await page.waitForFunction((old) => document.querySelector(".moves").innerText === old, before);
    await assertSound(page);
  });

  test("is drafted in the hole of the song alone", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    await page.getByText("Only some: the hole in the song").click();
    await page.getByRole("button", { name: "first bar: more" }).click();
    await page.getByRole("button", { name: "last bar: less" }).click();
    const bars = async () => (await page.locator(".move-bar").allTextContents()).map(Number);
    const until = async (wanted) => {
      for (let turn = 0; turn < 100; turn++) {
        const all = await bars();
        if (all.length && wanted(Math.min(...all), Math.max(...all))) return;
        await page.waitForTimeout(100);
      }
      assert.fail(`moves stand in bars ${await bars()}`);
    };
    await until((first, last) => first >= 2 && last <= 7);
    await page.keyboard.press("Control+z");
    await page.keyboard.press("Control+z");
    await page.keyboard.press("Control+z");
    await until((_, last) => last > 8);
    await assertSound(page);
  });

  test("offers passes that differ", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    assert.ok((await passes(page).count()) >= 2);
    const first = await moves(page);
    await passes(page).nth(1).click();
    assert.notEqual(await moves(page), first);
  });

  test("is kept on the device, and so is the chart", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await page.getByRole("group", { name: "Kept passes" }).getByRole("button").click();
    const listed = await moves(page);
    await kept(page, '"passes":[{');
    await page.reload();
    await page.getByRole("group", { name: "Kept passes" }).waitFor();
    assert.equal(await moves(page), listed);
    await assertSound(page);
  });

  test("that was kept is not shown over other bars, and opens its own again", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    const title = await page.locator(".head").innerText();
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await page.getByRole("group", { name: "Kept passes" }).getByRole("button").click();
    const kept = await moves(page);
    await page.getByRole("button", { name: "Chart", exact: true }).click();
    await page.getByRole("button", { name: "Write", exact: true }).click();
    await page.getByRole("textbox", { name: "Chart" }).fill("Other Street, key D, 100;\n1 4 5 1");
    await page.getByRole("button", { name: "Solo", exact: true }).click();
    await page.getByText("kept over other bars").waitFor();
    assert.equal(await page.locator(".moves li").count(), 0);
    await page.getByRole("button", { name: "Open its chart" }).click();
    await page.waitForFunction((old) => document.querySelector(".moves").innerText === old, kept);
    assert.equal(await page.locator(".head").innerText(), title);
    await assertSound(page);
  });

  test("may be left before its picture was ever measured", async () => {
    const page = await stage.open({ size: PHONE });
    await page.evaluate(() => {
      for (const name of ["Chart", "Solo", "Neck", "Solo", "Chart"]) {
        [...document.querySelectorAll(".nav button")].find((button) => button.innerText === name).click();
      }
    });
    await page.locator(".bars .bar").first().waitFor();
    await page.waitForTimeout(200);
    await assertSound(page);
  });

  test("shows its bars while it is drafted", async () => {
    const page = await stage.open({ size: PHONE });
    assert.ok((await page.locator(".lanes-sheet .lanes-chord").count()) > 1);
    await drafted(page);
  });

  test("goes to a move and plays it when its reason is tapped", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    await page.locator(".moves li:last-child button").first().click();
    await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
    assert.ok((await bar(page)) > 1);
  });

  test("plans again after the planner has stopped", async () => {
    const page = await stage.open({ size: PHONE });
    await drafted(page);
    const old = await settled(page, ".moves");
    await page.evaluate(() => {
      Worker.prototype.postMessage = ((post) => function (message) {
        if (!message?.job?.Plan) return post.call(this, message);
        Worker.prototype.postMessage = post;
        return post.call(this, "no question at all");
      })(Worker.prototype.postMessage);
    });
    await page.getByRole("button", { name: "Draft", exact: true }).click();
    await page.getByText("The planner stopped").first().waitFor();
    await page.getByRole("button", { name: "Draft", exact: true }).click();
    await page.waitForFunction((text) => document.querySelector(".moves").innerText !== text, old);
  });
});
