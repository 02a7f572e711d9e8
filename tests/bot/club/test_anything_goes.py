"""Laws of a day, whatever members type in whatever order: nothing raises, nothing is lost."""

from __future__ import annotations

import asyncio
from collections import Counter
from datetime import timedelta
from random import Random

from bot.club.boards import given_slips
from bot.club.replies import AnswerRight, HintShown, MistakeShown, decode_reply, encode_reply
from bot.club.state import MemberSolve
from bot.wording import phrase
from engine.board.layout import CLASSIC
from tests.bot.club.stories import (
    CROOK,
    CROOK_AFTER_SINGLES,
    CROOK_SOLUTION,
    SEVENTEEN,
    Story,
    crook_puzzle,
    easy_puzzle,
    open_story,
    settings_with,
)

# Rows 2 and 5 of the published solution.
ANSWER = "541829376" + "365982417"
FIXED = (
    *("today", "start", "board", "undo", "check", "hint", "hint board sure", "hint board sure"),
    *("hint more", "hint more", "hint more", "hint known", "hint paper", "paste", "me"),
    *("hint box 5", "hint for 7", "walkthrough", "leaderboard", "privacy", "club report"),
    *(f"hint {CROOK_AFTER_SINGLES}", f"board {CROOK_SOLUTION}", f"board {SEVENTEEN}"),
    *("hand-in", f"hand-in {ANSWER[9:]}{ANSWER[:9]}", "hand-in " + "1" * 18),
    *("club result Ada unrank because", "club result Ada restore because"),
)
RARE = (f"hand-in {ANSWER}", f"well, {ANSWER} it is", "privacy erase sure")


def a_line(random: Random) -> str:
    """Return a line as somebody might type it, right more often than wrong."""
    cell = random.randrange(81)
    name, right = CLASSIC.format_cell(cell), int(CROOK_SOLUTION[cell])
    wrong = 1 + (right + random.randrange(8)) % 9
    match random.randrange(20):
        case 0:
            return random.choice(RARE)
        case 1:
            return f"place {name} {random.randrange(10)}"
        case 2 | 3:
            return f"rule-out {name} {wrong if random.random() < 0.95 else right}"
        case 4 | 5 | 6 | 7:
            return f"place {name} {right}"
    return random.choice(FIXED)


SEEN: Counter[str] = Counter()
"""Kinds of replies that the law met: it must not hold for want of anything happening."""


async def _entry(story: Story, who: str) -> MemberSolve | None:
    scene = await story.store.load_scene(story.club.id, who, story.now, "")
    return scene.entry


async def _live(seed: int) -> None:
    random = Random(seed)
    story = await open_story(
        crook_puzzle(),
        easy_puzzle(),
        settings=settings_with(sealed=random.random() < 0.3, quick=1.5),
    )
    for who in ("ada", "ben"):
        if random.random() < 0.9:
            await story.say("start", by=who)
    for _ in range(40):
        who, line, in_open = random.choice(("ada", "ben")), a_line(random), random.random() < 0.3
        story.later(seconds=random.randrange(400))
        before = await _entry(story, who)
        event_id = f"act {story.said}"
        reply = await story.say(line, by=who, leads=True, in_open=in_open, event_id=event_id)
        assert decode_reply(encode_reply(reply)) == reply
        phrase(reply)
        after = await _entry(story, who)
        if after is not None:
            assert given_slips(after.board.grid, CROOK) == ()
            assert after.tries <= sum(charge.key.startswith("wrong:") for charge in after.charges)
        if before is not None and after is not None:
            assert after.added_seconds >= before.added_seconds
            assert after.started_at == before.started_at or before.started_at is None
            if before.finished_at is not None:
                assert after.finished_at == before.finished_at
                assert after.charges == before.charges
        if isinstance(reply, HintShown):
            for name, digit in reply.step.places:
                assert CROOK_SOLUTION[CLASSIC.parse_cell(name)] == str(digit)
            for name, digit in reply.step.removes:
                assert CROOK_SOLUTION[CLASSIC.parse_cell(name)] != str(digit)
            # Never built on a wrong board.
            for mark, right in zip(reply.position.grid, CROOK_SOLUTION, strict=True):
                assert mark in (".", right)
        if isinstance(reply, HintShown | MistakeShown) and before is not None:
            assert after is not None
            assert reply.seconds == after.added_seconds - before.added_seconds
        if isinstance(reply, AnswerRight):
            assert reply.adjusted == reply.raw + reply.added
        again = await story.say(line, by=who, leads=True, in_open=in_open, event_id=event_id)
        assert again == reply
        SEEN[type(reply).__name__] += 1
        assert await _entry(story, who) == after
    await story.tick()
    story.now += timedelta(days=1)
    await story.tick()


LIVES = 40
EXPECTED = {
    "AnswerAlready": 10,
    "AnswerRight": 10,
    "AnswerSwapped": 2,
    "AnswerWrong": 10,
    "BoardChecked": 10,
    "BoardShown": 250,
    "ClockNotStarted": 5,
    "HintShown": 50,
    "KnownNoted": 2,
    "MistakeShown": 25,
    "OtherPuzzle": 10,
    "ResultRuled": 2,
}
"""At least so many replies of each kind, over all lives."""


def test_a_days_laws_hold_whatever_is_typed() -> None:
    SEEN.clear()
    for seed in range(LIVES):
        asyncio.run(_live(seed))
    too_few = {kind: SEEN[kind] for kind, least in EXPECTED.items() if SEEN[kind] < least}
    assert not too_few, SEEN
