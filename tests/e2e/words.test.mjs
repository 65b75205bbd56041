// The page in another language: German by the browser's wish or the reader's choice, whole, in its place on every view.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { assertSound, axeFaults, DESK, kept, NARROW, opened, PHONE, start, started } from "./browser.mjs";

const VIEWS = ["chart", "neck", "solo", "learn", "class", "rig", "deliver", "stand", "tuner"];
const messages = async (language) => {
  const files = JSON.parse(await readFile(new URL(`../../static/words/${language}.json`, import.meta.url), "utf8"));
  return Object.assign({}, ...Object.values(files));
};

// What is in English: the lessons and what they are called.
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
const said = (page, within = "body") =>
  page.evaluate((within) => {
    const all = new Set();
    const root = document.querySelector(within);
    const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (node.nodeType === Node.TEXT_NODE) all.add(node.data.trim());
      else for (const name of ["aria-label", "placeholder", "title"]) all.add(node.getAttribute(name)?.trim() ?? "");
    }
    return [...all].filter(Boolean);
  }, within);

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
      const faults = [];
      for (const view of VIEWS) {
        await page.evaluate((view) => (location.hash = `#/${view}`), view);
        await opened(page);
        await page.waitForTimeout(300);
        await assertSound(page);
        for (const fault of await axeFaults(page)) faults.push(`${view}: ${fault}`);
        for (const text of await cut(page)) faults.push(`${view}: cut: ${text}`);
        if (view === LESSONS) continue;
        for (const text of await inEnglish(page)) faults.push(`${view}: in English: ${text}`);
      }
      assert.deepEqual(faults, []);
    });
  }

  // What is within `within` in English still.
  async function inEnglish(page, within = "body") {
    const [all, english] = await Promise.all([said(page, within), untranslated()]);
    return all.filter((text) => english.some((form) => new RegExp(form, "su").test(text)));
  }

  test("shows key and tempo in the head of the narrowest phone, in either language", async () => {
    for (const locale of ["de-DE", "en-US"]) {
      const page = await stage.open({ size: NARROW, locale, path: "#/chart" });
      await page.getByRole("button", { name: locale === "de-DE" ? "Schreiben" : "Write", exact: true }).click();
      await page.getByRole("textbox", { name: "Chart" }).fill("Weir Cottage, key Bbm, 132, rock; 1 4 5 1");
      const facts = page.locator(".song-facts");
      await facts.getByText("Bbm", { exact: true }).waitFor();
      const [room, ...figures] = await Promise.all(
        [facts, ...(await facts.locator("b").all())].map((each) => each.boundingBox()),
      );
      assert.equal(figures.length, 2, "the key and the tempo");
      for (const figure of figures) {
        assert.ok(figure.y >= room.y - 1 && figure.y + figure.height <= room.y + room.height + 1, `${locale}: on the line`);
        assert.ok(figure.x + figure.width <= room.x + room.width, `${locale}: within the head`);
      }
      await page.context().close();
    }
  });

  test("says what is wrong with a chart, and how to mend it", async () => {
    const page = await stage.open({ size: PHONE, locale: "de-DE", path: "#/chart" });
    await page.getByRole("button", { name: "Schreiben" }).click();
    const chart = page.getByRole("textbox", { name: "Chart" });
    await chart.fill("key G; 1 8 (4 5\n7 1 145 IV/V Hm 2/4 1 x3 1 - 4");
    await page.getByText("„8“ ist keine Stufe von 1 bis 7").waitFor();
    for (const words of ["„45“ ist keine hier bekannte Akkordart", "„IV/V“ kann zweierlei heißen", "Zwischen ( und ) stehen nur Akkorde"]) {
      await page.getByText(words).first().waitFor();
    }
    assert.deepEqual(await inEnglish(page, ".notes"), []);
    assert.deepEqual(await axeFaults(page), []);
    await page.getByRole("button", { name: "b7 schreiben" }).click();
    assert.match(await chart.inputValue(), /\nb7 1/);
    await assertSound(page);
  });

  test("says what is wrong with a bar that is typed as tab", async () => {
    const page = await stage.open({ size: PHONE, locale: "de-DE", path: "#/solo" });
    await page.locator(".move-change").nth(1).click();
    await page.locator("#change").getByRole("button", { name: /^Takt \d+ tippen/ }).click();
    await page.getByRole("textbox", { name: /als Tabulatur/ }).fill("count   1\n4 E   |-?---|\n");
    await page.getByRole("button", { name: "Lesen und anhören" }).click();
    await page.getByText("Zeile 2, Spalte 9: „?“ ist kein Zeichen der Tabulatur").waitFor();
    await assertSound(page);
  });

  for (const size of [PHONE, DESK]) {
    test(`asks, hints and marks at ${size.width} px`, async () => {
      const page = await stage.open({ size, locale: "de-DE", path: "#/learn/the-flat-seven" });
      const exercise = page.locator(".exercise").first();
      await exercise.getByText(/^Welcher Akkord ist in der Tonart/).waitFor();
      const answer = exercise.getByRole("textbox", { name: "Der Akkord, in Buchstaben" });
      const check = exercise.getByRole("button", { name: "Prüfen" });
      await answer.fill("H7");
      await check.click();
      await exercise.getByText("„H7“ ist kein Akkord").waitFor();
      await answer.fill("C#dim");
      await check.click();
      await exercise.getByText("Als Nächstes: Zähl die Tonleiter").waitFor();
      for (let hint = 0; hint < 3; hint += 1) await exercise.getByRole("button", { name: "Tipp" }).click();
      assert.equal(await exercise.locator(".hint").count(), 4, "three hints and the next step");
      assert.deepEqual(await inEnglish(page, ".exercise"), []);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });
  }

  test("marks a place on the neck", async () => {
    const page = await stage.open({ size: DESK, locale: "de-DE", path: "#/learn/three-homes" });
    const exercise = page.locator(".exercise").first();
    await exercise.getByText(/^Greif in/).waitFor();
    await exercise.locator(".slot").first().click();
    await exercise.getByRole("radio", { name: "In Zahlen" }).check();
    const pad = exercise.getByRole("group", { name: "Die Stelle" });
    for (const string of [1, 2, 3, 4]) await pad.getByRole("button", { name: `Saite ${string}`, exact: true }).click();
    await exercise.getByRole("button", { name: "Prüfen" }).click();
    await exercise.getByText("4 Saiten zugleich mit 3 Fingern.").waitFor();
    await exercise.getByText(/^Als Nächstes: /).waitFor();
    assert.deepEqual(await inEnglish(page, ".exercise"), []);
    await assertSound(page);
  });

  test("says why a file can't be opened", async () => {
    const page = await stage.open({ size: PHONE, locale: "de-DE", path: "#/chart" });
    await page.locator("button.song").click();
    await page.getByRole("button", { name: "Dateien und Links" }).click();
    const field = page.locator("#files input[type=file]");
    const score = "<score-partwise><part><measure><harmony><root><root-step>G</root-step></root><kind>French</kind></harmony></measure></part></score-partwise>";
    for (const [name, content, words] of [
      ["x.json", "{ \"a\"", "Das ist keine Projektdatei: Zeile 1"],
      ["x.mid", "MThd", "Diese Datei ergibt kein Chart: diese Datei ist beschädigt"],
      ["x.toml", "id = \"x\"\n[[strings]]\npitch = \"H\"", "Zeile 2, Spalte 1: `gauge` fehlt"],
      ["x.txt", "nothing at all", "In diesem Text sind keine Takte"],
      ["x.musicxml", score, "Takt 1: „G French“ steht als G da."],
    ]) {
      await field.setInputFiles({ name, mimeType: "text/plain", buffer: Buffer.from(content) });
      await page.getByRole("status").filter({ hasText: words }).first().waitFor();
    }
    await assertSound(page);
  });

  test("stays calm in German where the page can't go on", async () => {
    const page = await stage.open({ size: PHONE, locale: "de-DE", path: "#/rig" });
    await page.evaluate(() => dispatchEvent(new CustomEvent("leadbar-panic", { detail: "it broke" })));
    const note = page.getByRole("alert").filter({ hasText: "In Leadbar ist etwas schiefgegangen." });
    await note.getByText(/^Deine Arbeit ist auf diesem Gerät gesichert/).waitFor();
    await note.getByRole("button", { name: "Die Seite neu laden" }).waitFor();
    assert.deepEqual(await axeFaults(page), []);
  });

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
