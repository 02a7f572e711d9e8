"""The club's day in Matrix through real clients, in an open room and in an encrypted one: two
members and a leader, the bot restarted between steps, and the homeserver in the middle.

One member's client refuses devices that their user's identity has not signed.
"""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import timedelta
from typing import Any

import msgspec

from bot.platforms.matrix.reading import KEYCAPS
from bot.sending import CALM
from bot.wording.matrix import MATRIX
from tests.bot.club.stories import EASY_SOLUTION
from tests.doubles.matrix.member import first_paragraph, message_of, text_of
from tests.matrix.conftest import PNG, Bench

# The marked lines of the encyclopaedia example by the rule (fewest givens; ties: rows, then lower
# numbers), counted by hand: columns 3 and 7 have one given each.
KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def test_the_clubs_day_goes_on_through_restarts_of_bot_and_homeserver(bench: Bench) -> None:
    await bench.start()
    await bench.tick()
    await the_puzzle_goes_up_once(bench)
    await bench.restart()
    await a_hint_is_climbed_from_paper(bench)
    await bench.restart_server()
    await bench.restart()
    await answers_are_wrong_then_right(bench)
    await bench.restart()
    await the_next_day_has_results_table_and_walkthrough(bench)
    await an_export_is_a_file(bench)
    if bench.is_encrypted:
        assert not bench.ben.refused, "the careful client took everything of the bot's"


async def the_puzzle_goes_up_once(bench: Bench) -> None:
    await bench.restart()
    await bench.tick()
    ben = bench.ben
    await ben.until(lambda: bench.posts(ben))
    (post,) = bench.posts(ben)
    content = post["content"]
    assert content["msgtype"] == "m.image"
    assert content["m.mentions"] == {"room": True}
    assert "level 1" in text_of(post).lower()
    assert "!start" in text_of(post)
    assert (await bench.picture(ben, post)).startswith(PNG)
    # The puzzle as text, for eye and ear, is below it, and the choices can be pressed.
    await ben.until(lambda: bench.thread(ben, post["event_id"]))
    (below,) = bench.thread(ben, post["event_id"])
    assert "53.|.7.|..." in text_of(below)
    assert "row 1" in text_of(below)

    def marks() -> list[str]:
        found = [e for e in ben.sources(bench.room_id) if e["type"] == "m.reaction"]
        return [e["content"]["m.relates_to"]["key"] for e in found]

    await ben.until(lambda: len(marks()) == 3)
    assert marks() == list(KEYCAPS[:3])


async def a_hint_is_climbed_from_paper(bench: Bench) -> None:
    ada = bench.ada
    await ada.until(lambda: bench.posts(ada))
    (post,) = bench.posts(ada)
    (started,) = await bench.press(ada, post, "Start my clock")
    # A short caption; what the picture shows is a tap away.
    assert "53.|.7.|..." not in text_of(started)
    assert "row 1:" not in text_of(started)
    assert "53.|.7.|..." in await bench.below(ada, started)
    assert "row 1:" in await bench.below(ada, started)
    assert (await bench.picture(ada, started)).startswith(PNG)
    (offered,) = await bench.ask(ada, "hint")
    await bench.restart()
    (form,) = await bench.press(ada, offered, "more on paper")
    assert MATRIX.form in text_of(form)
    template = re.search(
        r"^hint paste \d{4}-\d\d-\d\d\n(?:.{9,}\n?){9}", text_of(form), flags=re.MULTILINE
    )
    assert template is not None
    # On paper r5c5 is 5; on a phone one letter is typed over.
    filled = template[0].strip().replace("4..8.3..1", "4..853..1")
    assert filled != template[0].strip()
    echo, where = await bench.ask(ada, filled, messages=2)
    assert echo["content"]["msgtype"] == "m.image"
    (what,) = await bench.press(ada, where, "More: What")
    await bench.restart()
    (which,) = await bench.press(ada, what, "More: Which")
    (why,) = await bench.ask(ada, "hint more")
    assert len({first_paragraph(each) for each in (where, what, which, why)}) == 4
    assert which["content"]["msgtype"] == "m.image"
    # It climbs in one message, under the reactions; what is typed is answered below.
    assert message_of(where) == message_of(what) == message_of(which) != message_of(why)
    assert "What, rung 2" in text_of(what)
    assert await bench.picture(ada, which) != await bench.picture(ada, echo)
    assert MATRIX.picture not in text_of(which)
    assert MATRIX.picture in await bench.below(ada, which)
    assert len([room for room in ada.invited if room != bench.room_id]) == 1


async def answers_are_wrong_then_right(bench: Bench) -> None:
    ada, ben, rowan = bench.ada, bench.ben, bench.rowan
    (how,) = await bench.ask(ada, "hand-in")
    assert MATRIX.line.format("18 digits, spaces are fine") in text_of(how)
    assert re.search(r"\nhand-in \d{4}-\d\d-\d\d …\n", text_of(how))
    (wrong,) = await bench.ask(ada, f"hand-in {'1' * 18}")
    assert "Not yet" in text_of(wrong)
    (right,) = await bench.ask(ada, f"hand-in {KEY[:9]} {KEY[9:]}")
    assert "Not yet" not in text_of(right)
    await bench.tick()
    await rowan.until(lambda: any("Ada" in text for text in rowan.texts(bench.room_id)))
    (line,) = [each for each in bench.from_bot(rowan, bench.room_id) if "Ada" in text_of(each)]
    assert line["content"]["msgtype"] == "m.notice", "it makes no sound"
    assert line["content"]["m.mentions"] == {}
    (later,) = await bench.ask(ada, f"hand-in {KEY}")
    assert "already" in text_of(later)
    # Typed in the open it is taken away, and counts.
    said = await ben.say(bench.room_id, f"!hand-in {KEY}")
    (counted,) = await ben.until(lambda: bench.from_bot(ben, bench.private_room(ben)))
    assert "Not yet" not in text_of(counted)

    def is_gone() -> bool:
        events = [e for e in rowan.sources(bench.room_id) if e["event_id"] == said]
        return bool(events) and all(each.get("redacted") for each in events)

    await rowan.until(is_gone)
    # The line on who has solved it grows, at a calm pace.
    bench.ahead = CALM
    await bench.tick()

    def grown() -> list[dict[str, Any]]:
        return [each for each in bench.from_bot(rowan, bench.room_id) if "Ben" in text_of(each)]

    (edit,) = await rowan.until(grown)
    assert edit["content"]["m.relates_to"] == {
        "rel_type": "m.replace",
        "event_id": line["event_id"],
    }
    assert edit["content"]["m.new_content"]["msgtype"] == "m.notice"
    told = [text_of(each) for each in bench.from_bot(rowan, bench.room_id)]
    assert not any(KEY[:9] in text for text in told)


async def the_next_day_has_results_table_and_walkthrough(bench: Bench) -> None:
    ada, rowan = bench.ada, bench.rowan
    (first,) = bench.daily_posts(ada)
    bench.ahead = timedelta(days=1)
    await bench.restart()
    await bench.tick()
    await bench.tick()
    await ada.until(lambda: len(bench.daily_posts(ada)) == 2)
    await ada.until(lambda: len(bench.thread(ada, first["event_id"])) > 2)
    _, title, *steps = bench.thread(ada, first["event_id"])
    assert "How to solve the puzzle" in text_of(title)
    assert steps
    for step in steps:
        assert "data-mx-spoiler" in step["content"]["formatted_body"]
        assert text_of(step) == MATRIX.hidden, "the plain text holds nothing"
    # What stood on the closed post can be pressed still: it says that the day is over.
    (over,) = await bench.react(bench.ben, first, KEYCAPS[0])
    assert "has closed" in text_of(over)
    assert "Nothing was started" in text_of(over)
    (today,) = await bench.ask(bench.ben, "today")
    assert "not running yet" in text_of(today)
    # Of all time: on a Sunday the next day begins another week.
    (table,) = await bench.ask(ada, "leaderboard all")
    # Ben never started and is timed from the post; Ada has added seconds for hints and a wrong try.
    assert "Ada" in text_of(table)
    assert "Ben" in text_of(table)
    (report,) = await bench.ask(rowan, "club report yesterday", messages=1)
    (refused,) = await bench.ask(ada, "club report")
    assert "leaders" in text_of(refused)
    assert text_of(report) != text_of(refused)


async def an_export_is_a_file(bench: Bench) -> None:
    told, file = await bench.ask(bench.ada, "privacy export", messages=2)
    assert "everything I keep" in text_of(told)
    content = file["content"]
    assert (content["msgtype"], content["body"]) == ("m.file", "ninebark-export.json")
    assert content["info"]["mimetype"] == "application/json"
    raw = await bench.picture(bench.ada, file)
    assert len(raw) == content["info"]["size"]
    kept = json.loads(raw)
    assert (kept["user_id"], len(kept["entries"])) == (bench.ada.user_id, 1)
    assert kept["private_room"] == bench.private_room(bench.ada)
    assert kept["sent"]
    assert first_paragraph(told) not in str(kept["told"]), "an export is not kept"
    assert any("Not yet" in text for each in kept["told"] for text in each["words"])


async def test_a_member_who_has_not_come_in_yet_is_told_in_the_room_where_the_answer_is(
    open_bench: Bench,
) -> None:
    bench = open_bench
    await bench.start()
    await bench.tick()
    ada, ben, rowan = bench.ada, bench.ben, bench.rowan
    ending = MATRIX.invited.partition("{}")[2]

    def told() -> list[dict[str, Any]]:
        found = bench.from_bot(rowan, bench.room_id)
        return [each["content"] for each in found if text_of(each).endswith(ending)]

    await ada.say(bench.room_id, "!start")
    (notice,) = await rowan.until(told)
    assert notice["msgtype"] == "m.notice"
    assert notice["body"].startswith(ada.user_id)
    assert notice["m.mentions"] == {"user_ids": [ada.user_id]}
    # Ben's is the same line, changed.
    await ben.say(bench.room_id, "!start")
    _, changed = await rowan.until(lambda: told() if len(told()) > 1 else [])
    assert changed["m.relates_to"]["rel_type"] == "m.replace"
    assert changed["m.mentions"] == {"user_ids": [ben.user_id]}
    assert changed["m.new_content"]["body"].startswith(f"{ada.user_id}, {ben.user_id}: ")
    # She comes in, finds the answer there, and is not told again.
    started, *_ = await ada.until(lambda: bench.from_bot(ada, bench.private_room(ada)))
    assert "53.|.7.|..." in await bench.below(ada, started)
    await bench.ask(ada, "hint")
    await rowan.sync()
    assert len(told()) == 2


async def test_whom_the_config_names_leads_without_a_power_level(open_bench: Bench) -> None:
    bench = open_bench
    (entry,) = bench.entries
    leaders = (bench.ben.user_id,)
    settings = msgspec.structs.replace(entry.settings, leaders=leaders)
    bench.entries = [replace(entry, settings=settings)]
    await bench.start()
    await bench.tick()
    (page,) = await bench.ask(bench.ben, "club setup")
    assert "post-time" in text_of(page)
    (refused,) = await bench.ask(bench.ada, "club setup")
    assert "leaders" in text_of(refused)
    assert "post-time" not in text_of(refused)
