// The grid of the board: a table for the ear with one cell to reach by Tab, and shapes drawn upon
// it. Only what changed is touched, so that a tap shows at once. It decides nothing.

import { build, setAttribute } from "./entries.js";
import { CELLS, DIGITS, SIZE, columnOf, rowOf } from "./position.js";
import { drawShapes } from "./shapes.js";
import * as words from "./words.js";

const MARK_CLASSES = ["plates", "rings", "squares", "struck", "others"];

export class Grid {
  // `on` hears `{choose(cell), alternate(cell), key(event)}`.
  constructor(element, on) {
    this.element = element;
    this.on = on;
    this.shown = [];
    this.at = 0;
    this.told = new Map(); // cell -> {digit -> class}, of what was told
    this.cells = CELLS.map((cell) => this.buildCell(cell));
    this.shapes = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    this.shapes.setAttribute("viewBox", "0 0 900 900");
    this.shapes.setAttribute("class", "shapes");
    this.shapes.setAttribute("aria-hidden", "true");
    element.replaceChildren(this.buildHead(), ...DIGITS.map((row) => this.buildRow(row)));
    element.parentElement.append(this.shapes);
    element.addEventListener("keydown", (event) => this.on.key(event));
    this.listen();
  }

  buildHead() {
    const heads = DIGITS.map((column) => {
      const head = build("div", { className: "edge", text: column });
      head.setAttribute("role", "columnheader");
      head.setAttribute("aria-label", words.house("column", column));
      return head;
    });
    const corner = build("div", { className: "edge" },
      build("span", { className: "aside", text: words.rowsHead }));
    corner.setAttribute("role", "columnheader");
    return this.asRow(build("div", {}, corner, ...heads));
  }

  buildRow(row) {
    const head = build("div", { className: "edge", text: row });
    head.setAttribute("role", "rowheader");
    head.setAttribute("aria-label", words.house("row", row));
    return this.asRow(build("div", {}, head, ...this.cells.slice((row - 1) * SIZE, row * SIZE)));
  }

  asRow(element) {
    element.setAttribute("role", "row");
    element.className = "grid-row";
    return element;
  }

  buildCell(cell) {
    const element = build("div", { className: "cell" });
    element.setAttribute("role", "gridcell");
    element.tabIndex = cell === 0 ? 0 : -1;
    element.dataset.cell = cell;
    element.dataset.row = rowOf(cell) + 1;
    element.dataset.column = columnOf(cell) + 1;
    return element;
  }

  listen() {
    const cellOf = (event) => {
      const element = event.target.closest?.(".cell");
      return element ? Number(element.dataset.cell) : null;
    };
    let held = null;
    let wasHeld = false;
    const letGo = () => clearTimeout(held);
    const alternate = (cell) => {
      letGo();
      wasHeld = true;
      this.on.alternate(cell);
    };
    this.element.addEventListener("pointerdown", (event) => {
      wasHeld = false;
      letGo();
      const cell = cellOf(event);
      if (cell === null || event.button) return;
      held = setTimeout(() => alternate(cell), 500);
    });
    for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
      this.element.addEventListener(end, letGo);
    }
    this.element.addEventListener("contextmenu", (event) => {
      const cell = cellOf(event);
      if (cell === null) return;
      event.preventDefault();
      if (!wasHeld) alternate(cell);
    });
    this.element.addEventListener("click", (event) => {
      const cell = cellOf(event);
      if (cell !== null && !wasHeld) this.on.choose(cell);
      wasHeld = false;
    });
  }

  // `view`: `{position, small, mistakes, selected, armed}`; `cells`: those that may have changed.
  show(view, cells) {
    for (const cell of cells) this.showCell(cell, view);
  }

  showCell(cell, view) {
    const { position, small, mistakes, selected, armed } = view;
    const isMistake = mistakes.includes(cell);
    const digit = position.digits[cell];
    const isGiven = Boolean(position.givens[cell]);
    const told = this.told.get(cell);
    const boxed = told?.boxed && !digit ? told.boxed : 0;
    const same = armed && digit === armed;
    const marks = digit || boxed ? [] : [...new Set([...small[cell], ...(told?.digits.keys() || [])])];
    const element = this.cells[cell];
    setAttribute(element, "aria-selected", selected === cell);
    setAttribute(element, "class", "cell"
      + (isGiven ? " given" : "") + (digit && !isGiven ? " own" : "") + (same ? " same" : "")
      + (marks.length ? " noted" : "") + (boxed ? " boxed" : "") + (isMistake ? " mistake" : ""));
    const key = [digit, isGiven, marks, boxed, told?.key, isMistake].join("|");
    if (this.shown[cell] === key) return;
    this.shown[cell] = key;
    if (digit || boxed) element.textContent = digit || boxed;
    else {
      element.replaceChildren(...marks.map((mark) => {
        const kinds = told?.digits.get(mark) || "";
        const small = build("span", { className: `small ${kinds}`, text: mark });
        small.style.gridArea = `${Math.ceil(mark / 3)} / ${(mark - 1) % 3 + 1}`;
        return small;
      }));
    }
    element.setAttribute("aria-label",
      words.cell(rowOf(cell) + 1, columnOf(cell) + 1, digit, isGiven, small[cell], isMistake));
    if (isGiven) setAttribute(element, "aria-readonly", true);
  }

  mark(lines) {
    const isIn = (cell) => lines.some(([sort, number]) =>
      (sort === "row" ? rowOf(cell) : columnOf(cell)) + 1 === number);
    for (const cell of CELLS) this.cells[cell].toggleAttribute("data-marked", isIn(cell));
  }

  // What was told, as shapes; null: nothing.
  tell(shapes) {
    this.told = new Map();
    const of = (cell) => {
      if (!this.told.has(cell)) this.told.set(cell, { digits: new Map(), boxed: 0, key: "" });
      return this.told.get(cell);
    };
    for (const kind of MARK_CLASSES) {
      for (const [cell, digit] of shapes?.[kind] || []) {
        const { digits } = of(cell);
        digits.set(digit, `${digits.get(digit) || ""} ${kind}`);
      }
    }
    for (const [cell, digit] of shapes?.places || []) of(cell).boxed = digit;
    for (const told of this.told.values()) told.key = JSON.stringify([...told.digits]);
    drawShapes(this.shapes, shapes);
  }

  // Moves the one cell that Tab reaches.
  reach(cell, { focus = false } = {}) {
    if (cell !== this.at) {
      this.cells[this.at].tabIndex = -1;
      this.at = cell;
      this.cells[cell].tabIndex = 0;
    }
    if (focus && document.activeElement !== this.cells[cell]) this.cells[cell].focus();
  }
}
