// Before the page runs: the light as it was set, and the place that the address names, in the frame that index.html
// draws. What that place needs is asked for at once, beside the module, by a visit that nothing is kept for yet.

// Every place, as app::View names it. Where the code is split the build writes the files of each in front: PARTS.
const PLACES = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];

const light = (() => {
  try {
    return localStorage.getItem("leadbar.light");
  } catch {
    // A browser that keeps nothing for this page.
    return null;
  }
})();
if (light) document.documentElement.dataset.theme = light;

const named = location.hash.replace(/^#?\/?/, "").split("/")[0].toLowerCase();
const place = PLACES.includes(named) ? named : "solo";
const name = place[0].toUpperCase() + place.slice(1);
document.querySelector("#boot h1").textContent = name;
for (const there of document.querySelectorAll("#boot .nav span")) {
  if (there.textContent === name) there.setAttribute("aria-current", "page");
  else there.removeAttribute("aria-current");
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
