// Pictures of the built page: `node tests/e2e/shots.mjs FOLDER [PATH-OR-STEP ...]`.
//
// Writes NAME-SIZE-SCHEME.png at phone and desk size, light and dark. Each argument is a view to show,
// as the part of the address after the page's own (`#/neck`), or `NAME=ADDRESS` to name the picture,
// or `NAME=click:TEXT,click:TEXT` to reach it by pressing the buttons, links or tabs with those names.
// SIZES=390x844,1280x800 and SCHEMES=light,dark choose others; FULL=1 takes the whole height.
import { mkdir } from "node:fs/promises";
import { join } from "node:path";
import { start } from "./browser.mjs";

const [folder, ...wanted] = process.argv.slice(2);
if (!folder) {
  console.error("usage: node tests/e2e/shots.mjs FOLDER [ADDRESS | NAME=ADDRESS | NAME=click:TEXT,...] ...");
  process.exit(2);
}
const sizes = (process.env.SIZES ?? "390x844,1280x800").split(",").map((size) => {
  const [width, height] = size.split("x").map(Number);
  return { width, height };
});
const schemes = (process.env.SCHEMES ?? "light,dark").split(",");
const views = (wanted.length ? wanted : ["start="]).map(parse);

function parse(argument) {
  const [, name, rest] = /^(?:([\w-]+)=)?(.*)$/s.exec(argument);
  const steps = rest.startsWith("click:") ? rest.split(",").map((step) => step.replace(/^click:/, "")) : [];
  return { name: name ?? (rest.replace(/\W+/g, "-").replace(/^-|-$/g, "") || "start"), path: steps.length ? "" : rest, steps };
}

// Presses what a person would see under that name.
async function press(page, name) {
  for (const role of ["button", "link", "tab", "menuitem", "radio", "switch"]) {
    const found = page.getByRole(role, { name }).filter({ visible: true }).first();
    if (await found.count()) return found.click();
  }
  await page.getByText(name).filter({ visible: true }).first().click();
}

await mkdir(folder, { recursive: true });
const stage = await start();
let faults = 0;
try {
  for (const { name, path, steps } of views) {
    for (const size of sizes) {
      for (const scheme of schemes) {
        const page = await stage.open({ size, scheme, path });
        for (const step of steps) await press(page, step);
        await page.waitForTimeout(400);
        const file = join(folder, `${name}-${size.width}x${size.height}-${scheme}.png`);
        await page.screenshot({ path: file, fullPage: Boolean(process.env.FULL) });
        console.log(file);
        for (const fault of page.faults) console.error(`  ${fault}`);
        faults += page.faults.length;
        await page.context().close();
      }
    }
  }
} finally {
  await stage.close();
}
process.exitCode = faults ? 1 : 0;
