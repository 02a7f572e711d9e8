"""Chains on the rungs before the last: cells in walking order, and nothing that they run into."""

from __future__ import annotations

import re
from itertools import groupby

import pytest

from bot import wording
from bot.club.facts import HintPicture, Position, StepFacts, facts_of_step
from engine.board.grid import Grid, position_of
from engine.inference.pattern_parts import WALKED
from engine.techniques import technique_with
from tests.corpus import samples_by_technique, steps_at

# The longest of several XY-chains at this position has 11 cells; the one that is told has 4.
CHAIN = position_of(
    "32.716.5.6..948312.4.253.7681.49.7.3.3216..9....38.1..2..534681.8.629537563871249",
    [("r6c2", 7), ("r6c3", 7)],
)


def first_chain() -> tuple[StepFacts, Grid]:
    steps = technique_with("xy-chain").find(CHAIN)
    step = next(step for step in steps if len(step.cells) == 4)
    return facts_of_step(CHAIN.layout, step), CHAIN


def test_which_walks_a_chain_from_its_start_to_its_end_and_lists_no_house() -> None:
    step, grid = first_chain()
    rungs = wording.rungs(step, Position.of(grid))
    assert rungs["which"] == (
        "XY-chain of 4, 5, 8 and 9: start at r1c3, go by r1c9 and r6c9, and end at r6c2."
    )
    alt = wording.describe(HintPicture(Position.of(grid).grid, Position.of(grid), step, "which"))
    assert alt.startswith("Marked: the cells of the pattern. XY-chain of 4, 5, 8 and 9: start at ")
    assert "Lines from cell to cell are numbered from the start." in alt
    assert "The start and the end, heavily outlined: " in alt


@pytest.mark.parametrize("technique", sorted(WALKED))
def test_which_names_every_cell_of_a_walk(technique: str) -> None:
    for sample in samples_by_technique()[technique][::5]:
        for step in steps_at(sample, technique)[:3]:
            facts = facts_of_step(sample.grid.layout, step)
            which = wording.rungs(facts, Position.of(sample.grid))["which"]
            assert all(cell in which for cell in facts.cells), which
            assert not any(house in which for house in facts.houses), which
            if len(facts.chains) == 1:
                (line,) = facts.chains
                nodes = [line[0].first, *(link.second for link in line)]
                walked = [cell for cells, _ in groupby(nodes) for cell in cells]
                comes_back = which.endswith("come back to it.")
                assert comes_back is (nodes[0] == nodes[-1])
                named = re.findall("r[1-9]c[1-9]", which)
                assert named == (walked[: -len(nodes[-1])] if comes_back else walked)


def test_where_says_that_a_chain_runs_across_the_board_and_only_then() -> None:
    step, grid = first_chain()
    assert wording.rungs(step, Position.of(grid))["where"] == "Have a good look at row 1."
    spread = 0
    for technique in sorted(WALKED):
        for sample in samples_by_technique()[technique][::5]:
            for step_found in steps_at(sample, technique)[:3]:
                facts = facts_of_step(sample.grid.layout, step_found)
                where = wording.rungs(facts, Position.of(sample.grid))["where"]
                rows = {cell[:2] for cell in facts.cells}
                columns = {cell[2:] for cell in facts.cells}
                says = "runs across much of the board" in where
                assert says is (min(len(rows), len(columns)) >= 4)
                spread += says
    assert spread > 20
