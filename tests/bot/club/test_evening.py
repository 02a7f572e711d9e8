"""A lesson on a puzzle that is over: the leader's moves, and the one message that they change."""

from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from bot import wording
from bot.club.asking import FindJudged, NamingTold, QuestionRevealed, RevealTold
from bot.club.changes import Relocate
from bot.club.evening import (
    LessonDesk,
    LessonEnded,
    LessonFrame,
    LessonLater,
    LessonOpened,
    NoLesson,
)
from bot.club.facts import GridPicture, HintPicture
from bot.club.frames import frame_at, make_reel
from bot.club.ports import Store
from bot.club.putting_questions import QuestionPut
from bot.club.replies import DayUnknown, InputRefused, LeadersOnly, decode_reply
from bot.club.settings import ClubSettings
from engine.claims import Judgement
from tests.bot.club.stories import (
    CROOK,
    CROOK_SOLUTION,
    MONDAY,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)
from tests.bot.storage.kinds import KINDS, open_kind

LINE = f"club lesson {MONDAY.isoformat()}"


async def _on_the_second_day(store: Store | None = None) -> Story:
    """A club whose puzzle for Monday is over, and that for Tuesday open."""
    story = await open_story(crook_puzzle(), easy_puzzle(), store=store)
    await story.tick()
    return await _next_day(story)


async def _next_day(story: Story) -> Story:
    await story.later(days=1).tick()
    return story


@pytest.fixture
async def story() -> Story:
    return await _on_the_second_day()


@pytest.fixture(params=KINDS)
async def kept_story(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Story]:
    """The same in each kind of store."""
    async with open_kind(request.param, tmp_path) as store:
        yield await _on_the_second_day(store)


async def _desk(story: Story, line: str, **how: object) -> LessonDesk:
    desk = await story.hears(LessonDesk, line, leads=True, **how)
    await story.tick()
    return desk


def _shown(story: Story) -> LessonFrame:
    return story.post_with(LessonFrame)


def _posts(story: Story) -> int:
    return sum(audience != "mend" for _, audience, _ in story.posts)


def _pressed(desk: LessonDesk, label: str) -> str:
    return next(each.command for each in wording.phrase(desk).buttons if each.label == label)


async def _go_to_a_find(story: Story) -> LessonDesk:
    """Go on until what comes next is where the puzzle turns."""
    desk = await _desk(story, LINE)
    while desk.coming is None or not desk.coming.turns:
        desk = await _desk(story, _pressed(desk, "Next"))
    return desk


def _say_it(desk: LessonDesk) -> str:
    assert desk.coming is not None
    return "see " + " ".join(f"{cell}-{digit}" for cell, digit in desk.coming.steps[0].removes)


async def test_a_lesson_goes_up_once_and_its_moves_change_one_message(kept_story: Story) -> None:
    story = kept_story
    desk = await _desk(story, LINE)
    assert (desk.number, desk.is_new) == (0, True)
    assert story.post_with(LessonOpened).day == MONDAY
    assert isinstance(_shown(story).picture, GridPicture)
    posts = _posts(story)
    for label, number in (("Next", 1), ("Next", 2), ("Back", 1)):
        desk = await _desk(story, _pressed(desk, label))
        assert (desk.number, _shown(story).frame.number) == (number, number)
    assert _posts(story) == posts


async def test_the_desk_shows_what_comes_and_the_thread_does_not(story: Story) -> None:
    desk = await _go_to_a_find(story)
    assert desk.coming is not None
    find = wording.phrase(desk).text
    assert "this is where the puzzle turns" in find
    assert "this is where the puzzle turns" not in wording.phrase(_shown(story)).text
    assert isinstance(desk.picture, HintPicture)


async def test_a_button_pressed_again_moves_nothing_twice(story: Story) -> None:
    desk = await _desk(story, LINE)
    line = _pressed(desk, "Next")
    first = await _desk(story, line)
    again = await _desk(story, line)
    assert first == again
    assert first.number == 1
    assert not await story.store.load_notices()


async def test_a_frame_is_asked_about_before_it_is_shown(kept_story: Story) -> None:
    story = kept_story
    desk = await _go_to_a_find(story)
    before, find = desk.number, desk.coming
    assert find is not None
    desk = await _desk(story, _pressed(desk, "Ask"))
    asked = _shown(story)
    assert (desk.number, desk.is_asking, desk.coming) == (before + 1, True, find)
    assert isinstance(asked.picture, GridPicture)
    assert asked.picture.with_candidates
    said = wording.phrase(asked)
    assert [button.command for button in said.buttons] == ["see question"]
    assert "what can you do here?" in said.text
    for cell, _ in find.steps[0].removes:
        assert cell not in said.text.replace("see r3c6-1 r5c6-1", "")

    right = await story.hears(FindJudged, _say_it(desk))
    assert right.judgement is Judgement.RIGHT
    wrong = await story.hears(FindJudged, "see r1c2-3", by="ben")
    assert wrong.judgement is Judgement.FAILS
    count = await _desk(story, _pressed(desk, "How many so far"))
    assert (count.tried, count.seen) == (2, 1)

    await _desk(story, _pressed(desk, "Show"))
    shown = _shown(story)
    assert isinstance(shown.picture, HintPicture)
    assert (shown.tried, shown.seen) == (2, 1)
    text = wording.phrase(shown).text
    assert "Two of you tried it, and one saw it." in text
    assert "Ada" not in text
    late = await story.hears(FindJudged, _say_it(desk), by="cleo")
    assert late.is_late


async def test_what_was_asked_is_open_until_it_is_shown_whichever_way(story: Story) -> None:
    desk = await _go_to_a_find(story)
    asked = await _desk(story, _pressed(desk, "Ask"))
    await story.hears(FindJudged, _say_it(asked))
    back = await _desk(story, _pressed(asked, "Back"))
    assert not _shown(story).is_asking
    again = await _desk(story, _pressed(back, "Ask"))
    assert (again.question, again.tried, again.replaced) == (asked.question, 1, 0)
    await _desk(story, "club lesson next")
    assert (_shown(story).tried, _shown(story).seen) == (1, 1)
    kept = await story.store.load_question(story.club.id, "ada")
    assert kept is not None
    assert kept.is_over


async def test_who_wishes_to_be_named_is_named_in_the_room_and_not_in_the_thread(
    story: Story,
) -> None:
    desk = await _go_to_a_find(story)
    desk = await _desk(story, _pressed(desk, "Ask"))
    await story.hears(FindJudged, _say_it(desk))
    assert await story.hears(NamingTold, "see named")
    await _desk(story, _pressed(desk, "Show"))
    assert story.post_with(QuestionRevealed).names == ("Ada",)
    assert "Ada" not in wording.phrase(_shown(story)).text
    await story.say("privacy erase sure")
    await story.tick()
    assert story.post_with(QuestionRevealed).names == ()


async def test_a_lesson_begins_anew_in_the_room_that_the_club_has_moved_to(story: Story) -> None:
    await _desk(story, LINE)
    await _desk(story, "club lesson next")
    await story.store.save([Relocate(story.club.id, "elm")])
    story.club = await story.store.reload_club(story.club.id)
    assert await story.hears(NoLesson, "club lesson next", leads=True)
    begun = await _desk(story, LINE)
    assert (begun.number, begun.is_new, begun.left) == (0, True, None)
    assert sum(isinstance(reply, LessonOpened) for _, _, reply in story.posts) == 2


async def test_an_ask_says_which_open_question_it_takes_the_place_of(story: Story) -> None:
    await story.hears(QuestionPut, "club ask naked-triple", leads=True)
    desk = await _go_to_a_find(story)
    desk = await _desk(story, _pressed(desk, "Ask"))
    assert (desk.question, desk.replaced) == (2, 1)
    assert "takes the place of question 1" in wording.phrase(desk).text


async def test_a_question_revealed_otherwise_is_shown_with_its_count(story: Story) -> None:
    desk = await _go_to_a_find(story)
    desk = await _desk(story, _pressed(desk, "Ask"))
    await story.hears(FindJudged, _say_it(desk))
    await story.hears(RevealTold, "club reveal", leads=True)
    await story.hears(QuestionPut, "club ask naked-triple", leads=True)
    await _desk(story, _pressed(desk, "Show"))
    assert (_shown(story).tried, _shown(story).seen) == (0, 0)  # another question's tries stand now
    assert isinstance(_shown(story).picture, HintPicture)


async def test_digits_that_come_by_themselves_are_not_asked_about(story: Story) -> None:
    desk = await _desk(story, LINE)
    assert desk.coming is not None
    while desk.coming is not None and desk.coming.can_be_asked:
        desk = await _desk(story, _pressed(desk, "Next"))
    assert "Ask" not in [each.label for each in wording.phrase(desk).buttons]
    refused = await _desk(story, "club lesson ask")
    assert refused.cannot_ask
    assert refused.number == desk.number
    assert not _shown(story).is_asking


async def test_a_lesson_is_left_and_taken_up_by_another_leader(kept_story: Story) -> None:
    story = kept_story
    desk = await _desk(story, LINE)
    desk = await _desk(story, _pressed(desk, "Next"))
    posts = _posts(story)
    for line in ("club lesson", LINE):
        taken_up = await _desk(story, line, by="cleo")
        assert taken_up == desk
    assert _posts(story) == posts


async def test_the_last_frame_shows_the_puzzle_solved_and_there_it_ends(story: Story) -> None:
    desk = await _desk(story, LINE)
    desk = await _desk(story, f"{LINE} next {desk.last}")
    assert desk.coming is None
    shown = _shown(story)
    assert shown.picture.position.grid == CROOK_SOLUTION
    assert "solved" in wording.phrase(shown).text
    assert await _desk(story, "club lesson next") == desk
    ended = await story.hears(LessonEnded, _pressed(desk, "End the lesson"), leads=True)
    assert ended.question == 0
    assert await story.hears(NoLesson, f"{LINE} next 3", leads=True)
    assert await story.hears(NoLesson, "club lesson back", leads=True)
    begun = await _desk(story, LINE)
    assert (begun.number, begun.is_new) == (0, True)


async def test_ending_while_a_question_is_open_says_so(story: Story) -> None:
    desk = await _go_to_a_find(story)
    desk = await _desk(story, _pressed(desk, "Ask"))
    ended = await story.hears(LessonEnded, "club lesson end", leads=True)
    assert ended.question == desk.question
    assert "club reveal" in wording.phrase(ended).text


async def test_an_open_puzzle_is_not_given_away(story: Story) -> None:
    later = await story.hears(LessonLater, "club lesson 2026-11-24", leads=True)
    assert later.instead == MONDAY
    assert LINE in wording.phrase(later).text
    assert await story.hears(DayUnknown, "club lesson 2026-11-27", leads=True)
    assert await story.hears(LeadersOnly, LINE)
    assert await story.hears(InputRefused, "club lesson wombat", leads=True)
    await story.tick()
    assert not any(isinstance(reply, LessonOpened) for _, _, reply in story.posts)


async def test_without_a_day_that_is_over_no_lesson_can_begin() -> None:
    story = await open_story(crook_puzzle())
    await story.tick()
    none = await story.hears(NoLesson, "club lesson", leads=True)
    assert none.is_too_early


async def test_a_lesson_on_another_day_takes_the_place_of_the_one_before(story: Story) -> None:
    await _desk(story, LINE)
    await _next_day(story)
    desk = await _desk(story, "club lesson 2026-11-24")
    assert (desk.left, desk.is_new) == (MONDAY, True)
    assert await story.hears(NoLesson, f"{LINE} next 1", leads=True)


def test_the_frames_tell_every_step_once_and_show_no_digit_too_soon() -> None:
    reel = make_reel(CROOK, ClubSettings(name="Hedgerow Sudoku Club"))
    frames = [frame_at(reel, number) for number in range(reel.last + 1)]
    told = [step for frame in frames for step in frame.steps]
    assert tuple(told) == reel.steps
    assert [frame.first for frame in frames if frame.turns == "first"] != []
    for frame in frames[1:-1]:
        placed = {cell for step in reel.steps[: frame.first - 1] for cell, _ in step.places}
        standing = sum(mark != "." for mark in frame.at.grid)
        assert standing == sum(mark != "." for mark in CROOK) + len(placed)


async def test_what_is_kept_of_a_lesson_names_nobody(story: Story) -> None:
    await _desk(story, LINE)
    kept = await story.store.load_lesson(story.club.id)
    assert kept is not None
    assert isinstance(decode_reply(kept.reply), LessonOpened)
    assert b"ada" not in kept.reply.lower()
