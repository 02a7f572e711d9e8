"""Simple colouring, of one cluster and of two: where it fires, with exactly what, and where not.

In the pictures digit 1 can stand in the marked cells only.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import MIDDLE, SMALL
from engine.inference.pattern_parts import find_clusters
from engine.techniques import technique_with
from tests.engine.techniques.checking import check, check_evidence, check_links, marked, note_line

SEES_BOTH = """
.*.|..*|...
..*|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
***|**.|*.*
...|...|...
---+---+---
.*.|*..|*.*
*..|**.|...
..*|...|.*.
"""
"""Pairs: rows 1, 4, 9, columns 6, 8. The ends r1c2 and r9c3 are of different colours."""

MEETS_OWN = """
.*.|..*|...
*..|**.|.*.
..*|...|*.*
---+---+---
..*|..*|...
*..|**.|*.*
*..|...|.**
---+---+---
.*.|*..|***
**.|**.|...
.*.|...|...
"""
"""Pairs: rows 1, 4, columns 3, 6. The ends r1c2 and r3c3, in box 1, are of one colour."""

BRANCH = """
.*.|..*|...
..*|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
*.*|**.|*.*
..*|...|...
---+---+---
.*.|*..|*.*
*..|**.|...
..*|...|.*.
"""
"""As SEES_BOTH, but column 2 is a pair too: what saw both there is a branch of the cluster."""

NOTHING_SEES_BOTH = """
.*.|..*|...
*..|**.|*.*
*..|...|*.*
---+---+---
...|..*|.*.
***|**.|*.*
.*.|...|...
---+---+---
...|*..|*.*
*.*|**.|...
..*|...|.*.
"""
"""As SEES_BOTH, but what sees one of the ends does not see the other."""

ODD_RING = """
*..|.*.|...
.*.|...|...
...|...|...
---+---+---
.*.|.*.|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""

ONE_PAIR = """
**.|...|...
...|...|...
..*|...|...
---+---+---
...|...|...
...|...|...
...|...|...
---+---+---
...|...|...
...|...|...
...|...|...
"""


def variants(picture: str) -> list[str]:
    return [step.variant for step in technique_with("simple-colouring").find(marked(picture))]


def test_a_place_that_sees_both_colours_goes() -> None:
    check(
        "simple-colouring",
        marked(SEES_BOTH),
        "row 1, row 4, row 9: 1 at r1c2 r1c6 r4c6 r4c8 r9c3 r9c8 -> r2c3<>1 r7c2<>1",
    )
    check_evidence(
        "simple-colouring",
        marked(SEES_BOTH),
        *(f"some 1 in row {row}" for row in (1, 4, 9)),
        "no two 1 in column 6",
        "no two 1 in column 8",
        "no two 1 in box 1",
        "no two 1 in column 3",
        "no two 1 in column 2",
        "no two 1 in box 7",
    )
    check_links("simple-colouring", marked(SEES_BOTH), "r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3")
    assert variants(SEES_BOTH) == ["sees-both-colours"]


def test_a_colour_two_of_whose_places_see_each_other_goes() -> None:
    check(
        "simple-colouring",
        marked(MEETS_OWN),
        "column 6, column 3, row 1, row 4: 1 at r1c2 r1c6 r3c3 r4c3 r4c6"
        " -> r1c2<>1 r3c3<>1 r4c6<>1",
    )
    check_evidence(
        "simple-colouring",
        marked(MEETS_OWN),
        "some 1 in row 1",
        "some 1 in row 4",
        "some 1 in column 3",
        "some 1 in column 6",
        "no two 1 in row 1",
        "no two 1 in row 4",
        "no two 1 in column 3",
        "no two 1 in column 6",
        "no two 1 in box 1",
    )
    check_links("simple-colouring", marked(MEETS_OWN), "r1c2 = r1c6 = r4c6 = r4c3 = r3c3")
    assert variants(MEETS_OWN) == ["meets-its-own-colour"]


def test_links_tell_the_colour_of_every_place_of_the_cluster() -> None:
    layout = marked(BRANCH).layout
    seeing, meeting = technique_with("simple-colouring").find(marked(BRANCH))
    assert [note_line(layout, line) for line in seeing.chains] == [
        "r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3",
        "r1c2 = r7c2",
    ]
    assert [note_line(layout, line) for line in meeting.chains] == [
        "r7c2 = r1c2 = r1c6 = r4c6 = r4c8 = r9c8 = r9c3"
    ]
    assert seeing.cells == meeting.cells, "the cluster is the same"
    assert seeing.key != meeting.key
    assert variants(BRANCH) == ["sees-both-colours", "meets-its-own-colour"]


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(ONE_PAIR, id="one pair is pointing or claiming"),
        pytest.param(ODD_RING, id="an odd ring cannot be coloured"),
        pytest.param(NOTHING_SEES_BOTH, id="nothing sees both colours"),
    ],
)
def test_silent_where_no_place_sees_both_colours_and_no_colour_sees_itself(picture: str) -> None:
    check("simple-colouring", marked(picture))


def test_an_empty_grid_has_no_cluster() -> None:
    for layout in (SMALL, MIDDLE):
        check("simple-colouring", Grid.empty(layout))


TWO_MEET = """
...|...|...
...|...|...
...|...|...
---+---+---
...|...|..*
...|...|...
...|...|...
---+---+---
..*|*..|.*.
...|...|...
...|**.|..*
"""
"""Pairs: column 4; box 9 and column 9. r9c4 and r9c9 are in row 9, r7c3 sees r7c4 and r7c8."""

MEETS_BOTH = """
...|...|...
...|.**|*..
...|...|...
---+---+---
..*|...|...
...|...|...
**.|*..|...
---+---+---
*..|...|*..
...|...|...
...|*.*|...
"""
"""One cluster: r2c5, r9c6, r6c4 against r2c6, r9c4. Of the other r2c7 and r6c1 are two colours."""


def test_two_clusters_of_which_two_colours_meet_leave_one_of_the_others() -> None:
    check(
        "two-cluster-colouring",
        marked(TWO_MEET),
        "column 4, box 9: 1 at r4c9 r7c4 r7c8 r9c4 r9c9 -> r7c3<>1",
    )
    check_evidence(
        "two-cluster-colouring",
        marked(TWO_MEET),
        "some 1 in column 4",
        "some 1 in box 9",
        "no two 1 in row 9",
        "no two 1 in row 7",
    )
    check_links(
        "two-cluster-colouring",
        marked(TWO_MEET),
        "r7c4 = r9c4",
        "r9c9 = r7c8",
        "r9c9 = r4c9",
        "r9c4 - r9c9",
    )
    (step,) = technique_with("two-cluster-colouring").find(marked(TWO_MEET))
    assert step.variant == "sees-both-colours"


def test_a_colour_that_meets_both_colours_of_another_cluster_goes() -> None:
    check(
        "two-cluster-colouring",
        marked(MEETS_BOTH),
        "column 6, column 4, box 2, column 7, column 1: "
        "1 at r2c5 r2c6 r2c7 r6c1 r6c4 r7c1 r7c7 r9c4 r9c6 -> r2c5<>1 r6c4<>1 r9c6<>1",
    )
    check_evidence(
        "two-cluster-colouring",
        marked(MEETS_BOTH),
        *(f"some 1 in {house}" for house in ("column 1", "column 4", "column 6", "column 7")),
        "some 1 in box 2",
        "no two 1 in box 8",
        *(f"no two 1 in row {row}" for row in (2, 6, 7)),
    )
    (step,) = technique_with("two-cluster-colouring").find(marked(MEETS_BOTH))
    assert step.variant == "meets-both-colours"
    one, other = find_clusters(step)
    name = marked(MEETS_BOTH).layout.format_cell
    assert [name(cell) for cell in one.met] == ["r2c5", "r6c4", "r9c6"]
    assert [name(cell) for cell in one.others] == ["r2c6", "r9c4"]
    assert [name(cell) for cell in (*other.met, *other.others)] == ["r2c7", "r7c1", "r6c1", "r7c7"]


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(TWO_MEET.replace("...|...|..*", "...|...|...", 1), id="two single pairs"),
        pytest.param(TWO_MEET.replace("..*|*..|.*.", "...|*..|.*."), id="nothing sees both"),
        pytest.param(TWO_MEET.replace("...|**.|..*", "...|...|..*"), id="one cluster alone"),
        pytest.param(MEETS_BOTH.replace("*..|...|*..", "*..|...|..*"), id="the other falls apart"),
        pytest.param(ONE_PAIR, id="a pair"),
        pytest.param(SEES_BOTH, id="what one cluster strikes alone"),
    ],
)
def test_silent_where_no_colours_of_two_clusters_meet(picture: str) -> None:
    check("two-cluster-colouring", marked(picture))


def test_an_empty_grid_has_no_two_clusters() -> None:
    for layout in (SMALL, MIDDLE):
        check("two-cluster-colouring", Grid.empty(layout))
