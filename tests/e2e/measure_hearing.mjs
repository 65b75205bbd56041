// How long a chart from a recording takes, to be read and not asserted: `node tests/e2e/measure_hearing.mjs [MINUTES ...]`.
//
// For stereo songs of so many minutes at 44.1 kHz (3 and 10 unless said) it prints: the time from the file to the chart, the worker's part
// of it (from the job's post to its last word), how many times faster than real time both are, and on Linux the most
// memory that all processes of the browser held meanwhile over what they held before, the worker's process among them.
import { readdirSync, readFileSync } from "node:fs";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DESK, start } from "./browser.mjs";
import { tell } from "./figures.mjs";
import { band } from "./wave.mjs";

const minutes = process.argv.slice(2).map(Number);
const [A, D, E] = [57, 62, 64];
const ROUND = [A, D, A, A, D, D, A, A, E, D, A, E];

function timeWorkers() {
  globalThis.posted = globalThis.last = 0;
  const post = Worker.prototype.postMessage;
  Worker.prototype.postMessage = function (message, ...more) {
    if (message?.job?.Hear) {
      globalThis.posted = performance.now();
      this.addEventListener("message", () => (globalThis.last = performance.now()));
    }
    return post.call(this, message, ...more);
  };
}

// Memory of this process's children and theirs, in MB: what is theirs alone, and their share of what they have together.
function held() {
  const parents = new Map();
  for (const id of readdirSync("/proc").filter((name) => /^\d+$/.test(name))) {
    try {
      parents.set(id, readFileSync(`/proc/${id}/stat`, "utf8").replace(/.*\) \S /s, "").split(" ")[0]);
    } catch {
      // It has ended meanwhile.
    }
  }
  const ours = (id) => id === String(process.pid) || (parents.has(id) && ours(parents.get(id)));
  let sum = 0;
  for (const id of parents.keys()) {
    if (id === String(process.pid) || !ours(id)) continue;
    try {
      sum += Number(/^Pss:\s+(\d+)/m.exec(readFileSync(`/proc/${id}/smaps_rollup`, "utf8"))?.[1] ?? 0);
    } catch {
      // It has ended meanwhile.
    }
  }
  return sum / 1024;
}

const folder = await mkdtemp(join(tmpdir(), "hearing-"));
const stage = await start();
try {
  for (const length of minutes.length ? minutes : [3, 10]) {
    const file = join(folder, `${length}.wav`);
    const bars = Math.round((length * 60) / 2);
    const chords = Array.from({ length: bars }, (_, bar) => ROUND[bar % ROUND.length]);
    await writeFile(file, band(chords, { rate: 44_100, channels: 2 }));
    const page = await stage.open({ size: DESK });
    await page.addInitScript(timeWorkers);
    await page.goto(`${stage.url}#/chart`);
    await page.reload();
    const door = page.getByLabel("Chart from a recording", { exact: true }).last();
    await door.waitFor({ state: "attached" });
    await page.waitForTimeout(3000);
    const linux = process.platform === "linux";
    const before = linux ? held() : 0;
    let most = before;
    const watch = linux && setInterval(() => (most = Math.max(most, held())), 100);
    const begun = performance.now();
    await door.setInputFiles(file);
    await page.getByRole("button", { name: "Use this chart" }).waitFor({ timeout: 600_000 });
    const all = (performance.now() - begun) / 1000;
    clearInterval(watch);
    const worker = (await page.evaluate(() => globalThis.last - globalThis.posted)) / 1000;
    const times = (taken) => `${taken.toFixed(1)} s (${((length * 60) / taken).toFixed(0)} times real time)`;
    const memory = linux ? `, at most ${Math.round(most - before)} MB more than before (${Math.round(most)} MB in all)` : "";
    const heard = await page.locator(".correcting p").first().textContent();
    const figures = [
      { what: `chart from ${length} minutes of sound`, value: Math.round((length * 60) / all), unit: "x real time", least: 50 },
    ];
    const peak = { what: `memory for it, ${length} minutes`, value: Math.round(most - before), unit: "MB", most: 400 };
    if (linux) figures.push(peak);
    tell(`${length} min: ${times(all)}, of that the worker ${times(worker)}${memory}; heard: ${heard.slice(0, 44)}`, ...figures);
    await page.close();
  }
} finally {
  await stage.close();
  await rm(folder, { recursive: true });
}
