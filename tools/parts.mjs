// Tells `first.js` which files hold the code of each room: `node tools/parts.mjs FOLDER`, where a page has been built.
//
// Read off the loader that wasm-split writes, and off `src/ui/rooms.rs`, which says what lies where.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const folder = process.argv[2];
const loader = readFileSync(join(folder, "__wasm_split.js"), "utf8");
const rooms = readFileSync("src/ui/rooms.rs", "utf8");

// Of each `makeLoad` its name, its file, and the names of what it shares with others.
const loads = [...loader.matchAll(/(__chunk_\d+|__wasm_split_load_\w+) = (?:wrapAsyncCb\()?makeLoad\([^]*?"\.\/([\w.]+)"[^]*?, \[([^\]]*)\]\)/g)];
const file = Object.fromEntries(loads.map(([, name, file]) => [name, file]));
const parts = {};
for (const [, place, group] of rooms.matchAll(/^ {4}(\w+) in (\w+), fetched by/gm)) {
  const load = loads.find(([, name]) => name === `__wasm_split_load_${group}`);
  if (!load) throw new Error(`parts: the loader does not know ${group}`);
  parts[place] = [load[2], ...load[3].split(",").map((name) => file[name.trim()]).filter(Boolean)];
}
delete parts.sheets;
delete parts.below;
const script = join(folder, "first.js");
writeFileSync(script, `const PARTS = ${JSON.stringify(parts)};\n\n${readFileSync(script, "utf8")}`);
