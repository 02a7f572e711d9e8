"""X-wing, swordfish, jellyfish: where they fire, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE, SMALL
from tests.engine.techniques.checking import check, check_evidence, marked

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
"""Rows 2 and 7 have their places in columns 3 and 8."""

SWORDFISH = """
.*.|.*.|...
...|...|...
...|...|...
---+---+---
...|.*.|..*
...|...|...
...|.*.|*.*
---+---+---
...|...|...
.*.|...|..*
...|...|...
"""
"""Rows 1, 4, 8 in columns 2, 5, 9, though no row has three places."""

X_WING_INSIDE = """
.*.|.*.|...
...|...|...
...|...|...
---+---+---
.*.|.*.|...
...|...|...
*..|*..|..*
---+---+---
...|...|...
.*.|.*.|..*
...|...|...
"""
"""Rows 1 and 4 are an X-wing; with row 8 they take up column 9 too, where row 6 has a place."""

JELLYFISH = """
*..|*..|...
...|...|...
...|*.*|...
---+---+---
...|...|...
...|..*|..*
...|...|...
---+---+---
.*.|*.*|...
*..|...|..*
...|...|...
"""
"""Rows 1, 3, 5, 8 in columns 1, 4, 6, 9."""

SIX_BY_SIX = """
.*.|..*
...|...
---+---
.**|.*.
...|...
---+---
.*.|..*
...|...
"""

SIX_BY_SIX_IN_COLUMNS = """
...|...
*.*|.*.
---+---
..*|...
..*|...
---+---
...|...
*..|.*.
"""

TWO_X_WINGS = """
*..|*..|...
...|...|...
.*.|.*.|...
---+---+---
...|...|...
*..|*..|...
...|...|...
---+---+---
**.|...|*..
.*.|.*.|...
...|...|...
"""
"""Rows 1 and 5, rows 3 and 8: together four rows in four columns, and nothing of their own."""


def without_row(picture: str, row: int) -> str:
    """Take the marks of a row away."""
    lines = picture.strip().splitlines()
    place = row - 1 + (row - 1) // 3
    lines[place] = lines[place].replace("*", ".")
    return "\n".join(lines)


def test_two_rows_with_their_places_in_two_columns_take_both_columns_up() -> None:
    check(
        "x-wing",
        marked(X_WING),
        "row 2, row 7: 1 at r2c3 r2c8 r7c3 r7c8 -> column 3: column 8: r5c3<>1 r5c8<>1 r9c8<>1",
    )
    check_evidence(
        "x-wing",
        marked(X_WING),
        "some 1 in row 2",
        "some 1 in row 7",
        "no two 1 in column 3",
        "no two 1 in column 8",
    )


def test_three_rows_need_not_have_three_places_each() -> None:
    check(
        "swordfish",
        marked(SWORDFISH),
        "row 1, row 4, row 8: 1 at r1c2 r1c5 r4c5 r4c9 r8c2 r8c9"
        " -> column 2: column 5: column 9: r6c5<>1 r6c9<>1",
    )


def test_a_swordfish_around_an_x_wing_counts_where_it_strikes_more() -> None:
    check(
        "swordfish",
        marked(X_WING_INSIDE),
        "row 1, row 4, row 8: 1 at r1c2 r1c5 r4c2 r4c5 r8c2 r8c5 r8c9"
        " -> column 2: column 5: column 9: r6c9<>1",
    )
    check(
        "x-wing",
        marked(X_WING_INSIDE),
        "row 1, row 4: 1 at r1c2 r1c5 r4c2 r4c5 -> column 2: column 5: r8c2<>1 r8c5<>1",
    )


def test_four_rows_in_four_columns_are_a_jellyfish() -> None:
    check(
        "jellyfish",
        marked(JELLYFISH),
        "row 1, row 3, row 5, row 8: 1 at r1c1 r1c4 r3c4 r3c6 r5c6 r5c9 r8c1 r8c9"
        " -> column 1: column 4: column 6: column 9: r7c4<>1 r7c6<>1",
    )
    check_evidence(
        "jellyfish",
        marked(JELLYFISH),
        *(f"some 1 in row {row}" for row in (1, 3, 5, 8)),
        *(f"no two 1 in column {column}" for column in (1, 4, 6, 9)),
    )


def test_fish_lie_in_columns_too_and_on_other_sizes() -> None:
    check(
        "x-wing",
        marked(SIX_BY_SIX, layout=MIDDLE),
        "row 1, row 5: 1 at r1c2 r1c6 r5c2 r5c6 -> column 2: column 6: r3c2<>1",
    )
    check(
        "x-wing",
        marked(SIX_BY_SIX_IN_COLUMNS, layout=MIDDLE),
        "column 1, column 5: 1 at r2c1 r2c5 r6c1 r6c5 -> row 2: row 6: r2c3<>1",
    )


def test_each_digit_is_looked_at_by_itself_lowest_first() -> None:
    both = marked(X_WING)
    both = both.eliminate(both.layout.spread(both.layout.all_cells & ~both.plane(1), 4))
    check(
        "x-wing",
        both,
        "row 2, row 7: 1 at r2c3 r2c8 r7c3 r7c8 -> column 3: column 8: r5c3<>1 r5c8<>1 r9c8<>1",
        "row 2, row 7: 4 at r2c3 r2c8 r7c3 r7c8 -> column 3: column 8: r5c3<>4 r5c8<>4 r9c8<>4",
    )


@pytest.mark.parametrize(
    ("technique", "picture"),
    [
        pytest.param("x-wing", X_WING.replace("..*|...|.*.", "..*|*..|.*."), id="a third place"),
        pytest.param("x-wing", SWORDFISH, id="three lines needed"),
        pytest.param("swordfish", X_WING, id="two lines do"),
        pytest.param("swordfish", JELLYFISH, id="four lines needed"),
        pytest.param("x-wing", without_row(without_row(X_WING, 5), 9), id="nothing to strike"),
        pytest.param("swordfish", without_row(SWORDFISH, 6), id="nothing to strike by three"),
        pytest.param("jellyfish", without_row(JELLYFISH, 7), id="nothing to strike by four"),
        pytest.param("swordfish", without_row(X_WING_INSIDE, 6), id="the x-wing strikes all"),
        pytest.param("jellyfish", TWO_X_WINGS, id="two x-wings side by side"),
    ],
)
def test_silent_without_a_fish_of_that_size_with_something_of_its_own(
    technique: str, picture: str
) -> None:
    check(technique, marked(picture))


@pytest.mark.parametrize("technique", ["x-wing", "swordfish", "jellyfish"])
def test_an_empty_grid_has_no_fish(technique: str) -> None:
    for layout in (SMALL, MIDDLE):
        check(technique, Grid.empty(layout))


def test_a_line_with_one_place_is_a_single_and_no_part_of_a_fish() -> None:
    check("x-wing", marked(X_WING.replace("..*|...|.*.", "..*|...|...", 1)))
