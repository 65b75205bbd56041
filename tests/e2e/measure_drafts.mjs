// Figures of drafting in the built page, to be read and not asserted: `node tests/e2e/measure_drafts.mjs [TIMES]`.
//
// A song of 32 bars is drafted over and over. It prints how long one draft takes from the job's posting to the worker
// until its passes are back in the page (three passes), and the same for a song of 200 bars with 20 changes of metre.
import { DESK, start } from "./browser.mjs";
import { chart200, chart32 } from "./charts.mjs";
import { middle, tell } from "./figures.mjs";

const times = Number(process.argv[2] ?? 20);

// The page's own worker, timed where its messages leave and arrive.
function prepare() {
  const told = (globalThis.told = []);
  const post = Worker.prototype.postMessage;
  Worker.prototype.postMessage = function (message, ...more) {
    if (message?.job?.Plan) {
      const begun = performance.now();
      const hear = ({ data }) => {
        const words = [data].flat().find((part) => part?.news);
        if (words?.turn !== message.turn || !words.news.Done) return;
        this.removeEventListener("message", hear);
        told.push(performance.now() - begun);
      };
      this.addEventListener("message", hear);
    }
    return post.call(this, message, ...more);
  };
}

// How long the planner's thread worked in all, in milliseconds: what other programs took of the processor is left out.
// Of the page's workers it is the one that worked most: the other one only hears the passes out.
function workerTime({ traceEvents }) {
  const workers = traceEvents.filter((e) => e.name === "thread_name" && /DedicatedWorker/.test(e.args.name));
  const worked = workers.map((worker) =>
    traceEvents
      .filter((e) => /RunTask$/.test(e.name) && e.tdur && worker.pid === e.pid && worker.tid === e.tid)
      .reduce((sum, e) => sum + e.tdur, 0),
  );
  return Math.max(0, ...worked) / 1000;
}

async function measure(stage, name, chart, most) {
  const page = await stage.open({ size: DESK });
  await page.addInitScript(prepare);
  await page.reload();
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  await page.evaluate(() => (location.hash = "#/chart"));
  await page.locator("textarea").first().fill(chart);
  await page.waitForFunction(() => globalThis.told.length >= 1, null, { timeout: 60_000 });
  await page.evaluate(() => (location.hash = "#/solo"));
  await page.evaluate(() => (globalThis.told.length = 0));
  await stage.browser.startTracing(page, { categories: ["toplevel", "disabled-by-default-devtools.timeline"] });
  for (let i = 0; i < times; i += 1) {
    await page.getByRole("button", { name: "Draft", exact: true }).click();
    await page.waitForFunction((n) => globalThis.told.length > n, i, { timeout: 60_000 });
  }
  const took = await page.evaluate(() => globalThis.told);
  const worked = workerTime(JSON.parse(await stage.browser.stopTracing())) / times;
  const figure = (part) => middle(took, part).toFixed(0);
  tell(
    `${name}: ${took.length} drafts, middle ${figure(0.5)} ms, nine of ten within ${figure(0.9)} ms, longest ${figure(1)} ms; the planner itself at work ${worked.toFixed(0)} ms a draft`,
    { what: `three passes over ${name}, wasm, median`, value: Number(figure(0.5)), unit: "ms", most },
  );
  await page.context().close();
}

const stage = await start();
try {
  await measure(stage, "32 bars", chart32, 300);
  await measure(stage, "200 bars, 20 changes of metre", chart200);
} finally {
  await stage.close();
}
