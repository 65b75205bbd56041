// Before the page runs: the light and the language as they were set, and the place that the address names, in the frame
// that index.html draws; on a first visit also that place's picture, as the page will draw it, from `first/`. What runs
// the page is asked for when that is on the screen: until then nothing is to hold it up.
//
// The build writes in front what the frame says (WORDS) and, where the code is split, the files of each place (PARTS).

// Every place, as app::View names it.
const PLACES = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];
// Those that have a picture; tools/picture.mjs takes them.
const PICTURED = ["chart", "neck", "solo", "learn", "class", "rig", "deliver"];
// How long the page waits for its picture, in milliseconds: some ways to a host and back on a slow line.
const PATIENCE = 800;
// How long it waits until that is on the screen: a device that is busy takes its time, and then what runs the page is the
// last thing that it should be asked for.
const BUSY = 3000;

function kept(name) {
  try {
    return localStorage.getItem(name);
  } catch {
    // A browser that keeps nothing for this page.
    return null;
  }
}

const light = kept("leadbar.light");
if (light) document.documentElement.dataset.theme = light;

const address = location.hash.replace(/^#?\/?/, "").toLowerCase();
const named = address.split("/")[0];
const place = PLACES.includes(named) ? named : "solo";
const name = place[0].toUpperCase() + place.slice(1);
const boot = document.getElementById("boot");
boot.querySelector("h1").textContent = name;
for (const there of boot.querySelectorAll(".nav span")) {
  if (there.textContent === name) there.setAttribute("aria-current", "page");
  else there.removeAttribute("aria-current");
}

// The language as words::Language chooses it.
const words = typeof WORDS === "object" ? WORDS : {};
const tags = [kept("leadbar.language"), ...navigator.languages].map((tag) => tag?.split(/[-_]/)[0].toLowerCase());
const language = tags.find((tag) => tag in words);
if (language) {
  document.documentElement.lang = language;
  // For what has to be said where the page can't: trouble.js.
  globalThis.leadbarWords = words[language];
  for (const part of boot.querySelectorAll(":is(h1, .nav span, .first-line span)")) {
    part.textContent = words[language][part.textContent] ?? part.textContent;
  }
}

// A page that is kept on the device has everything at hand.
const isKept = Boolean(navigator.serviceWorker?.controller);
if (isKept) begin();
else (isFirst() ? draw() : Promise.resolve()).catch(() => {}).then(seen).then(begin);

// Whether the page will show what the pictures show: the demo song, untouched, in English. Whoever has been here before
// has left something beside the light, work or a word that there is some.
function isFirst() {
  if (!["", ...PICTURED].includes(address) || !PICTURED.includes(place)) return false;
  if ((language ?? "en") !== "en" || document.querySelector("meta[name='leadbar-package']")) return false;
  try {
    return !Object.keys(localStorage).some((name) => name.startsWith("leadbar.") && name !== "leadbar.light");
  } catch {
    return true;
  }
}

// Shows the picture of the place, as a thing to look at: nothing in it can be pressed, and who listens to the page hears
// what the frame said.
async function draw() {
  const size = matchMedia("(min-width: 56.25em)").matches ? "desk" : "phone";
  const come = await fetch(`./first/${place}-${size}.html`, { signal: AbortSignal.timeout(PATIENCE) });
  if (!come.ok) return;
  const picture = document.createElement("template");
  picture.innerHTML = await come.text();
  const main = boot.querySelector("main");
  main.className = "unseen";
  boot.querySelector(".frame").remove();
  main.before(picture.content);
  // The policy lets no style stand in a file; what the page itself sets is set as it does it.
  for (const part of boot.querySelectorAll("[data-style]")) part.style.cssText = part.dataset.style;
  for (const part of boot.querySelectorAll("[data-scroll]")) part.scrollTo(...part.dataset.scroll.split(" "));
}

// Waits until what has been done is on the screen, where there is one, but not for long.
async function seen() {
  if (!document.hidden) await Promise.race([onScreen(), new Promise((done) => setTimeout(done, BUSY))]);
}

// Waits until what has been done is on the screen: something has been, and the browser asks for the picture after the
// next, which it does when it has taken in the next.
async function onScreen() {
  await new Promise((done) => new PerformanceObserver(done).observe({ type: "paint", buffered: true }));
  for (let pictures = 0; pictures < 3; pictures++) await new Promise(requestAnimationFrame);
}

// Asks for what runs the page.
function begin() {
  if (!isKept) {
    ask({ rel: "modulepreload", href: "./leadbar.js" });
    ask({ rel: "preload", as: "fetch", type: "application/wasm", href: "./leadbar_bg.wasm" });
    if (typeof PARTS === "object") {
      ask({ rel: "modulepreload", href: "./__wasm_split.js" });
      for (const part of PARTS[place]) ask({ rel: "preload", as: "fetch", type: "application/wasm", href: `./${part}` });
    }
    if (["solo", "deliver"].includes(place)) ask({ rel: "preload", as: "fetch", type: "application/json", href: "./first-draft.json" });
  }
  document.head.append(Object.assign(document.createElement("script"), { type: "module", src: "./boot.js" }));
}

function ask(what) {
  document.head.append(Object.assign(document.createElement("link"), { crossOrigin: "anonymous" }, what));
}
