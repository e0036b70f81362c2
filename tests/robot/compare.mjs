// What was meant against what stands there, line by line.
import { squeeze } from "./typist.mjs";

/**
 * @param {string[]} meant
 * @param {string[]} got
 * @param {{ loose: (line: number) => boolean }} how which meant lines may differ in the blanks between their words
 * @returns {{ spoiled: { line: number, meant: string, got: string }[], count: number }} hunks, and how many lines they touch
 */
export function compare(meant, got, { loose }) {
  const same = (m, g) => meant[m] === got[g] || (loose(m) && sameButBlanks(meant[m], got[g]));
  // Longest common run of lines, from the end.
  const length = Array.from({ length: meant.length + 1 }, () => new Array(got.length + 1).fill(0));
  for (let m = meant.length - 1; m >= 0; m--) {
    for (let g = got.length - 1; g >= 0; g--) {
      length[m][g] = same(m, g) ? length[m + 1][g + 1] + 1 : Math.max(length[m + 1][g], length[m][g + 1]);
    }
  }
  const spoiled = [];
  let count = 0;
  for (let m = 0, g = 0; m < meant.length || g < got.length; ) {
    if (m < meant.length && g < got.length && same(m, g)) {
      m++;
      g++;
      continue;
    }
    const [from, at] = [m, g];
    while ((m < meant.length || g < got.length) && !(m < meant.length && g < got.length && same(m, g))) {
      if (g >= got.length || (m < meant.length && length[m + 1][g] >= length[m][g + 1])) m++;
      else g++;
    }
    count += Math.max(m - from, g - at);
    spoiled.push({ line: from + 1, meant: shown(meant.slice(from, m)), got: shown(got.slice(at, g)) });
  }
  return { spoiled, count };
}

const shown = (lines) => (lines.length === 0 ? "(no line)" : lines.join("⏎"));

/** Indentation stays exact; a blank line is blank. */
function sameButBlanks(meant, got) {
  return meant.trim() !== "" && squeeze(meant) === squeeze(got);
}
