// The page that a link opens: one member's board of one day, and nothing else. The link's secret is
// behind its #, which no browser sends; it is taken out of the address before anything else, handed
// over once, and kept nowhere: from then on a cookie that no script can read opens the board.

import { ask } from "./asking.js";
import { Board } from "./board.js";
import { startLook } from "./look.js";
import { Wire } from "./wire.js";
import * as words from "./words.js";

const get = (id) => document.getElementById(id);
const path = location.pathname;
const secret = location.hash.slice(1);
if (location.hash || location.search) history.replaceState(null, "", path);

let wire = null;
let board = null;

const hearing = {
  entered({ title, name, photos }) {
    get("photo").hidden = !photos;
    document.title = `${title} · ${words.club}`;
    get("title").textContent = title;
    get("my-name").textContent = name;
    get("me").hidden = false;
  },
  board({ board: now }) {
    board ||= new Board({ keep: path, send: wire.touch.bind(wire) });
    board.take(now);
  },
  touched(frame) {
    board.touched(frame);
  },
  ready() {
    board?.taps.next();
    get("board").dataset.ready = "yes";
  },
  refused(frame) {
    if (frame.problem.startsWith("link-")) shut(frame.problem);
    else board?.refused(frame);
  },
};

function shut(problem) {
  wire?.close();
  board?.close();
  board = null;
  get("board").hidden = get("me").hidden = true;
  get("state").textContent = "";
  get("shut-why").textContent = words.refusals[problem]({});
  get("shut").hidden = false;
}

// Returns whether this browser may see the board: by the secret, or by having been here before.
async function mayCome(sent, how = {}) {
  const answer = await ask(path, { method: "POST", body: sent, cache: "no-store" }, how);
  if (answer.status === 403) shut((await answer.json()).problem);
  else if (!answer.ok) throw new Error(answer.status);
  return answer.ok;
}

async function open() {
  startLook(get("look"));
  get("state").textContent = words.states.connecting;
  if (!await mayCome(secret, { tell: (text) => (get("state").textContent = text) })) return;
  wire = new Wire({
    path: `${path}/socket`,
    hear: (frame) => hearing[frame.type]?.(frame),
    tell: (state) => {
      get("state").textContent = words.states[state];
      if (state !== "lost") return;
      board?.taps.lose();
      mayCome("", { tries: 1 }).catch(() => {}); // out of reach, or is the link over?
    },
    waiting: () => {},
  });
}

open().catch(() => (get("state").textContent = words.states.unopened));
