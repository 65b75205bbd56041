// How the built page does in Lighthouse's mobile profile: `RUNS=1 node lighthouse.mjs [VIEW...]`, all main views by
// default. Prints a table and what is found; fails below the least of any score.
//
// Figures of speed are of this machine and of what else it does: Lighthouse works out from them how a middling phone on a
// slow line would do. So each view can be visited RUNS times: figures are of the run in the middle, which Lighthouse itself
// picks ("Run Lighthouse multiple times": docs/variability.md of its repository), but every run's scores count and are
// told, and how fast the machine was in Lighthouse's own measure.
//
// Lighthouse takes the phone to be four times slower than the machine, which is right for a fast one. With CALIBRATED=1
// it is taken to be as much slower as Lighthouse's own table says for this machine (docs/throttling.md, "Calibrating the
// CPU slowdown"), to compare machines by: what is asked of the page is asked at four times, so such a run fails always.
import { mkdtempSync, readdirSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";
import { throttling } from "lighthouse/core/config/constants.js";
import { computeMedianRun } from "lighthouse/core/lib/median-run.js";
import { serve } from "../../tools/serve.mjs";
import { chromiumPath, DIST } from "../e2e/browser.mjs";

const VIEWS = ["solo", "chart", "neck", "learn", "class", "rig", "deliver"];
const CATEGORIES = ["performance", "accessibility", "best-practices"];
const LEAST = 95;
const RUNS = Number(process.env.RUNS ?? 1);

// From which benchmark index on a machine is of a class, and how many times slower the phone in the middle is than one.
const CLASSES = [
  [1500, 4],
  [800, 2],
  [0, 1],
];

const views = process.argv.length > 2 ? process.argv.slice(2) : VIEWS;
const server = await serve(DIST, { compress: true });
let low = 0;
let slow = false;
let slowdown = throttling.mobileSlow4G.cpuSlowdownMultiplier;
try {
  await pressed();
  if (process.env.CALIBRATED) {
    const index = (await visited(views[0])).environment.benchmarkIndex;
    slowdown = CLASSES.find(([least]) => index >= least)[1];
  }
  console.log(`the phone is taken to be ${slowdown} times slower than this machine`);
  console.log("view      perf  a11y  best    FCP    LCP    TTI    TBT   CLS      sent  index  performance of all runs");
  for (const view of views) {
    const runs = [];
    while (runs.length < RUNS) runs.push(await visited(view));
    const lhr = computeMedianRun(runs);
    slow ||= lhr.environment.benchmarkIndex < CLASSES[0][0];
    const scores = CATEGORIES.map((name) => Math.round(lhr.categories[name].score * 100));
    const figure = (id) => lhr.audits[id]?.numericValue ?? NaN;
    const seconds = (id) => `${(figure(id) / 1000).toFixed(2)} s`;
    console.log(
      view.padEnd(8),
      ...scores.map((score) => String(score).padStart(5)),
      ...["first-contentful-paint", "largest-contentful-paint", "interactive"].map((id) => seconds(id).padStart(6)),
      `${figure("total-blocking-time").toFixed(0)} ms`.padStart(6),
      figure("cumulative-layout-shift").toFixed(3),
      `${(figure("total-byte-weight") / 1000).toFixed(0)} kB`.padStart(8),
      lhr.environment.benchmarkIndex.toFixed(0).padStart(6),
      "",
      ...runs.map((run) => Math.round(run.categories.performance.score * 100)),
    );
    for (const audit of found(lhr)) console.log(`    ${audit}`);
    const all = runs.flatMap((run) => CATEGORIES.map((name) => Math.round(run.categories[name].score * 100)));
    low += all.filter((score) => score < LEAST).length;
  }
} finally {
  await server.close();
}
if (slow && !process.env.CALIBRATED) console.log("this machine is slower than that supposes: see CALIBRATED in tests/lighthouse/lighthouse.mjs");
console.log(`${low === 0 ? `every score is at least ${LEAST}` : `${low} scores are below ${LEAST}`}, at ${slowdown} times`);
process.exitCode = low === 0 && !process.env.CALIBRATED ? 0 : 1;

// Has the server compress every file beforehand: done while the first view loads, it would take that view's processor.
async function pressed() {
  const files = readdirSync(DIST, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile());
  for (const { parentPath, name } of files) {
    const path = relative(DIST, join(parentPath, name));
    const answer = await fetch(new URL(path, server.url), { headers: { "accept-encoding": "br" } });
    await answer.arrayBuffer();
  }
}

// A first visit of a view: with a profile of its own, for what the view before left on the device would make it another.
async function visited(view) {
  const chrome = await launch({
    chromePath: chromiumPath(),
    chromeFlags: ["--headless=new", "--no-sandbox", "--disable-dev-shm-usage"],
    userDataDir: mkdtempSync(join(tmpdir(), "leadbar-lighthouse-")),
  });
  try {
    const { lhr } = await lighthouse(`${server.url}#${view}`, {
      port: chrome.port,
      onlyCategories: CATEGORIES,
      throttling: { ...throttling.mobileSlow4G, cpuSlowdownMultiplier: slowdown },
    });
    return lhr;
  } finally {
    await chrome.kill();
  }
}

// What counts and was not met, with the first places it was found at.
function found(lhr) {
  const counted = new Set(
    CATEGORIES.flatMap((name) => lhr.categories[name].auditRefs.filter((ref) => ref.weight > 0).map((ref) => ref.id)),
  );
  return Object.values(lhr.audits)
    .filter(({ id, score }) => counted.has(id) && score !== null && score < 0.9)
    .map(({ id, displayValue, details }) => {
      const places = (details?.items ?? []).slice(0, 3).map((item) => item.node?.snippet ?? item.description ?? item.url ?? "");
      return [id, displayValue, ...places].filter(Boolean).join(" | ");
    });
}
