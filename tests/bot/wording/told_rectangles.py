"""The forms of sentences of what rests on the puzzle having one solution, and what makes each true.

The rectangle, or the position in which every cell has two candidates, is looked at cell by cell.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from tests.bot.wording.clauses import CELL, CELLS, DIGITS, HOUSE, LINES, WORD, digits_in
from tests.bot.wording.scene import Scene
from tests.bot.wording.told_higher import count_of, follows, lies_in, sees_each

Check = Callable[[Scene, re.Match[str]], bool]


def is_rectangle(s: Scene, cells: set[int]) -> bool:
    """Whether four cells stand in two rows, two columns and two boxes."""
    kinds = [
        {
            house.index
            for cell in cells
            for house in s.grid.layout.houses_of[cell]
            if house.kind == k
        }
        for k in ("row", "column", "box")
    ]
    return len(cells) == 4 and all(len(each) == 2 for each in kinds)


def _corners(s: Scene, m: re.Match[str]) -> bool:
    s.corners = s.cells(m[1])
    return is_rectangle(s, s.corners)


def _corners_of_own(s: Scene, m: re.Match[str]) -> bool:
    filled = {cell for cell in s.cells(m[1]) if s.grid.digit_at(cell)}
    return _corners(s, m) and all(s.grid.own >> cell & 1 for cell in filled)


def _nothing_but(s: Scene, m: re.Match[str]) -> bool:
    s.pair = digits_in(m[1])
    return len(s.pair) == 2 and all(s.pair <= set(s.grid.candidates_at(cell)) for cell in s.corners)


def roof(s: Scene) -> set[int]:
    """The open corners that can hold more than the two digits."""
    return {cell for cell in s.corners if set(s.grid.candidates_at(cell)) - s.pair}


def _only_open_corner(s: Scene, m: re.Match[str]) -> bool:
    (cell,) = s.cells(m[1])
    return roof(s) == {cell} and set(s.grid.candidates_at(cell)) - s.pair == digits_in(m[2])


def _must_be_that(s: Scene, m: re.Match[str]) -> bool:
    return (
        s.cells(m[1]) == roof(s)
        and {int(m[2]), int(m[3])} == s.pair
        and all(cell in roof(s) and digit in s.pair for cell, digit in s.struck())
    )


def _way_out(s: Scene, m: re.Match[str]) -> bool:
    s.digit = int(m[1])
    return s.cells(m[2]) == roof(s) and s.held(roof(s)) - s.pair == {s.digit}


def _no_cell_that_sees(s: Scene, m: re.Match[str]) -> bool:
    return (
        int(m[1]) == int(m[3]) == s.digit
        and (m[2] == "both") is (len(roof(s)) == 2)
        and all(digit == s.digit and sees_each(s, cell, roof(s)) for cell, digit in s.struck())
    )


def _as_one_cell(s: Scene, m: re.Match[str]) -> bool:
    return s.cells(m[1]) == roof(s) and s.held(roof(s)) - s.pair == digits_in(m[2])


def _group(s: Scene, m: re.Match[str]) -> bool:
    others, digits = s.cells(m[1]), digits_in(m[4])
    told = re.findall(rf"({CELL}) (?:can be )?({DIGITS})", m[5])
    s.group, s.places = digits, others
    return (
        count_of(m[2]) == count_of(m[3]) == len(others) + 1 == len(digits)
        and s.held(others) | (s.held(roof(s)) - s.pair) == digits
        and {cell for name, _ in told for cell in s.cells(name)} == others
        and all(set(s.grid.candidates_at(*s.cells(name))) == digits_in(d) for name, d in told)
    )


def _no_other_cell(s: Scene, m: re.Match[str]) -> bool:
    houses, own = s.houses(m[1]), s.places | roof(s)
    return (
        digits_in(m[2]) == s.group
        and all(lies_in(house, own) for house in houses)
        and all(
            digit in s.group and cell not in own and any(lies_in(h, [cell]) for h in houses)
            for cell, digit in s.struck()
        )
    )


def _floor(s: Scene, m: re.Match[str]) -> bool:
    return s.cells(m[1]) == s.corners - roof(s)


def _digit_of_roof(s: Scene, m: re.Match[str]) -> bool:
    (house,), s.digit = s.houses(m[1]), int(m[2])
    return s.digit in s.pair and s.cells(m[3]) == roof(s) == s.places_of(house, s.digit)


def _other_one(s: Scene, m: re.Match[str]) -> bool:
    (other,) = s.pair - {s.digit}
    return (
        int(m[1]) == int(m[3]) == other
        and digits_in(m[2]) == s.pair
        and all(cell in roof(s) and digit == other for cell, digit in s.struck())
    )


def _only_in_corners(s: Scene, m: re.Match[str]) -> bool:
    s.lines, s.digit = (s.houses(m[1]), []), int(m[2])
    return len(s.lines[0]) == 2 and all(
        s.places_of(house, s.digit) and s.places_of(house, s.digit) <= s.corners
        for house in s.lines[0]
    )


def _across(s: Scene, m: re.Match[str]) -> bool:
    (other,) = s.pair - {s.digit}
    one, two = roof(s)
    return (
        s.cells(m[1]) == roof(s)
        and not sees_each(s, one, [two])
        and int(m[2]) == other
        and digits_in(m[3]) == s.pair
        and int(m[4]) == s.digit
        and all(cell in roof(s) and digit == s.digit for cell, digit in s.struck())
    )


def _lines_only(s: Scene, m: re.Match[str]) -> bool:
    told = re.findall(rf"[Ii]n ({HOUSE}), ([1-9]) can only go in ({CELLS})", m[0])
    s.lines = ([house for name, _, _ in told for house in s.houses(name)], [])
    digits = {int(digit) for _, digit, _ in told}
    s.digit = min(digits)
    return len(digits) == 1 and all(
        s.places_of(house, s.digit) == s.cells(cells) and s.cells(cells) <= s.corners
        for house, (_, _, cells) in zip(s.lines[0], told, strict=True)
    )


def _were_it(s: Scene, m: re.Match[str]) -> bool:
    (cell,), (across,) = s.cells(m[1]), s.cells(m[5])
    return (
        s.struck() == {(cell, int(m[2]))}
        and int(m[3]) == s.digit
        and int(m[2]) == int(m[4])
        and {int(m[2]), int(m[3])} == s.pair
        and cell in s.corners
        and across in s.corners
        and all(lies_in(house, [cell]) for house in s.lines[0])
        and not sees_each(s, cell, [across])
        and set(s.grid.candidates_at(across)) == s.pair
    )


# Rectangles that digits of one's own have begun.


def _standing(s: Scene, m: re.Match[str]) -> bool:
    told = re.findall(rf"({CELLS}) (is|are) ([1-9])", m[0])
    said = {cell: int(digit) for names, _, digit in told for cell in s.cells(names)}
    return said == {cell: s.grid.digit_at(cell) for cell in s.corners if s.grid.digit_at(cell)}


def opened(s: Scene) -> set[int]:
    return {cell for cell in s.corners if not s.grid.digit_at(cell)}


def completes(s: Scene, told: dict[int, int]) -> bool:
    """Whether with these digits the corners hold two digits, each in corners across."""
    full = {cell: told.get(cell) or s.grid.digit_at(cell) for cell in s.corners}
    return 0 not in full.values() and all(
        (full[one] == full[two]) is not shares_line(s, one, two)
        for one in s.corners
        for two in s.corners - {one}
    )


def shares_line(s: Scene, one: int, two: int) -> bool:
    houses = s.grid.layout.houses_of
    return any(house.is_line and lies_in(house, (one, two)) for house in houses[one])


def _with_they_would(s: Scene, m: re.Match[str]) -> bool:
    told = {cell: int(d) for d, name in re.findall(rf"([1-9]) in ({CELL})", m[1])
            for cell in s.cells(name)}  # fmt: skip
    s.completing = told
    return set(told) == opened(s) and completes(s, told)


def _with_one(s: Scene, m: re.Match[str]) -> bool:
    return _with_they_would(s, m) and s.struck() == set(s.completing.items())


def _only_other(s: Scene, m: re.Match[str]) -> bool:
    s.digit = int(m[2])
    return _with_they_would(s, m) and all(
        set(s.grid.candidates_at(cell)) == {digit, s.digit} for cell, digit in s.completing.items()
    )


def _one_must_be(s: Scene, m: re.Match[str]) -> bool:
    return int(m[1]) == int(m[2]) == s.digit and all(
        digit == s.digit and sees_each(s, cell, opened(s)) for cell, digit in s.struck()
    )


def _so_as_one_cell(s: Scene, m: re.Match[str]) -> bool:
    s.pair = {s.grid.digit_at(cell) for cell in s.corners if s.grid.digit_at(cell)}
    return s.cells(m[1]) == opened(s) and all(
        set(s.grid.candidates_at(cell)) - digits_in(m[2]) <= {digit}
        for cell, digit in s.completing.items()
    )


def _can_both_be(s: Scene, m: re.Match[str]) -> bool:
    s.pair = {int(m[2]), int(m[3])}
    return s.cells(m[1]) == opened(s) and all(
        set(s.grid.candidates_at(cell)) == s.pair
        and all(completes(s, dict.fromkeys(opened(s), digit)) for digit in s.pair)
        for cell in opened(s)
    )


def _one_each(s: Scene, m: re.Match[str]) -> bool:
    return (
        {int(m[1]), int(m[2])} == s.pair
        and digits_in(m[3]) == {digit for _, digit in s.struck()} <= s.pair
        and all(sees_each(s, cell, opened(s)) for cell, _ in s.struck())
    )


# A position in which every cell has two candidates but one.


def _just_two(s: Scene, m: re.Match[str]) -> bool:
    (cell,) = s.cells(m[1])
    open_cells = s.grid.layout.cells_in(s.grid.open_cells)
    s.places = {cell}
    return set(s.grid.candidates_at(cell)) == digits_in(m[2]) and all(
        len(s.grid.candidates_at(each)) == (3 if each == cell else 2) for each in open_cells
    )


def _three_places(s: Scene, m: re.Match[str]) -> bool:
    s.digit, three = int(m[1]), s.houses(m[2])
    (cell,) = s.places
    return set(three) == set(s.grid.layout.houses_of[cell]) and all(
        len(s.places_of(house, digit)) in (0, 3 if digit == s.digit and house in three else 2)
        for house in s.grid.layout.houses
        for digit in s.grid.layout.digits
    )


def _without(s: Scene, m: re.Match[str]) -> bool:
    (cell,) = s.places
    return int(m[1]) == s.digit and s.cells(m[2]) == {cell} and s.step.places == ((cell, s.digit),)


def _relies(s: Scene, m: re.Match[str]) -> bool:
    return s.step.is_by_uniqueness


COUNT = rf"({WORD})"
FORMS: tuple[tuple[str, Check], ...] = (
    (r"This relies on the puzzle having just one solution", _relies),
    (rf"({CELLS}) are the corners of a rectangle in two rows, two columns and two boxes", _corners),
    (rf"({CELLS}) are the corners of a rectangle in two rows, two columns and two boxes, and no "
     r"digit in them was given", _corners_of_own),
    (rf"If they held nothing but ({DIGITS}), the two digits could change places everywhere and the "
     r"puzzle would have a second solution", _nothing_but),
    (r"If they came to hold just two digits, those could change places and the puzzle would have a "
     r"second solution", follows),
    (rf"Only ({CELL}) can hold anything else, ({DIGITS})", _only_open_corner),
    (rf"So ({CELL}) must be that, and neither ([1-9]) nor ([1-9])", _must_be_that),
    (rf"The only way out is ([1-9]), in ({CELLS})", _way_out),
    (r"One of them must be ([1-9]), so no cell that sees (both|all of them) can be ([1-9])",
     _no_cell_that_sees),
    (rf"({CELLS}) must hold one of ({DIGITS}) between them, as if they were one cell",
     _as_one_cell),
    (rf"So ({CELLS}) must hold one of ({DIGITS}) between them, as if they were one cell",
     _so_as_one_cell),
    (rf"With ({CELLS}) that makes {COUNT} cells for {COUNT} digits, ({DIGITS}): (.*)", _group),
    (rf"No other cell of ({HOUSE}(?: or {HOUSE})*) can be ({DIGITS})", _no_other_cell),
    (rf"({CELLS}) hold nothing else", _floor),
    (rf"In ({HOUSE}), ([1-9]) can only go in ({CELLS})", _digit_of_roof),
    (rf"If the other one were ([1-9]), there would be nothing but ({DIGITS}) in the rectangle, so "
     r"neither can be ([1-9])", _other_one),
    (rf"((?i:{LINES})) have their ([1-9])s only in the corners, so two corners across from each "
     r"other hold them", _only_in_corners),
    (rf"If those were ({CELLS}), the other two would be ([1-9]), and there would be nothing but "
     rf"({DIGITS}) in the rectangle, so neither can be ([1-9])", _across),
    (rf"In {HOUSE}, [1-9] can only go in {CELLS}(?:; in {HOUSE}, [1-9] can only go in {CELLS})*",
     _lines_only),
    (rf"If ({CELL}) were ([1-9]), these lines would put ([1-9]) beside it both ways and ([1-9]) in "
     rf"({CELL}): just that rectangle", _were_it),
    (rf"{CELLS} (?:is|are) [1-9](?:, {CELLS} (?:is|are) [1-9])*", _standing),
    (rf"With ([1-9] in {CELL}) they would", _with_one),
    (rf"With ([1-9] in {CELL}(?: and [1-9] in {CELL})*) they would", _with_they_would),
    (rf"With ([1-9] in {CELL} and [1-9] in {CELL}) they would, and the only other digit that each "
     r"can be is ([1-9])", _only_other),
    (r"So one of them must be ([1-9]), and no cell that sees both can be ([1-9])", _one_must_be),
    (rf"({CELLS}) can both be ([1-9]) or ([1-9]); with the same digit in both, they would",
     _can_both_be),
    (rf"So one of them is ([1-9]) and the other ([1-9]), and no cell that sees both can be "
     rf"({DIGITS})", _one_each),
    (rf"Every open cell has just two candidates, except ({CELL}), which has ({DIGITS})", _just_two),
    (rf"Of these only ([1-9]) has three places in ({HOUSE}(?:(?:, | and ){HOUSE})*); in every "
     r"other house each digit has two", _three_places),
    (rf"Without ([1-9]) in ({CELL}) every cell would be left with two candidates and every digit "
     r"with two places: such a position has no solution, or more than one", _without),
)  # fmt: skip
