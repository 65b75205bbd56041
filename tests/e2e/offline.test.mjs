// Kept on the device: the page starts and works without a connection from the first full visit on, wherever it is put,
// and a newer build is offered and never forced.
import assert from "node:assert/strict";
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, BASES, DIST, PHONE, start, started } from "./browser.mjs";

// A copy of the built page whose service worker keeps everything, also where the build is a quick one.
async function kept() {
  const folder = await mkdtemp(join(tmpdir(), "leadbar-"));
  await cp(DIST, folder, { recursive: true });
  return folder;
}

// The same page as another build: another hash, another word in its name.
async function renewed(folder, build) {
  const file = join(folder, "service.js");
  await writeFile(file, (await readFile(file, "utf8")).replace(/const BUILD = "\w+"/, `const BUILD = "${build}"`));
  const page = join(folder, "index.html");
  await writeFile(page, (await readFile(page, "utf8")).replace(/<html lang="en"[^>]*>/, `<html lang="en" data-build="${build}">`));
}

const allowed = { serviceWorkers: "allow" };
const ready = (page) => page.evaluate(async () => void (await navigator.serviceWorker.ready));
const controlled = (page) => page.waitForFunction(() => navigator.serviceWorker.controller !== null);
const caches = (page) => page.evaluate(async () => (await globalThis.caches.keys()).sort());

for (const base of BASES) {
  describe(`kept on the device, served at ${base}`, () => {
    let stage, dist;
    before(async () => {
      dist = await kept();
      stage = await start({ base, dist });
    });
    after(async () => {
      await stage?.close();
      await rm(dist, { recursive: true, force: true });
    });

    test("after one visit the page starts, drafts and plays in flight mode, at any address within it", async () => {
      const page = await stage.open({ size: PHONE, ...allowed });
      await controlled(page);
      await page.context().setOffline(true);
      await page.reload();
      await started(page);
      assert.equal(await page.locator(".song-name").innerText(), "Tin Roof Monday");
      // The planner runs in a worker of its own, the sound in a worklet: both load their scripts anew.
      await page.locator(".lanes, .takes, .pass").first().waitFor();
      await page.getByRole("button", { name: "Play", exact: true }).click();
      await page.getByRole("button", { name: "Stop", exact: true }).waitFor();
      await page.goto(`${stage.url}?from=home#/neck`);
      await started(page);
      await page.getByRole("heading", { name: "Neck" }).waitFor({ state: "attached" });
      await assertSound(page);
    });
  });
}

describe("a newer build", () => {
  let stage, dist;
  before(async () => {
    dist = await kept();
    stage = await start({ dist });
  });
  after(async () => {
    await stage?.close();
    await rm(dist, { recursive: true, force: true });
  });

  const build = (page) => page.evaluate(() => document.documentElement.dataset.build ?? "first");
  const offered = (page) => page.getByText("There is a newer Leadbar.");

  test("is offered, waits through a reload, and takes over when asked, once no other tab is open", async () => {
    const page = await stage.open(allowed);
    await controlled(page);
    const before = await caches(page);
    await page.evaluate(() => globalThis.caches.open("leadbar-recordings"));
    await renewed(dist, "second");
    await page.reload();
    await started(page);
    await offered(page).waitFor();
    assert.equal(await build(page), "first");
    await page.reload();
    await started(page);
    await offered(page).waitFor();
    assert.equal(await build(page), "first");
    assert.deepEqual(await axeFaults(page), []);

    const other = await page.context().newPage();
    await other.goto(stage.url);
    await started(other);
    await page.getByRole("button", { name: "Load it" }).click();
    await page.getByText("close that one first").waitFor();
    assert.equal(await build(page), "first");
    await other.close();

    await page.getByRole("button", { name: "Load it" }).click();
    await page.waitForFunction(() => document.documentElement.dataset.build === "second");
    await started(page);
    const after = await caches(page);
    assert.ok(after.includes("leadbar-recordings"), "the player's recordings stay");
    const builds = (names) => names.filter((name) => name.startsWith("leadbar-page"));
    assert.equal(builds(after).length, builds(before).length, "the older build is let go");
    await assertSound(page);
  });

  test("can be put off", async () => {
    const page = await stage.open(allowed);
    await controlled(page);
    await renewed(dist, "third");
    await page.reload();
    await started(page);
    await page.getByRole("button", { name: "Later" }).click();
    await offered(page).waitFor({ state: "detached" });
    assert.equal(await build(page), "second");
    await assertSound(page);
  });
});

describe("the page as an app", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  test("the browser finds nothing wrong with the manifest, and can install the page", async () => {
    const page = await stage.open(allowed);
    await ready(page);
    const cdp = await page.context().newCDPSession(page);
    const { errors, data } = await cdp.send("Page.getAppManifest");
    assert.deepEqual(errors, []);
    for (const icon of JSON.parse(data).icons) {
      assert.equal((await page.request.get(new URL(icon.src, stage.url).href)).status(), 200, icon.src);
    }
    const { installabilityErrors } = await cdp.send("Page.getInstallabilityErrors");
    assert.deepEqual(installabilityErrors.filter((e) => e.errorId !== "in-incognito"), []);
    await assertSound(page);
  });
});
