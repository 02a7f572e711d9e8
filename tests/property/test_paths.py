"""What a path keeps is enough: each kept step is proved where only the kept ones before it were
applied, the same digits are placed, and no elimination is kept for nothing. Hints are such steps,
and one after another they solve every puzzle that the ladder solves.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import chain

import pytest

from engine.board.grid import Grid, format_grid, parse_grid
from engine.board.layout import CLASSIC
from engine.board.step import PLAIN_LEVEL, Step
from engine.solving.elimination_search import GENERAL_LEVEL
from engine.solving.hint_search import find_kept_steps
from engine.solving.hints import find_hint, find_walkthrough
from engine.solving.paths import Path, apply_step, find_path, find_steps, prune_path
from engine.techniques import LADDER, technique_with
from tests.corpus import NEVER_FIRST, Puzzle, Sample, load_puzzles, samples_by_technique
from tests.independent.definitions import find_lowest_level
from tests.independent.plain import Plain, read_position
from tests.independent.reading import instance_of, plain_of
from tests.proof import proving
from tests.sizes import WHOLE

PART = {1: 4, 2: 9, 3: 9, 4: 3, 5: 2, 6: 1}
"""Level -> samples of each of its techniques in the default run; the long run takes them all."""
SOME_PUZZLES = load_puzzles()[::24]
some_puzzles = pytest.mark.parametrize("puzzle", SOME_PUZZLES, ids=lambda each: each.hardest)
in_part_and_whole = pytest.mark.parametrize(
    ("whole", "most_level"),
    [
        (False, 3),
        (False, 6),
        pytest.param(True, 3, marks=pytest.mark.long),
        pytest.param(True, 6, marks=pytest.mark.long),
    ],
    ids=["part-plain", "part-all", "whole-plain", "whole-all"],
)


def is_proved(position: Plain, step: Step) -> bool:
    return proving.is_proved(CLASSIC, position, step)


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


@cache
def paths_from(grid: Grid) -> tuple[Path, Path]:
    """The path from a position, and what is kept of it."""
    path = find_path(grid)
    return path, prune_path(path)


def samples(*, whole: bool, most_level: int, least_level: int = 1) -> Iterator[Sample]:
    for technique in LADDER:
        if least_level <= technique.level <= most_level:
            yield from samples_by_technique()[technique.id][
                : None if whole else PART[technique.level]
            ]


RARELY_KEPT = {"jellyfish": 1, "finned-jellyfish": 1, "simple-colouring": 1, "x-chain": 25}
"""Even at positions where these are the first to do anything, what they strike seldom matters: of
the whole corpus 2, 5, 14 and 31 are kept. Two-cluster colouring stands before X-chains, and so 32
of their 53 positions are built from few digits: the ladder is stuck there, and little rests on
what went before.
"""

RARELY_HINTED = {"last-three": 10}
"""A hidden single of a box is easier to see than three cells at once (`engine.solving.easiest`):
at 45 of the 55 positions of that technique it is the hint. The other 10 are met.
"""

PLACES_ONLY = "bug-plus-one"
"""Above level 1 the one technique that settles a cell, and strikes nothing by itself."""


def assert_each_fired(
    fired: Counter[str],
    *,
    whole: bool,
    most_level: int,
    least_level: int = 1,
    eliminating: bool = False,
    rarely: Mapping[str, int] = RARELY_KEPT,
) -> None:
    """In the whole corpus often, in the part of the default run once at least.

    `eliminating`: only of those that strike something. `rarely`: how often those that cannot fire
    often have to.
    """
    levels = range(least_level, most_level + 1)
    asked = [each for each in LADDER if each.level in levels and each.id not in NEVER_FIRST]
    if eliminating:
        asked = [each for each in asked if each.id != PLACES_ONLY]
    least = {each.id: WHOLE.least if whole else 1 for each in asked}
    least |= {id: min(count, least[id]) for id, count in rarely.items() if id in least}
    assert not {id: fired[id] for id, count in least.items() if fired[id] < count}


def assert_hints_are_of_many_kinds(fired: Counter[str], *, whole: bool, most_level: int) -> None:
    """Each technique of the plain levels is among the hints; of those above, where a hint often
    takes something simpler that leads to a digit sooner, most are."""
    plain = min(most_level, PLAIN_LEVEL)
    assert_each_fired(fired, whole=whole, most_level=plain, rarely=RARELY_HINTED)
    above = [each for each in LADDER if PLAIN_LEVEL < each.level <= most_level]
    assert sum(fired[each.id] > 0 for each in above) >= len(above) * 3 // 4


@in_part_and_whole
def test_the_kept_steps_alone_lead_to_the_same_digits(
    whole: bool, most_level: int, fired: Counter[str]
) -> None:
    for sample in samples(
        whole=whole, most_level=most_level, least_level=2
    ):  # singles come by themselves on the way
        path, pruned = paths_from(sample.grid)
        end = replay(sample.plain, pruned.steps)
        assert end is not None, sample
        assert end.text == format_grid(path.end) == format_grid(pruned.end)
        assert len(pruned.steps) <= len(path.steps)
        fired.update(step.technique for step in pruned.steps)
    assert_each_fired(fired, whole=whole, most_level=most_level)


@in_part_and_whole
def test_no_kept_elimination_can_be_left_out(
    whole: bool, most_level: int, fired: Counter[str]
) -> None:
    enough = WHOLE.least + 1
    for sample in samples(whole=whole, most_level=most_level, least_level=2):
        steps = paths_from(sample.grid)[1].steps
        position = sample.plain
        for index, step in enumerate(steps):
            if not step.places and fired[step.technique] < enough:
                assert replay(position, steps[index + 1 :]) is None, (sample, step)
                fired[step.technique] += 1
            position = after(position, step)
    assert_each_fired(fired, whole=whole, most_level=most_level, least_level=2, eliminating=True)


def positions_without_singles(puzzle: Puzzle) -> Iterator[Grid]:
    """The positions on the way through a puzzle at which a hint has to look further."""
    grid = parse_grid(puzzle.text)
    for step in find_path(grid).steps:
        if not any(technique.level == 1 and any(technique.find(grid)) for technique in LADDER):
            yield grid
        grid = apply_step(grid, step)


@cache
def hinted_grids(whole: bool, most_level: int) -> tuple[Grid, ...]:
    reached = [each for each in load_puzzles() if technique_with(each.hardest).level <= most_level]
    puzzles = reached[:: 3 if whole else 30]
    on_the_way = (positions_without_singles(puzzle) for puzzle in puzzles)
    return (
        *(each.grid for each in samples(whole=whole, most_level=most_level)),
        *chain.from_iterable(on_the_way),
    )


@in_part_and_whole
def test_a_hint_is_a_step_of_the_position_and_is_proved(
    whole: bool, most_level: int, fired: Counter[str]
) -> None:
    for grid in hinted_grids(whole, most_level):
        hint = find_hint(grid)
        if hint is None:
            assert not find_path(grid).is_solved
            continue
        assert hint in find_steps(grid, technique_with(hint.technique))
        assert is_proved(plain_of(grid), hint)
        fired[hint.technique] += 1
    assert_hints_are_of_many_kinds(fired, whole=whole, most_level=most_level)


@in_part_and_whole
def test_a_hint_leads_to_a_digit_and_none_of_its_steps_can_be_left_out(
    whole: bool, most_level: int, fired: Counter[str]
) -> None:
    for grid in hinted_grids(whole, most_level):
        position, steps = plain_of(grid), find_kept_steps(grid)
        if not steps:
            continue
        if steps[-1].places:
            assert not any(step.places for step in steps[:-1])
        else:  # too far from any digit: then the last is the general step itself
            assert steps[-1].level == GENERAL_LEVEL
        assert replay(position, steps) is not None, grid
        for index in range(len(steps) - 1):
            rest = steps[:index] + steps[index + 1 :]
            assert replay(position, rest) is None, (grid, steps[index])
        fired.update(step.technique for step in steps)
    assert_hints_are_of_many_kinds(fired, whole=whole, most_level=most_level)


def test_a_hint_stays_at_the_lowest_level_at_which_a_digit_can_be_reached() -> None:
    """As far as the plain definitions of levels 1 to 3 go; from level 4 on they say nothing."""
    levels: Counter[int | None] = Counter()
    for technique in LADDER:
        for sample in samples_by_technique()[technique.id][: 4 if technique.level <= 3 else 1]:
            level = find_lowest_level(sample.plain)
            steps = find_kept_steps(sample.grid)
            needed = max((step.level for step in steps), default=None)
            assert level == (None if needed is not None and needed > 3 else needed), sample
            levels[level] += 1
    assert min(levels[1], levels[2], levels[3], levels[None]) > 0


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


def hint_after_hint(grid: Grid) -> Iterator[Step]:
    while (hint := find_hint(grid)) is not None:
        yield hint
        grid = apply_step(grid, hint)


def count_strikes(steps: Iterable[Step]) -> int:
    return sum(not step.places for step in steps)


@some_puzzles
def test_a_walkthrough_is_proved_and_no_longer_than_following_hints(
    puzzle: Puzzle, fired: Counter[str]
) -> None:
    grid = parse_grid(puzzle.text)
    steps = find_walkthrough(grid).steps
    end = replay(read_position(puzzle.text), steps)
    assert end is not None
    assert end.text == puzzle.solution
    assert count_strikes(steps) <= count_strikes(hint_after_hint(grid))
    fired.update(step.technique for step in steps)


def test_walkthroughs_are_shorter_than_the_sweeps_that_they_could_be_pruned_from() -> None:
    walked, swept = 0, 0
    for puzzle in SOME_PUZZLES:
        grid = parse_grid(puzzle.text)
        walked += count_strikes(find_walkthrough(grid).steps)
        swept += count_strikes(prune_path(find_path(grid)).steps)
    assert 0 < walked < swept
