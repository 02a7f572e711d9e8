"""Alternating inference chains: where they fire with exactly what, where they stay silent."""

from __future__ import annotations

from itertools import pairwise

import pytest

from engine.board.grid import Grid, parse_grid, position_of
from engine.board.layout import iterate_bits
from engine.board.step import Link, LinkKind, Node, Step
from engine.search.exact import solve
from engine.solving.sweeping import find_stages
from engine.techniques import PLAIN, technique_with
from tests.corpus import samples_by_technique, steps_at
from tests.engine.techniques.checking import check, check_evidence, drawn

AIC = "alternating-inference-chain"

MIXED = """
8..|.5.|..9
..6|..9|1.5
195|.7.|.38
---+---+---
..8|.3.|59.
.19|...|.6.
.4.|9..|8..
---+---+---
...|2..|..7
9..|..4|..6
28.|...|...
"""
MIXED_STRUCK = (
    "r2c1 3, r4c9 1, r5c6 2, r5c7 2 4, r5c9 3, r6c1 7, r6c3 7, r6c5 1, r6c6 1, r6c8 2, r6c9 2, "
    "r7c1 5, r7c5 6, r7c6 1 6, r8c4 1, r9c4 1, r9c6 1, r9c9 4"
)
GROUPED = """
..8|.6.|429
276|941|.8.
934|528|761
---+---+---
.2.|4.6|.57
.6.|..9|2.4
4..|.52|6.8
---+---+---
7..|2.5|8.6
6..|.9.|..2
..2|6.4|...
"""
GROUPED_STRUCK = "r5c1 1, r8c4 3 7, r9c1 8, r9c2 1, r9c7 3 5"

DETOUR = position_of(
    "3..7.648......39.77...49.1.....2.736267...5...3.6978...7...4...8.396.174614.7....",
    [
        ("r4c1", 5), ("r4c2", 5), ("r4c3", 5), ("r4c4", 8), ("r4c6", 8), ("r7c4", 2), ("r7c8", 9),
        ("r7c9", 9), ("r9c4", 2),
    ],
)  # fmt: skip


def position_after_plain_steps(text: str) -> Grid:
    grid = parse_grid(text)
    for stage in find_stages(grid, PLAIN):
        grid = stage.outcome
    return grid


WEBER = ".2..........6....3.74.8.........3..2.8..4..1.6..5.........1.78.5....9..........4."


def told(grid: Grid, line: tuple[Link, ...]) -> str:
    """Write a chain as `2 r3c6 = 2 r3c7 - 2 r8c7`."""

    def node(link: Link, *, is_first: bool) -> str:
        end = link.first if is_first else link.second
        return f"{end.digit} {'/'.join(map(grid.layout.format_cell, end.cells))}"

    parts = [node(line[0], is_first=True)]
    for link in line:
        parts += ["=" if link.kind is LinkKind.STRONG else "-", node(link, is_first=False)]
    return " ".join(parts)


def test_a_chain_over_two_digits_strikes_what_both_its_ends_see() -> None:
    grid = drawn(MIXED, MIXED_STRUCK)
    check(AIC, grid, "row 3: 23 at r3c6 r3c7 r6c3 r6c9 r8c7 r9c9 -> r6c6<>2")
    (step,) = technique_with(AIC).find(grid)
    assert told(grid, step.chains[0]) == (
        "2 r3c6 = 2 r3c7 - 2 r8c7 = 3 r8c7 - 3 r9c9 = 3 r6c9 - 3 r6c3 = 2 r6c3"
    )


def test_a_group_of_cells_can_be_a_link_of_the_chain() -> None:
    grid = drawn(GROUPED, GROUPED_STRUCK)
    check(
        AIC,
        grid,
        "box 8: 137 at r5c5 r7c5 r8c6 r9c5 -> r5c5<>1",
        "box 1: 19 at r1c1 r1c2 r6c2 r6c8 r7c8 r9c7 r9c8 -> r9c1<>1",
    )
    _, step = technique_with(AIC).find(grid)
    assert told(grid, step.chains[0]) == (
        "1 r1c1 = 1 r1c2 - 1 r6c2 = 9 r6c2 - 9 r6c8 = 9 r7c8/r9c8 - 9 r9c7 = 1 r9c7"
    )


def test_a_chain_cites_what_its_links_and_its_ends_need() -> None:
    check_evidence(
        AIC,
        drawn(MIXED, MIXED_STRUCK),
        "some 2 in row 3",
        "no two 2 in column 7",
        "something in r8c7",
        "no two 3 in box 9",
        "some 3 in column 9",
        "no two 3 in row 6",
        "something in r6c3",
        "no two 2 in column 6",
        "no two 2 in row 6",
    )


def test_with_one_link_broken_the_chain_is_silent() -> None:
    grid = drawn(MIXED, MIXED_STRUCK)
    (step,) = technique_with(AIC).find(grid)
    for cell in step.cells:
        for digit in step.digits:
            gone = grid.layout.bit(cell, digit) & step.pattern
            if gone:
                after = technique_with(AIC).find(grid.eliminate(gone))
                assert all(each.chains != step.chains for each in after)


def test_every_chain_alternates_and_begins_with_a_strong_link_and_but_for_a_loop_ends_so() -> None:
    grid = position_after_plain_steps(WEBER)
    steps = list(technique_with(AIC).find(grid))
    assert len(steps) > 5
    for step in steps:
        (line,) = step.chains
        kinds = [link.kind for link in line]
        assert kinds[::2] == [LinkKind.STRONG] * len(kinds[::2])
        assert kinds[1::2] == [LinkKind.WEAK] * len(kinds[1::2])
        assert len(kinds) % 2 == (0 if step.variant else 1)
        for one, other in pairwise(line):
            assert one.second == other.first


def test_no_chain_strikes_a_digit_of_the_solution_and_each_comes_shortest_first() -> None:
    grid = position_after_plain_steps(WEBER)
    solution = solve(grid)
    assert solution is not None
    lengths = []
    seen: set[int] = set()
    for step in technique_with(AIC).find(grid):
        assert not step.removes & solution.placed
        lengths.append(len(step.chains[0]))
        seen |= set(iterate_bits(step.removes))
    assert lengths == sorted(lengths)
    assert seen


def test_where_the_shortest_way_repeats_a_candidate_a_longer_chain_is_told() -> None:
    victim = DETOUR.layout.bit(DETOUR.layout.parse_cell("r9c9"), 8)
    steps = [step for step in technique_with(AIC).find(DETOUR) if step.removes & victim]
    assert [len(step.chains[0]) for step in steps] == [9]


def test_an_empty_grid_and_a_solved_one_have_no_chain() -> None:
    assert not list(technique_with(AIC).find(Grid.empty()))
    full = solve(parse_grid(WEBER))
    assert full is not None
    assert not list(technique_with(AIC).find(full))


def loops(grid: Grid, technique: str = AIC) -> list[Step]:
    found = technique_with(technique).find(grid)
    return [step for step in found if step.variant == "continuous-loop"]


@pytest.mark.parametrize(
    ("technique", "least"), [(AIC, 10), ("x-chain", 3), ("xy-chain", 9), ("long-xy-chain", 9)]
)
def test_a_chain_whose_ends_see_each_other_is_told_as_one_loop(technique: str, least: int) -> None:
    """One step strikes all that sees any two neighbours, some of it what no shorter chain does."""
    fired = 0
    for sample in samples_by_technique()[technique]:
        steps = steps_at(sample, technique)
        for step in loops(sample.grid, technique):
            (line,) = step.chains
            assert line[0].first == line[-1].second
            assert [link.kind for link in line] == [LinkKind.STRONG, LinkKind.WEAK] * (
                len(line) // 2
            )
            goes = 0
            for link in line:
                goes |= seen_by(sample.grid, link.first) & seen_by(sample.grid, link.second)
            assert step.removes == goes & ~step.pattern
            for each in steps:
                if len(each.chains[0]) < len(line) - 1:
                    goes &= ~each.removes
            assert step.removes & goes
            fired += 1
    assert fired >= least


def seen_by(grid: Grid, node: Node) -> int:
    """The candidates that cannot be true beside a node's, by the houses of the cells alone."""
    layout, seen = grid.layout, -1
    for cell in node.cells:
        here = layout.spread(layout.peers[cell], node.digit) & ~layout.bit(cell, node.digit)
        if len(node.cells) == 1:
            here |= layout.cell_bits[cell] & ~layout.bit(cell, node.digit)
        seen &= here
    return seen & grid.candidates


def test_a_chain_that_ends_out_of_sight_of_its_start_is_no_loop() -> None:
    assert loops(drawn(MIXED, MIXED_STRUCK)) == []
