// How the built page does in Lighthouse's mobile profile: `node lighthouse.mjs [VIEW...]`, all main views by default.
// Prints a table and what is found; fails below the least of any score.
//
// Figures of speed are of this machine: Lighthouse works out from them how a middling phone on a slow line would do.
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { launch } from "chrome-launcher";
import lighthouse from "lighthouse";
import { serve } from "../../tools/serve.mjs";
import { chromiumPath, DIST } from "../e2e/browser.mjs";

const VIEWS = ["solo", "chart", "neck", "learn", "class", "rig", "deliver"];
const CATEGORIES = ["performance", "accessibility", "best-practices"];
const LEAST = 95;

const views = process.argv.length > 2 ? process.argv.slice(2) : VIEWS;
const server = await serve(DIST, { compress: true });
let low = 0;
try {
  console.log("view      perf  a11y  best    FCP    LCP    TTI    TBT   CLS      sent");
  for (const view of views) {
    const lhr = await visited(view);
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
    );
    for (const audit of found(lhr)) console.log(`    ${audit}`);
    low += scores.filter((score) => score < LEAST).length;
  }
} finally {
  await server.close();
}
console.log(low === 0 ? `every score is at least ${LEAST}` : `${low} scores are below ${LEAST}`);
process.exitCode = low === 0 ? 0 : 1;

// A first visit of a view: with a profile of its own, for what the view before left on the device would make it another.
async function visited(view) {
  const chrome = await launch({
    chromePath: chromiumPath(),
    chromeFlags: ["--headless=new", "--no-sandbox", "--disable-dev-shm-usage"],
    userDataDir: mkdtempSync(join(tmpdir(), "leadbar-lighthouse-")),
  });
  try {
    const { lhr } = await lighthouse(`${server.url}#${view}`, { port: chrome.port, onlyCategories: CATEGORIES });
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
