"""What a member wishes for: pictures in dark or light, and a word before their puzzle closes."""

from __future__ import annotations

import json
from typing import Any, ClassVar

from bot.club.fake_store import FakeStore
from bot.club.ports import Store
from bot.club.replies import ExportMade
from bot.club.service import ClubService
from bot.club.wishes import LookShown, PuzzleClosing, ReminderShown
from bot.commands import table as commands
from bot.exchange import Exchange
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Incoming, Message
from bot.wording import phrase
from tests.bot.club.stories import (
    EASY_SOLUTION,
    NOON,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
)

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def test_a_look_is_kept_however_a_member_is_called_later_and_taken_back(store: Store) -> None:
    story = await open_story(easy_puzzle(), store=store)
    asked = await story.hears(LookShown, "look")
    assert (asked.look, asked.is_own) == ("light", False)
    chosen = await story.hears(LookShown, "look dark")
    assert (chosen.look, chosen.is_own) == ("dark", True)
    await story.say("start", name="Ada of the Elms")
    kept = (await store.load_scene(story.club.id, "ada", story.now, "")).member
    assert kept is not None
    assert (kept.name, kept.look) == ("Ada of the Elms", "dark")
    exported = json.loads((await story.hears(ExportMade, "privacy export")).text)
    assert exported["look"] == "dark"
    assert not (await story.hears(LookShown, "look club")).is_own
    await story.say("look dark")
    await story.say("privacy erase sure")
    assert not (await story.hears(LookShown, "look")).is_own


async def pictures_of(story: Story, room: FakeRoom, line: str) -> list[Message]:
    story.said += 1
    act = Incoming(f"act {story.said}", "web", "maple", "ada", "Ada", False, NOON, NOON, line)
    answers = await Exchange(story.service, story.store, {"web": room}).answer(act)
    return [each for each in answers if each.picture is not None]


async def test_what_a_member_is_told_follows_their_look_and_nobody_elses_does() -> None:
    story = await open_story(easy_puzzle())
    room = FakeRoom(["maple"], platform="web")
    (before,) = await pictures_of(story, room, "today")
    await story.say("look dark")
    (after,) = await pictures_of(story, room, "today")
    assert before.picture is not None
    assert after.picture is not None
    assert (before.picture.preferred, after.picture.preferred) == ("light", "dark")
    assert before.picture.shown != after.picture.shown
    assert before.picture.alt == after.picture.alt
    other = await story.hears(LookShown, "look", by="ben")
    assert other.look == "light"


class CountingStore(FakeStore):
    """Notes what it is asked."""

    asked: ClassVar[list[str]] = []

    def __getattribute__(self, name: str) -> Any:
        if name.startswith(("load", "find", "save")):
            self.asked.append(name)
        return super().__getattribute__(name)


async def test_a_private_answer_asks_for_its_member_once() -> None:
    store = CountingStore()
    story = await open_story(easy_puzzle(), store=store)
    await story.say("look dark")
    store.asked.clear()
    (board,) = await pictures_of(story, FakeRoom(["maple"], platform="web"), "board")
    assert board.picture is not None
    assert board.picture.preferred == "dark"
    assert store.asked == ["load_club", "load_scene", "save"]


async def reminded(story: Story) -> list[str]:
    """Return who waits to be reminded, and send what waits."""
    waiting = await story.store.load_notices()
    who = [each.user_id for each in waiting if each.key.startswith("remind:")]
    await story.tick()
    return who


async def test_who_asked_is_told_once_an_hour_before_the_puzzle_that_they_left_open_closes(
    store: Store,
) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
    for who in ("ada", "dan", "eve"):
        await story.say("start", by=who)
    for who in ("ada", "cleo", "dan"):
        shown = await story.hears(ReminderShown, "remind on", by=who)
        assert shown.reminds
    await story.later(minutes=9).say(f"hand-in {KEY}", by="dan")
    await story.tick()
    story.now = NOON
    await story.later(days=1, minutes=-61).open_what_is_due()
    assert await reminded(story) == []
    await story.later(minutes=1).open_what_is_due()
    # Cleo has not begun, Dan has solved it, and Eve did not ask.
    assert await reminded(story) == ["ada"]
    said = phrase(story.post_with(PuzzleClosing)).text
    assert "closes Tuesday 24 November, 12:00 (UTC)" in said
    await story.later(minutes=10).open_what_is_due()
    assert await reminded(story) == []
    story.service = ClubService(store=store, courses=commands.COURSES)
    await story.open_what_is_due()
    assert await reminded(story) == [], "nor by another run"


async def test_who_wants_no_more_reminders_gets_none() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.say("start")
    await story.say("remind on")
    assert not (await story.hears(ReminderShown, "remind off")).reminds
    await story.later(days=1, minutes=-30).open_what_is_due()
    assert await reminded(story) == []
