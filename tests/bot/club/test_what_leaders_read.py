"""What a leader reads on a first evening: nothing that is untrue, and nothing before its turn."""

from __future__ import annotations

from bot.club.replies import ClubShown
from bot.wording import phrase
from tests.bot.club.stories import crook_puzzle, easy_puzzle, open_story


async def test_on_a_break_the_settings_say_that_the_next_puzzle_waits() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.say("club pause", leads=True)
    shown = phrase(await story.hears(ClubShown, "club setup", leads=True))
    assert "The club is on a break; the next puzzle goes up once you begin." in shown.text
    assert {"club preview 1", "club pause off"} <= {button.command for button in shown.buttons}
    await story.say("club pause off", leads=True)
    shown = phrase(await story.hears(ClubShown, "club setup", leads=True))
    assert "The next puzzle goes up Tuesday 24 November, 12:00 (UTC)." in shown.text
