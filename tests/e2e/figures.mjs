// Figures that are measured, to be read and not asserted: told in words, and, where FIGURES names a file, written there
// too, a line of JSON each, for `tests/bench/table.mjs`.
import { appendFileSync } from "node:fs";

export const middle = (numbers, part = 0.5) =>
  [...numbers].sort((a, b) => a - b)[Math.floor((numbers.length - 1) * part)];

// `figure` has what it is, its value and unit, and the aim: `most` or `least`.
export function tell(words, ...figures) {
  console.log(words);
  if (!process.env.FIGURES) return;
  for (const figure of figures) appendFileSync(process.env.FIGURES, `${JSON.stringify(figure)}\n`);
}
