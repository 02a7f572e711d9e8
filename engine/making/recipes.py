"""What a new puzzle is to be like, what was tried for it, and whether there can be one at all.

A recipe only wishes. `engine.making.puzzles` looks for puzzles that fulfil it; here is told what
can be told without looking: a recipe that contradicts itself, or what no puzzle of the layout
can be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.board.canonical import PATTERNS, pattern_images
from engine.board.layout import CLASSIC, Layout
from engine.errors import EngineError
from engine.techniques import LADDER, Technique, technique_with

LEVELS = frozenset(technique.level for technique in LADDER)

FEWEST_GIVENS = 17
"""No classic puzzle has fewer: McGuire, Tugemann, Civario, There Is No 16-Clue Sudoku, 2012 (from
memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """Wishes for a puzzle; every one of them is kept in what is made.

    - `levels`: the levels that will do. `needs`: technique ids that it must need, all of them.
    - `avoids`: ids that it must not need. `givens`: the fewest and the most.
    - `pattern`: a name of `engine.board.canonical.PATTERNS`, or nothing for any.
    - `minimal`: no given can be spared. `most_effort`: an upper bound.
    - `clean`: one turning point, and everything else is singles.
    """

    levels: tuple[int, ...]
    needs: tuple[str, ...] = ()
    avoids: tuple[str, ...] = ()
    givens: tuple[int, int] | None = None
    pattern: str = ""
    minimal: bool = False
    most_effort: float | None = None
    clean: bool = False
    layout: Layout = CLASSIC


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What was tried so far: counts of puzzles looked at, and the nearest one.

    - `attempts`: puzzles started from. `too_easy`: of these, the ones that do without what they
      should need; `too_hard`: those that no givens put back made right.
    - `misses`: for each wish, how many themed puzzles failed in it. Wishes are named as the fields
      of a recipe.
    - `nearest`: the givens of the puzzle that came nearest, as text, or nothing; `lacks`: the
      wishes that it does not fulfil.
    """

    attempts: int = 0
    too_easy: int = 0
    too_hard: int = 0
    misses: Mapping[str, int] = field(default_factory=dict)
    nearest: str = ""
    lacks: tuple[str, ...] = ()


class UnmadeError(EngineError):
    """No puzzle came of a recipe. `tried` says what was tried, `advice` names the wishes to loosen.

    `contradiction` says why there can be none, or nothing.
    `is_stopped`: the work was told to stop; otherwise all attempts were used up.
    """

    def __init__(
        self,
        tried: Tried,
        advice: tuple[str, ...],
        *,
        contradiction: str = "",
        is_stopped: bool = False,
    ) -> None:
        why = contradiction or ("stopped" if is_stopped else "no attempts left")
        super().__init__(f"no puzzle came of {tried.attempts} attempts: {why}")
        self.tried = tried
        self.advice = advice
        self.contradiction = contradiction
        self.is_stopped = is_stopped


def find_contradiction(recipe: Recipe) -> str:
    """Return why no puzzle can be as the recipe wishes, or nothing where that is not known.

    - `levels`: no level at all. `level`: one that is none. `pattern`: one that is none.
    - `pair`: givens that are not two numbers. `effort`: a bound that nothing can be below.
    - `shortcut`: a need that is never needed.
    - `above`: a need of a higher level than any asked for. `both`: needed and avoided.
    - `room`: a need that cannot come before something simpler on a grid so small.
    - `few`: fewer givens than any puzzle has. `swapped`: the fewest are more than the most.
      `range`: more of them than there are cells.
    - `turns`: no number of givens in the range goes with the pattern.
    - `points`: clean, and yet several techniques above level 1 needed.

    Raises UnknownTechniqueError for an id that is none.
    """
    misfit = _find_misfit(recipe)
    if misfit:
        return misfit
    needs = [technique_with(id) for id in recipe.needs]
    avoids = {technique_with(id).id for id in recipe.avoids}
    if any(technique.is_shortcut for technique in needs):
        return "shortcut"
    if any(technique.level > max(recipe.levels) for technique in needs):
        return "above"
    if avoids.intersection(recipe.needs):
        return "both"
    if any(recipe.layout.size < _least_size(technique) for technique in needs):
        return "room"
    if recipe.clean and len({each.id for each in needs if each.level > 1}) > 1:
        return "points"
    return _contradiction_of_givens(recipe)


def _find_misfit(recipe: Recipe) -> str:
    """Return which field holds what it cannot hold, or nothing."""
    if not recipe.levels:
        return "levels"
    if not LEVELS.issuperset(recipe.levels):
        return "level"
    if recipe.pattern and recipe.pattern not in PATTERNS:
        return "pattern"
    if recipe.givens is not None and not _is_pair(recipe.givens):
        return "pair"
    if recipe.most_effort is not None and not recipe.most_effort > 0:
        return "effort"
    return ""


def _is_pair(givens: object) -> bool:
    return (
        isinstance(givens, tuple)
        and len(givens) == 2
        and all(isinstance(each, int) for each in givens)
    )


_LEAST_SIZES = {
    **{f"naked-{many}": 2 * k for k, many in enumerate(("pair", "triple", "quad"), start=2)},
    **{f"hidden-{many}": 2 * k + 1 for k, many in enumerate(("pair", "triple", "quad"), start=2)},
    **{fish: 2 * k for k, fish in enumerate(("x-wing", "swordfish", "jellyfish"), start=2)},
}
"""On a smaller grid the rest of the house, or the other lines, hold something smaller that strikes
the same: n open cells are a naked k and a hidden n - k at once, n lines a fish of k and one of
n - k across."""


def _least_size(technique: Technique) -> int:
    return _LEAST_SIZES.get(technique.id, 1)


def _contradiction_of_givens(recipe: Recipe) -> str:
    if recipe.givens is None:
        return ""
    fewest, most = recipe.givens
    layout = recipe.layout
    if fewest > most:
        return "swapped"
    # Digits that are never given can be exchanged, so at most one can be missing.
    if most < (FEWEST_GIVENS if layout is CLASSIC else layout.size - 1) or fewest < 0:
        return "few"
    if fewest > layout.cell_count:
        return "range"
    if recipe.pattern and not any(_fits(recipe, count) for count in range(fewest, most + 1)):
        return "turns"
    return ""


def _fits(recipe: Recipe, count: int) -> bool:
    """Say whether so many givens can keep the pattern, by the sizes of the groups of cells."""
    return any(
        _reaches(sorted(map(len, groups_under(change))), count)
        for change in pattern_images(recipe.layout, recipe.pattern)
    )


def _reaches(sizes: list[int], count: int) -> bool:
    reached = 1
    for size in sizes:
        reached |= reached << size
    return bool(reached >> count & 1)


def groups_under(change: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the groups of cells that a change of places moves among themselves."""
    groups, seen = [], set[int]()
    for cell in range(len(change)):
        group = []
        while cell not in seen:
            seen.add(cell)
            group.append(cell)
            cell = change[cell]
        if group:
            groups.append(tuple(group))
    return tuple(groups)
