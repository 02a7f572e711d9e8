"""Turning points: where they are, what leads on from them, and what is merged."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from engine.board.applying import apply_steps
from engine.board.grid import Grid, format_grid, parse_grid, position_of
from engine.board.layout import CLASSIC
from engine.board.step import Step
from engine.solving.easiest import find_singles
from engine.solving.grading import Rating, find_sweeps, rate
from engine.solving.paths import find_all_steps
from engine.solving.turning import find_turning_points, find_turns
from engine.techniques import technique_with

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# Made by Ninebark: pointing leads nowhere, and claiming only to a naked triple.
TRIPLE = ".1...7.5.4.79.........8...6.7.....8.5.....3..3....9514.36.2.9.8..43.........96..."
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"


@cache
def rated(text: str) -> Rating:
    return rate(parse_grid(text))


def has_new_placement(position: Grid) -> bool:
    return next(iter(find_singles(position)), None) is not None


def test_a_turning_point_is_where_no_single_works_with_all_steps_there() -> None:
    points = rated(CROOK).turning_points
    assert points
    for point in points:
        assert point.steps == find_all_steps(point.position)
        assert min(step.level for step in point.steps) == point.level > 1


def test_sweeps_between_which_nothing_was_placed_are_one_turning_point() -> None:
    for text, sweeps_above, count in ((CROOK, 7, 5), (TRIPLE, 3, 1), (EASY, 0, 0)):
        sweeps = find_sweeps(parse_grid(text))
        assert sum(stage.technique.level > 1 for stage in sweeps.stages) == sweeps_above
        points = find_turning_points(sweeps)
        assert len(points) == count == len(list(find_turns(sweeps)))
        assert all(a.position.placed != b.position.placed for a, b in pairwise(points))


def test_sweeps_that_end_without_a_placement_are_no_turning_point() -> None:
    ladder = [each for each in find_sweeps(parse_grid(TRIPLE)).ladder if each.level < 3]
    sweeps = find_sweeps(parse_grid(TRIPLE), ladder)
    assert any(stage.technique.level > 1 for stage in sweeps.stages)
    assert find_turning_points(sweeps) == ()


@pytest.mark.parametrize("text", [CROOK, TRIPLE])
def test_each_way_on_ends_with_a_placement_that_was_not_there_before(text: str) -> None:
    rating = rated(text)
    for point in rating.turning_points:
        assert not has_new_placement(point.position)
        assert len(set(point.ways)) == len(point.ways) > 0
        for way in point.ways:
            assert way[0] in point.steps
            assert max(step.level for step in way) <= (rating.level or 0)
            position = point.position
            for step in way[:-1]:
                assert step in steps_there(position, step.technique)
                assert not has_new_placement(position)
                position = apply_steps(position, (step,))
            assert way[-1].places
            assert way[-1] in steps_there(position, way[-1].technique)


def steps_there(position: Grid, technique: str) -> list[Step]:
    return list(technique_with(technique).find(position))


@pytest.mark.parametrize("text", [CROOK, TRIPLE])
def test_no_other_step_up_to_the_level_opens_a_placement(text: str) -> None:
    rating = rated(text)
    for point in rating.turning_points:
        leading = {way[0] for way in point.ways}
        for step in point.steps:
            if step.level <= (rating.level or 0) and step not in leading:
                assert not has_new_placement(apply_steps(point.position, (step,)))


def test_where_no_step_alone_leads_on_the_way_is_that_of_the_hint() -> None:
    (point,) = rated(TRIPLE).turning_points
    assert [[step.technique for step in way] for way in point.ways] == [
        ["claiming", "naked-triple", "hidden-single"]
    ]
    assert (point.level, point.level_on) == (2, 3)


def test_feeding_a_turning_point_back_gives_the_same_steps() -> None:
    for point in rated(CROOK).turning_points:
        removed = CLASSIC.format_pairs(point.position.removed_mask)
        own = map(CLASSIC.format_cell, CLASSIC.cells_in(point.position.own))
        again = position_of(format_grid(point.position), removed, own=own)
        assert again == point.position
        assert find_all_steps(again) == point.steps
