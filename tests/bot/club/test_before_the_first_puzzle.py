"""A club that has had no puzzle yet: what its room is told, and what its leaders are."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import wording
from bot.club.ports import SaveSettings, Store
from bot.club.replies import ClubBegun, ClubShown, DayPosted, PauseSet
from tests.bot.club.stories import (
    NOON,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)


async def waiting_story(store: Store | None = None, **changes: object) -> Story:
    """Return a club three hours before its first puzzle."""
    story = await open_story(settings=settings_with(name="Hazel Lane", **changes), store=store)
    story.now = NOON - timedelta(hours=3)
    return story


def told(story: Story) -> list[ClubBegun]:
    return [reply for _, _, reply in story.posts if isinstance(reply, ClubBegun)]


async def test_an_empty_room_is_told_once_when_the_first_puzzle_comes(store: Store) -> None:
    story = await waiting_story(store)
    for _ in range(3):
        await story.service.greet(story.club, story.now)
        await story.tick()
    (begun,) = told(story)
    assert begun.next_at == NOON
    text = wording.phrase(begun).text
    assert "Hazel Lane" in text
    assert "The first one goes up Monday 23 November, 12:00 (UTC)." in text
    # What is for leaders stands behind a button that says so.
    assert "club " not in text.replace("Hazel Lane", "")
    leaders = [each for each in wording.phrase(begun).buttons if each.command.startswith("club")]
    assert [each.label for each in leaders] == ["For leaders: settings"]


@pytest.mark.parametrize("which", ["due", "break", "had"])
async def test_a_room_that_is_not_waiting_for_its_first_puzzle_is_told_nothing(
    store: Store, which: str
) -> None:
    story = await waiting_story(store)
    if which == "due":
        story.now = NOON
    elif which == "break":
        await story.store.save([SaveSettings(story.club.id, story.club.settings, paused=True)])
        found = await story.store.load_club("web", "maple")
        assert found is not None
        story.club = found
    else:
        story = await open_story(easy_puzzle(), crook_puzzle(), store=store)
        story.later(days=1, minutes=-60)
    await story.service.greet(story.club, story.now)
    await story.tick()
    assert told(story) == []


async def test_a_club_that_a_leader_begins_tells_its_room(store: Store) -> None:
    story = await waiting_story(store)
    await story.say("club pause", leads=True)
    begun = await story.hears(PauseSet, "club pause off", leads=True)
    private = wording.phrase(begun)
    assert private.text.startswith("The club begins. Its first puzzle goes up ")
    assert "club preview 1" in private.text
    assert "club post-now" in private.text
    assert "club setup" in [button.command for button in private.buttons]
    await story.tick()
    assert [each.next_at for each in told(story)] == [NOON] == [begun.next_at]


async def test_a_first_puzzle_that_is_moved_is_moved_in_what_the_room_was_told(
    store: Store,
) -> None:
    story = await waiting_story(store)
    await story.service.greet(story.club, story.now)
    await story.tick()
    await story.hears(ClubShown, "club setup post-time=18:30 name=Fern Lane", leads=True)
    await story.tick()
    key, audience, mended = story.posts[-1]
    assert (key, audience) == (story.posts[0][0], "mend")
    assert isinstance(mended, ClubBegun)
    assert "Fern Lane" in wording.phrase(mended).text
    assert "12:00" not in wording.phrase(mended).text
    await story.say("club pause", leads=True)
    await story.tick()
    assert "has had no puzzle yet" in wording.phrase(story.posts[-1][2]).text


async def test_once_a_puzzle_was_up_what_the_room_was_told_first_stays(store: Store) -> None:
    story = await waiting_story(store)
    await story.service.greet(story.club, story.now)
    story = await open_story(easy_puzzle(), store=store)
    assert story.post_with(DayPosted)
    story.posts.clear()
    await story.say("club setup post-time=18:30", leads=True)
    await story.say("club pause", leads=True)
    await story.say("club pause off", leads=True)
    await story.tick()
    assert told(story) == []
