// From the teacher to the students and back, on a phone: ten exercises, an instrument of one's own, twenty-five answers
// taken in at once, and the table in another program's hands.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdtemp, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { fileURLToPath } from "node:url";
import { crc32, deflateRawSync, inflateRawSync } from "node:zlib";
import { assertSound, axeFaults, linkIn, PHONE, start } from "./browser.mjs";

const KINDS = [
  ...["name-chord", "name-chord", "name-chord", "name-chord", "name-number"],
  ...["spot-wrong", "find-chord", "inversions", "climb", "ending"],
];
// As the page's own addresses are made: version, kind, checksum, then deflated JSON.
const HEAD = 6;
const decode = (link) => JSON.parse(inflateRawSync(Buffer.from(link.split("#open=")[1], "base64url").subarray(HEAD)).toString());
function encode(kind, value) {
  const body = deflateRawSync(JSON.stringify(value));
  const head = Buffer.from([1, kind.charCodeAt(0)]);
  const sum = Buffer.alloc(4);
  sum.writeUInt32LE(crc32(Buffer.concat([head, body])));
  return `open=${Buffer.concat([head, sum, body]).toString("base64url")}`;
}

describe("ten exercises, from the teacher to the students and back, on a phone", () => {
  let stage;
  let folder;
  let work;
  let handedIn;
  before(async () => {
    stage = await start();
    folder = await mkdtemp(join(tmpdir(), "leadbar-class-"));
  });
  after(async () => {
    await stage?.close();
    await rm(folder, { recursive: true });
  });

  test("are set with their weights, when they are wanted, and an instrument; what fits no code says so", async () => {
    const page = await stage.open({ size: PHONE, path: "#/class" });
    await page.getByLabel("Title").fill("Week nine");
    await page.getByLabel("Wanted by").fill("Thursday, before we meet");
    for (const kind of KINDS) {
      await page.getByLabel("Kind").selectOption(kind);
      await page.getByRole("button", { name: "Add", exact: true }).click();
    }
    await page.getByText("What counts").click();
    await page.getByRole("button", { name: "spelling: less", exact: true }).click();
    await page.waitForFunction(() => document.querySelector(".class-weights")?.innerText.includes("0 ×"));

    const shipped = await readFile(fileURLToPath(new URL("../../static/instruments/e9-3-3.toml", import.meta.url)), "utf8");
    const own = shipped.replace(/^name = .*$/m, 'name = "The school\'s steel"').replace(/^id = .*$/m, 'id = "school"');
    const noise = Array.from({ length: 300 }, (_, i) => crc32(`${i}`).toString(36)).join("");
    const give = (name, text) =>
      page.locator(".class-files input").setInputFiles({ name, mimeType: "text/plain", buffer: Buffer.from(text) });
    await give("broken.toml", "id = 3");
    await page.locator(".fault").getByText(/^broken\.toml: /).waitFor();
    await give("long.toml", `${own}\n# ${noise}\n`);
    await page.getByText("All of it is asked on The school's steel, whose file goes along.").waitFor();
    await page.getByText(/too long for a code\. Send the file\./).waitFor();
    assert.equal(await page.locator("svg.class-code").count(), 0);
    assert.equal(await page.getByRole("link", { name: "Save as a file" }).getAttribute("download"), "work-Week-nine.txt");
    await give("steel.toml", own);
    await page.locator("svg.class-code").waitFor();
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
    work = await linkIn(page);
    const sent = decode(work);
    assert.deepEqual([sent.items.length, sent.weights, sent.due], [10, { spelling: 0 }, "Thursday, before we meet"]);
    assert.match(sent.instrument, /The school's steel/);
  });

  test("are answered on a phone with hints, or without where the teacher gives none", async () => {
    const page = await stage.open({ size: PHONE, path: `#${work.split("#")[1]}` });
    await page.getByText("Wanted by: Thursday, before we meet").waitFor();
    await page.getByLabel(/^Your name/).fill("Wren");
    for (const number of [1, 2, 3, 4]) {
      const exercise = page.getByRole("region", { name: `Exercise ${number}`, exact: true });
      for (let i = 0; i < 3; i++) await exercise.getByRole("button", { name: "Hint" }).click();
      const told = await exercise.locator(".exercise-hints .hint").nth(2).innerText();
      const numeral = (await exercise.innerText()).match(/which chord is (\S+)\?/)[1];
      const kind = numeral.replace(/^[b#]?\d/, "").replace("-", "m");
      await exercise.getByRole("textbox").fill(told.match(/is (\S+)\.$/)[1] + kind);
      await exercise.getByRole("button", { name: "Check" }).click();
      await exercise.locator(".marked.right").waitFor();
    }
    await page.getByText("6 without an answer yet.").waitFor();
    handedIn = await linkIn(page);
    await assertSound(page);
    const strict = await stage.open({ size: PHONE, path: `#${encode("a", { ...decode(work), hints: false })}` });
    await strict.getByRole("heading", { name: "Week nine" }).waitFor();
    assert.equal(await strict.getByRole("button", { name: "Hint" }).count(), 0);
  });

  test("come back as twenty-five files, of which every one is marked or named", async () => {
    const fair = decode(handedIn);
    assert.equal(fair.claim, 40);
    const names = Array.from({ length: 20 }, (_, i) => `Student ${String(i + 1).padStart(2, "0")}`);
    const answers = [...names, "=SUM(A1)"].map((name) => ({ ...fair, name }));
    const wrong = fair.answers.map((given) => (given.answer ? { ...given, answer: { chord: "B7b9" } } : given));
    const files = [
      ...answers.map((value) => `https://school.example/#${encode("h", value)}\n`),
      encode("h", { ...fair, name: "Forged", answers: wrong, claim: 100 }),
      encode("h", { ...fair, name: "Older", grader: 0 }),
      handedIn.slice(0, -40),
      Buffer.alloc(50 << 20, "x"),
    ];
    assert.equal(files.length, 25);
    const paths = files.map((_, i) => join(folder, `answer-${i + 1}.txt`));
    await Promise.all(files.map((text, i) => writeFile(paths[i], text)));

    const page = await stage.open({ size: PHONE, path: "#/class" });
    await page.getByRole("radio", { name: "Mark answers" }).check();
    await page.locator(".class-drop input[type=file]").first().setInputFiles(paths);
    await page.getByText(/answer-25\.txt/).waitFor();
    const faults = (await page.locator(".fault").allInnerTexts()).join("\n");
    assert.match(faults, /answer-24\.txt: this link was cut or changed/);
    assert.match(faults, /answer-25\.txt: it is 50 MB/);
    const rows = page.locator("tbody tr");
    assert.equal(await rows.count(), 23);
    const row = (name) => page.getByRole("row", { name });
    assert.match(await row(/^Forged/).innerText(), /It says 100 %, and its answers earn \d+ %: the score in it was changed/);
    assert.match(await row(/^Older/).innerText(), /marked by version 0 of the marking/);
    assert.match(await row(/^Student 07/).innerText(), /6 of the exercises have no answer/);
    assert.match(await page.getByText(/^Most points are lost in/).innerText(), /^Most points are lost in: \w[^()]* \(\d+ %\)/);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);

    // RFC 4180, read by Python's csv; OWASP, "CSV Injection", for what a spreadsheet would compute.
    const link = page.getByRole("link", { name: "Save the table" });
    const table = join(folder, "marks.csv");
    await writeFile(table, decodeURIComponent((await link.getAttribute("href")).split(",").slice(1).join(",")));
    const script = "import csv,json,sys; print(json.dumps(list(csv.reader(open(sys.argv[1], newline='', encoding='utf-8'), strict=True))))";
    const [head, ...lines] = JSON.parse(execFileSync("python3", ["-c", script, table], { encoding: "utf8" }));
    assert.equal(lines.length, 23);
    assert.ok(lines.every((cells) => cells.length === head.length && !cells.some((cell) => /^[=+\-@\t\r]/.test(cell))));
    const found = lines.find(([name]) => name === "'=SUM(A1)");
    assert.deepEqual(found.slice(1, 5), ["Week nine", "40", "100", "100"]);
    assert.equal(lines.filter(([, , score]) => score === "40").length, 22);
  });
});
