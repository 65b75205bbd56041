// A learning platform for the tests: a folder with a page that offers the functions of SCORM 1.2 and shows a package
// in a frame, some folders below.
import { execFileSync } from "node:child_process";
import { copyFile, mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { start } from "./browser.mjs";

const here = (name) => fileURLToPath(new URL(name, import.meta.url));

// Where the package lies in the platform, as platforms lay them out.
const PLACE = "files/mod_7/content";

// The run-times: our own that takes nothing which the standard does not allow, and one that others use.
const RUN_TIMES = {
  strict: {
    script: here("strict_platform.js"),
    begin: (given) => `window.API = strictPlatform(${JSON.stringify(given)});`,
  },
  common: {
    script: here("node_modules/scorm-again/dist/scorm12.min.js"),
    begin: (given) => `
      window.API = new Scorm12API({ autocommit: false, logLevel: 5 });
      const kept = JSON.parse(localStorage.getItem("kept") ?? "null");
      API.loadFromJSON(kept ?? { core: { lesson_mode: "normal", credit: "credit" }, student_data: ${JSON.stringify({
        mastery_score: given.mastery ?? "",
      })} });
      const keep = () => {
        const cmi = JSON.parse(API.renderCMIToJSONString()).cmi;
        cmi.core.entry = "resume";
        localStorage.setItem("kept", JSON.stringify(cmi));
      };
      for (const name of ["LMSCommit", "LMSFinish"]) API.on(name, keep);
      window.seen = () => JSON.parse(localStorage.getItem("kept")).core;`,
  },
};

// Unpacks `zip` into a platform with this run-time and starts it below a path. `given` is what it knows beforehand.
export async function platform(zip, runTime, given = {}) {
  const folder = await mkdtemp(join(tmpdir(), "leadbar-platform-"));
  const inside = join(folder, PLACE);
  await mkdir(inside, { recursive: true });
  // Another reader of archives than the writer, which checks every sum.
  execFileSync("python3", ["-m", "zipfile", "-t", zip]);
  execFileSync("python3", ["-m", "zipfile", "-e", zip, inside]);
  const { script, begin } = RUN_TIMES[runTime];
  await copyFile(script, join(folder, "run-time.js"));
  await writeFile(
    join(folder, "index.html"),
    `<!doctype html><html lang="en"><meta charset="utf-8"><title>A school</title><link rel="icon" href="data:,">
<style>body { margin: 0 } iframe { width: 100vw; height: 100vh; border: 0; display: block }</style>
<script src="run-time.js"></script><script>${begin(given)}</script>
<iframe title="The package" src="${PLACE}/index.html" allow="autoplay"></iframe></html>`,
  );
  const stage = await start({ dist: folder, base: "/school/lms/" });
  return {
    ...stage,
    inside,
    // Opens the platform; answers with its page and the package's frame once that has begun.
    async visit(options) {
      const page = await stage.open(options);
      return { page, frame: await begun(page) };
    },
    async close() {
      await stage.close();
      await rm(folder, { recursive: true });
    },
  };
}

// The package's frame, once the page in it has begun.
export async function begun(page) {
  const element = await page.waitForSelector("iframe");
  const frame = await element.contentFrame();
  await frame.waitForSelector(".shell", { timeout: 60_000 });
  return frame;
}
