"""The report on where a puzzle turns: every part has words, and its picture holds the same."""

from __future__ import annotations

import pytest

from bot import wording
from bot.club.facts import GridPicture, HintPicture
from bot.club.turning import UnsettledError, study_turning
from bot.wording.pictures import ALT_LIMIT
from bot.wording.turning import ROOM_POINTS, summarise_turning, tell_needs, tell_turning

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Made by Ninebark: its one naked triple can be seen as a hidden triple too.
TRIPLE = ".1...7.5.4.79.........8...6.7.....8.5.....3..3....9514.36.2.9.8..43.........96..."


def test_every_part_has_words_and_every_picture_a_text_and_a_name_of_its_own() -> None:
    parts = tell_turning(study_turning(CROOK))
    names = [part.name for part in parts]
    assert len(names) == len(set(names)) == 11
    for part in parts:
        assert part.text.strip()
        assert part.picture is not None
        assert 0 < len(wording.describe(part.picture)) <= ALT_LIMIT


def test_each_turning_point_is_shown_as_members_see_it_and_as_it_is_solved() -> None:
    parts = tell_turning(study_turning(CROOK))
    for board, solved in zip(parts[0:10:2], parts[1:10:2], strict=True):
        assert isinstance(board.picture, GridPicture)
        assert isinstance(solved.picture, HintPicture)
        assert board.picture.with_candidates
        assert (solved.picture.rung, solved.picture.position) == ("why", board.picture.position)
        # What only one picture may tell, the other's words keep.
        assert "lose" not in board.text


def test_a_turning_point_is_shown_by_the_theme_where_that_works_and_else_as_before() -> None:
    report = study_turning(CROOK)
    plain = [part.name for part in tell_turning(report)]
    themed = [part.name for part in tell_turning(report, theme="hidden-triple")]
    assert plain != themed
    for number, point in enumerate(report.points, start=1):
        works = any(offer.technique == "hidden-triple" for offer in point.offers)
        name = f"turn-{number}-hidden-triple"
        assert name in themed if works else plain[2 * number - 1] == themed[2 * number - 1]


def test_a_room_hears_of_the_first_turning_points_and_where_to_read_the_rest() -> None:
    report = study_turning(CROOK)
    parts = tell_turning(report, most=ROOM_POINTS)
    boards = [part for part in parts if part.name.endswith("-board")]
    assert len(boards) == ROOM_POINTS
    assert any("1 turning point more" in part.text for part in parts)


def test_a_twin_is_told_from_a_way_round() -> None:
    claiming, triple = tell_turning(study_turning(TRIPLE))[-2:]
    assert "There is no way round it" in claiming.text
    assert "Its twin is hidden triple: the same candidates go" in triple.text


def test_only_what_leads_on_is_told_and_shown_up_to_the_placement() -> None:
    board, solved, *missing = tell_turning(study_turning(TRIPLE))
    assert len(missing) == 2
    assert board.text.startswith("Turning point 1 of 1, level 3.")
    assert board.text.splitlines()[1:] == [
        "- claiming (level 2), once (the puzzle needs it), and then naked triple (level 3)",
        "Four others are there, but open nothing yet: pointing 1, claiming 1, hidden triple 1, "
        "naked quad 1.",
    ]
    # Of the two claimings, what strikes 5 from box 8 is what the naked triple rests on.
    assert "lose 5. Then naked triple: 1, 6, 7 in r5c5, r6c5, r8c5 (column 5)" in solved.text
    assert solved.text.endswith("So r1c4 = 6.")


def test_a_theme_that_comes_second_on_a_way_on_is_shown_with_what_comes_before_it() -> None:
    themed = tell_turning(study_turning(TRIPLE), theme="naked-triple")
    assert [part.name for part in themed][1] == "turn-1-claiming"


def test_what_has_a_way_round_is_never_said_to_be_what_a_puzzle_cannot_do_without() -> None:
    for needs, told in (
        ({"x-wing": ()}, "It cannot be solved without X-wing."),
        ({"x-wing": (), "pointing": ()}, "It cannot be solved without X-wing and pointing."),
        ({"x-wing": (("xy-wing", False),)}, "It needs X-wing or, in its place, XY-wing."),
        (
            {"naked-pair": (("locked-pair", True), ("x-wing", False)), "pointing": ()},
            "It cannot be solved without pointing. It needs naked pair or its twin, locked pair "
            "(the same candidates go, only seen another way); in their place, X-wing would do.",
        ),
        (
            {"naked-pair": (("locked-pair", True), ("hidden-triple", True))},
            "It needs naked pair or one of its twins, locked pair or hidden triple "
            "(the same candidates go, only seen another way).",
        ),
        ({}, ""),
    ):
        assert tell_needs(needs) == told


def test_the_summary_names_level_turns_and_needs() -> None:
    told = summarise_turning(study_turning(CROOK))
    assert told.startswith("Level 3; the hardest step is naked pair; effort 44.3, about 19 ")
    assert "It turns 5 times" in told
    assert told.endswith("It needs naked pair or its twin, hidden triple (the same candidates go, "
                         "only seen another way).")  # fmt: skip
    easy = summarise_turning(study_turning(EASY))
    assert "It does not turn" in easy


def test_a_puzzle_that_the_ladder_does_not_settle_has_no_report() -> None:
    with pytest.raises(UnsettledError):
        study_turning(EASY.replace("5", ".", 3).replace("3", "."))
