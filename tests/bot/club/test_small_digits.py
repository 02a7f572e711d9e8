"""Small digits are the member's notes; what is ruled out counts, and may be allowed again."""

from __future__ import annotations

from bot import wording
from bot.club.replies import AnswerRight, BoardShown, InputRefused, RedoEmpty
from tests.bot.club.stories import (
    EASY_SOLUTION,
    NOON,
    Story,
    easy_puzzle,
    open_story,
    settings_with,
)


async def started(fill: int = 0) -> Story:
    penalties = settings_with().penalties
    settings = settings_with(penalties=type(penalties)(fill=fill))
    story = await open_story(easy_puzzle(), settings=settings)
    await story.say("start")
    return story


async def test_small_digits_are_written_in_place_of_those_there_and_can_be_undone() -> None:
    story = await started()
    shown = await story.hears(BoardShown, "small r1c3 4 1")
    assert (shown.change, shown.marks) == ("small", (("r1c3", 4), ("r1c3", 1)))
    assert (await story.entry()).board.small == (("r1c3", 1), ("r1c3", 4))
    await story.say("small r1c3 2")
    assert (await story.entry()).board.small == (("r1c3", 2),)
    await story.say("small r1c3 0")
    assert (await story.entry()).board.small == ()
    await story.say("undo")
    assert (await story.entry()).board.small == (("r1c3", 2),)


async def test_notes_are_nothing_that_a_hint_or_a_picture_builds_on() -> None:
    story = await started()
    before = await story.hears(BoardShown, "board")
    after = await story.hears(BoardShown, "small r1c3 9")
    assert after.picture == before.picture


async def test_small_digits_in_a_filled_cell_or_in_two_cells_are_refused() -> None:
    story = await started()
    refused = await story.hears(InputRefused, "small r1c1 4")
    assert refused.problem == "filled"
    assert "so it takes no small digits" in wording.phrase(refused).text
    assert (await story.hears(InputRefused, "small r1c3 4 r1c4 2")).problem == "mark"


async def test_what_was_ruled_out_is_allowed_again() -> None:
    story = await started()
    await story.say("rule-out r1c3 1 4")
    shown = await story.hears(BoardShown, "allow r1c3 1 9")
    assert shown.marks == (("r1c3", 1),)
    assert (await story.entry()).board.ruled_out == (("r1c3", 4),)
    left = await story.entry()
    shown = await story.hears(BoardShown, "allow r9c1 3 r1c1 4")
    assert wording.phrase(shown).text.startswith("There was nothing new in that")
    assert await story.entry() == left, "what was never ruled out changes nothing"


async def test_redo_brings_back_what_was_undone_until_something_else_is_done() -> None:
    story = await started()
    await story.say("place r1c3 1")
    await story.say("place r1c3 4")
    await story.say("undo")
    await story.say("undo")
    for digit in "14":
        redone = await story.hears(BoardShown, "redo")
        assert (redone.change, redone.picture.position.grid[2]) == ("redone", digit)
    await story.hears(RedoEmpty, "redo")
    await story.say("undo")
    await story.say("place r1c4 2")
    await story.hears(RedoEmpty, "redo")


async def test_filling_in_costs_what_the_club_says_and_only_once() -> None:
    story = await started(fill=45)
    assert not (await story.hears(BoardShown, "board")).picture.with_candidates
    filled = await story.hears(BoardShown, "fill")
    assert (filled.change, filled.seconds, filled.total) == ("filled", 45, 45)
    assert filled.picture.with_candidates
    again = await story.hears(BoardShown, "fill")
    assert (again.seconds, again.total) == (0, 45)


async def test_filling_in_is_free_where_the_club_says_nothing() -> None:
    story = await started()
    assert (await story.hears(BoardShown, "fill")).total == 0


async def test_filling_in_shows_all_candidates_once_the_puzzle_is_solved_too() -> None:
    story = await started(fill=45)
    solved = await story.later(minutes=5).hears(AnswerRight, f"hand-in {EASY_SOLUTION}")
    filled = await story.later(minutes=1).hears(BoardShown, "fill")
    assert filled.picture.with_candidates
    assert (filled.seconds, filled.total) == (0, solved.added)
    assert (await story.hears(BoardShown, "board")).picture.with_candidates


async def test_a_tap_on_the_board_of_another_day_changes_nothing() -> None:
    story = await started()
    for line in ("place r1c3 4", "small r1c3 4", "rule-out r1c3 4", "fill", "redo"):
        reply = await story.say(f"{line} 2026-11-22", at=NOON)
        assert not isinstance(reply, BoardShown), line
    assert (await story.entry()).history == ()
