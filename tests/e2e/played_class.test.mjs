// An exercise is played into the microphone: what was measured of each note goes with the answer, and the teacher's page
// computes the marks from it anew.
import assert from "node:assert/strict";
import { after, before, describe, test } from "node:test";
import { crc32, deflateRawSync, inflateRawSync } from "node:zlib";
import { assertSound, axeFaults, DESK, linkIn, PHONE, start, started } from "./browser.mjs";
import { loop } from "./loopback.mjs";

// As the page's own addresses are made: version, kind, checksum, then deflated JSON.
const HEAD = 6;
const decode = (link) => JSON.parse(inflateRawSync(Buffer.from(link.split("#open=")[1], "base64url").subarray(HEAD)).toString());
function encode(kind, value) {
  const body = deflateRawSync(JSON.stringify(value));
  const head = Buffer.from([1, kind.charCodeAt(0)]);
  const sum = Buffer.alloc(4);
  sum.writeUInt32LE(crc32(Buffer.concat([head, body])));
  return `#open=${Buffer.concat([head, sum, body]).toString("base64url")}`;
}

// What is played as an example is what the player then plays: into a score whose steel is silent it is put.
const playedByHand = `${loop}
  const sent = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Uint8Array) {
      const command = JSON.parse(new TextDecoder().decode(message));
      if (command.load?.performance.plucks.length > 0) globalThis.example = command.load.performance;
      else if (command.load && globalThis.example) {
        command.load.performance = globalThis.example;
        message = new TextEncoder().encode(JSON.stringify(command));
        more = [];
      }
    }
    return sent.call(this, message, ...more);
  };`;

describe("an exercise that is played", () => {
  let stage;
  let work;
  let handedIn;
  before(async () => (stage = await start({ flags: ["--autoplay-policy=no-user-gesture-required"] })));
  after(() => stage?.close());

  test("is answered on the pad and by the microphone, and what was measured is handed in", async () => {
    const teacher = await stage.open({ size: DESK, path: "#/class" });
    await teacher.getByLabel("Title").fill("Week four");
    await teacher.getByLabel("Kind").selectOption("ending");
    await teacher.getByRole("button", { name: "Add", exact: true }).click();
    work = await linkIn(teacher);

    const page = await stage.open({ size: PHONE });
    await page.addInitScript(playedByHand);
    await page.goto(`${stage.url}#${work.split("#")[1]}`);
    await page.reload();
    await started(page);
    await page.getByLabel(/^Your name/).fill("Wren");
    const ending = page.getByRole("region", { name: "Exercise 1" });
    await ending.getByRole("button", { name: "Play it into the microphone" }).click();
    await ending.getByText("Put down a stroke first").waitFor();
    await ending.getByRole("button", { name: "Put down a stroke" }).click();
    await ending.locator(".slot").first().click();
    await ending.getByRole("radio", { name: "In figures" }).check();
    const pad = ending.getByRole("group", { name: "The place" });
    for (const string of [3, 4, 5]) await pad.getByRole("button", { name: `String ${string}`, exact: true }).click();

    // The example is heard, and then played.
    await ending.getByRole("button", { name: "Hear it with the band" }).click();
    await page.waitForFunction(() => globalThis.example);
    await ending.getByRole("button", { name: "Play it and be marked" }).click();
    await ending.locator(".played-head").waitFor({ timeout: 90_000 });
    const said = await ending.getByText("Goes with your answer").innerText();
    const [, right, all] = /played: (\d+) of (\d+) notes/.exec(said);
    assert.ok(Number(all) >= 3 && Number(right) >= 1, said);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);

    handedIn = await linkIn(page);
    const [given] = decode(handedIn).answers;
    assert.equal(given.played.notes.length, Number(all));
    // Figures and no sound: a note is a string and a few numbers.
    assert.ok(JSON.stringify(given.played).length < 120 * (given.played.notes.length + 1));

    // Another answer is another phrase: what was played is not of it.
    await ending.getByRole("button", { name: "Move later" }).click();
    await ending.getByRole("button", { name: "Check" }).click();
    await ending.getByText("Goes with your answer").waitFor({ state: "detached" });
  });

  test("is marked anew by the teacher's page, and figures that are not of it are found", async () => {
    const page = await stage.open({ size: DESK, path: "#/class" });
    await page.getByRole("radio", { name: "Mark answers" }).check();
    const honest = decode(handedIn);
    const all = honest.answers[0].played.notes.length;
    const changed = (name, change) => {
      const handed = structuredClone(honest);
      handed.name = name;
      change(handed.answers[0].played);
      return encode("h", handed);
    };
    const links = [
      encode("h", honest),
      changed("Finch", (played) => played.notes.pop()),
      changed("Crow", (played) => played.notes.forEach((note) => delete note.late)),
      changed("Magpie", (played) => (played.notes[0].late = 1e9)),
      changed("Jay", (played) => (played.right = 99)),
    ];
    await page.getByRole("textbox", { name: "Links" }).fill(links.join("\n"));
    await page.getByRole("button", { name: "Mark these" }).click();
    const row = (name) => page.getByRole("row").filter({ hasText: name });
    await row("Wren").getByText(new RegExp(`Exercise 1, played: \\d+ of ${all} notes as they should be`)).waitFor();
    await row("Finch").getByText("what was played is another phrase than the answer").waitFor();
    await row("Crow").getByText(`played: 0 of ${all} notes as they should be`).waitFor();
    await page.getByText("what was played has figures that nobody can measure").waitFor();
    assert.equal(await row("Jay").count(), 0);
    assert.deepEqual(await axeFaults(page), []);
    await assertSound(page);
  });
});
