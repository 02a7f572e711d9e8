// The page: the door where a name is chosen, the room, and the desk where lines are written. The
// name is kept for this tab alone, so another tab can be another member.

import { ask } from "./asking.js";
import { Board } from "./board.js";
import { buildLink } from "./entries.js";
import { startLook } from "./look.js";
import { choosePhoto } from "./photos.js";
import { TimelineView } from "./timeline.js";
import { Wire } from "./wire.js";
import * as words from "./words.js";

const get = (id) => document.getElementById(id);
const KEPT_NAME = "ninebark-name";
const KEPT_ROOM = "ninebark-room";
const KEPT_LINE = "ninebark-line"; // what is half written, for a reload
const NEAR_END = 160; // pixels from the end at which the page follows what is new

const root = document.documentElement;
const page = document.scrollingElement;
const line = get("line");

let wire = null;
let board = null; // made with the first board that comes
let isLeaving = false; // signing out, in this tab
let mustFollow = true; // the first time in the room, what is newest is shown
let pressed = new Map(); // act id -> the button it came from: its answer gets the focus

const view = new TimelineView(get("entries"), press);

// On a narrow screen, while the board is the view: the talk is not seen then.
const isBoardAlone = () => get("room").getClientRects().length === 0;
const isAtEnd = () => !isBoardAlone() && page.scrollHeight - page.scrollTop - page.clientHeight < NEAR_END;
const scrollToEnd = () => isBoardAlone() || page.scrollTo({ top: page.scrollHeight });

function isTyping() {
  const at = document.activeElement;
  return Boolean(at?.matches("textarea, input") && at.value);
}

// --- what the room sends ---

const hearing = {
  entered({ title, name, leads, is_fresh: isFresh, photos }) {
    for (const id of ["photo", "ask-photo"]) get(id).hidden = !photos;
    get("entries").setAttribute("aria-live", "off");
    get("entries").setAttribute("aria-busy", "true");
    mustFollow = isFresh && !get("entries").hasChildNodes();
    if (isFresh) view.beginAnew();
    document.title = `${title} · ${words.club}`;
    get("title").textContent = title;
    get("my-name").textContent = name;
    get("my-part").textContent = leads ? words.leads : "";
    showRoom(true);
  },
  board({ board: now }) {
    const isFirst = !board;
    board ||= new Board({ keep: keepOf(), send: wire.touch.bind(wire) });
    board.take(now);
    if (isFirst) showView(now && !now.finished_at && now.day ? "board" : "club");
    get("views").hidden = !now;
  },
  touched(frame) {
    board.touched(frame);
  },
  ready() {
    board?.taps.next();
    view.endAnew();
    get("entries").setAttribute("aria-busy", "false");
    get("entries").setAttribute("aria-live", "polite");
    get("entries").dataset.ready = "yes";
    if (mustFollow) scrollToEnd();
    mustFollow = false;
  },
  entry(entry) {
    const follow = mustFollow || isAtEnd();
    view.put(entry);
    if (follow) scrollToEnd();
    else if (entry.kind === "post" || entry.kind === "said") get("newer").hidden = false;
  },
  once({ id, link }) {
    view.find(id)?.append(buildLink(link));
  },
  gone({ id }) {
    view.remove(id);
  },
  done({ id, entries }) {
    wire.settle(id);
    if (entries.length) arrive(view.find(entries[0]), pressed.has(id));
    release(id);
  },
  refused(frame) {
    const sentence = (words.refusals[frame.problem] || words.refusals.malformed)(frame);
    if (frame.problem.startsWith("link")) return isLeaving || location.reload(); // signed out
    if (/^(name|room)/.test(frame.problem)) return leave(sentence);
    if (board?.refused(frame)) return undefined;
    release(frame.id);
    giveBack(wire.settle(frame.id), sentence);
    return undefined;
  },
};

// A refused line is given back rather than sent again by itself: a person decides. Where another is
// being written, it is shown beside; what a form held stands in the form still.
function giveBack(kept, sentence) {
  const isForm = kept && Object.keys(kept.fields).length > 0;
  const isFree = !line.value;
  if (kept && !isForm && isFree) setLine(kept.text);
  get("problem").textContent = kept && (isForm || !isFree)
    ? words.notTaken(sentence, kept.text) : sentence;
}

// An answer to a press gets the focus, or its form does, unless something is being typed.
function arrive(element, wasPressed) {
  if (!element) return;
  const field = element.querySelector(".form .field");
  if (!isTyping() && (wasPressed || (field && document.activeElement === line))) {
    (field || element).focus({ preventScroll: true });
  }
  const free = page.clientHeight - get("desk").offsetHeight 
    - document.querySelector(".head").offsetHeight;
  element.scrollIntoView({ block: element.offsetHeight > free ? "start" : "nearest" });
}

// --- the desk ---

// A button waits for the answer to its press, so that pressing it twice does not ask twice.
function press(act, button) {
  if (button.getAttribute("aria-disabled")) return false;
  get("problem").textContent = "";
  button.setAttribute("aria-disabled", "true");
  pressed.set(wire.act(act), button);
  return true;
}

function release(id) {
  pressed.get(id)?.removeAttribute("aria-disabled");
  pressed.delete(id);
}

function setLine(text) {
  line.value = text;
  line.style.height = "auto";
  line.style.height = `${line.scrollHeight + 3}px`;
}

function sendLine(open) {
  const text = line.value.trim();
  get("problem").textContent = "";
  if (text) {
    wire.act({ text, open });
    setLine("");
    sessionStorage.removeItem(KEPT_LINE);
  }
  line.focus();
}

function showWaiting(lines) {
  get("waiting").hidden = lines.length === 0;
  get("waiting").replaceChildren(...lines.map(({ text }) => {
    const item = document.createElement("li");
    item.textContent = words.waitingLine(text);
    return item;
  }));
}

get("composer").addEventListener("submit", (event) => {
  event.preventDefault();
  sendLine(false);
});
get("say").addEventListener("click", () => sendLine(true));
line.addEventListener("input", () => {
  setLine(line.value);
  sessionStorage.setItem(KEPT_LINE, line.value);
});
line.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
  event.preventDefault();
  sendLine(false);
});
for (const button of document.querySelectorAll(".shortcuts button")) {
  const { command: text } = button.dataset;
  button.addEventListener("click", () => (button.id === "ask-photo"
    ? choosePhoto((photo) => press({ text, photo }, button)) : press({ text }, button)));
}
get("newer").addEventListener("click", () => {
  scrollToEnd();
  get("entries").lastElementChild?.focus({ preventScroll: true });
});
addEventListener("scroll", () => {
  if (isAtEnd()) get("newer").hidden = true;
}, { passive: true });

// Says how it stands with the room: at the desk, once that is seen.
function tell(text) {
  get("state").textContent = text;
  get("opening").textContent = get("room").hidden ? text : "";
}

// --- the door ---

function showRoom(isIn) {
  const was = get("room").hidden;
  for (const id of ["me", "room", "desk"]) get(id).hidden = !isIn;
  get("opening").hidden = true;
  get("door").hidden = isIn;
  if (isIn && was) line.focus({ preventScroll: true });
}

// On a narrow screen the board and the club are two views; on a wide one they stand side by side.
function showView(view) {
  root.dataset.view = view;
  for (const button of get("views").querySelectorAll("button")) {
    button.setAttribute("aria-pressed", String(button.dataset.view === view));
  }
  if (view === "board") page.scrollTo({ top: 0 });
}

get("views").addEventListener("click", (event) => {
  const { view } = event.target.dataset;
  if (view) showView(view);
  if (view === "club") scrollToEnd();
});

const keepOf = () =>
  `${sessionStorage.getItem(KEPT_ROOM)}:${sessionStorage.getItem(KEPT_NAME)?.toLowerCase()}`;

function enter(room, name) {
  sessionStorage.setItem(KEPT_NAME, name);
  sessionStorage.setItem(KEPT_ROOM, room);
  tell(words.states.connecting);
  wire?.close();
  wire = new Wire({
    room,
    name,
    hear: (frame) => hearing[frame.type]?.(frame),
    tell: (state) => {
      tell(words.states[state]);
      if (state === "lost") board?.taps.lose();
      if (state === "lost") leaveIfSignedOut();
    },
    waiting: showWaiting,
  });
}

// The room is out of reach: perhaps to who is here alone, since their link was taken back.
async function leaveIfSignedOut() {
  const answer = await fetch("/rooms").catch(() => null);
  if (answer?.status === 403 && !isLeaving) location.reload();
}

function leave(sentence = "") {
  wire?.close();
  board?.close();
  board = null;
  root.classList.remove("has-board", "has-panel");
  get("board").hidden = get("views").hidden = true;
  view.clear();
  for (const id of pressed.keys()) release(id);
  delete get("entries").dataset.ready;
  get("door-name").value = sessionStorage.getItem(KEPT_NAME) || "";
  sessionStorage.removeItem(KEPT_NAME);
  get("door-problem").textContent = sentence;
  showRoom(false);
  get("door-name").select();
}

// Nothing of a member stays on a device that may be another's.
async function signOut() {
  if (!confirm(words.signOut)) return;
  isLeaving = true;
  const answer = await fetch("/out", { method: "POST" }).catch(() => null);
  if (!answer?.ok) {
    isLeaving = false;
    get("problem").textContent = words.stillIn;
    return;
  }
  wire.close();
  board?.close();
  localStorage.clear();
  sessionStorage.clear();
  location.reload();
}

get("sign-out").addEventListener("click", signOut);
get("change-name").addEventListener("click", () => leave());
get("door-form").addEventListener("submit", (event) => {
  event.preventDefault();
  get("door-problem").textContent = "";
  enter(get("door-room").value, get("door-name").value.trim());
});

async function open() {
  startLook(get("look"));
  const answer = await ask("/rooms", {}, { tell });
  if (answer.status === 403) return location.reload(); // signed out meanwhile
  const rooms = await answer.json();
  get("door-room").replaceChildren(...rooms.map(({ id, title }) => new Option(title, id)));
  get("door-room-row").hidden = rooms.length < 2;
  if (rooms.length === 1) get("title").textContent = rooms[0].title;
  // Who came by a link is who it says, and gets nothing of who was here before in this tab.
  const [own] = rooms.filter((each) => each.name);
  const before = sessionStorage.getItem(KEPT_NAME);
  if (own && before && before !== own.name) sessionStorage.clear();
  setLine(sessionStorage.getItem(KEPT_LINE) || "");
  get("change-name").hidden = Boolean(own);
  get("sign-out").hidden = !own;
  if (own) return enter(own.id, own.name);
  const name = sessionStorage.getItem(KEPT_NAME);
  const room = sessionStorage.getItem(KEPT_ROOM);
  if (name && rooms.some(({ id }) => id === room)) enter(room, name);
  else leave();
  return undefined;
}

open();
