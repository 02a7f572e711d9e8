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
const PEERS = CELLS.map((cell) => [...new Set(housesOf(cell).flatMap((house) => HOUSES[house]))]
  .filter((other) => other !== cell));

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

// Whether no digit beside a cell rules one out in it.
export const isPossible = (position, cell, digit) =>
  PEERS[cell].every((peer) => position.digits[peer] !== digit);

// The digits that are possible in each open cell, as far as the board shows.
export function candidatesOf(position) {
  return CELLS.map((cell) => (position.digits[cell] ? [] : DIGITS.filter((digit) =>
    !position.struck.has(cell * 10 + digit) && isPossible(position, cell, digit))));
}

// Those of the candidates that have just two places in a box.
export function twoPlacesOf(candidates) {
  return CELLS.map((cell) => candidates[cell].filter((digit) =>
    HOUSES[18 + boxOf(cell)].filter((other) => candidates[other].includes(digit)).length === 2));
}

// The member's own small digits, less those that a digit beside them rules out.
export function smallOf(position) {
  return CELLS.map((cell) => (position.digits[cell] ? [] : DIGITS.filter((digit) =>
    position.small.has(cell * 10 + digit) && isPossible(position, cell, digit))));
}
