"""What a leader reads on a first evening: nothing that is untrue, and nothing before its turn."""

from __future__ import annotations

from datetime import date

from bot.club.ports import Store
from bot.club.replies import ClubShown, ReportShown
from bot.club.settings import SETTINGS
from bot.platforms.message import Message
from bot.wording import phrase
from tests.bot.club.stories import DAY, MONDAY, crook_puzzle, easy_puzzle, open_story


async def test_on_a_break_the_settings_say_that_the_next_puzzle_waits() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.say("club pause", leads=True)
    shown = phrase(await story.hears(ClubShown, "club setup", leads=True))
    assert "The club is on a break; the next puzzle goes up once you begin." in shown.text
    assert {"club preview 1", "club pause off"} <= {button.command for button in shown.buttons}
    await story.say("club pause off", leads=True)
    shown = phrase(await story.hears(ClubShown, "club setup", leads=True))
    assert "The next puzzle goes up Tuesday 24 November, 12:00 (UTC)." in shown.text


async def test_the_settings_that_matter_come_first_and_the_rest_behind_a_button() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())

    async def page(line: str) -> tuple[list[str], Message]:
        message = phrase(await story.hears(ClubShown, line, leads=True))
        names = [each.name for each in SETTINGS if f"\n{each.name}: " in message.text]
        return names, message

    first, message = await page("club setup")
    assert first == ["name", "zone", "post-time", "sealed", "levels"]
    (more,) = [each for each in message.buttons if each.label == "More settings"]
    every, message = await page(more.command)
    assert every == [each.name for each in SETTINGS], "each is told, in one of the groups"
    assert "Added to a member's time:\nrungs: " in message.text
    assert more not in message.buttons
    # What is changed is shown, wherever it stands.
    changed, message = await page("club setup wrong=90 look=dark")
    assert set(changed) - set(first) == {"wrong", "look"}
    assert "wrong: a wrong answer adds 90 seconds" in message.text


async def test_a_report_is_on_the_last_day_that_anyone_took_part_in(store: Store) -> None:
    story = await open_story(easy_puzzle(), crook_puzzle(), store=store)

    async def reported(line: str) -> tuple[date, int]:
        report = await story.hears(ReportShown, line, by="rowan", leads=True)
        return report.date, report.started

    assert await reported("club report") == (MONDAY, 0)
    await story.say("start", by="ada")
    assert await reported("club report") == (MONDAY, 1)
    await story.later(days=1).tick()
    tuesday = MONDAY + DAY
    assert await reported("club report") == (MONDAY, 1)
    assert await reported(f"club report {tuesday}") == (tuesday, 0)
    for who in ("ada", "ben"):
        await story.say("start", by=who)
    assert await reported("club report") == (tuesday, 2)
