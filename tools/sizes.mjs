// What a built page weighs: `node tools/sizes.mjs [FOLDER]`.
//
// The first visit is what comes before the page can be used, in English and on a desk: its frame, its picture, the room
// it begins with and the passes it shows, styles, scripts and the font. The other rooms, the engine and what is kept for
// offline use come when the page is at rest; the font's other letters come where one of them is shown.
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants } from "node:zlib";

const folder = process.argv[2] ?? "dist";
// Fonts and pictures are compressed as they are.
const PACKED = /\.(woff2|png)$/;
// What every page begins with; the files of its room are named by the build.
const FIRST = /^(index\.html|css\/page\.css|fonts\/leadbar\.woff2|first\/solo-desk\.html|(first|boot|trouble|offline|leadbar|__wasm_split)\.js|leadbar_bg\.wasm|first-draft\.json|leadbar\.webmanifest|icons\/mark\.svg)$/;
const parts = /\bsolo["']?:\s*\[([^\]]*)\]/.exec(readFileSync(join(folder, "first.js"), "utf8"));
const room = parts ? [...parts[1].matchAll(/[\w.]+\.wasm/g)].map(([name]) => name) : [];
const isFirst = (name) => FIRST.test(name) || room.includes(name);

function weigh(name) {
  const bytes = readFileSync(join(folder, name));
  const brotli = PACKED.test(name)
    ? bytes.length
    : brotliCompressSync(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } }).length;
  return { name, raw: bytes.length, brotli };
}

const names = readdirSync(folder, { recursive: true }).filter((name) => statSync(join(folder, name)).isFile());
const all = names.map(weigh);
const sum = (list) => list.reduce((to, of) => ({ raw: to.raw + of.raw, brotli: to.brotli + of.brotli }), { raw: 0, brotli: 0 });
const line = (what, { raw, brotli }) =>
  console.log(`${what.padEnd(24)} ${(raw / 1000).toFixed(0).padStart(7)} kB ${(brotli / 1000).toFixed(0).padStart(6)} kB brotli`);

for (const one of all.filter(({ name }) => name.endsWith(".wasm")).sort((a, b) => b.raw - a.raw)) line(one.name, one);
line("the first visit", sum(all.filter(({ name }) => isFirst(name))));
line("all there is", sum(all));
