"""The reasons of steps: one for each technique, and a few sentences word by word."""

from __future__ import annotations

import re

import pytest

from bot import wording
from bot.wording.steps import REASONS, explain
from engine.board.grid import parse_grid
from engine.solving.paths import find_steps
from engine.techniques import LADDER, technique_with
from tests.bot.wording.clauses import lines_named
from tests.bot.wording.samples import CROOK, step_at
from tests.corpus import load_samples, samples_by_technique, steps_at

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
            "has 3, 4 and 5). Two cells use up two digits, whichever goes where. The same thing "
            "seen from the other cells: 3, 4 and 5 are a hidden triple in r5c3, r8c3 and r9c3. So "
            "r5c3 and r8c3 lose 2 and 8; r9c3 loses 2.",
        ),
        (
            "last-three",
            THREES,
            "Last three: Row 6 has three open cells, r6c4, r6c5 and r6c8, for 2, 8 and 9. 8 "
            "goes in r6c8: r6c4 and r6c5 see the 8 in r4c6. 9 goes in r6c5: r6c4 sees the 9 in "
            "r7c4. That makes r6c4 a naked single: it can be neither 8 nor 9, so it is 2. So r6c4 "
            "is 2, r6c5 is 9 and r6c8 is 8.",
        ),
    ],
)
def test_a_reason_word_by_word(technique: str, text: str, expected: str) -> None:
    step, position = step_at(text, technique)
    assert wording.rungs(step, position)["why"] == expected


_STANDS = re.compile(r"(\w+ [1-9]) has ([1-9](?:(?:, | and )[1-9])*)")
_CAN_BE = re.compile(
    r"(r[1-9]c[1-9](?:(?:, | and )r[1-9]c[1-9])*) (?:can be )?"
    r"([1-9][^(;.]*?)(?: \(([^)]*)\))?(?:;|$)"
)


@pytest.mark.parametrize("technique", NAKED)
def test_a_naked_subset_says_why_its_cells_hold_so_little(technique: str) -> None:
    """What stands in the rows, columns and boxes named, what was struck, and what is left make up
    all that the house lacks."""
    checked = 0
    for sample in samples_by_technique()[technique][::4]:
        grid = sample.grid
        for step in steps_at(sample, technique)[:2]:
            first, lacks = grid.layout.houses[step.houses[0]], set(grid.layout.digits)
            lacks -= {grid.digit_at(cell) for cell in first.cells}
            sentences = [each for each in explain(step, grid).split(". ") if "can be" in each]
            if not sentences:  # a line that has only these cells open: nothing is barred there
                continue
            told = _CAN_BE.findall(sentences[0])
            named = [name for cells, _, _ in told for name in re.findall("r[1-9]c[1-9]", cells)]
            assert sorted(named) == [grid.layout.format_cell(cell) for cell in step.cells]
            for cells, holds, why in told:
                makes_up = digits_in(holds)
                for house, digits in _STANDS.findall(why):
                    stand = {grid.digit_at(each) for each in grid.layout.parse_house(house).cells}
                    assert digits_in(digits) <= stand
                    makes_up |= digits_in(digits)
                ruled = re.search(r"([1-9, and]+) (?:is|are) ruled out already", why)
                makes_up |= digits_in(ruled[1]) if ruled else set()
                assert makes_up == lacks, (cells, why)
                checked += 1
    assert checked >= 20


def digits_in(text: str) -> set[int]:
    return set(map(int, re.findall("[1-9]", text)))


def test_a_pointing_reason_names_both_houses_and_what_blocks_the_rest() -> None:
    step, position = step_at(WORKED, "pointing")
    why = wording.rungs(step, position)["why"]
    assert "In box 9, 9 can only go in r7c8 and r9c8" in why
    assert "column 8" in why
    assert why.endswith("So r3c8 loses 9.")


def test_a_naked_triple_reason_says_what_each_cell_holds_and_names_its_twin() -> None:
    step, position = step_at(WORKED, "naked-triple")
    why = wording.rungs(step, position)["why"]
    for cell in step.cells:
        assert cell in why
    assert "2, 4 and 8 are a hidden triple in r7c5, r8c4 and r8c5" in why


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
    assert "They lie in box 3 and column 8 at once, so it works in both." in why
    assert "hidden" not in why


_BY_LINES = re.compile(r"[Tt]he ([1-9])s? of ([^.;]*?) (?:leaves?|bars?) ")


def test_a_reason_names_only_lines_that_hold_the_digit() -> None:
    checked = 0
    for sample in load_samples()[::6]:
        grid = sample.grid
        for step in find_steps(grid, technique_with(sample.technique))[:1]:
            why = explain(step, grid)
            for digit, lines in _BY_LINES.findall(why):
                for name in lines_named(lines):
                    house = grid.layout.parse_house(name)
                    assert int(digit) in map(grid.digit_at, house.cells), why
                    checked += 1
    assert checked > 50


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
