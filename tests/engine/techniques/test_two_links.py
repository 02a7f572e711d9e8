"""Skyscraper, two-string kite, turbot fish: where they fire, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

from itertools import product

import pytest

from engine.board.grid import Grid
from engine.board.layout import DIAGONAL, MIDDLE, SMALL
from tests.engine.techniques.checking import check, check_evidence, check_links, drawn, marked

SKYSCRAPER = """
...|...|.*.
..*|...|*..
**.|.*.|..*
---+---+---
...|...|...
***|.*.|***
...|...|...
---+---+---
...|...|.*.
..*|...|..*
**.|.*.|*..
"""
"""Rows 2 and 8 share column 3; their other ends are r2c7 and r8c9."""

KITE = """
..*|**.|..*
.*.|...|*..
*..|.*.|..*
---+---+---
...|...|...
...|.*.|*.*
...|...|.*.
---+---+---
...|...|...
..*|.*.|*.*
...|...|..*
"""
"""Row 2 and column 3 meet in box 1; their other ends are r2c7 and r8c3."""

TURBOT = """
*..|.*.|.*.
.*.|...|...
...|...|...
---+---+---
...|.*.|...
...|...|...
.*.|...|.*.
---+---+---
...|...|...
...|...|...
.*.|.*.|.*.
"""
"""Box 1 and row 6 share column 2; their other ends are r1c1 and r6c8."""

TWO_ROWS_IN_A_BOX = """
*..|.*.|...
.*.|..*|...
..*|*..|*.*
---+---+---
...|...|...
...|***|...
...|***|...
---+---+---
...|...|...
...|...|...
...|...|...
"""
"""Rows 1 and 2 meet in box 1, not in a column; their other ends share box 2."""

X_WING = """
...|...|...
..*|...|.*.
...|...|...
---+---+---
...|...|...
..*|.*.|.*.
...|...|...
---+---+---
..*|...|.*.
...|...|...
*..|*..|.*.
"""

ON_A_DIAGONAL = """
..*|..*|...
.*.|...|...
*..|...|...
---+---+---
...|...|...
...|..*|...
...|...|...
---+---+---
...|...|...
...|.*.|...
...|*.*|..*
"""
"""Row 1 and the diagonal from top left meet in box 1; their other ends are r1c6 and r9c9."""

SIGHTS = {"skyscraper": SKYSCRAPER, "two-string-kite": KITE, "turbot-fish": TURBOT}


def test_the_roof_of_a_skyscraper_strikes_what_both_its_ends_see() -> None:
    check(
        "skyscraper",
        marked(SKYSCRAPER),
        "row 2, row 8: 1 at r2c3 r2c7 r8c3 r8c9 -> r3c9<>1 r9c7<>1",
    )
    check_evidence(
        "skyscraper",
        marked(SKYSCRAPER),
        "some 1 in row 2",
        "some 1 in row 8",
        "no two 1 in column 3",
        "no two 1 in box 3",
        "no two 1 in box 9",
        "no two 1 in column 7",
        "no two 1 in column 9",
    )
    check_links("skyscraper", marked(SKYSCRAPER), "r2c7 = r2c3 - r8c3 = r8c9")


def test_a_kite_strikes_where_its_row_and_its_column_would_cross() -> None:
    check(
        "two-string-kite",
        marked(KITE),
        "row 2, column 3: 1 at r1c3 r2c2 r2c7 r8c3 -> r8c7<>1",
    )
    check_evidence(
        "two-string-kite",
        marked(KITE),
        "some 1 in row 2",
        "some 1 in column 3",
        "no two 1 in box 1",
        "no two 1 in column 7",
        "no two 1 in row 8",
    )
    check_links("two-string-kite", marked(KITE), "r2c7 = r2c2 - r1c3 = r8c3")


def test_a_pair_of_a_box_and_one_of_a_line_are_a_turbot_fish() -> None:
    check("turbot-fish", marked(TURBOT), "row 6, box 1: 1 at r1c1 r2c2 r6c2 r6c8 -> r1c8<>1")
    check_evidence(
        "turbot-fish",
        marked(TURBOT),
        "some 1 in box 1",
        "some 1 in row 6",
        "no two 1 in column 2",
        "no two 1 in row 1",
        "no two 1 in column 8",
    )
    check_links("turbot-fish", marked(TURBOT), "r1c1 = r2c2 - r6c2 = r6c8")


def test_two_rows_that_meet_in_a_box_only_are_a_turbot_fish() -> None:
    check(
        "turbot-fish",
        marked(TWO_ROWS_IN_A_BOX),
        "row 1, row 2: 1 at r1c1 r1c5 r2c2 r2c6 -> r3c3<>1",
        "row 1, row 2: 1 at r1c1 r1c5 r2c2 r2c6 -> r3c4<>1",
    )
    check("skyscraper", marked(TWO_ROWS_IN_A_BOX))


def test_a_diagonal_makes_links_as_other_houses_do() -> None:
    check(
        "turbot-fish",
        marked(ON_A_DIAGONAL, layout=DIAGONAL),
        "row 1, diagonal 1: 1 at r1c3 r1c6 r2c2 r9c9 -> r9c6<>1",
    )


def test_the_worked_skyscraper_cites_no_more_than_its_victim_takes() -> None:
    """Position and elimination from the project's check values (computed there)."""
    grid = drawn(
        ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
    )
    check("skyscraper", grid, "column 6, column 9: 8 at r4c6 r4c9 r5c6 r6c9 -> r6c5<>8")
    check_evidence("skyscraper", grid, "some 8 in column 6", "no two 8 in box 5")
    check_links("skyscraper", grid, "r5c6 = r4c6 - r4c9 = r6c9")


@pytest.mark.parametrize(
    ("technique", "other"), [(a, b) for a, b in product(SIGHTS, SIGHTS) if a != b]
)
def test_a_sight_belongs_to_one_technique_only(technique: str, other: str) -> None:
    check(technique, marked(SIGHTS[other]))


@pytest.mark.parametrize(
    ("technique", "picture"),
    [
        pytest.param("skyscraper", X_WING, id="an x-wing"),
        pytest.param(
            "skyscraper", SKYSCRAPER.replace("..*|...|*..", "..*|.*.|*.."), id="a third place"
        ),
        pytest.param(
            "skyscraper",
            SKYSCRAPER.replace("**.|.*.|..*", "**.|.*.|...").replace("**.|.*.|*..", "**.|.*.|..."),
            id="nothing to strike",
        ),
        pytest.param(
            "two-string-kite", KITE.replace(".*.|...|*..", ".*.|*..|*.."), id="a third place in row"
        ),
        pytest.param(
            "two-string-kite",
            KITE.replace("..*|.*.|*.*", "..*|.*.|..*"),
            id="nothing where it crosses",
        ),
        pytest.param(
            "turbot-fish",
            TURBOT.replace(".*.|...|...", ".**|...|..."),
            id="three places in the box",
        ),
        pytest.param("turbot-fish", TURBOT.replace("*..|.*.|.*.", "*..|.*.|..."), id="no victim"),
    ],
)
def test_silent_without_two_pairs_that_see_something_in_common(
    technique: str, picture: str
) -> None:
    check(technique, marked(picture))


@pytest.mark.parametrize("technique", SIGHTS)
def test_an_empty_grid_has_no_pair(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))
