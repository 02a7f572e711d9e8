"""Clean puzzles: singles, one turning point, which is the theme, and singles again to the end.

Such a puzzle is known by the position at which its singles are stuck: nothing below the theme works
there, the theme does, and after it singles settle the rest. So positions are what is looked at, not
puzzles, and each is judged by one sweep of every technique, the likeliest to fail first, without a
search for a second solution. The way there is a climb: givens come and go, and a change is kept
that brings the position nearer, or hardly further off.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from random import Random

from engine.board.applying import apply_steps
from engine.board.grid import Grid
from engine.board.layout import Layout, iterate_bits, union_of
from engine.board.step import Step
from engine.making.aims import CONFINING, Ladder, crossings_for
from engine.making.finish import Made, judge
from engine.making.recipes import Recipe
from engine.making.removal import Ground, grid_of, shuffled
from engine.making.work import Work
from engine.search.bulk_locked_candidates import find_confined
from engine.search.exact import settle_singles
from engine.techniques import LADDER, RANKS, Technique, technique_with

FRUITLESS = 300
"""So many changes in a row that bring it no nearer end a climb."""

STRIKE = 10
"""How far off it is by each strike below the theme; a cell left open after the theme counts 1."""

SLACKS = (0, 1, 3, 5, 8, 10, 12, 15)
"""By how much a change may lead further off: one of these, drawn for each."""


@dataclass(frozen=True, slots=True)
class Turn:
    """What is to be the one turning point, and all that must not work there."""

    theme: Technique
    below: Ladder


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
    return Turn(
        theme, tuple(each for each in LADDER if each.level > 1 and RANKS[each.id] < RANKS[theme.id])
    )


@dataclass(frozen=True, slots=True)
class Standing:
    """Where singles are stuck on some givens, and how far that is off.

    The others are candidate masks: what is placed in the end, all in the cells that the theme's
    steps name, and all in those of whatever works below it.
    """

    givens: int
    stuck: Grid
    off: int
    placed_after: int
    shown: int
    busy: int


def climb(work: Work, turn: Turn, givens: int, ground: Ground) -> Made | None:
    """Return a clean puzzle made by changing givens, or None where the climb comes to no end."""
    standing = _look(turn, ground, givens, inf)
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
    """Return how some givens stand; None where singles settle them, where the theme places nothing,
    and where it is further off than `most`."""
    layout = ground.layout
    stuck = _stuck_on(ground, givens)
    crossings = crossings_for(turn.below, layout)
    struck = find_confined(crossings, stuck.candidates)
    if stuck.is_complete or STRIKE * struck.bit_count() > most:
        return None
    steps = tuple(turn.theme.find(stuck))
    if not steps or any(step.removes & ground.solution.placed for step in steps):
        return None
    after = settle_singles(apply_steps(stuck, steps))
    if after is None or after.placed == stuck.placed:
        return None
    off = layout.cell_count - after.placed.bit_count()
    busy = _cells_of(layout, struck)
    for technique in turn.below:
        if off + STRIKE * struck.bit_count() > most:
            return None
        if crossings and technique.id in CONFINING:
            continue
        for step in technique.find(stuck):
            struck |= step.removes
            busy |= _named(layout, step) | _cells_of(layout, step.removes)
    off += STRIKE * struck.bit_count()
    if off > most:
        return None
    shown = union_of(_named(layout, step) for step in steps)
    return Standing(givens, stuck, off, after.placed, shown, busy)


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
