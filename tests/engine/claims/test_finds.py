"""A member's own finds: what is one, what follows from it, and what is in the way.

The grids are the worked ones of our own and puzzles made here; each verdict was checked by hand
against the candidates that the grid shows.
"""

from __future__ import annotations

import pytest

from engine.board.grid import Grid, parse_grid
from engine.board.layout import CLASSIC, DIAGONAL
from engine.claims import CHECKS, Claim, Condition, Flaw, Found, check_claim
from engine.errors import UnknownTechniqueError
from engine.techniques import LADDER
from tests.engine.claims.claims import cells_of, claim, pairs_mask, told

BOXES = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
WINGED = "8623.9..151382..9.794156283158.....9379518..22467938156254.19.8937.851.44819....."
FISHY = "8.71953.61658..97.39.7.6581.319678.595.38176.786.5.193.73.186595.967.4.86.85.92.7"
PIVOTED = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"
UNIQUE = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."
DEADLY = "1.6782.4984.6592.12..1346.84.19768..5..841.6.768523914614398.2.972465183385217496"


@pytest.mark.parametrize(
    ("text", "found", "removes"),
    [
        (BOXES, "pointing r7c8 r9c8 9", "r3c8=9"),
        (BOXES, "claiming r2c9 r3c9 9", "r3c8=9"),
        (BOXES, "naked-triple r9c6 r7c6 r9c4 615", "r7c5=56 r8c4=15 r8c5=5"),
        (BOXES, "hidden-triple r7c5 r8c4 r8c5 248", "r7c5=56 r8c4=15 r8c5=5"),
        (BOXES, "hidden-pair r9c3 r9c8 29", "r9c3=15 r9c8=5"),
        (BOXES, "skyscraper r4c6 r4c9 r5c6 r6c9 8", "r6c5=8"),
        (BOXES, "turbot-fish r4c6 r4c9 r5c6 r6c9 8", "r6c5=8"),
        (WINGED, "naked-pair r5c7 r5c8 46", "r4c7=46 r4c8=46"),
        (WINGED, "locked-pair r5c7 r5c8 46", "r4c7=46 r4c8=46"),
        (WINGED, "x-wing r2c6 r2c9 r9c6 r9c9 7", "r2c7=7 r9c5=7 r9c7=7 r9c8=7"),
        (WINGED, "empty-rectangle r1c5 r1c7 r1c8 r2c7 r4c5 4", "r4c7=4"),
        (FISHY, "swordfish r2c5 r2c9 r3c3 r3c5 r5c3 r5c9 2", "r2c6=2"),
        (PIVOTED, "xy-wing r9c6 r7c5 r8c6 269", "r8c5=9"),
        (PIVOTED, "simple-colouring r4c7 r4c9 r5c9 2", "r4c7=2 r5c9=2"),
        (PIVOTED, "xy-chain r7c5=9 r7c5=2 r9c6=2 r9c6=6 r8c6=6 r8c6=9", "r8c5=9"),
        (
            PIVOTED,
            "alternating-inference-chain r8c6=9 r8c6=6 r9c6=6 r9c6=2 r7c5=2 r7c5=9",
            "r8c5=9",
        ),
        (UNIQUE, "unique-rectangle r3c4 r3c5 r8c4 r8c5 57", "r8c4=57"),
        (UNIQUE, "unique-rectangle/type-1 r3c4 r3c5 r8c4 r8c5 57", "r8c4=57"),
        (UNIQUE, "hidden-rectangle r7c3 r7c4 r9c3 r9c4 47", "r7c4=7"),
    ],
)
def test_what_follows_from_a_find_is_told(text: str, found: str, removes: str) -> None:
    verdict = check_claim(parse_grid(text), claim(found))
    assert isinstance(verdict, Found)
    assert CLASSIC.format_pairs(verdict.removes) == CLASSIC.format_pairs(pairs_mask(removes))
    assert not verdict.is_idle


def test_a_find_that_places_a_digit_says_so() -> None:
    grid = parse_grid(DEADLY)
    verdict = check_claim(grid, claim("bug-plus-one r5c2 3"))
    assert isinstance(verdict, Found)
    assert verdict.places == ((CLASSIC.parse_cell("r5c2"), 3),)


def test_a_find_from_which_nothing_follows_holds_all_the_same() -> None:
    verdict = check_claim(parse_grid(BOXES), claim("naked-pair r4c1 r5c2 58"))
    assert isinstance(verdict, Found)
    assert verdict.is_idle


def test_a_larger_find_than_the_engine_would_choose_holds() -> None:
    # The naked pair 1, 5 at r9c4 and r9c6 lies inside; the quad takes all open cells of the row.
    verdict = check_claim(parse_grid(BOXES), claim("naked-quad r9c3 r9c4 r9c6 r9c8 1259"))
    assert isinstance(verdict, Found)
    assert verdict.is_idle


def test_what_a_member_left_unsaid_is_told() -> None:
    said = claim("x-wing r2c6 r2c9 r9c6 r9c9 7", removes="r2c7=7 r9c8=7")
    verdict = check_claim(parse_grid(WINGED), said)
    assert isinstance(verdict, Found)
    assert verdict.unsaid == pairs_mask("r9c5=7 r9c7=7")


@pytest.mark.parametrize(
    ("text", "wrong", "flaw"),
    [
        (BOXES, "hidden-single r1c1 1", "LACKS r1c1 / 1"),
        (BOXES, "hidden-single r1c2 7", "PLACES_LEFT_OUT r1c4 / 7 / row 1"),
        (BOXES, "naked-single r1c1 6", "HOLDS_MORE r1c1 / 8"),
        (BOXES, "naked-single r2c2 3", "FILLED r2c2"),
        (BOXES, "last-digit r5c2 5", "PLACES_LEFT_OUT r5c4 r5c5 r5c6 /  / row 5"),
        (BOXES, "last-three r5c4 r5c5 r5c6 578", "PLACES_LEFT_OUT r5c2 /  / row 5"),
        (BOXES, "naked-pair r7c6 r9c4 56", "HOLDS_MORE r9c4 / 1"),
        (BOXES, "naked-pair r7c6 r9c4 156", "DIGIT_COUNT"),
        (BOXES, "naked-pair r7c6 r9c4 r9c6 15", "CELL_COUNT"),
        (BOXES, "naked-pair r2c1 r7c6 56", "NO_HOUSE r2c1 r7c6"),
        (WINGED, "locked-pair r1c5 r2c6 47", "NO_HOUSE r1c5 r2c6"),
        (BOXES, "hidden-pair r8c4 r8c5 28", "PLACES_LEFT_OUT r8c3 r8c8 / 2 / row 8"),
        (BOXES, "pointing r7c8 r9c8 2", "PLACES_LEFT_OUT r8c8 / 2 / box 9"),
        (BOXES, "pointing r7c8 9", "CELL_COUNT"),
        (BOXES, "claiming r7c8 r9c8 9", "PLACES_LEFT_OUT r3c8 / 9 / column 8"),
        (WINGED, "x-wing r2c6 r2c9 r9c6 7", "PLACES_LEFT_OUT r2c7 / 7 / row 2"),
        (WINGED, "swordfish r2c6 r2c9 r9c6 r9c9 7", "LINE_COUNT  /  / row 2"),
        (WINGED, "finned-x-wing r2c6 r2c9 r9c6 r9c9 7", "NO_FIN r2c6 r2c9 r9c6 r9c9"),
        (WINGED, "finned-x-wing r2c6 r2c7 r2c9 r4c7 r4c8 7", "FINS_APART r2c9 r4c8 / 7"),
        (
            BOXES,
            "two-string-kite r4c6 r4c9 r5c6 r6c9 8",
            "OTHER_KIND r4c6 r4c9 r5c6 r6c9 / 8 / column 6",
        ),
        (BOXES, "skyscraper r4c6 r4c9 r4c5 r6c9 8", "NOT_LINKED r4c6 r4c9 / 8"),
        (WINGED, "empty-rectangle r1c5 r1c7 r2c7 r4c5 4", "PLACES_LEFT_OUT r1c8 / 4 / box 3"),
        (WINGED, "empty-rectangle r1c7 r1c8 r2c7 r4c5 r4c6 4", "NOT_LINKED r4c5 r4c6 / 4"),
        (PIVOTED, "xy-wing r7c5 r9c6 r9c7 269", "WRONG_CANDIDATES r7c5 r9c6 r9c7 / 2369"),
        (PIVOTED, "xy-wing r7c8 r8c6 r9c6 269", "NOT_SEEN r7c8 r8c6 / 9"),
        (PIVOTED, "xyz-wing r7c5 r8c6 r9c6 269", "WRONG_CANDIDATES r7c5 r8c6 r9c6 / 269"),
        (PIVOTED, "simple-colouring r4c7 r4c9 r7c8 2", "NOT_LINKED r7c8 / 2"),
        (WINGED, "remote-pair r1c5 r2c6 47", "CELL_COUNT"),
        (UNIQUE, "unique-rectangle r3c4 r3c5 r8c4 r7c5 57", "FILLED r7c5"),
        (UNIQUE, "unique-rectangle r3c4 r3c5 r8c4 r9c4 57", "NO_RECTANGLE r3c4 r3c5 r8c4 r9c4"),
        (UNIQUE, "unique-rectangle r3c4 r3c5 r8c4 r8c5 58", "LACKS r3c4 r3c5 r8c5 r8c4 / 58"),
        (
            UNIQUE,
            "unique-rectangle/type-2 r3c4 r3c5 r8c4 r8c5 57",
            "OTHER_KIND r3c4 r3c5 r8c5 r8c4 / 57",
        ),
        (DEADLY, "bug-plus-one r5c2 9", "HOUSE_COUNT  / 3 / row 5"),
        (DEADLY, "bug-plus-one r5c3 3", "WRONG_CANDIDATES r5c2 / 239"),
        (PIVOTED, "xy-chain r7c5 r9c6 29", "NO_CHAIN"),
        (PIVOTED, "xy-chain r7c5=9 r7c5=2 r9c6=6 r9c6=2", "NOT_SEEN r7c5 r9c6 / 26"),
        (PIVOTED, "xy-chain r7c5=9 r7c5=2 r9c6=2 r9c6=6", "ENDS_APART r7c5 r9c6 / 96"),
        (PIVOTED, "alternating-inference-chain r8c5=3 r8c5=4", "NOT_LINKED r8c5 r8c5 / 34"),
        (PIVOTED, "x-chain r7c5=9 r7c5=2", "DIGIT_COUNT  / 29"),
        (PIVOTED, "x-chain r7c5=9 r7c8=9 r7c8=2", "CELL_COUNT"),
        (PIVOTED, "cell-forcing-chain r8c5=3 r8c8=3 / r8c5=4 r8c2=4", "NOT_ALL_CASES r8c5 / 9"),
        (PIVOTED, "cell-forcing-chain r8c5=3 r8c8=3", "NO_CHAIN"),
        (
            PIVOTED,
            "cell-forcing-chain r8c5=3 r8c8=3 / r8c5=4 r8c2=4 / r8c5=9 r8c6=9",
            "ENDS_APART r8c2 r8c6 r8c8 / 493",
        ),
        (PIVOTED, "traced-contradiction r8c5 9", "NOT_CLAIMED_BY_CELLS"),
    ],
)
def test_the_condition_that_fails_is_told(text: str, wrong: str, flaw: str) -> None:
    verdict = check_claim(parse_grid(text), claim(wrong))
    assert isinstance(verdict, Flaw)
    assert told(verdict) == flaw


def test_more_than_follows_is_told_apart_from_a_wrong_find() -> None:
    said = claim("x-wing r2c6 r2c9 r9c6 r9c9 7", removes="r2c7=7 r4c7=7")
    verdict = check_claim(parse_grid(WINGED), said)
    assert verdict == Flaw(Condition.DOES_NOT_FOLLOW, cells_of("r4c7"), (7,))


def test_numbers_are_told_with_what_was_expected() -> None:
    verdict = check_claim(parse_grid(BOXES), claim("naked-pair r7c6 r9c4 r9c6 15"))
    assert isinstance(verdict, Flaw)
    assert (verdict.expected, verdict.found) == (2, 3)


def test_a_find_on_a_diagonal_counts() -> None:
    grid = Grid.empty(DIAGONAL)
    inside = DIAGONAL.boxes[0].mask & ~DIAGONAL.diagonals[0].mask
    grid = grid.eliminate(DIAGONAL.spread(inside, 5))
    verdict = check_claim(grid, Claim("pointing", cells_of("r1c1 r2c2 r3c3"), (5,)))
    assert isinstance(verdict, Found)
    assert DIAGONAL.diagonals[0].index in verdict.ways[0].houses
    assert len(DIAGONAL.pairs(verdict.removes)) == DIAGONAL.size - 3


def test_every_technique_of_the_ladder_can_be_checked() -> None:
    assert list(CHECKS) == [technique.id for technique in LADDER]


def test_a_technique_that_there_is_none_of_is_refused() -> None:
    with pytest.raises(UnknownTechniqueError):
        check_claim(Grid.empty(), claim("guesswork r1c1 1"))
