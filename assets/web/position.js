// A board as values, and what a tap makes of it: nothing here knows the page. Cells are numbers
// from 0, row by row. The club decides in the end; this only shows at once what it will say.

export const SIZE = 9;
export const DIGITS = [1, 2, 3, 4, 5, 6, 7, 8, 9];
export const CELLS = [...Array(SIZE * SIZE).keys()];

export const rowOf = (cell) => Math.floor(cell / SIZE);
export const columnOf = (cell) => cell % SIZE;
export const boxOf = (cell) => Math.floor(rowOf(cell) / 3) * 3 + Math.floor(columnOf(cell) / 3);
export const nameOf = (cell) => `r${rowOf(cell) + 1}c${columnOf(cell) + 1}`;

const housesOf = (cell) => [rowOf(cell), 9 + columnOf(cell), 18 + boxOf(cell)];
export const HOUSES = [...Array(27).keys()].map((house) =>
  CELLS.filter((cell) => housesOf(cell).includes(house)));

function digitAt(text, cell) {
  const digit = text.charCodeAt(cell) - 48;
  return digit > 0 && digit <= SIZE ? digit : 0;
}

// A frame's board as a position: digits by cell, and sets of `cell*10 + digit`.
export function positionOf(board) {
  return {
    givens: CELLS.map((cell) => digitAt(board.givens, cell)),
    digits: CELLS.map((cell) => digitAt(board.grid, cell)),
    struck: new Set(board.struck.map(([cell, digit]) => cell * 10 + digit)),
    small: new Set((board.small || []).map(([cell, digit]) => cell * 10 + digit)),
  };
}

const heldBy = ({ grid, struck, small, undo_left: undo, redo_left: redo }) =>
  JSON.stringify([grid, struck, small, undo, redo]);

// Whether two frames' boards hold the same, and lie as far from the first and the last.
export const isSame = (board, other) => heldBy(board) === heldBy(other);

const copyOf = (position) => ({
  ...position,
  digits: [...position.digits],
  struck: new Set(position.struck),
  small: new Set(position.small),
});

// The position after a change; `inPlace`: nobody needs the one before.
export function changed(position, { kind, marks }, inPlace = false) {
  const next = inPlace ? position : copyOf(position);
  for (const [cell, digit] of marks) {
    const mark = cell * 10 + digit;
    if (kind === "write" && !next.givens[cell]) next.digits[cell] = digit;
    if (kind === "strike") next.struck.add(mark);
    if (kind === "allow") next.struck.delete(mark);
    if (kind === "small") {
      for (const each of DIGITS) next.small.delete(cell * 10 + each);
      for (const each of String(digit || "")) next.small.add(cell * 10 + Number(each));
    }
  }
  return next;
}

// The cells whose digit or marks are others in the other position.
export function differing(position, other) {
  const isOther = (cell) => position.digits[cell] !== other.digits[cell];
  const apart = (one, two) => [...one].filter((mark) => !two.has(mark));
  const marks = ["struck", "small"].flatMap((kind) =>
    [...apart(position[kind], other[kind]), ...apart(other[kind], position[kind])]);
  return [...CELLS.filter(isOther), ...marks.map((mark) => Math.floor(mark / 10))];
}

// The digits that stand in each house, as bits.
function usedIn({ digits }) {
  const used = Array(HOUSES.length).fill(0);
  for (const cell of CELLS) for (const house of housesOf(cell)) used[house] |= 1 << digits[cell];
  return used;
}

// Of each open cell of `cells` the digits that `has` and that no digit beside the cell rules out.
function openDigits(position, cells, has) {
  const used = usedIn(position);
  const open = [];
  for (const cell of cells) {
    const barred = housesOf(cell).reduce((bits, house) => bits | used[house], 0);
    open[cell] = position.digits[cell] ? [] : DIGITS.filter((digit) =>
      !(barred >> digit & 1) && has(cell * 10 + digit));
  }
  return open;
}

// Whether no digit beside an open cell rules one out in it.
export const isPossible = ({ digits }, cell, digit) =>
  housesOf(cell).every((house) => HOUSES[house].every((other) => digits[other] !== digit));

// The digits that are possible in each open cell, as far as the board shows.
export const candidatesOf = (position, cells = CELLS) =>
  openDigits(position, cells, (mark) => !position.struck.has(mark));

// Those of the candidates that have just two places in a box.
export function twoPlacesOf(candidates) {
  return CELLS.map((cell) => candidates[cell].filter((digit) =>
    HOUSES[18 + boxOf(cell)].filter((other) => candidates[other].includes(digit)).length === 2));
}

// The member's own small digits, less those that a digit beside them rules out.
export const smallOf = (position, cells) =>
  openDigits(position, cells, (mark) => position.small.has(mark));
