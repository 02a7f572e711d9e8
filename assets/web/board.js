// The member's own board: taps and keys become lines that the club knows, what the club holds is
// shown, and what is on its way to it shows at once. A digit is a cell and then a digit, or a digit
// and then its cells; nothing has to be set for either. Whether a digit is right is never shown.

import { build, buildButton, buildForm, buildPicture, setAttribute } from "./entries.js";
import { Grid } from "./grid.js";
import { afterPaint } from "./later.js";
import { choosePhoto } from "./photos.js";
import * as at from "./position.js";
import { Taps } from "./taps.js";
import * as words from "./words.js";

const root = document.documentElement;
const get = (id) => document.getElementById(id);
// What stands already is not written again, or the page would be laid out anew for nothing.
function setText(id, text) {
  const element = get(id);
  if (element.textContent !== text) element.textContent = text;
}
function hide(id, isHidden) {
  get(id).toggleAttribute("hidden", Boolean(isHidden));
}

const KEPT_SHOWING = "ninebark-small-digits";
const KEPT_SAID = "ninebark-said"; // what was said last, so that a reload shows it again

export class Board {
  // `send` takes a frame, and returns false while the room is out of reach.
  constructor({ keep, send }) {
    this.base = null; // the newest board of the club
    this.before = []; // positions to undo to, as far as this page has seen them
    this.after = []; // and to redo
    this.selected = null;
    this.armed = 0;
    this.isSmall = false;
    this.said = JSON.parse(sessionStorage.getItem(KEPT_SAID) || "null");
    this.folded = "";
    this.busy = new Map(); // tap id -> the button that waits for it
    this.skew = 0;
    this.undoLeft = 0;
    this.redoLeft = 0;
    this.mustFocus = false;
    this.toSpeak = null;
    this.followTap = () => this.follow();
    this.taps = new Taps({ keep, send, drop: (tap, problem) => this.giveUp(tap, problem) });
    this.grid = new Grid(get("grid"), {
      choose: (cell) => this.choose(cell),
      alternate: (cell) => this.alternate(cell),
      key: (event) => this.key(event),
    });
    this.abort = new AbortController();
    this.buildBar();
    this.listen();
    // No cell gets the focus behind the dock.
    this.dock = new ResizeObserver(([{ target }]) =>
      root.style.setProperty("--dock", `${target.offsetHeight}px`));
    this.dock.observe(document.querySelector(".dock"));
    this.timer = setInterval(() => this.showClock(), 1000);
  }

  close() {
    this.say(null);
    clearInterval(this.timer);
    this.abort.abort();
    this.dock.disconnect();
    this.grid.shapes.remove();
    this.grid.element.replaceChildren();
  }

  // --- from the club ---

  // `kind`: of the tap of this page that made the board so; empty: something else did.
  take(board, kind = "") {
    if (board && this.base && board.day !== this.base.day) this.forget();
    else this.remember(board, kind);
    this.base = board;
    if (board) this.skew = Date.parse(board.at) - Date.now();
    this.show();
  }

  touched({ id, said, board }) {
    const was = this.base?.told_key;
    const tap = this.taps.settle(id);
    this.release(id);
    if (tap?.photo) this.aside = "";
    if (said.length) this.say(said);
    if (board?.told_key !== was) this.folded = "";
    this.take(board, tap?.change?.kind);
    if (said.length || (board?.told_key && board.told_key !== was)) this.speakPanel();
  }

  // Keeps what there is to undo to, so that undoing shows at once. What was before a change from
  // elsewhere (another tab, a grid typed in) is not known, and is waited for.
  remember(board, kind) {
    if (!this.base?.givens || !board?.givens || at.isSame(this.base, board)) return;
    const was = at.positionOf(this.base);
    const [before, after] = [this.before, this.after];
    if (kind === "undo") [this.before, this.after] = [before.slice(0, -1), [...after, was]];
    else if (kind === "redo") [this.before, this.after] = [[...before, was], after.slice(0, -1)];
    else [this.before, this.after] = [kind ? [...before, was] : [], []];
    this.before = this.before.slice(-50);
  }

  forget() {
    this.before = [];
    this.after = [];
    this.say(null);
    this.selected = null;
  }

  refused(frame) {
    return this.taps.refuse(frame);
  }

  giveUp(tap, problem) {
    this.release(tap.id);
    this.aside = "";
    this.say([{ text: words.notCarriedOut((words.refusals[problem] || words.refusals.malformed)({})) }]);
    this.show();
    this.speakPanel();
  }

  // --- what is shown ---

  // The club's board with what is on its way to it. Of a tap that may have got through already only
  // what can be done twice is shown.
  now() {
    if (!this.base?.givens) return null;
    this.undoLeft = this.base.undo_left;
    this.redoLeft = this.base.redo_left;
    let position = at.positionOf(this.base);
    const before = [...this.before];
    const after = [...this.after];
    const isBack = ({ change }) => change && !change.marks.length;
    const goesBack = this.taps.pending.some(isBack);
    for (const { change, day, isUnsure } of this.taps.pending) {
      if (!change || day !== this.base.day) continue;
      this.count(change);
      if (change.kind === "undo" || change.kind === "redo") {
        const [from, to] = change.kind === "undo" ? [before, after] : [after, before];
        if (isUnsure || !from.length) continue;
        to.push(position);
        position = from.pop();
      } else {
        if (goesBack) before.push(position);
        position = at.changed(position, change, !goesBack);
      }
    }
    return position;
  }

  // Counts what there is to undo and to redo after one more change.
  count({ kind }) {
    if (kind === "undo") {
      this.undoLeft -= 1;
      this.redoLeft += 1;
    } else {
      this.undoLeft += 1;
      this.redoLeft = kind === "redo" ? this.redoLeft - 1 : 0;
    }
  }

  // What a tap does to its cells; what is undone is known from what was before.
  showChange(change) {
    const was = this.position;
    if (change.marks.length) this.count(change);
    this.position = change.marks.length ? at.changed(was, change) : this.now();
    this.showTap(at.differing(was, this.position));
  }

  // Shows the cells that a tap touched; all else follows once they are drawn.
  showTap(cells) {
    this.showGrid(cells);
    afterPaint(this.followTap);
  }

  follow() {
    if (this.abort.signal.aborted) return;
    this.grid.reach(this.grid.at, { focus: this.mustFocus });
    this.mustFocus = false;
    this.show();
    if (this.toSpeak !== null) get("spoken").textContent = this.toSpeak;
    this.toSpeak = null;
  }

  // The small digits shown in each of the cells.
  smallIn(position, cells) {
    if (this.showing() === "own") return at.smallOf(position, cells);
    if (this.showing() === "all") return at.candidatesOf(position, cells);
    return at.twoPlacesOf(at.candidatesOf(position));
  }

  // What small digits are shown: the member's own, all that are left, or those with two places.
  showing() {
    if (!this.base?.is_filled) return "own";
    return localStorage.getItem(KEPT_SHOWING) || "all";
  }

  show() {
    const { base } = this;
    const position = (this.position = this.now());
    root.classList.toggle("has-board", Boolean(base));
    hide("board", !base);
    if (!base) return;
    setText("day-title", base.title);
    setText("day-closes", base.closes);
    setText("notice", this.aside || base.notice);
    root.classList.toggle("is-running", Boolean(base.started_at && !base.finished_at));
    hide("start", !base.may_start);
    hide("grid-frame", !position);
    hide("tools", !position || base.may_start); // of a closed day, for a late answer alone
    const isPlayed = position && (base.started_at || base.finished_at);
    for (const id of ["bar", "ways", "small", "undo", "redo", "hint", "check"]) hide(id, !isPlayed);
    this.showClock();
    if (!position) return this.showPanel();
    if (this.marked !== String(base.lines)) this.grid.mark(base.lines);
    this.marked = String(base.lines);
    const told = base.shapes && this.isToldShown() ? base.shapes : null;
    const toldKey = told ? base.told_key : "";
    if (this.toldKey !== toldKey) this.grid.tell(told);
    this.toldKey = toldKey;
    this.showGrid(at.CELLS);
    this.showKeys();
    this.showTools();
    return this.showPanel();
  }

  showGrid(cells) {
    const { position, selected, armed } = this;
    const { mistakes } = this.base;
    const small = this.smallIn(position, cells);
    this.grid.show({ position, small, mistakes, selected, armed }, cells);
  }

  showKeys() {
    for (const key of this.keys) {
      setAttribute(key, "aria-pressed", Number(key.dataset.digit) === this.armed);
    }
  }

  showTools() {
    const { base } = this;
    const isOver = Boolean(base.finished_at);
    for (const [id, left] of [["undo", this.undoLeft], ["redo", this.redoLeft]]) {
      get(id).toggleAttribute("disabled", left < 1);
    }
    setAttribute(get("small"), "aria-pressed", this.isSmall);
    for (const id of ["hint", "check", "fill"]) {
      setText(id, words.withCost(words[id], isOver ? 0 : base.costs[id]));
    }
    hide("fill", base.is_filled);
    hide("showing-row", !base.is_filled);
    if (get("showing").value !== this.showing()) get("showing").value = this.showing();
  }

  showClock() {
    const { base } = this;
    if (!base?.started_at) {
      setText("clock", "");
      return;
    }
    const end = base.finished_at ? Date.parse(base.finished_at) : Date.now() + this.skew;
    setText("clock", words.clock((end - Date.parse(base.started_at)) / 1000, base.added));
  }

  isToldShown() {
    return Boolean(this.base?.told) && this.folded !== this.base.told_key;
  }

  showPanel() {
    const parts = [...(this.said || [])];
    if (this.isToldShown() && !parts.length) parts.push(this.base.told);
    const showing = JSON.stringify(parts);
    hide("panel", !parts.length);
    root.classList.toggle("has-panel", parts.length > 0);
    if (this.panelShown === showing) return;
    this.panelShown = showing;
    const act = (line, button) => this.press(line, button);
    get("panel-text").replaceChildren(...parts.flatMap((message) => [
      ...message.text.split("\n\n").map((text) => build("p", { className: "text", text })),
      message.picture && buildPicture(message.picture),
      message.code && !message.picture && build("pre", { className: "code", text: message.code }),
      message.form && buildForm(message.form, act),
    ].filter(Boolean)));
    get("panel-buttons").replaceChildren(
      ...parts.flatMap((message) => message.buttons || []).map((each) => buildButton(each, act)));
    get("panel-text").classList.toggle("pictured", parts.some(({ picture }) => picture));
    get("panel-text").scrollTop = 0;
  }

  say(said) {
    if (!said && !this.said) return;
    this.said = said;
    sessionStorage.setItem(KEPT_SAID, JSON.stringify(said));
  }

  speakPanel() {
    this.speak(get("panel-text").innerText);
    get("panel-text").querySelector(".field")?.focus({ preventScroll: true });
  }

  speak(text) {
    this.toSpeak = text;
    afterPaint(this.followTap);
  }

  // --- taps ---

  // Sends a line about this day's board; returns false where the button waits already. What a change
  // does to a cell shows at once, all else once that is drawn.
  press({ text, fields = {}, change = null, photo = null }, button = null) {
    if (button?.getAttribute("aria-disabled")) return false;
    this.say(null);
    this.aside = "";
    const { day } = this.base;
    const id = this.taps.add({ text, fields, day, change, photo });
    if (button) {
      button.setAttribute("aria-disabled", "true");
      this.busy.set(id, button);
    }
    if (change) this.showChange(change);
    else this.show();
    return true;
  }

  release(id) {
    this.busy.get(id)?.removeAttribute("aria-disabled");
    this.busy.delete(id);
  }

  ask(command, button) {
    this.press({ text: `${command} ${this.base.day}` }, button);
  }

  takePhoto() {
    choosePhoto((photo) => {
      this.press({ text: `board photo ${this.base.day}`, photo }, get("photo"));
      this.note(words.readingPhoto);
    });
  }

  write(cell, digit) {
    if (this.position.givens[cell] || this.position.digits[cell] === digit) return;
    const change = { kind: "write", marks: [[cell, digit]] };
    this.press({ text: `place ${at.nameOf(cell)} ${digit} ${this.base.day}`, change });
    this.speak(words.wrote(at.rowOf(cell) + 1, at.columnOf(cell) + 1, digit));
  }

  // A small digit: one's own is written or rubbed out; where all are shown, it is ruled out or
  // allowed again.
  writeSmall(cell, digit) {
    const { position } = this;
    if (position.digits[cell]) return;
    const mark = cell * 10 + digit;
    const name = at.nameOf(cell);
    const [row, column] = [at.rowOf(cell) + 1, at.columnOf(cell) + 1];
    if (this.showing() === "own") {
      if (!at.isPossible(position, cell, digit)) return this.note(words.barred(digit));
      const has = position.small.has(mark);
      const digits = at.DIGITS.filter((each) =>
        (each === digit ? !has : position.small.has(cell * 10 + each)));
      const change = { kind: "small", marks: [[cell, Number(digits.join(""))]] };
      this.press({ text: `small ${name} ${digits.join(" ") || 0} ${this.base.day}`, change });
      return this.speak(words.wroteSmall(row, column, digit, !has));
    }
    if (!at.isPossible(position, cell, digit)) return this.note(words.barred(digit));
    const isLeft = !position.struck.has(mark);
    if (isLeft && !this.smallIn(position, [cell])[cell].includes(digit)) {
      return this.note(words.notTwo(digit));
    }
    const change = { kind: isLeft ? "strike" : "allow", marks: [[cell, digit]] };
    const command = isLeft ? "rule-out" : "allow";
    this.press({ text: `${command} ${name} ${digit} ${this.base.day}`, change });
    return this.speak(words.ruledOut(row, column, digit, isLeft));
  }

  // Says why a tap did nothing, where the eye is and to the ear, until the next one.
  note(text) {
    this.aside = text;
    this.show();
    this.speak(text);
  }

  put(cell, digit, isSmall = this.isSmall) {
    if (!this.position || !this.base.started_at) return;
    if (isSmall && digit) this.writeSmall(cell, digit);
    else if (digit && this.position.digits[cell] === digit) this.write(cell, 0);
    else this.write(cell, digit);
  }

  choose(cell) {
    const before = this.selected;
    this.grid.reach(cell);
    this.mustFocus = true; // the browser has done so itself, but where a cell is pressed by script
    const isOpen = !this.position.givens[cell];
    if (this.armed && isOpen) {
      this.put(cell, this.armed);
      return;
    }
    if (this.armed) this.armed = this.position.givens[cell];
    else this.selected = this.selected === cell ? null : cell;
    this.showTap(before === null ? [cell] : [before, cell]);
  }

  alternate(cell) {
    this.grid.reach(cell, { focus: true });
    if (this.armed) this.put(cell, this.armed, !this.isSmall);
    else {
      this.selected = cell;
      this.isSmall = true;
      this.show();
    }
  }

  // A digit of the bar: into the chosen cell, or else held for the cells to come.
  digit(digit, isSmall = this.isSmall) {
    const cell = this.selected;
    if (cell !== null && !this.position.givens[cell] && !this.armed) {
      this.put(cell, digit, isSmall);
      return;
    }
    this.armed = this.armed === digit ? 0 : digit;
    this.selected = null;
    this.showKeys();
    this.speak(this.armed ? words.armed(digit) : words.disarmed);
  }

  move(cell) {
    const before = this.selected ?? cell;
    this.selected = cell;
    this.grid.reach(cell, { focus: true });
    this.showTap([before, cell]);
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey || !this.position) return;
    const cell = this.grid.at;
    const [row, column] = [at.rowOf(cell), at.columnOf(cell)];
    const steps = {
      ArrowUp: row > 0 && cell - 9,
      ArrowDown: row < 8 && cell + 9,
      ArrowLeft: column > 0 && cell - 1,
      ArrowRight: column < 8 && cell + 1,
      Home: row * 9,
      End: row * 9 + 8,
    };
    const digit = /^(Digit|Numpad)[1-9]$/.test(event.code) ? Number(event.code.slice(-1)) : 0;
    const typed = digit || (/^[1-9]$/.test(event.key) ? Number(event.key) : 0);
    if (event.key in steps) {
      if (steps[event.key] !== false) this.move(steps[event.key]);
    } else if (typed) this.put(cell, typed, event.shiftKey !== this.isSmall);
    else if (["Backspace", "Delete", "0"].includes(event.key)) this.write(cell, 0);
    else if (event.key === "Enter" || event.key === " ") this.choose(cell);
    else if (event.key === "u") this.undo("undo");
    else if (event.key === "h") this.ask("hint board", get("hint"));
    else if (event.key === "?") this.explainKeys();
    else return;
    event.preventDefault();
  }

  undo(kind) {
    if ((kind === "undo" ? this.undoLeft : this.redoLeft) < 1) return;
    this.press({ text: `${kind} ${this.base.day}`, change: { kind, marks: [] } });
    this.speak(words.undone[kind]);
  }

  explainKeys() {
    this.say([{ text: words.keys }]);
    this.show();
    this.speakPanel();
  }

  fold() {
    if (this.said) this.say(null);
    else this.folded = this.base.told_key;
    this.show();
    this.grid.reach(this.grid.at, { focus: true });
  }

  // --- the bar ---

  buildBar() {
    this.keys = at.DIGITS.map((digit) => {
      const key = build("button", { className: "digit", text: digit });
      key.type = "button";
      key.dataset.digit = digit;
      return key;
    });
    get("digits").replaceChildren(...this.keys);
  }

  listen() {
    const { signal } = this.abort;
    const on = (id, work) => get(id).addEventListener("click", work, { signal });
    const digitOf = (event) => Number(event.target.closest("[data-digit]")?.dataset.digit);
    get("digits").addEventListener("click", (event) => {
      if (digitOf(event)) this.digit(digitOf(event));
    }, { signal });
    get("digits").addEventListener("contextmenu", (event) => {
      event.preventDefault();
      if (digitOf(event)) this.digit(digitOf(event), !this.isSmall);
    }, { signal });
    on("rub", () => this.selected !== null && this.write(this.selected, 0));
    on("small", () => {
      this.isSmall = !this.isSmall;
      setAttribute(get("small"), "aria-pressed", this.isSmall);
    });
    for (const kind of ["undo", "redo"]) on(kind, () => this.undo(kind));
    on("hint", () => this.ask("hint board", get("hint")));
    for (const id of ["check", "fill", "hand-in", "start"]) on(id, () => this.ask(id, get(id)));
    on("fold", () => this.fold());
    on("keys", () => this.explainKeys());
    on("photo", () => this.takePhoto());
    get("showing").addEventListener("change", () => {
      localStorage.setItem(KEPT_SHOWING, get("showing").value);
      this.show();
    }, { signal });
  }
}
