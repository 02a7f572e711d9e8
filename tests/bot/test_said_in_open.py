"""What is said in the open room: what gives the puzzle away is gone, whatever the answer to it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot.exchange import Exchange
from bot.platforms.fake import FakeRoom
from bot.platforms.message import Incoming
from tests.bot.club.stories import (
    CROOK_SOLUTION,
    EASY,
    EASY_SOLUTION,
    Story,
    crook_puzzle,
    easy_puzzle,
    half_solved,
    open_story,
)

ROOM = "maple"
KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
ROWS = [EASY_SOLUTION[start : start + 9] for start in range(0, 81, 9)]
OTHER_GIVEN = "6" + EASY_SOLUTION[1:]  # r1c1 is given as 5
FOUR_GIVENS = "".join(
    mark if cell > 4 else str(int(mark) % 9 + 1) for cell, mark in enumerate(EASY_SOLUTION)
)


class House:
    """A club with its puzzle posted, met in the open room."""

    def __init__(self, story: Story, *, may_remove: bool = True) -> None:
        self.story = story
        self.room = FakeRoom((ROOM,))
        self.room.platform = story.club.platform
        self.room.may_remove = may_remove
        self.said = 0
        rooms = {self.room.platform: self.room}
        self.exchange = Exchange(story.service, story.store, rooms)

    async def says(self, text: str, **how: object) -> tuple[bool, str]:
        """Say a line in the open; return whether it is still there, and the private answers."""
        await self.room.start(self.exchange.answer)
        self.said += 1
        at = self.story.now + timedelta(seconds=self.said)
        act = Incoming(
            f"e{self.said}", self.room.platform, ROOM, "ada", "Ada", False, at, at, text,
            in_open=True, **how,  # type: ignore[arg-type]
        )  # fmt: skip
        answers = await self.room.hear(act)
        lines = [each for each in self.room.visible(ROOM, "eve") if each.kind == "said"]
        stays = any(text in message.text for each in lines for message in each.messages)
        return stays, "\n".join(answer.text for answer in answers)


async def a_house(**how: bool) -> House:
    return House(await open_story(easy_puzzle()), **how)


TELLING = [
    f"hint {EASY_SOLUTION}",
    f"!hint {EASY_SOLUTION}",
    f"hint {half_solved(EASY, 30)}",
    f"paste {EASY_SOLUTION}",
    f"paste {OTHER_GIVEN}",
    f"paste {FOUR_GIVENS}",
    f"board {EASY_SOLUTION[:-1]}",
    f"board {EASY_SOLUTION}",
    f"hand-in 2026-11-20 {EASY_SOLUTION}",
    f"hand-in 2026-13-45 {KEY}",
    f"hand-in {KEY[:-1]}",
    "row 1 5346789121",
    f"place {' '.join(f'r1c{c + 1} {mark}' for c, mark in enumerate(ROWS[0]))} r1",
    f"!help {EASY_SOLUTION}",
    f"!leaderboard {KEY}",
    f"!nonsense {EASY_SOLUTION}",
    f"!club queue {EASY_SOLUTION}",
    "column 3: 428963175, column 7: 935478261",
    "\n".join(f"{number} {row}" for number, row in enumerate(ROWS, start=1)),
    ", ".join(ROWS[:3]),
    f"wow {' '.join(KEY)} that was hard",
]
INNOCENT = [
    "good morning",
    "hint",
    "hint box 5",
    "board",
    "check",
    "start",
    "me too, 12:30 or 2026-11-24?",
    "call 079 461 23 38, 21:15 19:21 21:18",
    f"yesterday it was {CROOK_SOLUTION}",
    f"is it {ROWS[0]}?",
]


@pytest.mark.parametrize("started", [False, True])
async def test_what_gives_the_puzzle_away_is_taken_whatever_the_answer(started: bool) -> None:
    for text in TELLING:
        house = await a_house()
        if started:
            await house.story.say("start")
        stays, told = await house.says(text)
        assert not stays, text
        assert "took it away" in told, (text, told)


async def test_what_cannot_be_taken_away_is_spoken_of() -> None:
    for text in TELLING:
        stays, told = await (await a_house(may_remove=False)).says(text)
        assert stays
        assert "delete it yourself" in told, (text, told)


async def test_plain_talk_and_harmless_commands_stay() -> None:
    house = await a_house()
    for text in INNOCENT:
        stays, told = await house.says(text)
        assert stays, text
        assert "open room" not in told, (text, told)


async def test_an_edit_that_tells_is_taken_and_is_no_answer() -> None:
    house = await a_house()
    stays, told = await house.says(f"* {KEY}", is_shown_only=True)
    assert (stays, "took it away" in told) == (False, True)
    assert await house.story.store.load_results(house.story.club.id, None, None) == ()
    assert await house.says("* good morning", is_shown_only=True) == (True, "")


async def test_what_a_form_was_filled_with_counts_too() -> None:
    house = await a_house()
    stays, _ = await house.says("help", fields={"answer": EASY_SOLUTION})
    assert not stays


async def test_a_closed_puzzle_is_anybodys() -> None:
    story = await open_story(easy_puzzle(), crook_puzzle())
    await story.later(days=1).tick()
    house = House(story)
    assert (await house.says(f"yesterday: {EASY_SOLUTION}"))[0]
    assert not (await house.says(f"today: {CROOK_SOLUTION}"))[0]
