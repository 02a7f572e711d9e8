"""Pictures to test with: real positions, real steps of the engine, an invented club."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cache

from bot.club.facts import (
    CoverPicture,
    GridPicture,
    HintPicture,
    Picturable,
    Position,
    SkillFacts,
    SkillsPicture,
    StepFacts,
    Table,
    TablePicture,
    TableRow,
    facts_of_step,
)
from engine.board.grid import parse_grid
from engine.techniques import PLAIN
from tests.bot.patterns import one_of_each

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463:
# the puzzle, and the grid after all singles.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
CROOK_LATER = ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
# The encyclopaedia example, also in SQLite's documentation (public domain).
ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# A worked position of our own, and one whose row 1 lacks a single digit.
WORKED = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
NEARLY = "12345678.456789.....................................................4............"
FOUR = "1...3..4..2..1.."
SIX = "1.....3..4..2....1..5....6..2...3..."

_GIVENS = {CROOK_LATER: CROOK}
RUNGS = ("where", "which", "why")
_PLAIN_LEVELS = 3


@cache
def steps_by_technique() -> dict[str, tuple[str, StepFacts]]:
    """Return for each technique, and each kind of one, a position and a step at it."""
    found: dict[str, tuple[str, StepFacts]] = {}
    for text in (CROOK_LATER, ENCYCLOPAEDIA, WORKED, NEARLY):
        grid = parse_grid(text)
        for technique in PLAIN:
            if technique.id in found:
                continue
            for step in technique.find(grid):
                found[technique.id] = (text, facts_of_step(grid.layout, step))
                break
    for pattern in one_of_each():
        step = pattern.steps()[0]
        found[pattern.name] = (pattern.text, facts_of_step(pattern.grid.layout, step))
    return found


def hint(technique: str, rung: str, step: StepFacts | None = None) -> HintPicture:
    text, found = steps_by_technique()[technique]
    return HintPicture(_GIVENS.get(text, text), Position(text), step or found, rung)


def puzzle() -> GridPicture:
    return GridPicture(
        CROOK, Position(CROOK), lines=("row 2", "row 5"), caption="Tuesday 24 November 2026"
    )


def board() -> GridPicture:
    removed = (("r1c1", 2), ("r1c1", 6))
    return GridPicture(CROOK, Position(CROOK_LATER, removed), True, ("column 2", "column 5"))


def mistakes() -> GridPicture:
    """A digit in a marked line, and a strike, that their member was told are wrong."""
    position = Position(CROOK_LATER, (("r1c1", 2), ("r1c1", 6)))
    return GridPicture(CROOK, position, True, ("row 4", "row 5"), mistakes=("r1c1", "r4c2"))


def reading() -> GridPicture:
    """What was read off paper, with cells to look at again and a digit that clashes."""
    return GridPicture(CROOK, Position(f"3{CROOK_LATER[1:]}"), doubtful=("r1c1", "r4c5"))


def cover() -> CoverPicture:
    return CoverPicture("The Thursday Pencils", date(2026, 11, 24), 4)


def table(*, rows: int = 10, period: str = "week") -> TablePicture:
    names = ("Rosalind", "Tove Østergård", "Bjarte", "Łukasz", "İpek", "Zoë")
    lines = tuple(
        TableRow(
            rank=number + 1,
            name=names[number % len(names)],
            solved=7 - number // 5,
            adjusted=900 + number * 411,
            raw=800 + number * 397,
            hints=number,
            late=number % 2,
            streak=number % 9,
        )
        for number in range(rows)
    )
    first, last = date(2026, 11, 16), date(2026, 11, 22)
    return TablePicture(
        Table("The Thursday Pencils", period, first, last, lines, ("Bjarte", "Zoë"))
    )


def skills(*, many: int = 6) -> SkillsPicture:
    names = ("hidden-single", "pointing", "locked-triple", "xy-wing", "two-string-kite",
             "alternating-inference-chain")  # fmt: skip
    return SkillsPicture(
        tuple(
            SkillFacts(names[each % len(names)], 2 + 3 * each, 2 * each, each + 2, not each % 2)
            for each in range(many)
        )
    )


def every_picture() -> Iterator[tuple[str, Picturable]]:
    """Yield one of each kind of picture, with each technique on each rung."""
    yield "puzzle", puzzle()
    yield "board", board()
    yield "mistakes", mistakes()
    yield "reading", reading()
    yield "four", GridPicture(FOUR, Position(FOUR), True, ("row 1", "row 2"))
    yield "six", GridPicture(SIX, Position(SIX), True, ("column 1", "column 2"))
    yield "cover", cover()
    yield "table", table()
    yield "skills", skills()
    yield "many-skills", skills(many=40)
    yield "no-results", table(rows=0)
    yield "long-table", table(rows=40)
    for technique, (_, step) in steps_by_technique().items():
        for rung in RUNGS if step.level <= _PLAIN_LEVELS else ("why",):
            yield f"{technique}-{rung}", hint(technique, rung)
