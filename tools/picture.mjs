// Takes the pictures that a first visitor sees before the page runs: `node tools/picture.mjs`, then build again.
//
// Each is what the built page draws of a place, at phone and desk size, as HTML in `static/first`: without what the eye
// doesn't need (names for screen readers, handles, sheets, what lies out of sight). `first.js` shows it; the test of
// first visits holds it equal to what the page draws. Needs a built page and `tools/setup.sh browser`.
import { mkdir, writeFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { DESK, PHONE, start } from "../tests/e2e/browser.mjs";

const FOLDER = fileURLToPath(new URL("../static/first", import.meta.url));
const PLACES = ["chart", "neck", "solo", "learn", "class", "rig", "deliver"];
const SIZES = { phone: PHONE, desk: DESK };
// How much more than the window is in a picture, for windows that are larger, in CSS pixels.
const MORE = 120;

// Runs in the page: the frame and the room that is open, as HTML.
function pictured({ more, told, dull }) {
  const [wide, high] = [innerWidth + more, innerHeight + more];
  // What the style sheets or the drawing itself go by.
  const NEEDED = /^(class|type|value|placeholder|rows|cols|size|min|max|step|disabled|fill|points|d|transform|clip-path|opacity)$|^(view|stroke|text-|font-|dominant-|stop-|marker-|aria-(busy|current|expanded|pressed)$|data-word$)/;
  const GEOMETRY = /^(c?[xyr]|d[xy]|[xyr][12xy]|width|height|offset|preserveAspectRatio|gradientUnits|patternUnits)$/i;

  // The element without what is in it. What is only told keeps its place, and tells nothing.
  function shell(element) {
    const made = element.matches(told) ? document.createElement("div") : element.cloneNode(false);
    if (element.matches(told)) made.className = element.className;
    for (const { name } of [...made.attributes]) {
      const isDrawn = element.namespaceURI.endsWith("svg") && GEOMETRY.test(name);
      if (!NEEDED.test(name) && !isDrawn) made.removeAttribute(name);
    }
    const style = element.getAttribute("style");
    if (style) made.dataset.style = style;
    if (element.scrollLeft || element.scrollTop) made.dataset.scroll = `${element.scrollLeft} ${element.scrollTop}`;
    if (element.id && document.querySelector(`[clip-path*="#${element.id})"], [fill*="#${element.id})"]`)) made.id = element.id;
    if (element instanceof HTMLInputElement) {
      made.setAttribute("value", element.value);
      made.toggleAttribute("checked", element.checked);
    }
    if (element instanceof HTMLOptionElement) made.toggleAttribute("selected", element.selected);
    return made;
  }

  function copy(element) {
    const made = shell(element);
    if (element instanceof HTMLTextAreaElement) made.textContent = element.value;
    else if (!element.matches(`${told}, ${dull}`)) for (const child of element.childNodes) made.append(...copies(child));
    return made;
  }

  function copies(node) {
    if (node.nodeType === Node.TEXT_NODE) return [node.data];
    if (node.nodeType !== Node.ELEMENT_NODE) return [];
    // What the style sheets hide at this size they go on hiding.
    if (getComputedStyle(node).display === "none") return node.matches("[hidden], [popover]") ? [] : [shell(node)];
    const box = node.getBoundingClientRect();
    // What is only told has no size, and what has no box of its own is part of the one around it.
    if ((!box.width && !box.height) || node.closest("defs, select")) return [copy(node)];
    if (box.left >= wide || box.right <= 0) return [];
    if (box.top < high) return [copy(node)];
    if (!(node instanceof HTMLElement)) return [];
    // What lies below keeps its room.
    const room = shell(node);
    room.dataset.style = `height: ${box.height}px`;
    return [room];
  }

  const parts = [copy(document.querySelector(".frame")), copy(document.querySelector("main"))];
  return parts.map((part) => {
    const around = document.createElement("div");
    around.className = part.className;
    around.append(...part.childNodes);
    around.inert = true;
    around.ariaHidden = "true";
    return around.outerHTML;
  });
}

// Shorter to send, and the same to the eye.
const rounded = (html) => html.replace(/-?\d+\.\d{3,}/g, (number) => String(Number(Number(number).toFixed(2))));

const stage = await start();
try {
  await mkdir(FOLDER, { recursive: true });
  for (const place of PLACES) {
    for (const [size, window] of Object.entries(SIZES)) {
      const page = await stage.open({ size: window, path: `#/${place}` });
      await page.evaluate(() => document.fonts.ready);
      // What is measured first and drawn then.
      await page.waitForTimeout(500);
      // The sign of the light is the light's own.
      const dull = "[aria-label='Night colours']";
      const parts = await page.evaluate(pictured, { more: MORE, told: ".unseen", dull });
      const html = rounded(parts.join("\n")) + "\n";
      await writeFile(`${FOLDER}/${place}-${size}.html`, html);
      console.log(`${place}-${size}.html`.padEnd(20), `${(html.length / 1000).toFixed(1)} kB`);
      await page.context().close();
    }
  }
} finally {
  await stage.close();
}
