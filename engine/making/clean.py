"""Clean puzzles: singles, one turning point, which is the theme, and singles again to the end.

Such a puzzle is known by the position at which its singles are stuck: what is below the theme opens
nothing there, then the theme does, and after it singles settle the rest. So positions are what is
looked at, not puzzles, and each is judged by its sweeps, without a search for a second solution.
The way there is a climb: givens come and go, and a change is kept that brings the position nearer,
or hardly further off. It begins where a puzzle is stuck without the theme, with all given that
stands there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from random import Random

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits, union_of
from engine.board.step import Step
from engine.making.aims import CONFINING, Ladder, crossings_for, settle
from engine.making.finish import Made, judge
from engine.making.recipes import Recipe
from engine.making.removal import Ground, grid_of, shuffled
from engine.making.themes import HIT, NEAR, STUCK, TOO_EASY
from engine.making.work import Work
from engine.search.bulk_locked_candidates import Crossing, find_confined
from engine.search.exact import settle_singles
from engine.techniques import LADDER, RANKS, Technique, technique_with

FRUITLESS = 300
"""So many changes in a row that bring it no nearer end a climb."""

STRIKE = 10
"""How far off it is by each strike of a sweep below the theme that opens a placement; a cell left
open after the theme counts 1."""

SLACKS = (0, 1, 3, 5, 8, 10, 12, 15)
"""By how much a change may lead further off: one of these, drawn for each."""


@dataclass(frozen=True, slots=True)
class Turn:
    """What is to be the one turning point, and all that must open nothing before it.

    `below`: singles, too. `crossings` finds at once what pointing and claiming strike, and `slow`
    is the rest of what stands between singles and the theme.
    """

    theme: Technique
    below: Ladder
    slow: Ladder
    crossings: tuple[Crossing, ...]


def find_turn(recipe: Recipe) -> Turn | None:
    """Return what a climb can make a clean puzzle turn on, or None where the recipe asks for more.

    A puzzle that can spare no given is none for it: many a given only bars what is below the theme.
    """
    themes = [technique_with(id) for id in recipe.needs]
    themes = [theme for theme in themes if theme.level > 1]
    if not recipe.clean or recipe.minimal or len(themes) != 1:
        return None
    (theme,) = themes
    if theme.level not in recipe.levels or theme.is_last_resort:
        return None
    below = LADDER[: RANKS[theme.id]]
    crossings = crossings_for(below, recipe.layout)
    done = CONFINING if crossings else ()
    slow = tuple(each for each in below if each.level > 1 and each.id not in done)
    return Turn(theme, below, slow, crossings)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where singles are stuck on some givens, and how far that is off.

    The others are candidate masks: what is placed in the end, all in the cells that the theme's
    steps name, and all in those of whatever opens a placement below it.
    """

    givens: int
    stuck: Grid
    off: int
    placed_after: int
    shown: int
    busy: int


def study_turn(work: Work, turn: Turn, givens: int, ground: Ground) -> tuple[int, Made | None]:
    """Return how a puzzle stands to the theme, and the clean puzzle that a climb from where it is
    stuck without led to."""
    stuck = settle(grid_of(work.layout, givens), turn.below)
    if stuck is None or stuck.is_complete:
        work.too_easy += 1
        return TOO_EASY, None
    if not any(True for _ in turn.theme.find(stuck)):
        work.too_hard += 1
        return STUCK, None
    made = climb(work, turn, stuck, ground)
    return (NEAR, None) if made is None else (HIT, made)


def climb(work: Work, turn: Turn, stuck: Grid, ground: Ground) -> Made | None:
    """Return a clean puzzle made from where another is stuck without the theme, by changing givens;
    None where the climb comes to no end."""
    there = union_of(group for group in ground.groups if not group & ~stuck.placed)
    standing = _look(turn, ground, there, inf)
    nearest, fruitless = inf, 0
    while standing is not None and standing.off and fruitless < FRUITLESS:
        work.ask()
        most = standing.off + work.random.choice(SLACKS)
        found = _look(turn, ground, _change(work.random, ground, standing), most)
        standing, fruitless = found or standing, fruitless + 1
        if standing.off < nearest:
            nearest, fruitless = standing.off, 0
    if standing is None or standing.off:
        return None
    return judge(work, grid_of(work.layout, _fitted(work, standing, ground)))


def _stuck_on(ground: Ground, givens: int) -> Grid:
    """Return the position at which singles are stuck, complete where they settle it."""
    settled = settle_singles(grid_of(ground.layout, givens))
    assert settled is not None  # givens of a solution come to no contradiction
    return settled


def _change(random: Random, ground: Ground, standing: Standing) -> int:
    """Return the givens with a group more or a group less.

    What comes does not touch the theme; mostly it is where something below works, or where the
    theme leaves cells open.
    """
    if random.randrange(5) < 2:
        return standing.givens & ~_draw(random, ground, standing.givens)
    absent = ground.solution.placed & ~standing.stuck.placed
    clear = absent & ~standing.shown
    wanted = random.choice((standing.busy, ~standing.placed_after, ~0))
    return standing.givens | _draw(random, ground, clear & wanted or clear or absent)


def _draw(random: Random, ground: Ground, wanted: int) -> int:
    """Return one of the groups that hold something wanted."""
    return random.choice([group for group in ground.groups if group & wanted])


def _look(turn: Turn, ground: Ground, givens: int, most: float) -> Standing | None:
    """Return how some givens stand; None where singles settle them, where the theme opens nothing,
    and where it is further off than `most`."""
    stuck = _stuck_on(ground, givens)
    if stuck.is_complete:
        return None
    position, opening, busy = _until_opening(turn, stuck)
    off = STRIKE * opening
    steps = tuple(turn.theme.find(position)) if off <= most else ()
    if not steps:
        return None
    after = _until_placed(turn, position, apply_steps(position, steps))
    # Before the solution is the only one, uniqueness may strike what is right.
    if after is None or ground.solution.placed & ~(after.placed | after.candidates):
        return None
    off += ground.layout.cell_count - after.placed.bit_count()
    if off > most:
        return None
    shown = union_of(_named(ground.layout, step) for step in steps)
    return Standing(givens, stuck, off, after.placed, shown, busy)


def _until_opening(turn: Turn, position: Grid) -> tuple[Grid, int, int]:
    """Return where what is below the theme ends, or the position before the sweep of it that opens
    a placement, and then how much that sweep does, and all candidates of its cells."""
    while True:
        swept = _sweep(turn, turn.slow, position)
        if swept is None:
            return position, 0, 0
        after, busy = swept
        settled = settle_singles(after)
        if settled is None or settled.placed != position.placed:
            done = (position.candidates & ~after.candidates).bit_count()
            return position, done, busy
        position = after


def _until_placed(turn: Turn, before: Grid, position: Grid) -> Grid | None:
    """Return where singles end after the theme, which may take more sweeps; None where those open
    nothing."""
    ladder = (*turn.slow, turn.theme)
    while True:
        settled = settle_singles(position)
        if settled is None or settled.placed != before.placed:
            return settled
        swept = _sweep(turn, ladder, position)
        if swept is None:
            return None
        position, _ = swept


def _sweep(turn: Turn, slow: Sequence[Technique], position: Grid) -> tuple[Grid, int] | None:
    """Return the position after the next sweep, and all candidates of the cells that it rests on or
    strikes; None where nothing works."""
    layout = position.layout
    struck = find_confined(turn.crossings, position.candidates)
    if struck:
        return position.eliminate(struck), _cells_of(layout, struck)
    for technique in slow:
        steps = tuple(technique.find(position))
        if steps:
            removes = union_of(step.removes for step in steps)
            named = union_of(_named(layout, step) for step in steps)
            return apply_steps(position, steps), named | _cells_of(layout, removes)
    return None


def _named(layout: Layout, step: Step) -> int:
    return union_of(layout.cell_bits[cell] for cell in step.cells)


def _cells_of(layout: Layout, candidates: int) -> int:
    """Return all candidates of the cells of some."""
    return union_of(layout.cell_bits[layout.split(index)[0]] for index in iterate_bits(candidates))


def _fitted(work: Work, standing: Standing, ground: Ground) -> int:
    """Return as few givens as come to the same position, or as many as are wished for."""
    fewest, most = work.recipe.givens or (0, 0)
    givens = standing.givens
    there = [group for group in ground.groups if not group & ~standing.stuck.placed]
    for group in shuffled(work.random, there):
        fewer = givens & ~group
        if givens.bit_count() > most and _stuck_on(ground, fewer).placed == standing.stuck.placed:
            givens = fewer
    for group in shuffled(work.random, there):
        if givens.bit_count() < fewest:
            givens |= group
    return givens
