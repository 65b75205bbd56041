// On paper: the sheet fits A4 and Letter, no system and no neck is cut by a page's end, and pictures are saved.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { after, before, describe, test } from "node:test";
import { getDocument } from "pdfjs-dist/legacy/build/pdf.mjs";
import { assertSound, axeFaults, DESK, PHONE, start } from "./browser.mjs";

// The first demo song's drafted solo, ready to be printed.
async function opened(stage, size, scheme = "light") {
  const page = await stage.open({ size, scheme, path: "#/solo", acceptDownloads: true });
  await page.getByRole("group", { name: "Drafted passes" }).getByRole("button").first().waitFor();
  await page.getByRole("button", { name: /^Deliver/ }).click();
  await page.locator(".printed-neck img").first().waitFor({ state: "attached" });
  return page;
}

// The words of each page of a PDF.
async function pages(bytes) {
  const pdf = await getDocument({ data: new Uint8Array(bytes), verbosity: 0 }).promise;
  const words = [];
  for (let number = 1; number <= pdf.numPages; number++) {
    const { items } = await (await pdf.getPage(number)).getTextContent();
    words.push(items.map((item) => item.str.trim()).filter(Boolean));
  }
  return words;
}

describe("a printed sheet", () => {
  let stage;
  before(async () => (stage = await start()));
  after(() => stage?.close());

  for (const format of ["A4", "Letter"]) {
    test(`holds chart, tab and neck on ${format}, and no page ends inside a picture`, async () => {
      const page = await opened(stage, DESK);
      const pictures = await page.locator(".printed img").count();
      assert.ok(pictures > 4, "there are systems and necks");
      const found = await pages(await page.pdf({ format, preferCSSPageSize: false }));
      assert.ok(found.length >= 1 && found.length < pictures, `${found.length} pages`);
      // The strings' numbers and names down the side of a system: where it were cut, they would not follow one another.
      const side = /1 F# 2 D# 3 G# 4 E 5 B 6 G# 7 F# 8 E 9 D 10 B/g;
      const whole = found.map((words) => words.join(" ").match(side)?.length ?? 0);
      const systems = await page.locator(".printed-system").count();
      assert.equal(whole.reduce((sum, count) => sum + count, 0), systems, `whole systems by page: ${whole}`);
      assert.ok(!found.flat().some((word) => word.includes("Deliver")), "nothing of the page around it is printed");
    });
  }

  test("keeps each picture on one page", async () => {
    const page = await opened(stage, DESK);
    await page.emulateMedia({ media: "print" });
    for (const kind of [".printed-system", ".printed-neck"]) {
      const rules = await page.locator(kind).evaluateAll((all) => all.map((one) => getComputedStyle(one).breakInside));
      assert.ok(rules.length > 0 && rules.every((rule) => rule === "avoid"), kind);
    }
  });

  test("is saved in pictures, as drawings and as dots", async () => {
    const page = await opened(stage, PHONE);
    for (const [name, file, head] of [
      ["Tab as SVG", /\.tab\.svg$/, "<svg"],
      ["Neck as SVG", /\.neck\.svg$/, "<svg"],
      ["Tab as PNG", /\.tab\.png$/, "\x89PNG"],
      ["Neck as PNG", /\.neck\.png$/, "\x89PNG"],
    ]) {
      const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name }).click()]);
      assert.match(download.suggestedFilename(), file);
      assert.ok((await readFile(await download.path())).toString("latin1").startsWith(head), name);
    }
    await assertSound(page);
  });

  test("says in its pictures what the reader understands, and the tab as text stays as it is read back", async () => {
    const page = await stage.open({ size: DESK, locale: "de-DE", path: "#/solo", acceptDownloads: true });
    await page.getByRole("group", { name: "Entworfene Durchgänge" }).getByRole("button").first().waitFor();
    await page.evaluate(() => (location.hash = "#/deliver"));
    const saved = async (press) => {
      const [download] = await Promise.all([page.waitForEvent("download"), press()]);
      return (await readFile(await download.path())).toString();
    };
    const neck = await saved(() => page.getByRole("button", { name: "Griffbrett als SVG" }).click());
    assert.match(neck, />keine Pedale</);
    assert.doesNotMatch(neck, />(no pedals|open)</);
    await page.locator(".printed-legend").waitFor({ state: "attached" });
    const legend = await page.locator(".printed-legend").textContent();
    assert.match(legend, /Pedal|Knie/);
    assert.doesNotMatch(legend, /\b(slide|knee|picked|pedal moves)\b/);
    await page.locator("button.song").click();
    await page.getByRole("button", { name: "Dateien und Links" }).first().click();
    const tab = await saved(() => page.locator("#files").getByRole("button", { name: /^Tabulatur/ }).first().click());
    assert.match(tab, /^bar 1 .*\ncount /);
    await assertSound(page);
  });

  for (const [size, scheme] of [[PHONE, "light"], [DESK, "dark"]]) {
    test(`passes axe-core at ${size.width} px, ${scheme}`, async () => {
      const page = await opened(stage, size, scheme);
      assert.deepEqual(await axeFaults(page), []);
      await assertSound(page);
    });
  }
});
