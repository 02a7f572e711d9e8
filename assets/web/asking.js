// Asks the room over HTTP, and where it is busy, again in the while that it names.

import * as words from "./words.js";

const BUSY = [429, 502, 503, 504];
const WAIT = 5; // seconds, where none are named

// `tell` gets what to say meanwhile, and "" in the end; without it, what is out of reach is thrown.
export async function ask(address, options = {}, { tell = null, tries = Infinity } = {}) {
  for (let left = tries; ; left -= 1) {
    const answer = await fetch(address, options).catch((error) => {
      if (!tell) throw error;
      return null;
    });
    if ((answer && !BUSY.includes(answer.status)) || left <= 1) {
      tell?.("");
      return answer;
    }
    tell?.(answer?.status === 429 ? words.states.busy : words.states.unreached);
    const wait = Number(answer?.headers.get("Retry-After")) || WAIT;
    // Not all at the same moment.
    await new Promise((go) => setTimeout(go, wait * (1 + Math.random() / 2) * 1000));
  }
}
