"""The reasons of steps: one for each technique, and a few sentences word by word."""

from __future__ import annotations

import pytest

from bot import wording
from bot.wording.steps import REASONS, explain
from engine.board.grid import parse_grid
from engine.solving.paths import find_steps
from engine.techniques import LADDER, technique_with
from tests.bot.wording.samples import CROOK, step_at
from tests.corpus import samples_by_technique, steps_at

NAKED = ("locked-pair", "locked-triple", "naked-pair", "naked-triple", "naked-quad")
IDS = tuple(technique.id for technique in LADDER)


def test_every_technique_of_the_ladder_has_a_reason_and_nothing_else_has() -> None:
    assert tuple(REASONS) == IDS


WORKED = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
"""Worked steps of facts.md, computed: pointing, a naked triple and its hidden twin."""

LOCKED = "96.243...237518649.546793.2.439.5.2.5.27.4..36791328544.6321.7.7258964313..4572.."
THREES = ".6.3...7..8....93..73.8..1.347..8...298547163651..34.75369.4.21814.3..59729851346"


@pytest.mark.parametrize(
    ("technique", "text", "expected"),
    [
        (
            "naked-pair",
            CROOK,
            "Naked pair: r3c3 can be 2 or 8 (row 3 has 4 and 5; box 1 has 3); r4c3 2 or 8 (row 4 "
            "has 3, 4 and 5). Two cells of column 3 use up two digits. So r5c3 and r8c3 "
            "lose 2 and 8; r9c3 loses 2.",
        ),
        (
            "last-three",
            THREES,
            "Last three: Row 6 has three open cells, r6c4, r6c5 and r6c8, for 2, 8 and 9. 8 goes "
            "in r6c8: r6c4 and r6c5 see it in r4c6. 9 goes in r6c5: r6c4 sees it in r7c4. That "
            "leaves 2 for r6c4. So r6c4 is 2, r6c5 is 9 and r6c8 is 8.",
        ),
    ],
)
def test_a_reason_word_by_word(technique: str, text: str, expected: str) -> None:
    step, position = step_at(text, technique)
    assert wording.rungs(step, position)["why"] == expected


def test_a_pointing_reason_names_both_houses_and_what_blocks_the_rest() -> None:
    step, position = step_at(WORKED, "pointing")
    why = wording.rungs(step, position)["why"]
    assert "The 9 of row 8 leaves two places in box 9, r7c8 and r9c8, both in column 8," in why
    assert why.endswith("So r3c8 loses 9.")


def test_a_naked_triple_reason_says_what_each_cell_holds() -> None:
    step, position = step_at(WORKED, "naked-triple")
    why = wording.rungs(step, position)["why"]
    for cell in step.cells:
        assert cell in why


def test_a_pair_says_what_it_is_seen_from_the_other_cells_where_words_are_left() -> None:
    """Fact of the trade 4 (common practice)."""
    found = [
        why
        for sample in samples_by_technique()["hidden-pair"]
        for step in steps_at(sample, "hidden-pair")[:2]
        if "The other open cells hold a naked " in (why := explain(step, sample.grid))
    ]
    assert len(found) > 3


def test_a_triple_with_short_cells_is_said_to_be_one_all_the_same() -> None:
    """Fact of the trade 1 (common practice)."""
    grid = parse_grid(WORKED)
    (step,) = find_steps(grid, technique_with("naked-triple"))
    assert any(len(grid.candidates_at(cell)) < 3 for cell in step.cells)
    facts, position = step_at(WORKED, "naked-triple")
    told = wording.rungs(facts, position)["why"]
    assert "Not every cell needs to hold all three" in told


def test_a_locked_pair_reason_says_that_it_works_in_both_houses() -> None:
    """Fact of the trade 2 (common practice)."""
    step, position = step_at(LOCKED, "locked-pair")
    why = wording.rungs(step, position)["why"]
    assert "Two cells of both box 3 and column 8 use up two digits." in why
    assert "hidden" not in why


def test_a_candidate_struck_before_is_said_to_be_ruled_out_already() -> None:
    """With 4 struck in r5c8 and r6c8, no placed digit explains why box 6 has one place for it."""
    grid = parse_grid("." * 81)
    layout = grid.layout
    box = layout.parse_house("box 6")
    kept = layout.parse_cell("r6c9")
    grid = grid.eliminate(layout.spread(box.mask & ~(1 << kept), 4))
    (step,) = find_steps(grid, technique_with("hidden-single"))
    assert explain(step, grid) == (
        "The 4 of box 6 has only one place left, r6c9: it is ruled out in r4c7, r4c8, "
        "r4c9, r5c7, r5c8, r5c9, r6c7 and r6c8. So r6c9 is 4."
    )
