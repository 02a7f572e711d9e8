"""A leader plans the week, looks ahead, swaps, and queues a puzzle of their own, in Discord."""

from __future__ import annotations

from random import Random

from msgspec.structs import replace

from engine.board.grid import format_grid, parse_grid
from engine.making.puzzles import shuffle_puzzle
from tests.bot.club.stories import CROOK, crook_puzzle
from tests.bot.paper import read_pages
from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of, form_of
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import Channel

# Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
TWO_SOLUTIONS = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"

# With one of the four cells given it has one.
MENDED = f"{TWO_SOLUTIONS[:49]}4{TWO_SOLUTIONS[50:]}"


async def test_a_leader_plans_the_week_and_sees_and_swaps_what_comes(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    page = answer_of(
        await rowan.command("club plan", day="week", level="3", theme="naked-pair", effort="rising")
    )
    assert "Monday to Sunday: level 3, naked pair" in page.text
    await bench.restart()
    page = answer_of(await rowan.choose(page, "Theme of the week", "none"))
    assert "no theme" in page.text
    looked = await rowan.press(page, "See the coming days")
    await bench.double.until(lambda: len(looked.messages) == 8, "a message for each day")
    days = [show(message) for message in looked.messages][1:]
    assert len(days) == 7
    assert all(day.alts for day in days)
    await bench.restart()
    # Tuesday's and Wednesday's are from the queue; Thursday's can be swapped.
    assert ["from your queue" in day.text for day in days[:3]] == [True, True, False]
    swapped = answer_of(await rowan.press(days[2], "Swap it"))
    assert swapped.alts != days[2].alts
    turning = await rowan.press(swapped, "Where it turns")
    await bench.double.until(lambda: len(turning.messages) > 2, "a report in parts")
    told = [show(message) for message in turning.messages]
    assert "Only you see this" in told[0].text
    assert len([each for each in told if each.alts]) >= 2
    themed = {"date": "2026-11-24", "theme": "naked-pair"}
    walked = await rowan.command("walkthrough", **themed)
    await bench.double.until(lambda: len(walked.messages) > 2, "a walkthrough in chapters")
    assert "It goes by naked pair wherever that leads on." in show(walked.messages[0]).text
    turning = await rowan.command("club turning", **themed)
    await bench.double.until(lambda: len(turning.messages) > 2, "a report in parts")
    assert any("Naked pair: " in show(each).text for each in turning.messages)
    options = {"week": "next", "per-page": "6", "paper": "letter"}
    sheet = answer_of(await rowan.command("club sheet", **options))
    ((name, content),) = sheet.files.items()
    assert name == "week-of-2026-11-30.pdf"
    assert "Monday 30 November, level" in read_pages(content)[0].words
    assert not any("Only you" in each.text for each in ada.sees())
    for _ in range(3):
        bench.later(days=1)
        await bench.tick()
    rows = [line for line in swapped.alts[0].splitlines() if line.startswith("row ")]
    (post,) = [each for each in ada.sees() if "26 November" in each.text and each.alts]
    assert set(rows) <= set(post.alts[0].splitlines())


async def test_a_puzzle_pasted_in_the_form_is_judged_and_mended_and_queued(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    form = form_of(await rowan.command("club queue"))
    refused = answer_of(await rowan.submit(form, grid=TWO_SOLUTIONS, date="", credit=""))
    assert "more than one solution" in refused.text
    assert TWO_SOLUTIONS in refused.code
    await bench.restart()
    form = form_of(await rowan.press(refused, "Fill in"))
    queued = answer_of(
        await rowan.submit(form, grid=MENDED, date="2026-11-30", credit="Herzberg & Murty")
    )
    assert "Queued for Monday 30 November 2026: level" in queued.text
    assert "Credit: Herzberg & Murty" in queued.text
    again = answer_of(await rowan.command("club queue", grid=MENDED))
    assert "is already waiting in the queue" in again.text


async def test_a_puzzle_that_an_older_ninebark_saved_without_its_form_is_known_in_disguise(
    bench: Bench, club: Channel
) -> None:
    await bench.queue(club, replace(crook_puzzle(), form="", pattern=""))
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    disguised = format_grid(shuffle_puzzle(Random(1), parse_grid(CROOK)))
    again = answer_of(await rowan.command("club queue", grid=disguised))
    assert "is already waiting in the queue in disguise" in again.text


async def test_a_puzzle_of_another_level_than_its_day_is_queued_by_a_press(
    bench: Bench, club: Channel
) -> None:
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    asked = answer_of(
        await rowan.command("club queue", grid=MENDED, level="2", credit="Herzberg & Murty")
    )
    assert "Shall I queue it all the same?" in asked.text
    await bench.restart()
    queued = answer_of(await rowan.press(asked, "Yes, queue it"))
    assert "for the next free day planned for level 2" in queued.text
    assert "Credit: Herzberg & Murty" in queued.text
