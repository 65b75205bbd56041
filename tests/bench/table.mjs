// Every figure that is asked of Leadbar, measured in one go and told as a table: `make bench`, or
// `node tests/bench/table.mjs [ONLY ...]` with some of `native`, `accuracy`, `listening`, `browser`, `sizes`.
//
// Times depend on the machine, so each stands beside what it is compared with in the same run: a plain loop that finds
// the same, real time, or the aim. Nothing is asserted. What could not be measured is said to be so.
import { spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const root = new URL("../..", import.meta.url).pathname;
const only = process.argv.slice(2);
const rows = [];

// A row: `most` or `least` is the aim, `reference` what it is compared with, in the same unit.
const add = (row) => rows.push(row);

function run(command, args, env = {}) {
  console.error(`${command} ${args.join(" ")}`);
  const done = spawnSync(command, args, {
    cwd: root,
    env: { ...process.env, ...env },
    encoding: "utf8",
    maxBuffer: 1 << 28,
    stdio: ["ignore", "pipe", "inherit"],
  });
  return done.status === 0 ? done.stdout : null;
}

// Criterion's own records, by the names of the benches: medians in milliseconds.
function medians() {
  const found = new Map();
  const target = process.env.CARGO_TARGET_DIR ?? join(root, "target");
  const folder = join(target, "criterion");
  if (!existsSync(folder)) return found;
  for (const file of readdirSync(folder, { recursive: true })) {
    if (!file.endsWith(join("new", "estimates.json"))) continue;
    const read = (name) => JSON.parse(readFileSync(join(folder, file, "..", name)));
    found.set(read("benchmark.json").full_id, read("estimates.json").median.point_estimate / 1e6);
  }
  return found;
}

function native() {
  const out = ["places", "plan", "sound"].map((bench) => run("cargo", ["bench", "-q", "--bench", bench]) ?? "").join("\n");
  const took = medians();
  const at = (name) => took.get(name) ?? Number.NaN;
  const loop = { value: at("24 triads/plain loop"), words: "a plain loop" };
  add({ what: "24 triads on E9, native", value: at("24 triads/search"), unit: "ms", most: 3, reference: loop });
  const drafts = [...took].filter(([name]) => name.startsWith("three passes over 16 bars"));
  const [longest = ["three passes over 16 bars", Number.NaN]] = drafts.sort((one, other) => other[1] - one[1]);
  add({ what: `${longest[0]}, native, the slowest feel`, value: longest[1], unit: "ms", most: 200, reference: loop });
  const times = (pattern) => Number(pattern.exec(out)?.[1] ?? Number.NaN);
  add({ what: "ten strings and the whole chain, driven, native", value: times(/driven: (\d+) times/), unit: "x real time", least: 60 });
  add({ what: "six stems, native", value: times(/six stems: (\d+) times/), unit: "x real time", least: 12 });
}

// What tests print of how near they come. Each: the program and the part of it, the pattern of its lines, and how the
// worst is told.
const ACCURACIES = [
  ["sound pitch::", /^still.*worst ([\d.]+) cents/, "pitch of a still string, worst", "cents", { most: 0.05 }],
  ["sound pitch::", /^glide.*worst ([\d.]+) cents/, "pitch through a glide of an octave a second, worst", "cents", { most: 2 }],
  ["sound amp::", /worst alias (-[\d.]+) dB/, "aliases of the driven pedal, worst", "dB", { most: -60 }],
  ["listen pitch::", /^notes, .*median ([\d.]+)/, "tuner, plucked notes, median", "cents", { most: 0.4 }],
  ["listen pitch::", /^notes, .*gross ([\d.]+) %/, "tuner, plucked notes, gross errors", "%", { most: 0.5 }],
  ["listen pitch::", /^glides, .*median ([\d.]+)/, "tuner, glides, median", "cents", { most: 0.22 }],
];

function accuracy() {
  const outputs = new Map();
  for (const [test, pattern, what, unit, aim] of ACCURACIES) {
    const [program, part] = test.split(" ");
    if (!outputs.has(test)) outputs.set(test, run("cargo", ["test", "-q", "--test", program, "--", part, "--nocapture"]) ?? "");
    const found = outputs.get(test).split("\n").map((line) => Number(pattern.exec(line)?.[1] ?? Number.NaN));
    const told = found.filter((value) => !Number.isNaN(value));
    add({ what, value: told.length ? Math.max(...told) : Number.NaN, unit, ...aim });
  }
}

// The scores of the outside check that has rendered songs heard: its last table.
function listening() {
  const out = run("bash", ["tools/outside.sh", "listen"]) ?? "";
  const lines = out.split("\n");
  const head = lines.find((line) => /^\s*\S* *songs {2}/.test(line))?.trim().split(/\s+/) ?? [];
  const all = lines.find((line) => line.startsWith("all"))?.trim().split(/\s+/) ?? [];
  const aims = { majmin: 0.92, sevenths: 0.75, beats: 0.94, tempo: 0.95, metre: 1, key: 0.95 };
  for (const [name, least] of Object.entries(aims)) {
    // Of what names the rows there may be more words than one: the columns are counted from the right.
    const value = Number(all.at(head.indexOf(name) - head.length) ?? Number.NaN);
    add({ what: `chart from rendered songs, ${name}`, value, unit: "of 1", least });
  }
}

function browser() {
  const folder = mkdtempSync(join(tmpdir(), "figures-"));
  const figures = join(folder, "figures");
  try {
    for (const script of ["sound", "drafts", "page", "hearing"]) {
      const done = run("node", [`tests/e2e/measure_${script}.mjs`], { FIGURES: figures });
      if (done === null) add({ what: `what measure_${script}.mjs measures`, value: Number.NaN, unit: "" });
    }
    const lines = existsSync(figures) ? readFileSync(figures, "utf8").trim().split("\n") : [];
    for (const line of lines) add(JSON.parse(line));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function sizes() {
  const out = run("node", ["tools/sizes.mjs"]) ?? "";
  const kilobytes = (name) => Number(new RegExp(`^${name} .* (\\d+) kB brotli`, "m").exec(out)?.[1] ?? Number.NaN);
  add({ what: "the page's module, brotli", value: kilobytes("leadbar_bg\\.wasm"), unit: "kB", most: 400 });
  add({ what: "a first visit, brotli", value: kilobytes("the first visit"), unit: "kB", most: 600 });
}

const PARTS = { native, accuracy, listening, browser, sizes };
for (const [name, part] of Object.entries(PARTS)) if (only.length === 0 || only.includes(name)) part();

const figure = (x) => (Number.isNaN(x) ? "not measured" : String(Number(x.toPrecision(3))));
console.log("| what | measured | aim | against it |\n|---|---|---|---|");
let missed = 0;
for (const { what, value, unit, most, least, reference } of rows) {
  const aim = most ?? least;
  const met = most === undefined ? value >= least : value <= most;
  if (aim !== undefined && !met) missed += 1;
  const asked = aim === undefined ? "" : `${most === undefined ? "at least" : "at most"} ${aim} ${unit}`;
  const against = reference
    ? `${figure(value / reference.value)} of ${reference.words} (${figure(reference.value)} ${unit})`
    : aim
      ? `${figure(value / aim)} of the aim`
      : "";
  console.log(`| ${what} | ${figure(value)} ${unit} | ${asked}${met || aim === undefined ? "" : ", missed"} | ${against} |`);
}
console.log(`\n${rows.length} figures, ${missed} ${missed === 1 ? "aim" : "aims"} missed`);
