"""Chains are told a link a line, at most eight lines with what follows; longer ones as a table."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest

from bot.wording.steps import explain
from engine import Grid, Step
from engine.board.grid import parse_grid, position_of
from engine.solving.paths import find_steps
from tests.bot.wording.told import find_untrue
from tests.corpus import samples_by_technique, steps_at

IN_LINES = (
    "x-chain", "xy-chain", "long-xy-chain", "alternating-inference-chain", "remote-pair", "als-xz",
    "large-als-xz",
)  # fmt: skip
FORCING = ("cell-forcing-chain", "house-forcing-chain")
TABLED = (*IN_LINES, *FORCING)
HEAD = "Cell | is | because of"
PHONE = 44
"""Letters of a row: what a phone shows on one line."""

ONE_DIGIT = ".69710380310960270400350691003009000900007030006431729000093067630075942090046803"
"""The worked position of the lesson on X-chains."""


@cache
def told(technique: str) -> list[tuple[Step, Grid, list[str]]]:
    """Return some steps of a technique, and the lines of their reasons."""
    return [
        (step, sample.grid, explain(step, sample.grid).split("\n"))
        for sample in samples_by_technique()[technique][:12]
        for step in steps_at(sample, technique)[:3]
    ]


def test_a_chain_stands_on_at_most_eight_lines_or_in_a_table(fired: Counter[str]) -> None:
    for step, _, lines in (each for technique in IN_LINES for each in told(technique)):
        fired["in a table" if HEAD in lines else "in lines"] += 1
        if HEAD in lines:
            assert len(lines) > 8, lines
            assert lines[0].startswith("Suppose ")
        else:
            assert 1 < len(lines) <= 8, lines
        assert lines[-1].count("So ") >= 1, step
    assert fired["in lines"] > 100
    assert fired["in a table"] > 10


def test_the_rows_of_a_table_are_narrow_and_say_cell_outcome_and_house(
    fired: Counter[str],
) -> None:
    for _, _, lines in (each for technique in TABLED for each in told(technique)):
        for line in lines:
            if " | " in line:
                assert len(line) <= PHONE, line
                assert line.count(" | ") == 2
                fired["rows"] += 1
    assert fired["rows"] > 100


def test_the_links_of_a_chain_are_a_sentence_each_word_by_word() -> None:
    grid = parse_grid(ONE_DIGIT.replace("0", "."))
    assert explain(find_steps(grid, "x-chain")[0], grid).split("\n") == [
        "If r8c4 is not 1, then r8c3 is 1 (no other place in row 8).",
        "So r5c3 is not 1 (column 3).",
        "Then r5c7 is 1 (no other place in row 5).",
        "So r7c7 is not 1 (column 7).",
        "Then r9c8 is 1 (no other place in box 9).",
        "So r8c4 or r9c8 is 1, and r9c4 sees both. So r9c4 loses 1.",
    ]


def test_cases_are_numbered_and_the_lines_of_each_too() -> None:
    for step, _, lines in (each for technique in FORCING for each in told(technique)):
        opened = [line for line in lines if re.match(r"[1-9]\. (?:If|Suppose) ", line)]
        assert [int(line[0]) for line in opened] == [*range(1, len(step.chains) + 1)]
        assert all(
            re.match(r"[1-9]\.(?:[1-9][0-9]*\.)? ", line) for line in lines[1:-1] if line != HEAD
        )


@pytest.mark.parametrize(
    ("so", "false"),
    [
        ("is not 1, then r8c3 is 1", "is not 1, then r8c6 is 1"),
        ("(no other place in row 8)", "(no other place in column 3)"),
        ("So r5c3 is not 1 (column 3)", "So r5c3 is not 1 (row 3)"),
        ("So r5c3 is not 1 (column 3)", "Then r5c3 is 1 (column 3)"),
        ("So r5c3 is not 1 (column 3).\n", ""),
        ("So r8c4 or r9c8 is 1", "So r8c4 or r7c7 is 1"),
        ("and r9c4 sees both", "and r9c5 sees both"),
    ],
)
def test_a_false_link_is_caught(so: str, false: str) -> None:
    grid = parse_grid(ONE_DIGIT.replace("0", "."))
    step = find_steps(grid, "x-chain")[0]
    why = explain(step, grid)
    assert so in why
    assert find_untrue(why, step, grid) is None
    assert find_untrue(why.replace(so, false), step, grid) is not None


@pytest.mark.parametrize("false", ["one row less", "another digit", "another house", "two cells"])
def test_a_false_row_is_caught(false: str) -> None:
    found = 0
    for step, grid, lines in told("long-xy-chain"):
        if HEAD not in lines:
            continue
        at = lines.index(HEAD) + 3
        row = lines[at]
        changed = {
            "one row less": [],
            "another digit": [re.sub(r"not ([1-9])", lambda m: f"not {int(m[1]) % 9 + 1}", row)],
            "another house": [re.sub(r"([1-9])$", lambda m: str(int(m[1]) % 9 + 1), row)],
            "two cells": [row.replace(" | ", "+r1c1 | ", 1)],
        }[false]
        why = "\n".join((*lines[:at], *changed, *lines[at + 1 :]))
        assert find_untrue(why, step, grid) is not None, why
        found += 1
    assert found


SETS = "...92785...715.....5.84.....2.5....19...7..35.7..6..284...85..7...7142867.....5.."
SETS_STRUCK = (
    "r2c1 6, r2c2 6, r2c7 9, r2c8 9, r2c9 3 4, r3c1 1 6, r3c3 1 2 6, r3c7 9, r3c8 9, r3c9 3, "
    "r4c6 3, r6c6 3, r7c2 3 9, r7c3 3 9, r9c2 3 9, r9c3 3 9, r9c6 3 6, r9c8 9, r9c9 9"
)


def test_cells_that_are_two_sets_in_several_ways_are_told_in_the_one_that_strikes_all() -> None:
    """Here r1c9 and r2c7 against r2c6 and r2c8 are linked, too, but strike less."""
    struck = [(part.split()[0], int(digit)) for part in SETS_STRUCK.split(", ")
              for digit in part.split()[1:]]  # fmt: skip
    grid = position_of(SETS, struck)
    (step,) = (
        each
        for each in find_steps(grid, "als-xz")
        if [grid.layout.format_cell(cell) for cell in each.cells]
        == ["r1c9", "r2c6", "r2c7", "r2c8"]
    )
    lines = explain(step, grid).split("\n")
    assert lines[0].startswith("r1c9 and r2c8 between them hold 3, 4 and 6,")
    assert lines[1].startswith("r2c6 and r2c7 between them hold 3, 4 and 6,")
    assert find_untrue("\n".join(lines), step, grid) is None


def test_numbers_out_of_turn_are_caught() -> None:
    step, grid, lines = told("cell-forcing-chain")[0]
    why = "\n".join(lines)
    assert find_untrue(why, step, grid) is None
    assert find_untrue(why.replace("\n2. ", "\n3. "), step, grid) is not None
