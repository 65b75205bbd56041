// How long the page is held up, to be read and not asserted: `node tests/e2e/measure_page.mjs [TIMES]`.
//
// A song of 200 bars with 20 changes of metre and 500 kept passes is opened. Then the chart is typed in, passes are
// chosen, one is kept, one is edited by hand. It prints the longest task of each (PerformanceObserver, longtask: tasks
// under 50 ms are not told by the browser and count as "under 50"), and how long of it the thread itself was at work.
import { readFile } from "node:fs/promises";
import { DESK, start, started } from "./browser.mjs";
import { chart200 } from "./charts.mjs";
import { tell } from "./figures.mjs";

const times = Number(process.argv[2] ?? 5);
const PASSES = 500;

function prepare() {
  globalThis.tasks = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) globalThis.tasks.push(Math.round(entry.duration));
  }).observe({ type: "longtask" });
}

// Makes 500 passes of the one that is kept: each is the one before with one move a little louder.
function multiply(saved, many) {
  const project = JSON.parse(saved);
  const { kept: lineage } = project.songs[0];
  const first = lineage.passes[0];
  for (let id = 1; id < many; id += 1) {
    const before = lineage.passes[id - 1];
    const moves = [...before.moves];
    const place = (id * 7) % moves.length;
    const changed = structuredClone(lineage.moves[moves[place]]);
    changed.strokes[0].strength = 0.4 + (id % 6) / 10;
    lineage.moves.push(changed);
    moves[place] = lineage.moves.length - 1;
    const origin = { changed: { from: first.id + id - 1, words: `Bar ${1 + (id % 200)}: louder` } };
    lineage.passes.push({ ...before, id: first.id + id, moves, origin });
  }
  lineage.next = first.id + many;
  return JSON.stringify(project);
}

// The longest task of the page's main thread, by the time the thread itself worked: another program that takes the
// processor away in between does not count.
function longestWork({ traceEvents }) {
  const mains = traceEvents.filter((e) => e.name === "thread_name" && e.args.name === "CrRendererMain");
  const isMain = (e) => mains.some((main) => main.pid === e.pid && main.tid === e.tid);
  const tasks = traceEvents.filter((e) => /RunTask$/.test(e.name) && e.tdur && isMain(e));
  return Math.round(Math.max(0, ...tasks.map((e) => e.tdur)) / 1000);
}

const stage = await start();
try {
  const page = await stage.open({ size: DESK });
  await page.evaluate(() => (location.hash = "#/chart"));
  await page.locator("textarea").first().fill(chart200);
  await page.evaluate(() => (location.hash = "#/solo"));
  await page.waitForTimeout(3000);
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  await page.waitForTimeout(1500);
  await page.locator("button.song").click();
  await page.getByRole("button", { name: "Files and links" }).click();
  const save = page.locator("#files").getByRole("button", { name: /^Everything/ });
  const [download] = await Promise.all([page.waitForEvent("download"), save.click()]);
  const text = multiply((await readFile(await download.path())).toString(), PASSES);
  const file = { name: "many.leadbar.json", mimeType: "application/json", buffer: Buffer.from(text) };
  await page.locator("#files input[type=file]").setInputFiles(file);
  await page.waitForTimeout(4000);
  await page.addInitScript(prepare);
  await page.reload();
  await started(page);
  await page.waitForTimeout(4000);
  console.log(`kept passes: ${await page.locator(".kept-row button").count()} in the row, state ${(text.length / 1e6).toFixed(1)} MB`);
  const faults = [...page.faults];

  // What is pressed is looked for before: the driver looks through the whole page, in the page's own thread.
  async function measure(name, act, find) {
    const walls = [];
    const worked = [];
    for (let i = 0; i < times; i += 1) {
      const found = await find?.(i).elementHandle();
      await page.evaluate(() => (globalThis.tasks.length = 0));
      await stage.browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
      await act(i, found);
      await page.waitForTimeout(1800);
      worked.push(longestWork(JSON.parse(await stage.browser.stopTracing())));
      walls.push(Math.max(0, ...(await page.evaluate(() => globalThis.tasks))));
    }
    const told = walls.map((ms) => (ms ? `${ms}` : "under 50"));
    tell(`${name}: longest task ${told.join(", ")} ms; of that at work ${worked.join(", ")} ms`, {
      what: `200 bars, 500 passes, ${name}: longest task's work`,
      value: Math.max(...worked),
      unit: "ms",
      most: 50,
    });
  }
  const press = (_, found) => found.click();
  const kept = (i) => page.locator(".kept-row button").nth(i % 6);
  await measure("choosing another kept pass", press, kept);
  await measure("hearing another draft", press, (i) => page.locator(".passes-list .pass").nth(i % 3));
  await measure("keeping a draft", press, () => page.getByRole("button", { name: "Keep", exact: true }));
  const hand = page.getByRole("slider", { name: "Played", exact: true });
  await page.locator(".move-change").nth(2).click();
  await page.getByRole("button", { name: "By hand", exact: true }).click();
  await hand.focus();
  await measure("moving a note by hand", (i) => page.keyboard.press(i % 2 ? "ArrowLeft" : "ArrowRight"));
  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "Play", exact: true }).click();
  await measure("choosing another pass while it plays", press, kept);
  await page.getByRole("button", { name: "Stop", exact: true }).click();
  await measure("going to the chart and the neck", (i) => page.evaluate((to) => (location.hash = to), i % 2 ? "#/neck" : "#/chart"));
  await measure("going back to the solo", async () => {
    await page.evaluate(() => (location.hash = "#/rig"));
    await page.waitForTimeout(700);
    await page.evaluate(() => (location.hash = "#/solo"));
  });
  await page.evaluate(() => (location.hash = "#/chart"));
  await page.waitForTimeout(1500);
  const field = page.locator("textarea").first();
  await field.focus();
  await page.keyboard.press("Control+End");
  await measure("typing a chord", (i) => page.keyboard.type(i % 2 ? "4" : " "));
  for (const fault of [...faults, ...page.faults]) console.error(fault);
} finally {
  await stage.close();
}
