// The pictures in the README, taken from the built page as it is: `make pictures`.
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { DESK, PHONE, start } from "./browser.mjs";

const FOLDER = fileURLToPath(new URL("../pictures/", import.meta.url));
const PICTURES = [
  { name: "chart", place: "Chart", size: DESK, scheme: "light" },
  { name: "solo", place: "Solo", size: DESK, scheme: "light" },
  { name: "neck", place: "Neck", size: DESK, scheme: "dark" },
  { name: "phone", place: "Solo", size: PHONE, scheme: "dark" },
];

await mkdir(FOLDER, { recursive: true });
const stage = await start();
try {
  for (const { name, place, size, scheme } of PICTURES) {
    const page = await stage.open({ size, scheme, reducedMotion: "reduce" });
    await page.getByRole("navigation", { name: "Places" }).getByRole("button", { name: place }).click();
    await page.waitForTimeout(1000);
    await page.screenshot({ path: `${FOLDER}${name}.png` });
    console.log(`tests/pictures/${name}.png`);
    await page.context().close();
  }
} finally {
  await stage.close();
}
