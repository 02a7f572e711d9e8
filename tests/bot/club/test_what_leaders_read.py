"""What a leader reads on a first evening: nothing that is untrue, and nothing before its turn."""

from __future__ import annotations

from datetime import date

from bot.club.ports import Store
from bot.club.replies import ClubShown, ReportShown
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
