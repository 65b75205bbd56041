// Work and the course as packages that learning platforms run: made in the page, unpacked below a path, answered in a
// frame, reported, taken up again. By SCORM 1.2: ADL, "The SCORM Run-Time Environment", 2001.
import assert from "node:assert/strict";
import { readFile, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, linkIn, PHONE, start } from "./browser.mjs";
import { begun, platform } from "./platform.mjs";

let folder;
const packages = {};

// Saves what a button of the page makes.
async function saved(page, name) {
  const coming = page.waitForEvent("download", { timeout: 120_000 });
  await page.getByRole("button", { name: "Save the package" }).click();
  const download = await coming;
  const path = join(folder, name);
  await download.saveAs(path);
  packages[name] = path;
  return download.suggestedFilename();
}

before(async () => {
  folder = await mkdtemp(join(tmpdir(), "leadbar-packages-"));
  const stage = await start({ base: "/some/where/" });
  try {
    const page = await stage.open({ size: DESK, path: "#/class" });
    await page.getByLabel("Title").fill("Week three & <four>");
    for (const kind of ["name-chord", "name-chord", "find-chord"]) {
      await page.getByLabel("Kind").selectOption(kind);
      await page.getByRole("button", { name: "Add", exact: true }).click();
    }
    assert.equal(await saved(page, "work.zip"), "work-Week-three----four.zip");
    await page.getByText(/^Saved as work-Week-three/).waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await page.goto(`${stage.url}#/learn`);
    assert.match(await saved(page, "course.zip"), /^course-.*\.zip$/);
    await assertSound(page);
  } finally {
    await stage.close();
  }
});
after(() => rm(folder, { recursive: true }));

// The chord that the last hints of an exercise give away.
async function nameChord(frame, number) {
  const exercise = frame.getByRole("region", { name: `Exercise ${number}` });
  for (let i = 0; i < 3; i++) await exercise.getByRole("button", { name: "Hint" }).click();
  const told = await exercise.locator(".exercise-hints .hint").nth(2).innerText();
  const numeral = (await exercise.innerText()).match(/which chord is (\S+)\?/)[1];
  const kind = numeral.replace(/^[b#]?\d/, "").replace("-", "m");
  await exercise.getByRole("textbox").fill(told.match(/is (\S+)\.$/)[1] + kind);
  await exercise.getByRole("button", { name: "Check" }).click();
  await exercise.locator(".marked.right").waitFor();
}

const reported = (page) => page.evaluate(() => window.seen());
const reads = (page, condition) => page.waitForFunction(condition);

test("a package names every file it holds, and holds no files of others", async () => {
  const host = await platform(packages["work.zip"], "strict");
  try {
    const manifest = await readFile(join(host.inside, "imsmanifest.xml"), "utf8");
    assert.match(manifest, /<title>Week three &amp; &lt;four&gt;<\/title>/);
    const named = [...manifest.matchAll(/<file href="([^"]+)"/g)].map(([, path]) => path);
    for (const path of named) await readFile(join(host.inside, path));
    assert.ok(named.includes("index.html") && named.includes("leadbar_bg.wasm") && !named.some((n) => n.endsWith(".xsd")));
  } finally {
    await host.close();
  }
});

describe("work on a platform that takes nothing but the standard", () => {
  let host;
  let page;
  before(async () => (host = await platform(packages["work.zip"], "strict", { mastery: "70" })));
  after(() => host?.close());

  test("is answered on a phone, and each answer is reported", async () => {
    const visit = await host.visit({ size: PHONE });
    page = visit.page;
    await visit.frame.getByRole("heading", { name: "Week three & <four>" }).waitFor();
    assert.equal((await reported(page))["cmi.core.lesson_status"], "incomplete");
    assert.equal((await reported(page))["cmi.core.score.raw"], undefined);
    assert.equal(await visit.frame.getByLabel(/^Your name/).count(), 0, "the platform knows the name");
    await nameChord(visit.frame, 1);
    await reads(page, () => window.seen()["cmi.core.score.raw"] === "33");
    const now = await reported(page);
    assert.deepEqual([now["cmi.core.score.min"], now["cmi.core.score.max"]], ["0", "100"]);
    assert.equal(now["cmi.core.lesson_location"], "1");
    assert.match(now["cmi.core.session_time"], /^\d{4}:\d\d:\d\d\.\d\d$/);
    assert.ok(now["cmi.suspend_data"].length <= 4096);
    await visit.frame.getByText("1 of 3 answered, 33 % so far.").waitFor();
    assert.deepEqual(await axeFaults(visit.frame), []);
    const wide = await visit.frame.evaluate(() => document.documentElement.scrollWidth - innerWidth);
    assert.ok(wide <= 0, `${wide} px too wide in the frame`);

  });

  test("ends with the page, once, and goes on where it was", async () => {
    await page.reload();
    const frame = await begun(page);
    assert.equal(await page.evaluate(() => localStorage.getItem("ended")), "1");
    assert.equal((await reported(page))["cmi.core.exit"], "suspend");
    await frame.locator(".marked.right").waitFor();
    assert.match(await frame.getByRole("region", { name: "Exercise 1" }).getByRole("textbox").inputValue(), /^[A-G]/);
    await nameChord(frame, 2);
    await reads(page, () => window.seen()["cmi.core.score.raw"] === "67");
    assert.equal((await reported(page))["cmi.core.lesson_status"], "incomplete");
  });

  test("is failed or passed once everything is answered, as the platform's own score asks", async () => {
    const frame = await begun(page);
    const last = frame.getByRole("region", { name: "Exercise 3" });
    await last.locator(".slot").first().click();
    await last.getByRole("radio", { name: "In figures" }).check();
    await last.getByRole("button", { name: "String 5", exact: true }).click();
    await last.getByRole("button", { name: "Check" }).click();
    await last.locator(".marked").waitFor();
    await reads(page, () => window.seen()["cmi.core.lesson_location"] === "3");
    const now = await reported(page);
    assert.equal(now["cmi.core.lesson_status"], Number(now["cmi.core.score.raw"]) >= 70 ? "passed" : "failed");
    assert.deepEqual(await page.evaluate(() => window.refused), []);
    await assertSound(page);
  });
});

describe("work on a platform that others use", () => {
  let host;
  before(async () => (host = await platform(packages["work.zip"], "common")));
  after(() => host?.close());

  test("is reported, and taken up again after a reload", async () => {
    const { page, frame } = await host.visit({ size: DESK });
    await nameChord(frame, 1);
    await reads(page, () => window.seen()?.score.raw === "33");
    assert.equal((await reported(page)).lesson_status, "incomplete");
    await page.reload();
    await (await begun(page)).locator(".marked.right").waitFor();
    await assertSound(page);
  });
});

test("a package that the platform opens for looking reports nothing", async () => {
  const host = await platform(packages["work.zip"], "strict", { mode: "browse" });
  try {
    const { page, frame } = await host.visit({ size: DESK });
    await frame.getByText(/opened this for looking/).first().waitFor();
    await nameChord(frame, 1);
    assert.equal(await reported(page), null);
    assert.deepEqual(await page.evaluate(() => window.refused), []);
  } finally {
    await host.close();
  }
});

test("a package without a platform works, says so, and offers to hand in", async () => {
  const host = await platform(packages["work.zip"], "strict");
  const alone = await start({ dist: host.inside, base: "/alone/" });
  try {
    const page = await alone.open({ size: PHONE });
    await page.getByText(/No learning platform answers here/).first().waitFor();
    await page.getByLabel(/^Your name/).fill("Wren");
    await nameChord(page, 1);
    assert.match(await linkIn(page), /#open=/);
    assert.equal(await page.getByRole("radio", { name: "Set work" }).count(), 0);
    await assertSound(page);
  } finally {
    await alone.close();
    await host.close();
  }
});

describe("the course on a platform", () => {
  let host;
  before(async () => (host = await platform(packages["course.zip"], "strict")));
  after(() => host?.close());

  test("opens as the course, keeps what was learnt, and goes on in the lesson that was open", async () => {
    const { page, frame } = await host.visit({ size: PHONE });
    await frame.getByRole("button", { name: /^A song with a hole/ }).click();
    await frame.getByRole("heading", { level: 1, name: "A song with a hole" }).waitFor();
    await nameChord(frame, 1);
    await reads(page, () => Number(window.seen()["cmi.core.score.raw"]) > 0);
    assert.equal((await reported(page))["cmi.core.lesson_location"], "a-song-with-a-hole");
    await page.reload();
    const again = await begun(page);
    await again.getByRole("heading", { level: 1, name: "A song with a hole" }).waitFor();
    await again.getByRole("button", { name: "Course", exact: true }).click();
    assert.match(await again.getByRole("button", { name: /^A song with a hole/ }).innerText(), /begun/);
    assert.equal(await again.getByRole("button", { name: "Class", exact: true }).count(), 0);
    await reads(page, () => window.seen()["cmi.core.lesson_location"] === "");
    assert.deepEqual(await page.evaluate(() => window.refused), []);
    await assertSound(page);
  });
});
