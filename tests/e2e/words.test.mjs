// The page in another language: German by the browser's wish or the reader's choice, whole, in its place on every view.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, opened, PHONE, start, started } from "./browser.mjs";

const VIEWS = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];
const messages = async (language) => {
  const files = JSON.parse(await readFile(new URL(`../../static/words/${language}.json`, import.meta.url), "utf8"));
  return Object.assign({}, ...Object.values(files));
};

// What is known to be in English still: the lessons and what they are called, and what is not said through the message
// file yet (instruments where they are compared or chosen for work, what is found of a string's strain, the heading of a
// printed sheet, one word of the rehearsal).
const STILL_ENGLISH = [/^from$/, /, (no|\d+) (pedals|strings)/, /MPa at its highest note/];
const LESSONS = "learn";

// The English sentences that a German page must not say, each as what it would look like.
async function untranslated() {
  const [english, german] = await Promise.all([messages("en"), messages("de")]);
  const escaped = (text) => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
  // Where only names are left, any text would fit.
  const telling = (text) => /\p{L}{3}/u.test(text.replace(/\{\w+\}/g, ""));
  return Object.entries(english)
    .filter(([key, text]) => text !== german[key] && !Object.values(german).includes(text) && telling(text))
    .map(([, text]) => `^${text.trim().split(/\{\w+\}/).map(escaped).join(".+")}$`);
}

// All that a view says, shown or read out: texts and names.
const said = (page) =>
  page.evaluate(() => {
    const all = new Set();
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (node.nodeType === Node.TEXT_NODE) all.add(node.data.trim());
      else for (const name of ["aria-label", "placeholder", "title"]) all.add(node.getAttribute(name)?.trim() ?? "");
    }
    return [...all].filter(Boolean);
  });

// Texts of controls that are cut off by their own edges.
const cut = (page) =>
  page.evaluate(() =>
    [...document.querySelectorAll("button, a, label, legend, th, h1, h2, h3, summary, .label")]
      .filter((e) => e.checkVisibility() && !e.closest(".unseen, .skip, [inert]") && !e.classList.contains("unseen"))
      .filter((e) => getComputedStyle(e).overflowX === "hidden" || getComputedStyle(e).overflowX === "clip")
      .filter((e) => e.scrollWidth > e.clientWidth + 1)
      .map((e) => e.textContent.trim())
      .filter(Boolean),
  );

describe("German", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const size of [PHONE, DESK]) {
    test(`says every view in German, with nothing cut, at ${size.width} px`, async () => {
      const page = await stage.open({ size, locale: "de-DE", reducedMotion: "reduce" });
      assert.equal(await page.evaluate(() => document.documentElement.lang), "de");
      const english = await untranslated();
      const faults = [];
      for (const view of VIEWS) {
        await page.evaluate((view) => (location.hash = `#/${view}`), view);
        await opened(page);
        await page.waitForTimeout(300);
        await assertSound(page);
        for (const fault of await axeFaults(page)) faults.push(`${view}: ${fault}`);
        for (const text of await cut(page)) faults.push(`${view}: cut: ${text}`);
        if (view === LESSONS) continue;
        const all = (await said(page)).filter((text) => !STILL_ENGLISH.some((known) => known.test(text)));
        const left = all.filter((text) => english.some((form) => new RegExp(form, "su").test(text)));
        for (const text of left) faults.push(`${view}: in English: ${text}`);
      }
      assert.deepEqual(faults, []);
    });
  }

  test("is taken from the help, and the work stays", async () => {
    const page = await stage.open({ path: "#/chart", size: PHONE });
    assert.equal(await page.evaluate(() => document.documentElement.lang), "en");
    await page.getByRole("button", { name: "Write" }).click();
    await page.getByRole("textbox", { name: "Chart" }).fill("Weir Cottage, key Bb; 1 4 5 1");
    await page.getByRole("button", { name: "Help", exact: true }).click();
    const coming = page.waitForEvent("load");
    await page.getByRole("radio", { name: "Deutsch" }).click();
    await coming;
    await started(page);
    assert.equal(await page.evaluate(() => document.documentElement.lang), "de");
    await kept(page, "Weir Cottage");
    await page.getByRole("button", { name: "Weir Cottage" }).waitFor();
    await page.getByRole("button", { name: "Hilfe" }).waitFor();
  });

  test("English asks for no message file, German for its own alone", async () => {
    for (const [locale, wanted] of [["en-US", []], ["fr-FR", []], ["de-AT", ["de.json"]]]) {
      const page = await stage.open({ locale, path: "#/rig" });
      const asked = await page.evaluate(() =>
        performance.getEntriesByType("resource").map((e) => e.name).filter((name) => name.includes("/words/")),
      );
      assert.deepEqual(asked.map((name) => name.split("/").at(-1)), wanted, locale);
    }
  });

  test("a message file that does not come leaves the page in English", async () => {
    const page = await stage.open({ path: "#/rig" });
    await page.route("**/words/de.json", (route) => route.abort());
    await page.evaluate(() => localStorage.setItem("leadbar.language", "de"));
    await page.reload();
    await started(page);
    assert.equal(await page.evaluate(() => document.documentElement.lang), "en");
    await page.getByRole("button", { name: "Help", exact: true }).waitFor();
  });
});
