"""What people write of what they see, in any order and in part, and how it is read."""

from __future__ import annotations

import pytest

from bot.club.problems import Problem
from bot.commands.arguments import ArgumentError
from bot.commands.claims import read_claim
from engine import CLASSIC


def told(text: str) -> str:
    """Write what was read as `technique | cells digits | houses | what goes | what is placed`."""
    said = read_claim(text)
    parts = (
        said.technique,
        " ".join([*map(CLASSIC.format_cell, said.cells), "".join(map(str, said.digits))]).strip(),
        ", ".join(CLASSIC.houses[house].name for house in said.houses),
        " ".join(f"{cell}-{digit}" for cell, digit in CLASSIC.format_pairs(said.removes)),
        " ".join(f"{CLASSIC.format_cell(cell)}={digit}" for cell, digit in said.places),
    )
    return " | ".join(filter(None, parts))


TRIPLE = "r1c6 r2c6 r9c6 149"


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("r3c6-1 r5c6-1", "r3c6-1 r5c6-1"),
        ("R3C6 - 1, R5C6 \u2013 1", "r3c6-1 r5c6-1"),
        ("r35c6<>1", "r3c6-1 r5c6-1"),
        ("r3c6-14", "r3c6-1 r3c6-4"),
        ("r3c6 not 1", "r3c6-1"),
        ("r3c6 isn\u2019t 1 or 4", "r3c6-1 r3c6-4"),
        ("r3c6 and r5c6 can't be 1", "r3c6-1 r5c6-1"),
        ("r3c6 loses 1 and 4", "r3c6-1 r3c6-4"),
        ("no 1 in r3c6 or r5c6", "r3c6-1 r5c6-1"),
        ("remove 1 from r3c6 and 4 from r5c6", "r3c6-1 r5c6-4"),
        ("1 not in r3c6", "r3c6-1"),
        ("r4c5=7", "r4c5=7"),
        ("r4c5 7 r6c1 2", "r4c5=7 r6c1=2"),
        ("7 goes in r4c5", "r4c5=7"),
        ("149 in r1c6 r2c6 r9c6", TRIPLE),
        ("r1c6, r2c6 and r9c6 are 1, 4 and 9", TRIPLE),
        ("naked triple col 6", "naked-triple | column 6"),
        ("there is a Naked Triple in c6", "naked-triple | column 6"),
        ("x-wing on 7 in rows 2 and 9", "x-wing | 7 | row 2, row 9"),
        ("hidden pair 2 9 in row 9", "hidden-pair | 29 | row 9"),
        ("149 in r129c6 so r3c6 and r5c6 are not 1", f"{TRIPLE} | r3c6-1 r5c6-1"),
        ("r3c6-1 r5c6-1 because 149 in r1c6 r2c6 r9c6", f"{TRIPLE} | r3c6-1 r5c6-1"),
        ("149 in r1c6 r2c6 r9c6 r3c6-1", f"{TRIPLE} | r3c6-1"),
    ],
)
def test_a_claim_is_read_as_people_write_it(text: str, read: str) -> None:
    assert told(text) == read


@pytest.mark.parametrize(
    ("text", "problem", "word"),
    [
        ("", Problem.MISSING, "claim"),
        ("naked triple", Problem.MISSING, "claim"),
        ("r9c6", Problem.MISSING, "claim"),
        ("the wombat in r3c6", Problem.CLAIM, "wombat"),
        ("r3c6 # 1", Problem.CLAIM, "#"),
        ("r3c0-1", Problem.CELL, "r3c0"),
        ("r33c6-1", Problem.CELL, "r33c6"),
        ("r3c6-0", Problem.DIGIT, "0"),
        ("naked pair row 12", Problem.HOUSE, "row 12"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, problem: Problem, word: str) -> None:
    with pytest.raises(ArgumentError) as caught:
        read_claim(text)
    assert (caught.value.problem, caught.value.text) == (problem, word)
