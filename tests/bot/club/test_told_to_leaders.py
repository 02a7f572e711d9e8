"""What leaders are told in private without having asked: a day without a puzzle."""

from __future__ import annotations

from bot.club.replies import PuzzleMissing
from tests.bot.club.stories import easy_puzzle, open_story, settings_with


async def test_a_day_without_a_puzzle_is_told_once_to_whom_the_club_names_and_to_who_led_last() -> (
    None
):
    story = await open_story(easy_puzzle(), settings=settings_with(leaders=("rowan",)))
    await story.say("club setup", by="hazel", leads=True)
    await story.say("club setup", by="linden", leads=True)
    await story.say("club setup", by="linden", leads=False)
    story.later(days=1)
    for _ in range(2):
        await story.tick()
    told = [(key, audience) for key, audience, said in story.posts if type(said) is PuzzleMissing]
    assert [audience for _, audience in told] == ["member", "member"]
    missing = story.post_with(PuzzleMissing)
    assert missing.date.isoformat() == "2026-11-24"
