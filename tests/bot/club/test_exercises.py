"""Positions to practise at: each is one, they don't run out, and none comes again before its time.

The default run draws a few of each technique; the long one as many as a year of practice takes.
"""

from __future__ import annotations

import itertools
from collections import Counter
from datetime import timedelta

import pytest

from bot.club.exercises import (
    MOST_ADDED,
    WITH_NONE,
    Sighting,
    bases_by_technique,
    draw_exercise,
    fingerprint_of,
    has_bare,
    practised_techniques,
)
from bot.club.facts import facts_of_step
from engine import (
    LADDER,
    canonical_form,
    count_solutions,
    find_own_steps,
    find_solutions,
    find_steps,
    format_grid,
    solve,
    technique_with,
)
from tests.bot.club.stories import NOON
from tests.sizes import Size, either_size

NOT_PRACTISED = {"remote-pair"}
"""What it strikes is nearly always seen by something lower on the ladder (see `tests.corpus`)."""
WITH_SEVERAL_SOLUTIONS = {"naked-quad", "hidden-quad", "jellyfish"}

ONLY_AS_SHIPPED = {"bug-plus-one": 60}
"""Any digit more spoils it, so there are so many, and then the oldest comes again."""

FEW, YEAR_OF = 2, {1: 2000, 2: 2000, 3: 2000, 4: 2000, 5: 200, 6: 60}
"""So many positions are drawn of a technique: by default, and in the long run by its level."""


def draw_many(technique: str, many: int) -> tuple[int, int, int]:
    """Draw positions for one member, an hour apart; return how many differ, however disguised, how
    many of those shipped are behind them, and how many lack the technique."""
    seen: dict[str, Sighting] = {}
    counts, without = Counter[str](), 0
    for number in range(many):
        drawn = draw_exercise(
            technique, f"event {number}", tuple(seen.values()), is_bare=False, may_lack=True
        )
        at = NOON + timedelta(hours=number)
        seen[drawn.fingerprint] = Sighting(drawn.fingerprint, drawn.base, at)
        without += drawn.step is None
        counts[drawn.base] += drawn.step is not None
    shipped = [base.mark for base in bases_by_technique()[technique]]
    return len(seen), sum(counts[mark] > 0 for mark in shipped), without


def test_every_technique_has_positions_to_practise_at() -> None:
    assert {each.id for each in LADDER} - set(practised_techniques()) == NOT_PRACTISED


@pytest.mark.parametrize("technique", practised_techniques())
def test_what_is_drawn_has_the_technique_and_nothing_lower_gives_it_away(technique: str) -> None:
    for number in range(1 if technique_with(technique).level == 6 else FEW):
        drawn = draw_exercise(technique, f"event {number}", (), False, True)
        grid = drawn.position.to_grid()
        if drawn.step is None:
            assert not find_steps(grid, technique), drawn
        else:
            own = find_own_steps(grid, technique)
            assert drawn.step in [facts_of_step(grid.layout, step) for step in own], drawn


@pytest.mark.parametrize("technique", ["naked-triple", "jellyfish", "avoidable-rectangle"])
def test_a_fingerprint_is_that_of_the_position_however_it_is_turned(technique: str) -> None:
    for number in range(FEW):
        drawn = draw_exercise(technique, f"event {number}", (), False, False)
        grid = drawn.position.to_grid()
        (solution,) = itertools.islice(find_solutions(grid), 1)
        if technique not in WITH_SEVERAL_SOLUTIONS:
            assert fingerprint_of(grid, solution) == drawn.fingerprint
        shipped = next(base for base in bases_by_technique()[technique] if base.mark == drawn.base)
        more = grid.filled_cells.bit_count() - shipped.to_grid().filled_cells.bit_count()
        assert 0 <= more <= MOST_ADDED


@either_size
def test_positions_do_not_run_out_and_none_comes_twice(size: Size) -> None:
    for technique in practised_techniques():
        whole = ONLY_AS_SHIPPED.get(technique, YEAR_OF[technique_with(technique).level])
        wanted = whole if size.share == 1 else max(FEW, whole // 800)
        different, shipped, without = draw_many(technique, wanted)
        told = f"{technique}: {different} of {wanted}, of {shipped} shipped, {without} without"
        print(told)  # noqa: T201 - the figures
        assert different == wanted, technique
        assert without <= max(FEW, 2 * wanted / WITH_NONE), technique


@pytest.mark.long
def test_each_shipped_position_is_another_with_one_solution_and_an_instance_of_its_own() -> None:
    for technique, bases in bases_by_technique().items():
        forms = set()
        for base in bases:
            grid = base.to_grid()
            assert find_own_steps(grid, technique), base
            if technique not in WITH_SEVERAL_SOLUTIONS:
                digits = format_grid(grid)
                assert count_solutions(digits) == 1, base
                solution = solve(digits)
                assert solution is not None
                assert not grid.removed_mask & solution.placed, base
                forms.add(canonical_form(digits, solution))
        if technique not in WITH_SEVERAL_SOLUTIONS:
            assert len(forms) == len(bases), technique


@pytest.mark.parametrize("technique", ["naked-pair", "x-wing", "hidden-single"])
def test_without_candidates_only_what_the_digits_tell_is_shown(technique: str) -> None:
    assert has_bare(technique)
    for number in range(FEW):
        drawn = draw_exercise(technique, f"event {number}", (), True, True)
        assert drawn.position.removed == ()
