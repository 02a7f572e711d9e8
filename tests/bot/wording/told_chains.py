"""The forms of sentences in which chains are told, link by link, and what makes each true.

A chain is followed as a reader would: each sentence, or row of a table, has to follow from the one
before at the position. Nothing of the step's own links is looked at.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from engine import Grid
from tests.bot.wording.clauses import CELL, CELLS, HOUSE, cells_in, digits_in, lines_named

GROUP = rf"{CELL}(?:\+{CELL})*"
NODE = rf"(?:(?:one|neither|none) of )?{CELLS} is (?:not )?[1-9]"


@dataclass(frozen=True)
class Literal:
    """That a digit is in one of the cells, or in none of them."""

    cells: frozenset[int]
    digit: int
    holds: bool

    @property
    def opposite(self) -> Literal:
        return Literal(self.cells, self.digit, not self.holds)


@dataclass
class Walk:
    """What was said of a chain so far. `ends` are where the cases before came out."""

    grid: Grid
    passed: list[Literal] = field(default_factory=list)
    begun: set[Literal] = field(default_factory=set)
    cases: set[Literal] = field(default_factory=set)
    ends: list[Literal] = field(default_factory=list)

    def read(self, text: str) -> Literal:
        """Read `r2c3 is not 5`, `one of r1c1 and r1c2 is 5`, `neither of r1c1 and r1c2 is 5`."""
        found = re.fullmatch(rf"(one|neither|none)?(?: of )?({CELLS}) is (not )?([1-9])", text)
        assert found is not None, text
        cells = frozenset(cells_in(found[2], self.grid))
        assert (len(cells) > 1) is bool(found[1]), text
        return Literal(cells, int(found[4]), not found[3] and found[1] in (None, "one"))

    def begin(self, text: str) -> bool:
        start = self.read(text)
        if self.passed:
            self.ends.append(self.passed[-1])
        self.passed = [start]
        self.begun.add(start)
        return True

    def go_on(self, now: Literal, ground: str) -> bool:
        """Whether `now` follows from where the chain is, by what is said of it."""
        before = self.passed[-1]
        self.passed.append(now)
        if before.holds is now.holds:
            return False
        if not ground:
            return self._within(before, now)
        house = self.grid.layout.parse_house(lines_named(ground)[0])
        cells = before.cells | now.cells
        if before.digit != now.digit or not all(house.mask >> cell & 1 for cell in cells):
            return False
        if not now.holds:
            return ground == house.name
        places = {c for c in house.cells if now.digit in self.grid.candidates_at(c)}
        return places <= cells and ground in (
            f"no other place in {house.name}",
            f"last in {house.name}",
        )

    def _within(self, before: Literal, now: Literal) -> bool:
        if before.cells != now.cells or len(now.cells) != 1 or before.digit == now.digit:
            return False
        (cell,) = now.cells
        held = set(self.grid.candidates_at(cell))
        return not now.holds or held == {before.digit, now.digit}

    def then(self, digit: str) -> bool:
        """Whether the cell where the chain is then is, or is not, the digit."""
        at = self.passed[-1]
        return self.go_on(Literal(at.cells, int(digit), not at.holds), "")

    def clashes(self, cell: int, digit: int, literal: Literal) -> bool:
        """Whether the digit cannot be in the cell if the literal is true."""
        if not literal.holds:
            return literal.cells == {cell} and literal.digit == digit
        if literal.cells == {cell}:
            return literal.digit != digit
        peers = self.grid.layout.peers
        return literal.digit == digit and all(peers[each] >> cell & 1 for each in literal.cells)

    def either(self) -> tuple[Literal, Literal]:
        """The two ends, of which one is true at least: the chain began with one being false."""
        return self.passed[0].opposite, self.passed[-1]


def follow(walk: Walk, m: re.Match[str]) -> bool:
    """`Then r2c7 is 5 (no other place in row 2), so not 8`, `So r1c4 is not 1 (row 1) but 9`."""
    now = walk.read(m[2])
    return (
        now.holds is (m[1] == "Then")
        and walk.go_on(now, m[3])
        and (m[4] is None or (now.holds and walk.then(m[4])))
        and (m[5] is None or (not now.holds and walk.then(m[5])))
    )


def opened(walk: Walk, m: re.Match[str]) -> bool:
    """`If r2c3 is not 5, then r2c7 is 5 (no other place in row 2)`, with what its cell then is."""
    if not walk.begin(m[1]):
        return False
    now = walk.read(m[2])
    return walk.go_on(now, m[3]) and all(walk.then(each) for each in (m[4], m[5]) if each)


def opened_within(walk: Walk, m: re.Match[str]) -> bool:
    """`If r1c9 is not 4, then it is 5 (nothing else is left there)`, `…, then it is not 8`."""
    return (
        walk.begin(m[1])
        and walk.passed[0].holds is bool(m[2]) is not bool(m[4])
        and walk.then(m[3])
    )


def supposed(walk: Walk, m: re.Match[str]) -> bool:
    return walk.begin(m[1])


def row(walk: Walk, m: re.Match[str]) -> bool:
    """`r5c9 | not 5, so 6 | column 9`, `r7c6+r8c6 | 1 in one | last in column 6`."""
    cells = frozenset(cells_in(m[1], walk.grid))
    now = Literal(cells, int(m[3]), not m[2])
    if (len(cells) > 1 and now.holds) is not bool(m[4]):
        return False
    if m[7] in ("all that is left", "one digit a cell"):
        return len(walk.passed) == 1 and cells == walk.passed[0].cells and walk.then(m[3])
    if not walk.go_on(now, m[7]):
        return False
    return m[6] is None or (bool(m[5]) is now.holds and walk.then(m[6]))


def came_back(walk: Walk, m: re.Match[str], struck: set[tuple[int, int]]) -> bool:
    """Of every two neighbours one is true: whatever is struck clashes with two such."""
    if walk.passed[0] != walk.passed[-1]:
        return False
    pairs = list(zip(walk.passed, walk.passed[1:], strict=False))
    shares = any(one.cells == other.cells and one.holds for one, other in pairs)
    return shares is bool(m[1]) and all(
        any(all(walk.clashes(cell, digit, replace(each, holds=True)) for each in pair)
            for pair in pairs)
        for cell, digit in struck
    )  # fmt: skip


def opposite(walk: Walk, m: re.Match[str]) -> bool:
    return walk.passed[-1] == walk.passed[0].opposite == walk.read(m[1])


def one_or_other(walk: Walk, m: re.Match[str]) -> bool:
    """`So r6c8 is 6 or one of r6c7 and r6c9 is 7, or both`."""
    return {walk.read(m[1]), walk.read(m[2])} == set(walk.either())


def same_digit(walk: Walk, m: re.Match[str]) -> set[int] | None:
    """The cells of both ends, where `So r2c6 or r5c7 is 6` is what the chain says; else None."""
    if len(walk.passed) < 2:
        return None
    ends, cells = walk.either(), cells_in(m[1], walk.grid)
    is_so = all(end.digit == int(m[2]) and end.holds for end in ends)
    return cells if is_so and cells == ends[0].cells | ends[1].cells else None


def cannot_be(walk: Walk, m: re.Match[str]) -> bool:
    """`r6c8 cannot be 7: with 6 in r6c8, the cell is taken; with 7 in r6c7, row 6 has its 7`."""
    (cell,), digit = cells_in(m[1], walk.grid), int(m[2])
    named: dict[int, set[int]] = {}
    for clause in m[3].split("; "):
        found = re.fullmatch(
            rf"with ([1-9]) in ({CELLS}), (?:the cell is taken|({HOUSE}) has its ([1-9]))", clause
        )
        if found is None:
            return False
        cells, held = cells_in(found[2], walk.grid), int(found[1])
        named.setdefault(held, set()).update(cells)
        if found[3] is None:
            if cells != {cell} or held == digit:
                return False
        else:
            house = walk.grid.layout.parse_house(found[3])
            if not int(found[4]) == held == digit or cell in cells:
                return False
            if not all(house.mask >> each & 1 for each in (*cells, cell)):
                return False
    told: dict[int, set[int]] = {}
    for end in walk.either():
        told.setdefault(end.digit, set()).update(end.cells)
    return named == told


def clash_with_both(walk: Walk, struck: set[tuple[int, int]]) -> bool:
    """Whether all that is struck clashes with either end."""
    return len(struck) > 3 and all(
        walk.clashes(cell, digit, end) for cell, digit in struck for end in walk.either()
    )


def in_turn(walk: Walk, m: re.Match[str]) -> bool:
    """Whether cases were told: that they are all there are is held to the sentence that does."""
    return bool(walk.cases)


def every_digit(walk: Walk, m: re.Match[str]) -> bool:
    (cell,) = cells_in(m[1], walk.grid)
    digits = digits_in(m[2])
    walk.cases = {Literal(frozenset([cell]), digit, holds=True) for digit in digits}
    return digits == set(walk.grid.candidates_at(cell))


def every_place(walk: Walk, m: re.Match[str]) -> bool:
    house, digit = walk.grid.layout.parse_house(m[1]), int(m[2])
    cells = cells_in(m[3], walk.grid)
    walk.cases = {Literal(frozenset([cell]), digit, holds=True) for cell in cells}
    return cells == {c for c in house.cells if digit in walk.grid.candidates_at(c)}


def every_time(walk: Walk, m: re.Match[str], made: set[tuple[int, int, bool]]) -> bool:
    """Whether each case was taken, and each comes out at what is said, from which all follows."""
    ends = {*walk.ends, walk.passed[-1]}
    if walk.begun != walk.cases:
        return False
    if m[1] is not None and ends != {walk.read(m[1])}:
        return False
    return all(
        (is_placed and end == Literal(frozenset([cell]), digit, holds=True))
        or (not is_placed and walk.clashes(cell, digit, end))
        for cell, digit, is_placed in made
        for end in ends
    )


_GROUND = rf" \(((?:no other place in )?{HOUSE})\)"
_THEN = r"(?:, so not ([1-9])| but ([1-9]))?"
LINKS = (
    (rf"(Then|So) ({NODE}){_GROUND}{_THEN}", follow),
    (rf"If ({NODE}), then ({NODE}){_GROUND}{_THEN}", opened),
    (rf"If ({NODE}), then it is (not )?([1-9])( \(nothing else is left there\))?", opened_within),
    (rf"Suppose ({NODE})", supposed),
    (rf"({GROUP}) \| (not )?([1-9])( in one)?(?:, so (not )?([1-9]))? \| "
     rf"((?:last in )?{HOUSE}|all that is left|one digit a cell)", row),
    (rf"But it began with the opposite: that cannot be, so ({NODE})", opposite),
    (rf"So ({NODE}) or ({NODE}), or both", one_or_other),
    (rf"({CELL}) cannot be ([1-9]): (.*)", cannot_be),
    (rf"({CELL}) can be ([1-9](?:(?:, | or )[1-9])*)", every_digit),
    (rf"In ({HOUSE}), ([1-9]) can only go in ({CELLS})", every_place),
    (r"Take each in turn:", in_turn),
)  # fmt: skip
