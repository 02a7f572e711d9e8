"""Commands as Discord takes them, and lines from what was typed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from bot.club.acts import QueuePuzzle, RuleResult, SetUpClub
from bot.commands import table as commands
from bot.commands.specs import complete_marks, sketch_commands
from bot.platforms.discord.commands import CommandBook
from bot.platforms.sketch import CommandSketch, OptionSketch
from tests.doubles.discord.limits import command_problems
from tests.doubles.discord.schema import body_problems

BOOK = CommandBook(sketch_commands(lambda: date(2026, 11, 23)), "For leaders.")
PUT = ("PUT", "/applications/{application_id}/commands")


def typed(name: str, **options: str) -> dict[str, Any]:
    top, _, sub = name.partition(" ")
    made = [{"name": key, "type": 3, "value": value} for key, value in options.items()]
    return {"name": top, "options": [{"name": sub, "type": 1, "options": made}] if sub else made}


def test_every_command_of_the_table_is_offered_within_the_limits() -> None:
    payload = BOOK.payload()
    assert not command_problems(payload)
    assert not body_problems(*PUT, payload)
    names = {each["name"] for each in payload}
    assert names == {name.split()[0] for name in commands.command_names()}
    (club,) = [each for each in payload if each["name"] == "club"]
    assert {f"club {each['name']}" for each in club["options"]} == {
        name for name in commands.command_names() if name.startswith("club ")
    }


@pytest.mark.parametrize(
    ("name", "options", "line"),
    [
        ("hint", {"way": "board"}, "hint board"),
        ("place", {"marks": "r4c5 7"}, "place r4c5 7"),
        ("privacy", {"wish": "erase sure"}, "privacy erase sure"),
        ("club result", {"reason": "seen", "verdict": "accept", "member": "42"},
         "club result 42 accept seen"),
        ("club queue", {"credit": "Our own", "grid": "53..7"}, "club queue 53..7 credit=Our own"),
        ("club setup", {"zone": "Europe/London", "post-time": "18:00"},
         "club setup zone=Europe/London post-time=18:00"),
    ],
)  # fmt: skip
def test_typed_options_make_the_line_that_would_be_typed(
    name: str, options: dict[str, str], line: str
) -> None:
    assert BOOK.read(typed(name, **options)).line == line


def test_the_lines_are_read_as_they_are_meant() -> None:
    ruled = commands.parse("club result 42 accept seen", {}, in_open=False)
    assert ruled == RuleResult("42", "accept", "seen")
    queued = commands.parse("club queue 53..7 credit=Our own", {}, in_open=False)
    assert isinstance(queued, QueuePuzzle)
    assert queued.credit == "Our own"
    line = BOOK.read(typed("club setup", zone="Europe/London", sealed="yes")).line
    assert commands.parse(line, {}, in_open=False) == SetUpClub(
        (("zone", "Europe/London"), ("sealed", "yes"))
    )


def test_names_and_purposes_can_be_translated() -> None:
    option = OptionSketch("way", "Where", names={"de": "weg"}, purposes={"de": "Wo"})
    sketch = CommandSketch("hint", "A nudge", (option,), names={"de": "hinweis"})
    payload = CommandBook([sketch], "").payload()
    assert payload[0]["name_localizations"] == {"de": "hinweis"}
    assert payload[0]["options"][0]["description_localizations"] == {"de": "Wo"}
    assert not body_problems(*PUT, payload)


def test_a_name_that_discord_would_refuse_is_refused_here() -> None:
    with pytest.raises(ValueError, match="Hint"):
        CommandBook([CommandSketch("Hint", "x")], "").payload()


def test_marks_complete_behind_what_stands_already() -> None:
    assert list(complete_marks(""))[:2] == ["r1c1", "r1c2"]
    assert list(complete_marks("r4c5 ")) == [f"r4c5 {digit}" for digit in range(1, 10)]
    assert complete_marks("r4c5 7 r9c9")[0] == "r4c5 7 r9c9 1"
    assert list(complete_marks("nonsense")) == []
