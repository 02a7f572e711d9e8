"""The report on where a puzzle turns: every part has words, and its picture holds the same."""

from __future__ import annotations

import pytest

from bot import wording
from bot.club.facts import GridPicture, HintPicture
from bot.club.turning import UnsettledError, study_turning
from bot.wording.pictures import ALT_LIMIT
from bot.wording.turning import ROOM_POINTS, summarise_turning, tell_turning

# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
# Made by Ninebark: its one naked triple can be seen as a hidden triple too.
TRIPLE = ".1...7.5.4.79.........8...6.7.....8.5.....3..3....9514.36.2.9.8..43.........96..."


def test_every_part_has_words_and_every_picture_a_text_and_a_name_of_its_own() -> None:
    parts = tell_turning(study_turning(CROOK))
    names = [part.name for part in parts]
    assert len(names) == len(set(names)) == 15
    for part in parts:
        assert part.text.strip()
        assert part.picture is not None
        assert 0 < len(wording.describe(part.picture)) <= ALT_LIMIT


def test_each_turning_point_is_shown_as_members_see_it_and_as_it_is_solved() -> None:
    parts = tell_turning(study_turning(CROOK))
    for board, solved in zip(parts[0:14:2], parts[1:14:2], strict=True):
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
    assert any("3 turning points more" in part.text for part in parts)


def test_a_twin_is_told_from_a_way_round() -> None:
    claiming, triple = tell_turning(study_turning(TRIPLE))[-2:]
    assert "There is no way round it" in claiming.text
    assert "The same can be seen as hidden triple: a twin." in triple.text


def test_of_several_steps_the_one_that_leads_on_is_shown() -> None:
    report = study_turning(TRIPLE)
    board, solved, *_ = tell_turning(report)
    assert "claiming (level 2), in 2 places, which the puzzle needs (one of them leads on)" in (
        board.text
    )
    # Of the two, what strikes 5 from box 8 is what the next turning point still has.
    assert "lose 5" in solved.text
    assert "lose 5" in tell_turning(report)[3].text


def test_the_summary_names_level_turns_and_needs() -> None:
    told = summarise_turning(study_turning(CROOK))
    assert told.startswith("Level 3; the hardest step is naked pair; effort 44.3, about 19 ")
    assert "It turns 7 times" in told
    assert told.endswith("It cannot be solved without naked pair.")
    easy = summarise_turning(study_turning(EASY))
    assert "It does not turn" in easy


def test_a_puzzle_that_the_ladder_does_not_settle_has_no_report() -> None:
    with pytest.raises(UnsettledError):
        study_turning(EASY.replace("5", ".", 3).replace("3", "."))
