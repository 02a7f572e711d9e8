"""A club's day in the web room, whole and real: two members in two browsers, and a moving clock.

The parts are those of `ninebark run`: SQLite file, service, loop, pictures, page. The puzzles are
published ones, added with `ninebark puzzles add`; each names its source.
"""

from __future__ import annotations

import asyncio
import os
import re
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import pytest_asyncio
from playwright.async_api import Locator, expect

from bot.cli.main import main
from bot.settings import Settings
from bot.wiring import running as wiring
from bot.wiring.platforms import read_settings
from bot.wiring.running import RunningBot, open_clubs
from tests.browser.tabs import Tabs
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

# The encyclopaedia example, also in SQLite's documentation (`lang_with`) and PuLP's example.
ENCYCLOPAEDIA = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
ENCYCLOPAEDIA_SOLUTION = (
    "534678912672195348198342567859761423426853791713924856961537284287419635345286179"
)
# Crook, A Pencil-and-Paper Algorithm for Solving Sudoku Puzzles, Notices AMS 56(4), 2009, p. 463.
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"
CROOK_SOLUTION = "639574182541829376782613954198467523365982417427135869956748231813296745274351698"
# The same after all singles, as the paper has it: where its naked pair is to be found.
CROOK_AFTER_SINGLES = (
    ".395...8...18.937.....1.9541..4..5.3........7..7...86...67.82...1..9...5.....1..8"
)
MONDAY = datetime(2026, 11, 23, 9, 0, tzinfo=UTC)
CONFIG = """
[web]
port = 0
[[club]]
platform = "web"
room = "main"
name = "Hazel Lane Sudoku Club"
zone = "UTC"
post_time = "09:00"
leaders = ["Odile"]
"""


@dataclass
class Clock:
    moment: datetime = MONDAY - timedelta(hours=1)

    def __call__(self) -> datetime:
        return self.moment

    def forward(self, **span: float) -> None:
        self.moment += timedelta(**span)


@dataclass
class Meeting:
    """A running club: its house, its clock, and a way for people to come in."""

    house: RunningBot
    clock: Clock
    tabs: Tabs

    async def come(self, name: str, *, width: int = 1000, dark: bool = False) -> Visitor:
        page = await self.tabs.lend(width=width, height=900, dark=dark)
        visitor = Visitor(page, self.house.rooms["web"].url, name)
        await visitor.enter()
        return visitor

    def wait_until(self, moment: datetime) -> None:
        """Let the clock come to a moment, and have the loop look at it."""
        self.clock.moment = moment
        self.house.schedule.wake()


Open = Callable[[], Awaitable[RunningBot]]


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    path = tmp_path / "config.toml"
    path.write_text(CONFIG, encoding="utf-8")
    for grid, day in ((ENCYCLOPAEDIA, "2026-11-23"), (CROOK, "2026-11-24")):
        added = main(
            ["puzzles", "add", "--config", str(path), grid, "--room", "main", "--date", day]
        )
        assert added == 0
    return read_settings(path)


@pytest_asyncio.fixture(loop_scope="session")
async def meeting(settings: Settings, tabs: Tabs) -> AsyncIterator[Meeting]:
    clock = Clock()
    async with open_clubs(
        settings.clubs,
        *settings.platforms.values(),
        database=wiring.database_path(settings),
        now=clock,
    ) as house:
        yield Meeting(house, clock, tabs)
        await tabs.take_back()


async def keep_picture(visitor: Visitor, name: str) -> None:
    """Keep a picture of the page where the one who runs the tests asks for it."""
    folder = os.environ.get("NINEBARK_TEST_PICTURES")
    if folder:
        await visitor.page.screenshot(path=Path(folder, f"{name}.png"), full_page=True)


def key_digits(solution: str, lines: str) -> str:
    """Read which two lines are marked from the post's words, and take their digits."""
    digits = ""
    for kind, number in re.findall(r"(row|column) ([1-9])", lines):
        start = int(number) - 1
        digits += solution[start * 9 : start * 9 + 9] if kind == "row" else solution[start::9]
    return digits


def half_solved() -> str:
    """The encyclopaedia example with its upper half done."""
    return ENCYCLOPAEDIA_SOLUTION[:36] + ENCYCLOPAEDIA[36:]


def lines_of(grid: str) -> str:
    return "\n".join(grid[start : start + 9] for start in range(0, 81, 9))


async def text_of(answer: Locator) -> str:
    return await answer.inner_text()


async def climb(visitor: Visitor, first: str) -> list[str]:
    """Climb the stair from a first rung; return the four rungs' texts."""
    rungs = [first]
    for label in ("What", "Which", "Why"):
        button = visitor.answers.last.get_by_role("button", name=re.compile(f"^More: {label}"))
        name = await button.inner_text()
        rungs.append(await text_of(await visitor.press(name)))
    return rungs


async def test_a_clubs_two_days(meeting: Meeting) -> None:
    ada = await meeting.come("Ada")
    bo = await meeting.come("Bo", width=360, dark=True)

    # Before the first puzzle the room says when it comes, and has a button for leaders.
    await expect(ada.posts).to_have_count(1)
    await expect(ada.posts.first).to_contain_text("The first one goes up Monday 23 November")
    await expect(ada.posts.first).to_contain_text("For leaders: settings")

    # Story 1: the daily puzzle is posted, once, as a picture with its words.
    meeting.wait_until(MONDAY)
    for visitor in (ada, bo):
        await expect(visitor.posts).to_have_count(2)
        picture = visitor.posts.nth(1).get_by_role("img")
        await expect(picture).to_be_visible()
        assert "5" in (await picture.get_attribute("alt") or "")
    post = await ada.posts.nth(1).inner_text()
    assert "23 November" in post
    assert "level 1" in post
    before = await text_of(await ada.ask("hint board"))
    assert "clock" in before.lower()

    # Story 2: a hint from a half-solved position climbs its four rungs.
    await ada.press("Start my clock", within=ada.posts.nth(1))
    meeting.clock.forward(minutes=10)
    offered = await text_of(await ada.press("Hint", within=ada.posts.nth(1)))
    assert "paper" in offered
    await ada.press("I have more on paper")
    echo = await ada.send_form(
        {"One line for each row": lines_of(half_solved())}, send="Hint from here"
    )
    await expect(echo.get_by_role("img")).to_be_visible()
    await expect(ada.answers.last).to_contain_text("rung 1 of 4")
    rungs = await climb(ada, await ada.last_answer())
    assert re.search(r"(row|column|box) [1-9]", rungs[0])
    assert not re.search(r"r[1-9]c[1-9]", rungs[0] + rungs[1])
    assert re.search(r"r[1-9]c[1-9]", rungs[2])
    assert "So " in rungs[3]
    private = await bo.log.inner_text()
    assert "rung" not in private
    await keep_picture(ada, "hint-1000-light")

    # Story 3: handed in wrong, then right.
    key = key_digits(ENCYCLOPAEDIA_SOLUTION, re.findall(r"18 digits of ([^.]*)\.", post)[0])
    swapped = await text_of(await ada.ask(f"hand-in {key[9:]}{key[:9]}"))
    assert "other way round" in swapped
    wrong = await text_of(await ada.ask(f"hand-in {key[1]}{key[0]}{key[2:]}"))
    assert "not yet" in wrong.lower()
    meeting.clock.forward(minutes=5)
    right = await text_of(await ada.ask(f"hand-in {key}"))
    # 15 minutes on the clock; four rungs (15+30+60+120 s) and one wrong answer (60 s) come on top.
    assert "15 min" in right
    assert "19 min 45 s" in right
    await expect(bo.posts.filter(has_text="Ada has solved the puzzle")).to_have_count(1)
    assert key not in await bo.log.inner_text()

    # Bo says the answer aloud: it is taken away, and counts.
    await bo.press("Start my clock", within=bo.posts.nth(1))
    meeting.clock.forward(minutes=30)
    await bo.say(f"I have {key}, hooray")
    await expect(ada.posts.filter(has_text="Bo and Ada")).to_have_count(1)
    await expect(ada.said).to_have_count(0)
    await keep_picture(bo, "said-360-dark")

    # The next day: results and walkthrough of the first, and the second puzzle.
    tuesday = MONDAY + timedelta(days=1)
    meeting.wait_until(tuesday)
    await expect(ada.posts.filter(has_text="24 November")).to_have_count(1)
    # The results come once; the closed day's own post is mended before or after them.
    await expect(ada.posts.filter(has_text="is closed. Results:")).to_have_count(1)
    await expect(ada.posts.nth(1)).to_contain_text("This day is closed.")
    await expect(ada.posts.nth(1)).to_contain_text("How to solve the puzzle")
    late = await text_of(await ada.ask(f"hand-in {key} 2026-11-23"))
    assert "already solved" in late

    # Crook's puzzle, from the position of the paper: the hint leads on, never off.
    await bo.press("Start my clock", within=bo.posts.filter(has_text="24 November"))
    meeting.clock.forward(minutes=8)
    await bo.ask(f"hint {CROOK_AFTER_SINGLES}")
    await expect(bo.answers.last).to_contain_text("rung 1 of 4")
    assert re.search(r"(row|column|box) [1-9]", await bo.last_answer())
    whole = await text_of(await bo.ask(f"hand-in {CROOK_SOLUTION}"))
    assert "8 min" in whole

    # Story 4: the week's table has both in the right order: two puzzles before one.
    table = await ada.ask("leaderboard week")
    words = await text_of(table)
    assert words.index("1. Bo") < words.index("2. Ada")
    assert "2 solved" in words
    await expect(table.get_by_role("img")).to_be_visible()
    assert not await bo.has_sideways_scroll()
    await keep_picture(ada, "table-1000-light")
    await keep_picture(bo, "table-360-dark")


async def test_a_leader_sets_the_club_up_by_menus(meeting: Meeting) -> None:
    odile = await meeting.come("Odile")
    every = await odile.ask("club setup more")
    assert "a wrong answer adds 60 seconds" in await text_of(every)
    shown = await odile.ask("club setup")
    assert "a wrong answer adds 60 seconds" not in await text_of(shown)
    for label in ("Levels of the week", "Open or sealed days", "Post time", "Time zone"):
        await expect(shown.get_by_label(label, exact=True)).to_be_visible()
    for button in ("See the next puzzle", "Plan", "Report", "Queue", "More settings"):
        await expect(shown.get_by_role("button", name=button)).to_be_visible()
    await shown.get_by_label("Post time", exact=True).select_option("18:00")
    await odile.press("Take this: Post time", within=shown)
    changed = odile.answers.last
    await expect(changed).to_contain_text("the day's puzzle goes up at 18:00")
    await odile.ask("walkthrough 2026-11-24 theme=naked pairs")
    told = odile.answers.filter(has_text="It goes by naked pair wherever that leads on.")
    await expect(told).to_have_count(1)


async def test_a_day_survives_a_restart_of_everything(settings: Settings, tabs: Tabs) -> None:
    """The bot stops in the middle of a day; on its return boards and timeline are there."""
    clock = Clock(MONDAY)

    async def meet() -> AsyncIterator[Meeting]:
        async with open_clubs(
            settings.clubs,
            *settings.platforms.values(),
            database=wiring.database_path(settings),
            now=clock,
        ) as house:
            yield Meeting(house, clock, tabs)
            await tabs.take_back()

    async for meeting in meet():
        ada = await meeting.come("Ada")
        await expect(ada.posts).to_have_count(1)
        await ada.ask("start")
        await ada.ask("place r5c5 5")
    clock.forward(minutes=20)
    async for meeting in meet():
        ada = await meeting.come("Ada")
        await asyncio.gather(expect(ada.posts).to_have_count(1), ada.ask("board text"))
        board = await ada.last_answer()
        assert "4 blank blank 8 5 3 blank blank 1" in board
        undone = await text_of(await ada.ask("undo"))
        assert undone


@pytest.mark.long
async def test_a_weeks_question_is_answered_rightly_nearly_wrongly_and_late(
    meeting: Meeting,
) -> None:
    odile, ada, ben = [await meeting.come(name) for name in ("Odile", "Ada", "Ben")]

    # Before Monday's puzzle Odile puts a question, to be shown on Tuesday evening.
    put = await text_of(await odile.ask("club ask naked-triple until=tuesday 20:00"))
    assert "Tuesday 24 November, 20:00" in put
    post = ada.posts.filter(has_text="Question 1")
    await expect(post).to_have_count(1)
    await expect(post).to_contain_text("column 6")

    # Ada points at what she sees: nearly, then all of it, and wants to be named.
    wanted = await ada.press("My answer", within=post)
    for cell in ("r3c6", "r5c6"):
        await wanted.get_by_role("button", name=cell, exact=True).click()
    await wanted.get_by_role("button", name="1", exact=True).click()
    await wanted.get_by_role("button", name="These go").click()
    await expect(wanted.get_by_label("What you see")).to_have_value("r3c6-1 r5c6-1")
    nearly = await ada.send_form({}, send="Say it")
    await expect(nearly).to_contain_text("right, and there is more")
    right = await ada.ask("see r3c6-1 r5c6-1 r4c6-124 r6c6-4")
    await expect(right).to_contain_text("on your second try")
    named = await ada.press("Name me when it's shown", within=right)
    await expect(named).to_contain_text("I'll name you")

    # Ben is wrong, and hears why.
    assert "can also be" in await text_of(await ben.ask("see 124 in r2c6 r7c6 r3c6"))

    # On Tuesday evening the find is shown by itself; what Ben sees after it is not counted.
    meeting.wait_until(MONDAY + timedelta(days=1, hours=12))
    told = ben.posts.filter(has_text="Two members tried, and one saw it: Ada.")
    await expect(told).to_have_count(1)
    assert "isn't counted" in await text_of(await ben.ask("see naked triple col 6"))


@pytest.mark.long
async def test_a_position_to_practise_is_missed_helped_with_and_shown(meeting: Meeting) -> None:
    ada = await meeting.come("Ada")
    shown = await ada.ask("practice naked-pair")
    await expect(shown).to_contain_text("Is there a naked pair here?")
    await ada.press("I see it", within=shown)
    missed = await ada.send_form({"What you see": "none"}, send="Say it")
    await expect(missed).to_contain_text("There is a naked pair here")
    assert "Have a good look at" in await text_of(await ada.ask("practice hint"))
    over = await text_of(await ada.ask("practice show"))
    assert "I'll show you a naked pair again soon." in over
    assert "needed help 1" in await text_of(await ada.ask("me"))


@pytest.mark.long
async def test_a_lesson_is_moved_from_the_desk_while_its_thread_stands_open(
    meeting: Meeting,
) -> None:
    odile, ada = await meeting.come("Odile"), await meeting.come("Ada")
    # The next picture may take the place of one before a tab has asked for it.
    meeting.tabs.forgive("404 (Not Found)")
    for days, name in enumerate(("Monday 23", "Tuesday 24", "Wednesday 25")):
        meeting.wait_until(MONDAY + timedelta(days=days))
        await expect(ada.posts.filter(has_text=f"is up. {name} November")).to_have_count(1)
    await expect(ada.posts.filter(has_text="Tuesday 24 November is closed")).to_have_count(1)
    desk = await odile.ask("club lesson 2026-11-24")
    post = ada.posts.filter(has_text="We're going through")
    await expect(post).to_have_count(1)
    thread = post.locator("details.thread")
    await expect(thread).to_contain_text("as it went up")
    await expect(thread).to_have_attribute("open", "")
    while "puzzle turns" not in await text_of(desk):
        desk = await odile.press("Next")
    await expect(thread).to_contain_text("leave one place")
    await odile.press("Ask")
    await expect(thread).to_contain_text("what can you do here?")
    await keep_picture(ada, "lesson-asked")
    await ada.press("My answer", within=post)
    right = await ada.send_form({"What you see": "r1c7-6"}, send="Say it")
    await expect(right).to_contain_text("all of it")
    await thread.locator("summary").first.click()
    await keep_picture(odile, "lesson-desk")
    await odile.ask("club lesson show")
    await expect(thread).to_contain_text("One of you tried it, and saw it.")
    # Whoever closed it keeps it closed.
    await expect(thread).not_to_have_attribute("open", "")
    await expect(post.locator("details.thread")).to_have_count(1)
