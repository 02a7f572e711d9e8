"""Finds on positions built around them: an empty grid, a few cells with few candidates."""

from __future__ import annotations

import pytest

from engine.board.grid import Grid
from engine.board.layout import CLASSIC
from engine.claims import Flaw, Found, check_claim
from tests.engine.claims.claims import cells_of, claim, pairs_mask, told


def build(cells: str, *confined: str) -> Grid:
    """Return an empty grid but for cells with few candidates (`r1c1=12`) and digits with few places
    (`5 in row 4: r4c1 r4c9`)."""
    grid = Grid.empty()
    for part in cells.split():
        name = part.partition("=")[0]
        bits = CLASSIC.cell_bits[CLASSIC.parse_cell(name)]
        grid = grid.eliminate(bits & ~pairs_mask(part))
    for text in confined:
        where, places = text.split(": ")
        digit, house = where.split(" in ")
        kept = sum(1 << cell for cell in cells_of(places))
        rest = CLASSIC.parse_house(house).mask & ~kept
        grid = grid.eliminate(CLASSIC.spread(rest, int(digit)))
    return grid


LINKED = build("r1c1=12 r9c9=12 r9c8=12", "1 in row 5: r5c1 r5c9")
XYZ = build("r1c1=123 r1c5=13 r2c2=23 r5c5=13")
SETS = build("r1c1=12 r4c1=13 r4c3=13 r5c2=23")
REMOTE = build("r1c1=12 r1c5=12 r5c5=12 r5c9=12 r6c9=12 r5c1=13 r1c9=12")
ROOF_OF_TWO = build("r1c1=12 r2c1=12 r1c4=123 r2c4=124 r5c4=34 r5c5=34 r6c4=35")
ROOF_ALIKE = build("r1c1=12 r2c1=12 r1c4=123 r2c4=123")
ROOF_LINKED = build("r1c1=12 r2c1=12 r1c4=1235 r2c4=1246", "1 in column 4: r1c4 r2c4")
ACROSS = build(
    "r1c1=12 r2c4=1267 r2c1=125 r1c4=126", "1 in row 2: r2c1 r2c4", "1 in column 4: r1c4 r2c4"
)
THREE_OWN = build("r2c4=134").place(0, 1).place(3, 2).place(9, 2)
TWO_OWN = build("r2c1=23 r2c4=13").place(0, 1).place(3, 2)
OWN_ROOF = build("r2c1=23 r2c4=14 r2c8=34 r2c9=345 r3c9=34").place(0, 1).place(3, 2)
OWN_ACROSS = build("r1c4=23 r2c1=23").place(0, 1).place(12, 1)
FINNED = build("", "5 in row 2: r2c2 r2c7", "5 in row 6: r6c2 r6c7 r6c8")
SASHIMI = build("", "5 in row 2: r2c2 r2c7", "5 in row 6: r6c2 r6c8 r6c9")
CROSSED = build("", "7 in row 1: r1c2 r1c8", "7 in column 3: r3c3 r8c3", "7 in row 8: r8c3 r8c8")


@pytest.mark.parametrize(
    ("grid", "found", "removes"),
    [
        (LINKED, "w-wing r1c1 r9c9 r5c1 r5c9 12", "r1c9=2 r9c1=2"),
        (THREE_OWN, "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 12", "r2c4=1"),
        (
            TWO_OWN,
            "avoidable-rectangle/type-2 r1c1 r1c4 r2c1 r2c4 123",
            " ".join(f"r2c{column}=3" for column in (2, 3, 5, 6, 7, 8, 9)),
        ),
        (
            OWN_ROOF,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 r2c8 1234",
            " ".join(f"r2c{column}=34" for column in (2, 3, 5, 6, 7, 9)),
        ),
        (
            OWN_ACROSS,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 123",
            "r1c2=23 r1c3=23 r2c5=23 r2c6=23",
        ),
        (XYZ, "xyz-wing r1c1 r1c5 r2c2 123", "r1c2=3 r1c3=3"),
        (SETS, "als-xz r1c1 r4c1 r5c2 123", "r1c2=2 r2c2=2 r3c2=2 r4c1=2 r5c1=2 r6c1=2"),
        (
            ROOF_OF_TWO,
            "unique-rectangle r1c1 r1c4 r2c1 r2c4 r5c4 1234",
            "r3c4=34 r4c4=34 r6c4=3 r7c4=34 r8c4=34 r9c4=34",
        ),
        (
            ROOF_ALIKE,
            "unique-rectangle/type-2 r1c1 r1c4 r2c1 r2c4 123",
            "r1c5=3 r1c6=3 r2c5=3 r2c6=3 r3c4=3 r3c5=3 r3c6=3 "
            "r4c4=3 r5c4=3 r6c4=3 r7c4=3 r8c4=3 r9c4=3",
        ),
        (ROOF_LINKED, "unique-rectangle r1c1 r1c4 r2c1 r2c4 12", "r1c4=2 r2c4=2"),
        (ACROSS, "hidden-rectangle r1c1 r1c4 r2c1 r2c4 12", "r2c4=2"),
        (FINNED, "finned-x-wing r2c2 r2c7 r6c2 r6c7 r6c8 5", "r4c7=5 r5c7=5"),
        (SASHIMI, "finned-x-wing r2c2 r2c7 r6c2 r6c8 r6c9 5", "r4c7=5 r5c7=5"),
        (CROSSED, "x-chain r1c2=7 r1c8=7 r8c8=7 r8c3=7", "r2c3=7 r3c3=7 r7c2=7 r9c2=7"),
    ],
)
def test_what_follows_from_a_find_is_told(grid: Grid, found: str, removes: str) -> None:
    verdict = check_claim(grid, claim(found))
    assert isinstance(verdict, Found)
    left = pairs_mask(removes) & grid.candidates
    assert CLASSIC.format_pairs(verdict.removes) == CLASSIC.format_pairs(left)


def test_a_fish_with_a_line_of_one_place_but_for_its_fins_is_sashimi() -> None:
    verdict = check_claim(SASHIMI, claim("finned-x-wing r2c2 r2c7 r6c2 r6c8 r6c9 5"))
    assert isinstance(verdict, Found)
    assert {way.variant for way in verdict.ways} == {"sashimi"}


def test_a_remote_pair_strikes_between_any_two_that_differ() -> None:
    verdict = check_claim(REMOTE, claim("remote-pair r1c1 r1c5 r5c5 r5c9 12"))
    assert isinstance(verdict, Found)
    assert not pairs_mask("r5c1=1 r1c3=12 r5c7=12") & ~verdict.removes
    assert not verdict.removes & pairs_mask("r1c1=12 r5c9=12 r9c9=12")


@pytest.mark.parametrize(
    ("grid", "wrong", "flaw"),
    [
        (
            THREE_OWN.with_own(0),
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 12",
            "GIVEN r1c1 r1c4 r2c1",
        ),
        (
            THREE_OWN,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c5 12",
            "NO_RECTANGLE r1c1 r1c4 r2c1 r2c5",
        ),
        (
            THREE_OWN,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 13",
            "WRONG_CANDIDATES r1c1 r1c4 r2c4 r2c1 / 134",
        ),
        (
            THREE_OWN,
            "avoidable-rectangle/type-2 r1c1 r1c4 r2c1 r2c4 12",
            "OTHER_KIND r1c1 r1c4 r2c4 r2c1 / 12",
        ),
        (
            OWN_ROOF,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 r2c9 12345",
            "WRONG_CANDIDATES r2c9 / 345",
        ),
        (
            OWN_ROOF,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 r3c9 1234",
            "NO_HOUSE r2c4 r2c1 r3c9",
        ),
        (
            OWN_ROOF,
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 124",
            "WRONG_CANDIDATES r1c1 r1c4 r2c4 r2c1 / 1234",
        ),
        (
            OWN_ROOF.place(17, 5),
            "avoidable-rectangle r1c1 r1c4 r2c1 r2c4 r2c9 1234",
            "CELL_COUNT",
        ),
        (LINKED, "w-wing r1c1 r9c9 r5c2 r5c9 12", "NOT_LINKED r5c2 r5c9 / 1"),
        (LINKED, "w-wing r1c1 r9c8 r5c1 r5c9 12", "NOT_SEEN r5c9 r9c8 / 1"),
        (LINKED, "w-wing r1c1 r8c8 r5c1 r5c9 12", "WRONG_CANDIDATES r8c8 r5c1 r5c9 / 123456789"),
        (XYZ, "xyz-wing r1c1 r5c5 r2c2 123", "NOT_SEEN r1c1 r5c5 / 1"),
        (XYZ, "xy-wing r1c1 r1c5 r2c2 123", "WRONG_CANDIDATES r1c1 r1c5 r2c2 / 123"),
        (SETS, "als-xz r1c1 r4c3 r5c2 123", "NOT_SEEN r1c1 r4c3 r5c2 / 12"),
        (SETS, "als-xz r1c1 r4c1 r5c2 12", "HOLDS_MORE r1c1 r4c1 r5c2 / 3"),
        (SETS, "als-xz r1c1 r4c1 r8c8 123456789", "WRONG_CANDIDATES r4c1 r8c8 / 123456789"),
        (REMOTE, "remote-pair r1c1 r1c5 r5c5 r6c9 12", "NOT_SEEN r6c9 / 12"),
        (REMOTE, "remote-pair r1c1 r1c5 r5c5 r5c1 12", "WRONG_CANDIDATES r5c1 / 13"),
        (REMOTE, "remote-pair r1c1 r1c5 r1c9 r5c9 12", "ODD_RING r1c5 r1c9 / 12"),
        (
            ROOF_OF_TWO,
            "unique-rectangle r1c1 r1c4 r2c1 r2c4 r5c5 1234",
            "NO_HOUSE r1c4 r2c4 r5c5",
        ),
        (
            ROOF_OF_TWO,
            "unique-rectangle r1c1 r1c4 r2c1 r2c4 r6c4 12345",
            "WRONG_CANDIDATES r6c4 / 345",
        ),
        (
            ROOF_OF_TWO,
            "unique-rectangle r1c1 r1c4 r2c1 r2c4 12",
            "NOT_LINKED r1c4 r2c4 / 12",
        ),
        (
            ROOF_LINKED,
            "hidden-rectangle r1c1 r1c4 r2c1 r2c4 12",
            "PLACES_LEFT_OUT r2c2 r2c3 r2c5 r2c6 r2c7 r2c8 r2c9 / 1 / row 2",
        ),
        (FINNED, "finned-x-wing r2c2 r2c7 r6c2 r6c7 5", "PLACES_LEFT_OUT r6c8 / 5 / row 6"),
        (FINNED, "x-wing r2c2 r2c7 r6c2 r6c7 r6c8 5", "LINE_COUNT  /  / column 2"),
        (FINNED, "finned-jellyfish r2c2 r2c7 r6c2 r6c7 r6c8 5", "LINE_COUNT  /  / row 2"),
        (CROSSED, "x-chain r1c2=7 r1c8=7 r8c3=7 r8c8=7", "NOT_SEEN r1c8 r8c3 / 77"),
        (CROSSED, "x-chain r1c2=7 r1c8=7 r8c8=7 r7c8=7", "NOT_LINKED r8c8 r7c8 / 77"),
        (CROSSED, "x-chain r1c2=7 r1c8=7 r8c8=7 r8c3+r8c4=7", "LACKS r8c4 / 7"),
    ],
)
def test_the_condition_that_fails_is_told(grid: Grid, wrong: str, flaw: str) -> None:
    verdict = check_claim(grid, claim(wrong))
    assert isinstance(verdict, Flaw)
    assert told(verdict) == flaw
