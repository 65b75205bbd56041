// Before the page runs: the light and the language as they were set, and the place that the address names, in the frame
// that index.html draws. What that place needs is asked for at once, beside the module, by a visit that nothing is kept
// for yet. The build writes in front what the frame says (WORDS) and, where the code is split, the files of each place
// (PARTS).

// Every place, as app::View names it.
const PLACES = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];

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

const named = location.hash.replace(/^#?\/?/, "").split("/")[0].toLowerCase();
const place = PLACES.includes(named) ? named : "solo";
const name = place[0].toUpperCase() + place.slice(1);
document.querySelector("#boot h1").textContent = name;
for (const there of document.querySelectorAll("#boot .nav span")) {
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
  for (const part of document.querySelectorAll("#boot :is(h1, .nav span, .first-line span)")) {
    part.textContent = words[language][part.textContent] ?? part.textContent;
  }
}

// A page that is kept on the device has them at hand.
if (!navigator.serviceWorker?.controller) {
  if (typeof PARTS === "object") {
    ask({ rel: "modulepreload", href: "./__wasm_split.js" });
    for (const part of PARTS[place]) ask({ rel: "preload", as: "fetch", type: "application/wasm", href: `./${part}` });
  }
  if (place === "solo") ask({ rel: "preload", as: "fetch", type: "application/json", href: "./first-draft.json" });
}

function ask(what) {
  document.head.append(Object.assign(document.createElement("link"), { crossOrigin: "anonymous" }, what));
}
