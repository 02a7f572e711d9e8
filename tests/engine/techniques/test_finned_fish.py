"""Finned X-wing, swordfish, jellyfish, sashimi or not: where they fire, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, marked

FINNED_X_WING = """
...|...|...
..*|...|.*.
...|...|...
---+---+---
...|...|...
..*|.*.|.*.
...|...|...
---+---+---
..*|...|.**
...|...|.**
*..|*..|.*.
"""
"""Rows 2 and 7 in columns 3 and 8, but for the fin r7c9; box 9 has r8c8 and r9c8."""

SASHIMI_X_WING = """
...|...|...
..*|...|.*.
...|...|...
---+---+---
...|...|...
..*|.*.|.*.
...|...|...
---+---+---
..*|...|*.*
...|...|.**
*..|*..|.*.
"""
"""As before, but row 7 has two fins and nothing in column 8."""

FINNED_SWORDFISH = """
.*.|.*.|...
...|...|...
...|...|...
---+---+---
...|.*.|..*
...|...|...
*..|.*.|..*
---+---+---
...|...|.*.
.*.|...|***
...|..*|*.*
"""
"""Rows 1, 4, 8 in columns 2, 5, 9, but for the fins r8c7 and r8c8; box 9 has r9c9."""

FINNED_JELLYFISH = """
*..|*..|...
...|...|...
...|*.*|...
---+---+---
...|...|...
...|..*|..*
...|...|...
---+---+---
.*.|...|.**
*..|...|.**
..*|..*|*.*
"""
"""Rows 1, 3, 5, 8 in columns 1, 4, 6, 9, but for the fin r8c8; box 9 has r7c9 and r9c9."""

IDLE_COVER = """
...|*.*|...
...|.*.|...
**.|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
*.*|.**|..*
...|...|...
"""
"""Columns 5 and 6 in row 8 and box 2: that box 2 has 1 once makes row 1 idle as a cover line."""


def changed(picture: str, row: int, line: str) -> str:
    """Draw a row anew."""
    lines = picture.strip().splitlines()
    lines[row - 1 + (row - 1) // 3] = line
    return "\n".join(lines)


def variant_of(technique: str, picture: str) -> str:
    (step,) = technique_with(technique).find(marked(picture))
    return step.variant


def test_a_finned_x_wing_strikes_in_the_box_of_its_fin_alone() -> None:
    check(
        "finned-x-wing",
        marked(FINNED_X_WING),
        "row 2, row 7: 1 at r2c3 r2c8 r7c3 r7c8 r7c9 -> column 3: column 8: r8c8<>1 r9c8<>1",
    )
    check_evidence(
        "finned-x-wing",
        marked(FINNED_X_WING),
        "some 1 in row 2",
        "some 1 in row 7",
        "no two 1 in column 3",
        "no two 1 in column 8",
        "no two 1 in box 9",
    )
    assert variant_of("finned-x-wing", FINNED_X_WING) == ""


def test_a_line_that_is_left_with_one_place_without_its_fins_makes_it_sashimi() -> None:
    check(
        "finned-x-wing",
        marked(SASHIMI_X_WING),
        "row 2, row 7: 1 at r2c3 r2c8 r7c3 r7c7 r7c9 -> column 3: column 8: r8c8<>1 r9c8<>1",
    )
    assert variant_of("finned-x-wing", SASHIMI_X_WING) == "sashimi"


def test_a_swordfish_may_have_two_fins_in_one_box() -> None:
    check(
        "finned-swordfish",
        marked(FINNED_SWORDFISH),
        "row 1, row 4, row 8: 1 at r1c2 r1c5 r4c5 r4c9 r8c2 r8c7 r8c8 r8c9"
        " -> column 2: column 5: column 9: r9c9<>1",
    )


def test_four_lines_make_a_finned_jellyfish() -> None:
    check(
        "finned-jellyfish",
        marked(FINNED_JELLYFISH),
        "row 1, row 3, row 5, row 8: 1 at r1c1 r1c4 r3c4 r3c6 r5c6 r5c9 r8c1 r8c8 r8c9"
        " -> column 1: column 4: column 6: column 9: r7c9<>1 r9c9<>1",
    )


def test_a_cover_line_within_the_box_of_the_fins_is_not_cited() -> None:
    check(
        "finned-x-wing",
        marked(IDLE_COVER),
        "column 5, column 6: 1 at r1c6 r2c5 r8c5 r8c6 -> row 1: row 8: r1c4<>1",
    )
    check_evidence(
        "finned-x-wing",
        marked(IDLE_COVER),
        "some 1 in column 5",
        "some 1 in column 6",
        "no two 1 in row 8",
        "no two 1 in box 2",
    )


@pytest.mark.parametrize(
    ("technique", "picture"),
    [
        pytest.param(
            "finned-x-wing", changed(FINNED_X_WING, 2, "*.*|...|.*."), id="fins in two boxes"
        ),
        pytest.param(
            "finned-x-wing", changed(FINNED_X_WING, 7, "..*|...|.*."), id="no fin, a plain fish"
        ),
        pytest.param(
            "finned-x-wing",
            changed(changed(FINNED_X_WING, 8, "...|...|..*"), 9, "*..|*..|..*"),
            id="nothing to strike in the box",
        ),
        pytest.param("finned-x-wing", FINNED_SWORDFISH, id="three lines needed"),
        pytest.param("finned-swordfish", FINNED_X_WING, id="two lines do"),
        pytest.param("finned-swordfish", FINNED_JELLYFISH, id="four lines needed"),
        pytest.param(
            "finned-x-wing", changed(FINNED_X_WING, 2, "..*|...|..."), id="a line with one place"
        ),
    ],
)
def test_silent_without_fins_in_one_box_and_something_there_to_strike(
    technique: str, picture: str
) -> None:
    check(technique, marked(picture))


@pytest.mark.parametrize("technique", ["finned-x-wing", "finned-swordfish", "finned-jellyfish"])
def test_an_empty_grid_has_no_finned_fish(technique: str) -> None:
    check(technique, Grid.empty(MIDDLE))
