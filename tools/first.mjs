// Tells `first.js` what only the build knows: `node tools/first.mjs FOLDER`, where a page has been built.
//
// What the frame says in each language comes from the message files; which files hold the code of each room is read off
// the loader that wasm-split writes, and off `src/ui/rooms.rs`, which says what lies where.
import { existsSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const folder = process.argv[2];
const script = join(folder, "first.js");
const page = readFileSync(join(folder, "index.html"), "utf8");
const first = readFileSync(script, "utf8");

// What stands in the frame, every place that it may be drawn for, and what is said where the page cannot go on.
function said() {
  const places = JSON.parse(/const PLACES = (\[.*\]);/.exec(first)[1]).map((name) => name[0].toUpperCase() + name.slice(1));
  const frame = page.slice(page.indexOf('<main class="page">'), page.indexOf("<noscript>"));
  const calm = ["boot.js", "trouble.js"].map((name) => readFileSync(join(folder, name), "utf8")).join("");
  const found = (text, form) => [...text.matchAll(form)].map(([, key]) => key);
  const keys = [...places, ...found(frame, /<span[^>]*>([^<]+)<\/span>/g), ...found(calm, /\bsay\("([^"]+)"\)/g)];
  const words = {};
  for (const name of readdirSync(join(folder, "words"))) {
    const all = Object.assign({}, ...Object.values(JSON.parse(readFileSync(join(folder, "words", name), "utf8"))));
    const missing = keys.filter((key) => !(key in all));
    if (missing.length) throw new Error(`first: ${name} does not say ${missing.join(", ")}`);
    words[name.replace(".json", "")] = Object.fromEntries(keys.filter((key) => all[key] !== key).map((key) => [key, all[key]]));
  }
  return words;
}

// The files of each room, where the code is split.
function parts() {
  const loader = readFileSync(join(folder, "__wasm_split.js"), "utf8");
  const rooms = readFileSync("src/ui/rooms.rs", "utf8");
  // Of each `makeLoad` its name, its file, and the names of what it shares with others.
  const loads = [...loader.matchAll(/(__chunk_\d+|__wasm_split_load_\w+) = (?:wrapAsyncCb\()?makeLoad\([^]*?"\.\/([\w.]+)"[^]*?, \[([^\]]*)\]\)/g)];
  const file = Object.fromEntries(loads.map(([, name, file]) => [name, file]));
  const parts = {};
  for (const [, place, group] of rooms.matchAll(/^ {4}(\w+) in (\w+), fetched by/gm)) {
    const load = loads.find(([, name]) => name === `__wasm_split_load_${group}`);
    if (!load) throw new Error(`first: the loader does not know ${group}`);
    parts[place] = [load[2], ...load[3].split(",").map((name) => file[name.trim()]).filter(Boolean)];
  }
  const { sheets, under, below, ...places } = parts;
  // What is delivered is a pass: the code that reads the passes that come with the page lies with the solo's.
  places.deliver = [...new Set([...places.deliver, ...places.solo])];
  return places;
}

const split = existsSync(join(folder, "__wasm_split.js")) ? `const PARTS = ${JSON.stringify(parts())};\n` : "";
writeFileSync(script, `const WORDS = ${JSON.stringify(said())};\n${split}\n${first}`);
