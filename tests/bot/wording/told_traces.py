"""A traced contradiction as it is told, played on a board of its own, sentence by sentence."""

from __future__ import annotations

import re
from collections.abc import Callable

from tests.bot.wording.clauses import CELL, CELLS, DIGITS, HOUSE, digits_in
from tests.bot.wording.scene import Board, Scene

Check = Callable[[Scene, re.Match[str]], bool]


def _suppose(s: Scene, m: re.Match[str]) -> bool:
    (cell,), digit = s.cells(m[1]), int(m[2])
    if s.boards:
        outer = s.boards[-1]
        board = Board(s.grid, dict(outer.stands), {c: set(d) for c, d in outer.left.items()},
                      (cell, digit))  # fmt: skip
        if s.announced != {(cell, digit)}:
            return False
    else:
        layout = s.grid.layout
        stands = {c: s.grid.digit_at(c) for house in layout.houses for c in house.cells
                  if s.grid.digit_at(c)}  # fmt: skip
        left = {c: set(s.grid.candidates_at(c)) for c in layout.cells_in(s.grid.open_cells)}
        board = Board(s.grid, stands, left, (cell, digit))
        if s.struck() != {(cell, digit)}:
            return False
    if digit not in board.left[cell]:
        return False
    board.put(cell, digit)
    s.boards.append(board)
    return True


def _in_turn(s: Scene, m: re.Match[str]) -> bool:
    return bool(s.boards)


def _only_digit(s: Scene, m: re.Match[str]) -> bool:
    if not s.boards:
        return False
    board, (cell,), digit = s.boards[-1], s.cells(m[1]), int(m[2])
    is_so = board.left.get(cell) == {digit}
    board.put(cell, digit)
    return is_so


def _only_place(s: Scene, m: re.Match[str]) -> bool:
    if not s.boards:
        return False
    board, (cell,), digit = s.boards[-1], s.cells(m[1]), int(m[2])
    (house,) = s.houses(m[3])
    is_so = board.places(house, digit) == {cell} and not board.has(house, digit)
    board.put(cell, digit)
    return is_so


def _must_be_in(s: Scene, m: re.Match[str]) -> bool:
    board, digits, houses, cells = s.boards[-1], digits_in(m[1]), s.houses(m[2]), s.cells(m[3])
    held = {digit for cell in cells for digit in board.left.get(cell, ())}
    house = houses[0]
    is_hidden = all(board.places(house, digit) <= cells for digit in digits)
    is_naked = held <= digits and len(cells) == len(digits)
    if not (is_naked or (is_hidden and (len(digits) in (1, len(cells))))):
        return False
    for names, digit in _lost(m[4]):
        for victim in s.cells(names):
            own = {cell for cell in cells if digit in board.left.get(cell, ())}
            seen = digit in digits and victim not in cells and all(
                board.grid.layout.peers[victim] >> cell & 1 for cell in own
            )  # fmt: skip
            crowded = is_hidden and len(digits) == len(cells) and victim in cells
            if not (seen or (crowded and digit not in digits)) or digit not in board.left[victim]:
                return False
    _take(s, m[4])
    return True


def _lost(told: str) -> list[tuple[str, int]]:
    return [(names, int(d)) for names, d in re.findall(rf"({CELLS}) loses? ([1-9])", told)]


def _take(s: Scene, told: str) -> None:
    for names, digit in _lost(told):
        for victim in s.cells(names):
            s.boards[-1].left[victim].discard(digit)


def _announce(s: Scene, m: re.Match[str]) -> bool:
    s.announced = {(cell, digit) for names, digit in _lost(m[1]) for cell in s.cells(names)}
    return len(s.announced) == 1


def _end(s: Scene) -> bool:
    board = s.boards.pop()
    if s.boards:
        cell, digit = board.supposed
        s.boards[-1].left[cell].discard(digit)
    return True


def _no_place(s: Scene, m: re.Match[str]) -> bool:
    board, (house,), digit = s.boards[-1], s.houses(m[1]), int(m[2])
    return not board.has(house, digit) and not board.places(house, digit) and _end(s)


def _no_candidate(s: Scene, m: re.Match[str]) -> bool:
    (cell,) = s.cells(m[1])
    return s.boards[-1].left[cell] == set() and _end(s)


def _twice(s: Scene, m: re.Match[str]) -> bool:
    (house,), cells = s.houses(m[1]), s.cells(m[3])
    return (
        len(cells) > 1
        and all(house.mask >> cell & 1 for cell in cells)
        and all(s.boards[-1].stands.get(cell) == int(m[2]) for cell in cells)
        and _end(s)
    )


FORMS: tuple[tuple[str, Check], ...] = (
    (rf"Suppose ({CELL}) were ([1-9])", _suppose),
    (r"Then, one after the other:", _in_turn),
    (rf"(?:Then )?({CELL}) is ([1-9]) \(nothing else is left there\)", _only_digit),
    (rf"(?:Then )?({CELL}) is ([1-9]) \(no other place in ({HOUSE})\)", _only_place),
    (rf"(?:Then )?({DIGITS}) in ({HOUSE}(?: and {HOUSE})?) must be in ({CELLS}), so (.*)",
     _must_be_in),
    (r"(?:Then )?(.*), as a trial of its own shows", _announce),
    (rf"But now ({HOUSE}) has no place left for ([1-9]): that cannot be", _no_place),
    (rf"But now ({CELL}) has no candidate left: that cannot be", _no_candidate),
    (rf"But now ({HOUSE}) would hold ([1-9]) twice, in ({CELLS}): that cannot be", _twice),
)  # fmt: skip
