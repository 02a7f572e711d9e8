"""What a member wishes for in Discord: pictures in dark, and a word before their puzzle closes."""

from __future__ import annotations

from tests.discord.conftest import Bench
from tests.doubles.discord.people import answer_of
from tests.doubles.discord.world import Channel


async def test_pictures_follow_the_members_look_and_a_reminder_comes_in_private_words(
    bench: Bench, club: Channel
) -> None:
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await bench.start()
    await bench.tick()
    light = answer_of(await ada.command("start"))
    asked = answer_of(await ada.command("look"))
    await ada.press(asked, "Make mine dark")
    dark = answer_of(await ada.command("board"))
    other = answer_of(await ben.command("start"))
    assert list(other.files.values()) == list(light.files.values())
    assert not set(dark.files.values()) & set(light.files.values())
    await ada.command("remind", wish="on")
    await bench.restart()
    bench.later(hours=23, minutes=1)
    await bench.tick()
    (reminder,) = ada.direct()
    assert "yours is still open" in reminder.text
    assert bench.double.rest.pushes[-1].startswith("The puzzle for Monday 23 November closes")
    assert not ben.direct()
