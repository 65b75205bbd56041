// What a built page weighs: `node tools/sizes.mjs [FOLDER]`.
//
// The first visit is what comes before the page can be used: its frame, the room it begins with, what that shares with
// others, styles, scripts and the font. The engine, which the first draft and sound ask for, and the other rooms come after.
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { brotliCompressSync, constants } from "node:zlib";

const folder = process.argv[2] ?? "dist";
// Fonts and pictures are compressed as they are.
const PACKED = /\.(woff2|png)$/;
// Neither is asked for by a page that starts: the engine comes later, the others are read by people and packages.
const LATER = /^(engine|worker|worklet|split_course|split_places|files\.txt|service\.js|icons\/mark-|instruments|feels|limits|patterns|songs)/;

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
line("the first visit", sum(all.filter(({ name }) => !LATER.test(name))));
line("all there is", sum(all));
