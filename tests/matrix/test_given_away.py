"""What is no line and shows the answer all the same: emotes, words with a picture, edits."""

from __future__ import annotations

from typing import Any

from tests.bot.club.stories import EASY_SOLUTION
from tests.doubles.matrix.member import text_of
from tests.matrix.conftest import Bench

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def test_what_shows_the_answer_is_taken_away_and_counts_for_nothing(bench: Bench) -> None:
    await bench.start()
    await bench.tick()
    ada, room = bench.ada, bench.room_id
    harmless = await ada.say(room, "good morning")
    emote = {"msgtype": "m.emote", "body": f"thinks {KEY[:9]} and {KEY[9:]}"}
    caption = {
        "msgtype": "m.image", "body": f"look: {KEY}", "filename": "grid.png",
        "url": "mxc://example.org/grid",
    }  # fmt: skip
    edit = {
        "msgtype": "m.text",
        "body": "* good evening",
        "m.new_content": {"msgtype": "m.text", "body": EASY_SOLUTION},
        "m.relates_to": {"rel_type": "m.replace", "event_id": harmless},
    }
    for content in (emote, caption, edit):
        said = await ada.send(room, "m.room.message", content)

        def is_gone(said: str = said) -> bool:
            events = [each for each in ada.sources(room) if each["event_id"] == said]
            return bool(events) and all(each.get("redacted") for each in events)

        await ada.until(is_gone)
    told = await ada.until(lambda: bench.answers(ada)[2:])
    assert "took it away" in text_of(told[0])
    (first,) = [each for each in ada.sources(room) if each["event_id"] == harmless]
    assert not first.get("redacted")
    (wrong,) = await bench.ask(ada, f"hand-in {'1' * 18}")
    assert "1 wrong try" in text_of(wrong)


async def test_who_speaks_to_the_bot_is_answered_whether_by_name_or_by_a_reply(
    open_bench: Bench,
) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    ada, room, us = bench.ada, bench.room_id, bench.bot.user_id
    (post,) = await ada.until(lambda: bench.posts(ada))

    async def told(body: str, **content: Any) -> str:
        before = len(bench.answers(ada))
        await ada.send(room, "m.room.message", {"msgtype": "m.text", "body": body, **content})
        new = await ada.until(lambda: bench.answers(ada)[before:])
        return text_of(new[-1])

    mention = {"m.mentions": {"user_ids": [us]}}
    reply = mention | {"m.relates_to": {"m.in_reply_to": {"event_id": post["event_id"]}}}
    assert "A puzzle a day" in await told(f"{us}: hello", **mention)
    assert "Your clock is running" in await told("start please", **mention)
    assert "Where are you?" in await told(f"{us} hint please, I am stuck")
    assert "Where are you?" in await told("hint", **reply)
    # Talk about the puzzle below it, which pings by itself, is no call.
    talk = {"msgtype": "m.text", "body": "nice one today"}
    await ada.send(room, "m.room.message", talk | reply)
    assert "no results yet" in await told("leaderboard", **mention)
    assert len(bench.answers(ada)) == 5
