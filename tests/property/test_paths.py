"""What a path keeps is enough: each kept step is proved where only the kept ones before it were
applied, the same digits are placed, and no elimination is kept for nothing. Hints are such steps,
and one after another they solve every puzzle that the ladder solves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import chain

import pytest

from engine.grid import Grid, format_grid, parse_grid
from engine.layout import CLASSIC
from engine.solving import apply_step, find_hint, find_hint_path, find_path, find_steps, prune_path
from engine.step import Step
from engine.techniques import LADDER, technique_with
from tests.corpus import Puzzle, Sample, load_puzzles, load_samples
from tests.independent.definitions import find_lowest_level
from tests.independent.plain import Plain, read_position
from tests.independent.reading import instance_of, plain_of
from tests.proof.checker import find_faults, read_claim
from tests.property.strategies import LEAST_FIRINGS

SOME_PUZZLES = load_puzzles()[::8]
some_puzzles = pytest.mark.parametrize("puzzle", SOME_PUZZLES, ids=lambda each: each.hardest)


def is_proved(position: Plain, step: Step) -> bool:
    return not any(find_faults(position, read_claim(CLASSIC, position, step)))


def after(position: Plain, step: Step) -> Plain:
    found = instance_of(CLASSIC, step)
    return position.after(found.places, found.removes)


def replay(position: Plain, steps: Iterable[Step]) -> Plain | None:
    """The position after the steps, or None where one of them no longer follows."""
    for step in steps:
        if not is_proved(position, step):
            return None
        position = after(position, step)
    return position


def assert_each_fired(fired: Counter[str]) -> None:
    assert not {each.id: fired[each.id] for each in LADDER if fired[each.id] < LEAST_FIRINGS}


def longer_samples() -> list[Sample]:
    """The samples that start with an elimination: singles come by themselves on the way."""
    return [each for each in load_samples() if technique_with(each.technique).level > 1]


def test_the_kept_steps_alone_lead_to_the_same_digits(fired: Counter[str]) -> None:
    for sample in longer_samples():
        path = find_path(sample.grid)
        pruned = prune_path(path)
        end = replay(sample.plain, pruned.steps)
        assert end is not None, sample
        assert end.text == format_grid(path.end) == format_grid(pruned.end)
        assert len(pruned.steps) <= len(path.steps)
        fired.update(step.technique for step in pruned.steps)
    assert_each_fired(fired)


def test_no_kept_elimination_can_be_left_out(fired: Counter[str]) -> None:
    enough = LEAST_FIRINGS + 1
    for sample in longer_samples():
        steps = prune_path(find_path(sample.grid)).steps
        position = sample.plain
        for index, step in enumerate(steps):
            if not step.places and fired[step.technique] < enough:
                assert replay(position, steps[index + 1 :]) is None, (sample, step)
                fired[step.technique] += 1
            position = after(position, step)
    higher = [technique.id for technique in LADDER if technique.level > 1]
    assert all(fired[technique] >= LEAST_FIRINGS for technique in higher), fired


def positions_without_singles(puzzle: Puzzle) -> Iterator[Grid]:
    """The positions on the way through a puzzle at which a hint has to look further."""
    grid = parse_grid(puzzle.text)
    for step in find_path(grid).steps:
        if not any(technique.level == 1 and any(technique.find(grid)) for technique in LADDER):
            yield grid
        grid = apply_step(grid, step)


@cache
def hinted_grids() -> tuple[Grid, ...]:
    on_the_way = (positions_without_singles(puzzle) for puzzle in load_puzzles()[::3])
    return (*(sample.grid for sample in load_samples()), *chain.from_iterable(on_the_way))


def test_a_hint_is_a_step_of_the_position_and_is_proved(fired: Counter[str]) -> None:
    for grid in hinted_grids():
        hint = find_hint(grid)
        if hint is None:
            assert not find_path(grid).is_solved
            continue
        assert hint in find_steps(grid, technique_with(hint.technique))
        assert is_proved(plain_of(grid), hint)
        fired[hint.technique] += 1
    assert_each_fired(fired)


def test_a_hint_leads_to_a_digit_and_none_of_its_steps_can_be_left_out(
    fired: Counter[str],
) -> None:
    for grid in hinted_grids():
        position, steps = plain_of(grid), find_hint_path(grid)
        if not steps:
            continue
        assert [bool(step.places) for step in steps] == [False] * (len(steps) - 1) + [True]
        assert replay(position, steps) is not None, grid
        for index in range(len(steps) - 1):
            rest = steps[:index] + steps[index + 1 :]
            assert replay(position, rest) is None, (grid, steps[index])
        fired.update(step.technique for step in steps)
    assert_each_fired(fired)


def test_a_hint_stays_at_the_lowest_level_at_which_a_digit_can_be_reached() -> None:
    levels: Counter[int | None] = Counter()
    for sample in load_samples()[::17]:
        level = find_lowest_level(sample.plain)
        steps = find_hint_path(sample.grid)
        assert level == (max(step.level for step in steps) if steps else None), sample
        levels[level] += 1
    assert min(levels[1], levels[2], levels[3]) > 0


@some_puzzles
def test_hint_after_hint_solves_every_puzzle_of_the_ladder(
    puzzle: Puzzle, fired: Counter[str]
) -> None:
    grid = parse_grid(puzzle.text)
    while not grid.is_complete:
        hint = find_hint(grid)
        assert hint is not None
        assert is_proved(plain_of(grid), hint)
        fired[hint.technique] += 1
        grid = apply_step(grid, hint)
    assert format_grid(grid) == puzzle.solution


@some_puzzles
def test_the_pruned_path_of_a_puzzle_solves_it(puzzle: Puzzle, fired: Counter[str]) -> None:
    pruned = prune_path(find_path(parse_grid(puzzle.text)))
    end = replay(read_position(puzzle.text), pruned.steps)
    assert end is not None
    assert end.text == puzzle.solution
    fired.update(step.technique for step in pruned.steps)
