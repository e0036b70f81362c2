export const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

/** Asks until the answer is true; false when that did not come within `ms`. */
export async function until(ms, ask, every = 20) {
  for (const end = Date.now() + ms; ; await pause(every)) {
    const answer = await ask();
    if (answer) return answer;
    if (Date.now() > end) return false;
  }
}
