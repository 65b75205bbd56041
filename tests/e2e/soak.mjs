// Long random use of the built page: `MINUTES=5 SEED=1 node tests/e2e/soak.mjs`. Not part of the tests: it takes as long
// as it is given.
//
// One tab is used without a reload over every view: charts are written, solos drafted, kept and played, the neck is
// tapped, buttons are pressed at random, changes taken back, other tabs opened and closed. A line every quarter of a
// minute tells what the page holds after its rubbish has been collected. It fails where that grew by more than a tenth
// after warming up, where anything went wrong in the console, and where the work did not survive the last reload.
import { DESK, PHONE, shelf, start, started } from "./browser.mjs";

const minutes = Number(process.env.MINUTES ?? 5);
const seed = Number(process.env.SEED ?? 1);
const size = process.env.SIZE === "phone" ? PHONE : DESK;
// Growth that is told as a fault, and the part of the time that warms up.
const GROWTH = 0.1;
const WARM = 0.3;
const VIEWS = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];
// What would leave the page, wait for a person, listen, or take minutes.
const LEFT_ALONE =
  /copy|save|print|open|remove|clear|stems|render|microphone|listen|record|package|load|measure|click|hear the room|full|tuner|choose|paste|share|send|hand in|restore|bring/i;

// Mulberry32: a small generator that the same seed leads the same way.
let state = seed >>> 0;
function chance() {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = Math.imul(state ^ (state >>> 15), state | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const one = (list) => list[Math.floor(chance() * list.length)];

const stage = await start({ flags: ["--autoplay-policy=no-user-gesture-required", "--js-flags=--expose-gc"] });
const page = await stage.open({ size });
// Every memory that a module brings is remembered.
await page.addInitScript(() => {
  globalThis.memories = [];
  for (const name of ["instantiate", "instantiateStreaming"]) {
    const make = WebAssembly[name].bind(WebAssembly);
    WebAssembly[name] = async (...given) => {
      const made = await make(...given);
      const { memory } = (made.instance ?? made).exports;
      if (memory) globalThis.memories.push(memory);
      return made;
    };
  }
});
await page.reload();
await started(page);
const cdp = await page.context().newCDPSession(page);
const faults = [];
const done = {};
let written = 0;
let pressed = "";
let title = null;

const go = (view) => page.evaluate((view) => (location.hash = `#/${view}`), view);
const visible = (selector) => page.locator(selector).filter({ visible: true });

const ACTS = {
  async look() {
    await go(one(VIEWS));
    await page.waitForTimeout(200);
  },
  async write() {
    await go("chart");
    const field = page.getByRole("textbox", { name: "Chart" });
    const door = page.getByRole("button", { name: "Write", exact: true });
    await field.or(door).first().waitFor({ timeout: 5000 });
    if (!(await field.count())) await door.click();
    const bars = Array.from({ length: 4 + Math.floor(chance() * 12) }, () => one(["1", "4", "5", "6-", "2-", "17", "b7", "(1 5)"]));
    title = `Soak ${++written}`;
    await field.fill(`${title}, key ${one(["A", "Bb", "D", "F"])}, ${70 + Math.floor(chance() * 90)}; ${bars.join(" ")}`);
  },
  async wish() {
    await go("solo");
    const slider = visible("input[type=range]");
    const count = await slider.count();
    if (count) await slider.nth(Math.floor(chance() * count)).press(one(["ArrowRight", "ArrowLeft"]));
  },
  async keep() {
    await go("solo");
    const keep = page.getByRole("button", { name: "Keep", exact: true });
    if ((await keep.count()) && (await keep.first().isEnabled()) && kept < 12) {
      await keep.first().click();
      kept++;
    }
  },
  async play() {
    await page.keyboard.press("Escape");
    await page.evaluate(() => document.activeElement?.blur());
    await page.keyboard.press("Space");
    await page.waitForTimeout(500 + chance() * 2500);
    await page.keyboard.press("Space");
  },
  async undo() {
    await page.evaluate(() => document.activeElement?.blur());
    const steps = 1 + Math.floor(chance() * 4);
    for (let i = 0; i < steps; i++) await page.keyboard.press("Control+z");
    for (let i = 0; i < steps; i++) await page.keyboard.press("Control+Shift+z");
  },
  async neck() {
    await go("neck");
    const places = page.locator("[role=gridcell]");
    await places.first().waitFor({ timeout: 5000 });
    const count = await places.count();
    for (let i = 0; i < 4; i++) await places.nth(Math.floor(chance() * count)).dispatchEvent("click");
  },
  async press() {
    await page.keyboard.press("Escape");
    const buttons = visible("main button:enabled, main summary, main [role=tab], main input[type=radio]:enabled");
    const count = await buttons.count();
    if (!count) return;
    const button = buttons.nth(Math.floor(chance() * count));
    const words = (await button.evaluate((b) => `${b.getAttribute("aria-label") ?? ""} ${b.innerText}`)) || "";
    pressed = words.trim().replace(/\s+/g, " ").slice(0, 60);
    if (LEFT_ALONE.test(words)) return;
    await button.evaluate((b) => b.click());
    await page.waitForTimeout(100);
  },
  async other() {
    const other = await page.context().newPage();
    await other.goto(stage.url);
    await started(other);
    await other.evaluate((view) => (location.hash = `#/${view}`), one(VIEWS));
    await other.waitForTimeout(300);
    await other.close();
  },
};
// How often each is done.
const OFTEN = ["look", "look", "look", "write", "write", "wish", "wish", "keep", "play", "undo", "neck", "press", "press", "press", "press", "other"];
let kept = 0;

// Bytes of the page's WebAssembly memories.
const wasmBytes = () => page.evaluate(() => globalThis.memories.reduce((sum, memory) => sum + memory.buffer.byteLength, 0));

async function measure() {
  await go("chart");
  await page.waitForTimeout(1200);
  await cdp.send("HeapProfiler.collectGarbage");
  await cdp.send("HeapProfiler.collectGarbage");
  const { metrics } = await cdp.send("Performance.getMetrics");
  const of = (name) => metrics.find((metric) => metric.name === name)?.value ?? 0;
  const records = await shelf(page);
  const passes = records.reduce((sum, text) => sum + (JSON.parse(text).work?.kept?.passes?.length ?? 0), 0);
  const shelved = records.reduce((sum, text) => sum + text.length, 0);
  return { heap: of("JSHeapUsedSize"), wasm: await wasmBytes(), nodes: of("Nodes"), listeners: of("JSEventListeners"), passes, shelved, songs: records.length };
}

// With TELL=1: which act made the WebAssembly memory larger, and where.
let held = 0;
async function tellGrowth(name) {
  const now = await wasmBytes();
  if (held && now > held) {
    const place = await page.evaluate(() => location.hash);
    console.log(`        ${(now - held) / 1024} kB more with: ${name} at ${place}${name === "press" ? `, ${pressed}` : ""}`);
  }
  held = now;
}

const mega = (bytes) => (bytes / 2 ** 20).toFixed(1).padStart(7);
const begin = Date.now();
const elapsed = () => (Date.now() - begin) / 60_000;
const measures = [];
await cdp.send("Performance.enable");
console.log(`seed ${seed}, ${minutes} min at ${size.width} px`);
console.log(" minute  heap MB  wasm MB   nodes  listeners  acts  songs passes shelf MB");
let acts = 0;
let next = 0;
while (elapsed() < minutes) {
  if (elapsed() >= next) {
    const now = { at: elapsed(), ...(await measure()) };
    measures.push(now);
    console.log(`${now.at.toFixed(2).padStart(7)} ${mega(now.heap)}  ${mega(now.wasm)} ${String(now.nodes).padStart(7)} ${String(now.listeners).padStart(10)} ${String(acts).padStart(5)} ${String(now.songs).padStart(6)} ${String(now.passes).padStart(6)} ${mega(now.shelved)}`);
    next = elapsed() + 0.25;
  }
  const name = one(OFTEN);
  done[name] = (done[name] ?? 0) + 1;
  acts++;
  // What cannot be done just now (a door that closed) is no fault; what the page says in its console is.
  await ACTS[name]().catch((error) => (done[`${name} not possible`] = (done[`${name} not possible`] ?? 0) + 1, process.env.TELL && console.log(error.message)));
  if (process.env.TELL) await tellGrowth(name);
}
measures.push({ at: elapsed(), ...(await measure()) });

// Whether the work survives: written once more, read after a reload.
await ACTS.write();
const before = await page.locator(".song-name").innerText();
await page.waitForTimeout(2500);
const passes = async () => {
  const records = (await shelf(page)).map((text) => JSON.parse(text));
  const work = records.find((record) => record.name === before)?.work;
  return work && JSON.stringify([work.chart, work.kept]);
};
const shelved = await passes();
await page.reload();
await started(page);
const after = await page.locator(".song-name").innerText();
if (before !== title || after !== title) faults.push(`the song was ${title}, on the page ${before}, after the reload ${after}`);
if (!shelved || shelved !== (await passes())) faults.push("the record on the shelf is not what it was before the reload");
faults.push(...page.faults);

// The least of a stretch is what the page cannot do without. A module's memory is never given back: its last is what
// the page has come to need.
const least = (some, what) => Math.min(...some.map((m) => m[what]));
const warm = measures.filter((m) => m.at >= WARM * minutes);
const half = Math.ceil(warm.length / 2);
for (const what of ["heap", "wasm", "nodes", "listeners"]) {
  const later = what === "wasm" ? warm.slice(-1) : warm.slice(half);
  const [first, last] = [least(warm.slice(0, half), what), least(later, what)];
  const grown = last / first - 1;
  console.log(`${what}: ${grown >= 0 ? "+" : ""}${(100 * grown).toFixed(1)} % after warming up`);
  if (grown > GROWTH && (what === "heap" || what === "wasm")) faults.push(`${what} grew by ${(100 * grown).toFixed(1)} %`);
}
console.log(`${acts} acts: ${Object.entries(done).map(([name, count]) => `${name} ${count}`).join(", ")}`);
for (const fault of [...new Set(faults)]) console.log(`FAULT ${fault}`);
console.log(faults.length ? "soak: failed" : "soak: the work survived, nothing was said in the console, memory stayed");
await stage.close();
process.exitCode = faults.length ? 1 : 0;
