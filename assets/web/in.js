// Where a link into the room is exchanged, and where who has none is told so. The secret behind the #
// is taken out of the address before anything else, handed over, and kept nowhere.

import { ask } from "./asking.js";
import { startLook } from "./look.js";
import * as words from "./words.js";

const get = (id) => document.getElementById(id);
const path = location.pathname;
const secret = location.hash.slice(1);
if (location.hash || location.search) history.replaceState(null, "", path);

function shut(problem) {
  get("state").textContent = "";
  get("shut-why").textContent = problem ? words.refusals[problem]({}) : "";
  get("shut").hidden = false;
}

async function open() {
  startLook(get("look"));
  if (!path.startsWith("/in/")) return shut("");
  get("state").textContent = words.states.connecting;
  const sent = { method: "POST", body: secret, cache: "no-store" };
  const answer = await ask(path, sent, { tell: (text) => (get("state").textContent = text) });
  if (answer.status === 403) return shut((await answer.json()).problem);
  if (!answer.ok) throw new Error(answer.statusText);
  return location.replace("/");
}

open().catch(() => (get("state").textContent = words.states.unopened));
