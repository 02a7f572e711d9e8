"""A member's board: writing, rubbing out, striking, undoing, and what is plain to see on it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.club import boards
from bot.club.refusal import RefusedError
from bot.club.replies import InputRefused
from bot.club.state import Board, MemberSolve
from engine.board.layout import CLASSIC
from tests.bot.club.stories import EASY


def new_entry() -> MemberSolve:
    return MemberSolve(1, 1, 1, Board(EASY))


def refused(change: object) -> InputRefused:
    assert callable(change)
    with pytest.raises(RefusedError) as caught:
        change()
    reply = caught.value.reply
    assert isinstance(reply, InputRefused)
    return reply


def test_several_digits_are_written_at_once_and_a_zero_rubs_out() -> None:
    entry = boards.write_digits(new_entry(), EASY, (("r1c3", 4), ("r5c5", 5)), "place")
    assert boards.board_lines(entry.board.grid)[0] == "534.7...."
    assert boards.board_lines(entry.board.grid)[4] == "4..853..1"
    entry = boards.write_digits(entry, EASY, (("r1c3", 0),), "place")
    assert boards.board_lines(entry.board.grid)[0] == "53..7...."


def test_a_given_cannot_be_changed_and_nothing_else_is_then() -> None:
    entry = new_entry()
    reply = refused(
        lambda: boards.write_digits(entry, EASY, (("r1c3", 4), ("r1c1", 9), ("r1c2", 0)), "place")
    )
    assert (reply.problem, reply.cells, reply.digit) == ("given", ("r1c1", "r1c2"), 5)
    assert entry.board.grid == EASY


def test_writing_a_given_as_it_is_does_no_harm() -> None:
    entry = boards.write_digits(new_entry(), EASY, (("r1c1", 5),), "place")
    assert entry == new_entry()


def test_a_row_leaves_givens_where_it_shows_them_open() -> None:
    marks = boards.row_marks(EASY, 1, (0, 0, 4, 6, 0, 8, 0, 0, 0))
    entry = boards.write_digits(new_entry(), EASY, marks, "row")
    assert boards.board_lines(entry.board.grid)[0] == "534678..."
    again = boards.write_digits(entry, EASY, boards.row_marks(EASY, 1, (0,) * 9), "row")
    assert boards.board_lines(again.board.grid)[0] == "53..7...."


def test_a_row_with_a_given_otherwise_is_refused() -> None:
    marks = boards.row_marks(EASY, 1, (5, 3, 4, 6, 8, 0, 0, 0, 0))
    reply = refused(lambda: boards.write_digits(new_entry(), EASY, marks, "row"))
    assert (reply.command, reply.problem, reply.cells) == ("row", "given", ("r1c5",))


def test_strikes_are_kept_in_order_and_once() -> None:
    entry = boards.strike(new_entry(), (("r5c5", 9), ("r1c3", 1)))
    entry = boards.strike(entry, (("r1c3", 1), ("r1c3", 2)))
    assert entry.board.ruled_out == (("r1c3", 1), ("r1c3", 2), ("r5c5", 9))


def test_striking_in_a_filled_cell_is_refused() -> None:
    reply = refused(lambda: boards.strike(new_entry(), (("r1c1", 1), ("r1c1", 2))))
    assert (reply.problem, reply.cells) == ("filled", ("r1c1",))


def test_undo_goes_back_step_by_step_to_the_start_and_no_further() -> None:
    first = boards.write_digits(new_entry(), EASY, (("r1c3", 4),), "place")
    second = boards.strike(first, (("r5c5", 9),))
    back = boards.undo(second)
    assert back is not None
    assert back.board == first.board
    start = boards.undo(back)
    assert start is not None
    assert start.board == new_entry().board
    assert boards.undo(start) is None


def test_history_is_capped_and_forgets_the_oldest() -> None:
    entry = new_entry()
    for count in range(boards.HISTORY_LIMIT + 10):
        entry = boards.write_digits(entry, EASY, (("r1c3", 1 + count % 2),), "place")
    assert len(entry.history) == boards.HISTORY_LIMIT
    assert all(board.grid != EASY for board in entry.history)


def test_a_change_that_changes_nothing_takes_no_place_in_history() -> None:
    entry = boards.write_digits(new_entry(), EASY, (("r1c3", 4),), "place")
    assert boards.write_digits(entry, EASY, (("r1c3", 4),), "place") == entry


CELLS = st.integers(0, 80).filter(lambda cell: EASY[cell] == ".").map(CLASSIC.format_cell)
WRITING = st.lists(st.tuples(CELLS, st.integers(0, 9)), min_size=1, max_size=6)


@given(st.lists(WRITING, max_size=12))
def test_undoing_everything_brings_back_the_published_board(
    changes: list[list[boards.Mark]],
) -> None:
    entry = new_entry()
    for marks in changes:
        entry = boards.write_digits(entry, EASY, tuple(marks), "place")
        assert boards.given_slips(entry.board.grid, EASY) == ()
    while (before := boards.undo(entry)) is not None:
        entry = before
    assert entry.board.grid == EASY


def test_clashes_are_named_by_digit_and_house() -> None:
    entry = boards.write_digits(new_entry(), EASY, (("r1c3", 5),), "place")
    assert boards.find_clashes(entry.board.grid) == ((5, "row 1"), (5, "box 1"))
    assert boards.find_clashes(EASY) == ()


def test_slips_name_the_cell_theirs_and_ours() -> None:
    mistyped = "58" + EASY[2:4] + "." + EASY[5:]
    assert boards.given_slips(mistyped, EASY) == (("r1c2", 8, 3), ("r1c5", 0, 7))


def test_open_cells_are_counted_by_either_mark() -> None:
    assert boards.count_open(EASY) == boards.count_open(EASY.replace(".", "0")) == 51
