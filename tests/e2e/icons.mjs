// The icons of the installed page, drawn from static/icons/mark.svg: `node tests/e2e/icons.mjs`.
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { start } from "./browser.mjs";

const ICONS = fileURLToPath(new URL("../../static/icons/", import.meta.url));
const mark = await readFile(`${ICONS}mark.svg`, "utf8");
// A system may cut a maskable icon to a circle four fifths wide: the ground goes to the edge, the mark stays inside.
const masked = mark.replace('viewBox="0 0 32 32"', 'viewBox="-6 -6 44 44"').replace(/<rect[^>]*\/>/, '<rect x="-6" y="-6" width="44" height="44" fill="#14110d"/>');

const stage = await start();
const context = await stage.browser.newContext();
for (const [name, size, drawn] of [["mark-192", 192, mark], ["mark-512", 512, mark], ["mark-maskable", 512, masked]]) {
  const page = await context.newPage();
  await page.setViewportSize({ width: size, height: size });
  await page.setContent(`<style>body{margin:0}svg{display:block;width:${size}px;height:${size}px}</style>${drawn}`);
  await page.screenshot({ path: `${ICONS}${name}.png`, omitBackground: true });
}
await stage.close();
