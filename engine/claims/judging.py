"""Judges what somebody says follows at a position, in part or in full, against what was asked.

They may name a pattern, what goes by it, or both. It is held against their own cells, else against
those marked in the question, and last against the single steps of a ladder. The position alone
counts, never its solution: what is true but does not follow is neither confirmed nor denied.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from engine.board.grid import Grid, as_grid
from engine.board.layout import Cell
from engine.board.step import PLAIN_LEVEL, Step
from engine.claims.checking import CLAIMED_BY_CHAIN, WITH_FILLED_CELLS, check_claim
from engine.claims.following import find_doubt
from engine.claims.verdict import NEARNESS, Claim, Condition, Flaw, Found, Verdict, Way
from engine.limits import LOOK, count_work
from engine.techniques import WITHOUT_UNIQUENESS, Technique

MOST_CELLS = 24
"""More cells than this are no pattern that anybody points at."""

Places = tuple[tuple[Cell, int], ...]


@dataclass(frozen=True, slots=True)
class Said:
    """What somebody says: each part may be missing.

    `technique`, `cells`, `digits`, `houses` tell the pattern; `removes` and `places` what follows.
    """

    technique: str = ""
    cells: tuple[Cell, ...] = ()
    digits: tuple[int, ...] = ()
    houses: tuple[int, ...] = ()
    removes: int = 0
    places: Places = ()

    @property
    def has_pattern(self) -> bool:
        """Whether a pattern is told so far that it can be looked for."""
        where = self.cells or self.houses or self.digits
        return bool((self.technique and where) or (self.cells and self.digits))

    @property
    def has_consequence(self) -> bool:
        """Whether it is said what follows."""
        return bool(self.removes or self.places)


class Judgement(StrEnum):
    """What becomes of it."""

    RIGHT = "right"
    RIGHT_AND_MORE = "right, and there is more"
    ANOTHER = "another find than the one asked, and right"
    IDLE = "right, and nothing goes by it"
    FAILS = "it does not follow"
    NOT_SHOWN = "neither confirmed nor denied"


@dataclass(frozen=True, slots=True)
class Judged:
    """The judgement; the condition that fails, where one does; what else there is to say."""

    judgement: Judgement
    flaw: Flaw | None = None
    unsaid: int = 0
    unsaid_places: Places = ()


def judge(
    grid: Grid | str,
    said: Said,
    *,
    marked: tuple[Cell, ...] = (),
    asked: Step | None = None,
    ladder: Sequence[Technique] = WITHOUT_UNIQUENESS,
) -> Judged:
    """Judge what was said. `marked` are the question's cells, `asked` the find that it is about.

    >>> from engine import parse_grid
    >>> grid = parse_grid("12.. 3... 2143 4321")
    >>> cell = grid.layout.parse_cell("r2c2")
    >>> str(judge(grid, Said(places=((cell, 4),))).judgement)
    'right'
    """
    grid = as_grid(grid)
    flaw = _gone(grid, said)
    if flaw:
        return Judged(Judgement.FAILS, flaw)
    found = _judge_pattern(grid, said, asked, ladder) if said.has_pattern else Found((), 0, ())
    if isinstance(found, Flaw):
        return Judged(Judgement.FAILS, found)
    if found is NOTHING_SUCH or not (said.has_pattern or said.has_consequence):
        return Judged(Judgement.NOT_SHOWN)
    flaw, is_elsewhere = _judge_consequence(grid, said, found, marked, ladder)
    if flaw:
        return Judged(Judgement.FAILS, flaw) if flaw.cells else Judged(Judgement.NOT_SHOWN)
    return _against(grid, said, found, asked, is_elsewhere)


NOTHING_SUCH = Found((), 0, (), unsaid=-1)
"""No instance that goes on was found for a pattern told in part."""


def _gone(grid: Grid, said: Said) -> Flaw | None:
    """Return what the board shows already, or no longer allows."""
    layout = grid.layout
    claimed = [*layout.pairs(said.removes), *said.places]
    filled = layout.mask_of(cell for cell, _ in claimed) & grid.filled_cells
    if filled:
        return Flaw(Condition.FILLED, layout.cells_in(filled))
    for cell, digit in claimed:
        if not grid.candidates & layout.bit(cell, digit):
            return Flaw(Condition.LACKS, (cell,), (digit,))
    return None


# --- the pattern ---


def _judge_pattern(
    grid: Grid, said: Said, asked: Step | None, ladder: Sequence[Technique]
) -> Verdict:
    """Return what follows from the pattern, or the condition that fails nearest to the mark."""
    techniques = [each for each in ladder if said.technique in ("", each.id)]
    flaws: list[Flaw] = []
    ways: list[Way] = []
    if said.cells and said.digits:
        for each in techniques:
            if each.id in CLAIMED_BY_CHAIN or each.resort:
                continue
            if (
                ways and each.level > PLAIN_LEVEL
            ):  # what is plain to see is meant, not the same seen as more
                break
            verdict = check_claim(grid, Claim(each.id, said.cells, said.digits))
            if isinstance(verdict, Found):
                ways.extend(verdict.ways)
            else:
                flaws.append(verdict)
    if not ways and said.technique:
        steps = [step for each in techniques for step in each.find(grid) if _fits(grid, said, step)]
        asked_for = [step for step in steps if asked is not None and step.cells == asked.cells]
        ways = [Way(step.removes, step.places, step.houses) for step in asked_for or steps]
    if not ways:
        told = [flaw for flaw in flaws if flaw.condition not in _OTHER_SHAPE]
        if said.technique or not told:
            return flaws[0] if flaws else _filled(grid, said) or NOTHING_SUCH
        return min(told, key=_distance)
    removes = 0
    for way in ways:
        removes |= way.removes
    places = tuple(sorted({place for way in ways for place in way.places}))
    return Found(tuple(ways), removes, places)


_OTHER_SHAPE = (Condition.CELL_COUNT, Condition.DIGIT_COUNT, Condition.NO_CHAIN)


def _distance(flaw: Flaw) -> tuple[int, int]:
    """Return how far off a reading is: the one that is told lacks least, in the fewest cells."""
    return len(flaw.cells) or MOST_CELLS, -NEARNESS[flaw.condition]


def _filled(grid: Grid, said: Said) -> Flaw | None:
    filled = grid.layout.mask_of(said.cells) & grid.filled_cells
    if filled and said.technique not in WITH_FILLED_CELLS:
        return Flaw(Condition.FILLED, grid.layout.cells_in(filled))
    return None


def _fits(grid: Grid, said: Said, step: Step) -> bool:
    """Say whether a step is an instance of a pattern that was told in part."""
    cells = grid.layout.mask_of(step.cells)
    return (
        set(said.cells) <= set(step.cells)
        and set(said.digits) <= set(step.digits)
        and all(
            house in step.houses or not cells & ~grid.layout.houses[house].mask
            for house in said.houses
        )
    )


# --- what follows ---


def _judge_consequence(
    grid: Grid,
    said: Said,
    found: Found,
    marked: tuple[Cell, ...],
    ladder: Sequence[Technique],
) -> tuple[Flaw | None, bool]:
    """Return why what was said does not follow, and whether it follows from elsewhere.

    A flaw without cells: no cells were named that could be asked.
    """
    removes = said.removes & ~found.removes
    places = tuple(place for place in said.places if place not in found.places)
    if not removes and not places:
        return None, False
    basis = said.cells or marked
    doubt: Flaw | None = Flaw(Condition.DOES_NOT_FOLLOW)
    if basis and len(basis) <= MOST_CELLS:
        doubt = find_doubt(grid, basis, removes, places)
        if doubt is None:
            return None, False
    for step in _single_steps(grid, ladder):
        removes &= ~step.removes
        places = tuple(place for place in places if place not in step.places)
        if not removes and not places:
            return None, True
    return doubt, False


def _single_steps(grid: Grid, ladder: Sequence[Technique]) -> Iterator[Step]:
    """Yield what single steps there are, but for what is found nearly anywhere: a guess would be
    confirmed by that."""
    for technique in ladder:
        if not technique.resort:
            count_work(LOOK)
            yield from technique.find(grid)


def _against(
    grid: Grid, said: Said, found: Found, asked: Step | None, is_elsewhere: bool
) -> Judged:
    """Return the judgement on what holds, by what was asked."""
    removes, places = said.removes, said.places
    if not said.has_consequence:
        removes, places = found.removes, found.places
        if found.is_idle:
            return Judged(Judgement.IDLE)
    wanted, wanted_places = found.removes, found.places
    if asked is not None:
        wanted, wanted_places = asked.removes, asked.places
        if is_elsewhere or not (removes & wanted or set(places) & set(wanted_places)):
            return Judged(Judgement.ANOTHER)
    unsaid = wanted & ~said.removes
    unsaid_places = tuple(place for place in wanted_places if place not in said.places)
    judged = Judged(Judgement.RIGHT, None, unsaid, unsaid_places)
    if unsaid or unsaid_places:
        return replace(judged, judgement=Judgement.RIGHT_AND_MORE)
    return judged
