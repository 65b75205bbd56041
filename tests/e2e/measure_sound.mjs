// Figures of the built page's sound, to be read and not asserted: `node tests/e2e/measure_sound.mjs [SECONDS]`.
//
// All strings are plucked twice a second through the driven amplifier while the page is kept busy. It prints: what
// the audio thread missed (the browser's own count), how long a command takes to its first sample, how much faster
// than time the whole chain renders, and how long the loading of the song's score keeps the audio thread.
import { cp, mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { DESK, DIST, start, started } from "./browser.mjs";
import { middle, tell } from "./figures.mjs";

const seconds = Number(process.argv[2] ?? 60);

// The shipped processor, which here tells by the clock when a command was obeyed and how long a score took.
const folder = await mkdtemp(join(tmpdir(), "measure-"));
const dist = join(folder, "dist");
await cp(DIST, dist, { recursive: true });
const worklet = (await readFile(join(dist, "worklet.js"), "utf8"))
  .replace(
    "this.port.onmessage = ({ data }) => this.obey(data);",
    `this.port.onmessage = ({ data }) => {
       const begin = Date.now();
       this.obey(data);
       if (data.length > 5000) this.port.postMessage(JSON.stringify({ loaded: Date.now() - begin, bytes: data.length }));
       this.obeyed = true;
     };`,
  )
  .replace("process(_inputs, [channels]) {", `process(_inputs, [channels]) {
    if (this.obeyed) this.port.postMessage(JSON.stringify({ effect: Date.now() }));
    this.obeyed = false;`);
await writeFile(join(dist, "worklet.js"), worklet);

function prepare() {
  const told = (globalThis.told = { sent: [], effects: [], loads: [] });
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Uint8Array) {
      told.sent.push(message.slice());
      if (told.port !== this) {
        told.port = this;
        this.addEventListener("message", ({ data }) => {
          const news = typeof data === "string" ? JSON.parse(data) : {};
          if (news.effect) told.effects.push(news.effect);
          if (news.bytes) told.loads.push(news);
        });
      }
    }
    return post.call(this, message, ...more);
  };
  const Node = AudioWorkletNode;
  globalThis.AudioWorkletNode = class extends Node {
    constructor(context, name, options) {
      super(context, name, options);
      told.sent.unshift(...options.processorOptions.commands);
    }
  };
  const Context = AudioContext;
  globalThis.AudioContext = class extends Context {
    constructor(...given) {
      super(...given);
      told.context = this;
    }
  };
}

const stage = await start({ dist });
try {
  const page = await stage.open({ size: DESK });
  await page.addInitScript(prepare);
  await page.reload();
  await started(page);
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  await page.getByRole("button", { name: /^Rig/ }).click();
  await page.getByRole("main").locator("label", { hasText: "Driven" }).click();
  await page.getByRole("button", { name: "Play", exact: true }).click();
  await page.waitForTimeout(1500);
  // Another draft while it plays: the score is loaded anew into a running engine.
  await page.getByRole("navigation").getByRole("button", { name: "Solo" }).click();
  for (const pass of await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").all()) {
    await pass.click();
    await page.waitForTimeout(500);
  }
  await page.getByRole("button", { name: "Stop", exact: true }).click();

  const live = await page.evaluate(async (seconds) => {
    const { told } = globalThis;
    const give = (command) => told.port.postMessage(new TextEncoder().encode(JSON.stringify(command)));
    const wait = (ms) => new Promise((done) => setTimeout(done, ms));
    const before = { ...told.context.playbackStats?.toJSON?.() };
    const [places, lags] = [[...document.querySelectorAll("nav button")], []];
    const end = performance.now() + seconds * 1000;
    for (let turn = 0; performance.now() < end; turn++) {
      for (let string = 1; string <= 10; string++) {
        give({ live: { pluck: { string, strength: 0.8, finger: "thumb", touch: "plain" } } });
      }
      if (turn % 4 === 0) places[(turn / 4) % places.length].click();
      for (let i = 0; i < 5; i++) {
        await wait(50 + Math.random() * 40);
        const sent = Date.now();
        told.effects.length = 0;
        give({ live: { bar: { fret: 3 + (i % 3) } } });
        // The page busy as it is when it redraws.
        while (performance.now() % 100 < 15);
        await wait(25);
        if (told.effects.length) lags.push(told.effects[0] - sent);
      }
    }
    const after = { ...told.context.playbackStats?.toJSON?.() };
    return { before, after, lags, rate: told.context.sampleRate, base: told.context.baseLatency };
  }, seconds);

  const chain = await page.evaluate(async () => {
    const { told } = globalThis;
    const text = (bytes) => JSON.parse(new TextDecoder().decode(bytes));
    const last = (kind) => told.sent.findLast((bytes) => text(bytes)[kind]);
    const commands = ["load", "mix", "amp"].map(last);
    commands.push(new TextEncoder().encode(JSON.stringify({ play: { from: 0 } })));
    const module = await WebAssembly.compileStreaming(fetch("engine_bg.wasm"));
    const factors = [];
    for (let round = 0; round < 5; round++) {
      const context = new OfflineAudioContext(2, 48_000 * 20, 48_000);
      await context.audioWorklet.addModule("worklet-text.js");
      await context.audioWorklet.addModule("worklet.js");
      const node = new AudioWorkletNode(context, "leadbar-voice", {
        numberOfInputs: 0,
        outputChannelCount: [2],
        processorOptions: { module, commands },
      });
      node.connect(context.destination);
      const begin = performance.now();
      await context.startRendering();
      factors.push(20_000 / (performance.now() - begin));
    }
    return factors;
  });
  const loads = await page.evaluate(() => globalThis.told.loads);

  const missed = (key) => (live.after[key] ?? Number.NaN) - (live.before[key] ?? 0);
  console.log(`sample rate ${live.rate} Hz, base latency ${(live.base * 1000).toFixed(1)} ms`);
  tell(`under-runs in ${seconds} s, all strings ringing, driven, page busy: ${missed("underrunEvents")}`, {
    what: `under-runs in ${seconds} s of ten strings, driven, page busy`,
    value: missed("underrunEvents"),
    unit: "",
    most: 0,
  });
  tell(
    `command to its first sample: median ${middle(live.lags)} ms, 95 % ${middle(live.lags, 0.95)} ms, of ${live.lags.length}`,
    { what: "command to its first sample, median", value: middle(live.lags), unit: "ms", most: 10 },
  );
  tell(`whole chain, driven, band playing: ${chain.map((x) => x.toFixed(0)).join(", ")} times real time`, {
    what: "whole chain in wasm, driven, band playing",
    value: Math.min(...chain),
    unit: "x real time",
    least: 60,
  });
  console.log(`loading a score: ${loads.map((load) => `${load.loaded} ms for ${load.bytes} bytes`).join("; ")}`);
} finally {
  await stage.close();
  await rm(folder, { recursive: true });
}
