"""Names and credits that try to be markup, to ping or to turn the line round: shown as letters."""

from __future__ import annotations

import msgspec
import pytest

from bot.platforms.discord.text import escape
from tests.bot.club.stories import EASY_SOLUTION, easy_puzzle, seventeen_puzzle
from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.shown import read_plain

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
NAMES = (
    "@everyone",
    "<@80351110224678912>",
    "**Ada** __x__ ~~y~~ ||z||",
    "[free](http://nitro.invalid)",
    "# Heading",
    "`code` ```block```",
    "\u202egnip \u05d0\u05d3\u05d4",
    "\U0001f9e9" * 32,
    "<:x:80351110224678912> :tada: <t:0:R>",
    "- one 1. two > three",
)


@pytest.mark.parametrize("name", NAMES)
async def test_a_name_is_shown_letter_for_letter_and_pings_nobody(bench: Bench, name: str) -> None:
    channel = bench.double.add_club(name)
    bench.add_club(channel, name=name[:60])
    await bench.queue(
        channel,
        msgspec.structs.replace(easy_puzzle(), credit=name),
        msgspec.structs.replace(seventeen_puzzle(), credit=name),
    )
    ada = bench.double.person(name, channel)
    await bench.start()
    await bench.tick()
    await ada.command("start")
    bench.later(minutes=5)
    answer_of(await ada.command("hand-in", answer=KEY))
    table = answer_of(await ada.command("leaderboard", period="week"))
    await bench.tick()
    shown = ada.sees()
    # Direction marks are taken out of names before they reach any room.
    visible = name.replace("\u202e", "").strip()
    assert any(visible[:31] in each.text for each in shown if not each.is_private)
    assert any(visible[:31] in alt for alt in table.alts)


@pytest.mark.parametrize("name", ["Ninebark", "N\u0456nebark", "NINEBARK (official)"])
async def test_who_takes_the_bots_name_is_told_apart_from_it_by_their_handle(
    bench: Bench, name: str
) -> None:
    channel = bench.double.add_club()
    bench.add_club(channel)
    await bench.queue(channel, easy_puzzle(), seventeen_puzzle())
    taker, ada = bench.double.person(name, channel), bench.double.person("Ada", channel)
    await bench.start()
    await bench.tick()
    for each in (taker, ada):
        await each.command("start")
    bench.later(minutes=5)
    for each in (taker, ada):
        assert "Right" in answer_of(await each.command("hand-in", answer=KEY)).text
    table = answer_of(await ada.command("leaderboard", period="week"))
    await bench.tick()
    bench.later(minutes=1)
    await bench.tick()
    apart = f"{name[:16]} (@{name.lower()})"[:30]
    said = [each.text for each in ada.sees() if not each.is_private]
    assert any(apart in text for text in said)
    assert any("Ada" in text and "Ada (" not in text for text in said)
    assert any(apart in alt for alt in table.alts)


@pytest.mark.parametrize(
    "text",
    [
        "a *b* _c_ ~d~ `e` |f| > g\n# h\n- i\n1. j\n-# k\n> l",
        "https://example.invalid/x_y_z?a=*b*",
        "\\* back\\slashes \\\\ \\@everyone",
        "a\n\n  - b\n 10) c\n+ d",
        "r4c5 = 7; 1:05 h; 2026-11-23; (x) [y] {z}",
    ],
)
def test_an_escaped_text_reads_as_it_was_written_and_nothing_in_it_is_live(text: str) -> None:
    read, _, live = read_plain(escape(text))
    assert read == text
    assert not live


def test_the_reader_of_the_tests_sees_live_markup_where_it_is_not_escaped() -> None:
    for text in ("**b**", "@everyone", "<@1>", "# h", "- i", "[a](b)", "http://x", "1. a", "`c`"):
        assert read_plain(text)[2], text
