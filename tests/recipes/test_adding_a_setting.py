"""The recipe for a setting, tried on a copy: three files, and everything else picks it up."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.recipes.tree import ROOT, Tree

MOST_FILES = 3
MEANING = "yes: a bell rings when the day's puzzle goes up"
COMPLETENESS = (
    "tests/bot/test_settings_both_ways.py"
    "::test_the_example_of_a_setting_works_in_config_and_room_alike[bell]",
    "tests/bot/test_settings_both_ways.py::test_no_setting_takes_what_is_of_another_kind[bell]",
    "tests/bot/test_settings_both_ways.py"
    "::test_settings_stored_before_there_was_this_one_are_read[bell]",
    "tests/bot/wording/test_every_reply.py::test_every_setting_has_an_example_and_is_explained",
    "tests/bot/wording/test_every_reply.py"
    "::test_every_setting_is_offered_in_discord_with_what_it_is_for",
    "tests/bot/club/test_setting_up.py::test_what_is_written_reads_back_as_the_same_settings",
    "tests/test_documents.py::test_the_example_config_explains_every_setting_and_no_other",
    "tests/test_documents.py::test_the_example_config_shows_the_values_that_hold_when_it_is_silent",
)

ASK = r"""
import json
from datetime import date
from pathlib import Path
import bot
from bot import wording
from bot.club.replies import HelpShown
from bot.club.setting_up import change_settings, written_settings
from bot.club.state import ClubSettings
from bot.commands.specs import sketch_commands
from bot.wiring.platforms import read_settings
from bot.storage.rows import _SETTINGS
from bot.wording.settings import SETTING_EXAMPLES

path = Path("config.toml")
path.write_text('[[club]]\nplatform = "web"\nroom = "main"\nname = "Elm"\nbell = true\n')
plain = ClubSettings("Elm")
options = {option.name: option for command in sketch_commands(lambda: date(2026, 11, 24))
           if command.name == "club setup" for option in command.options}
print(json.dumps({
    "place": bot.__path__[0],
    "config": read_settings(path).clubs[0].settings.bell,
    "room": change_settings(plain, (("bell", "yes"),))[0].bell,
    "shown": dict(written_settings(plain))["bell"],
    "example": SETTING_EXAMPLES["bell"],
    "help": wording.phrase(HelpShown(topic="club-setup", is_leader=True, sealed=False,
                                     costs=(1, 2, 3, 4), wrong_cost=5)).text,
    "discord": [options["bell"].purpose, list(options["bell"].choices)],
    "stored": _SETTINGS.decode(b'{"name":"Elm"}').bell,
}))
"""


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    return Tree(tmp_path)


def add_record(tree: Tree) -> None:
    tree.add("bot/club/settings.py", "    bell: bool = False\n", before="    uniqueness: bool =")
    record = '    Setting("bell", notations.switch(), True),\n'
    tree.add("bot/club/settings.py", record, before='    Setting("look",')


def add_words(tree: Tree) -> None:
    tree.add("bot/wording/settings.py", f'    "bell": "{MEANING}",\n', before='    "look": "')


def add_to_example(tree: Tree) -> None:
    lines = "# Whether a bell rings when the day's puzzle goes up.\nbell = false\n\n"
    tree.add("config.example.toml", lines, before="# The theme of posted pictures")


def test_the_recipe_names_the_files_that_a_setting_touches(tree: Tree) -> None:
    add_record(tree)
    add_words(tree)
    add_to_example(tree)
    touched = tree.touched()
    assert len(touched) <= MOST_FILES
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    recipe = text.partition("## Adding a setting\n")[2].partition("\n## ")[0]
    assert sorted(re.findall(r"^\d\. `([^`]+)`", recipe, flags=re.MULTILINE)) == touched


def test_a_setting_by_the_recipe_is_picked_up_everywhere(tree: Tree) -> None:
    add_record(tree)
    add_words(tree)
    add_to_example(tree)
    asked = tree.run("-c", ASK)
    assert asked.returncode == 0, asked.stderr
    told = json.loads(asked.stdout)
    assert told.pop("place") == str(tree.folder / "bot")
    assert f"\nbell: {MEANING}\n" in told.pop("help")
    assert told == {
        "config": True,
        "room": True,
        "shown": "no",
        "example": "bell=yes",
        "discord": [MEANING.capitalize(), ["yes", "no"]],
        "stored": False,
    }
    done = tree.test(*COMPLETENESS)
    assert done.returncode == 0, done.stdout[-2000:]


@pytest.mark.long
def test_what_is_missing_of_a_setting_is_named(tree: Tree) -> None:
    add_record(tree)
    done = tree.test(*COMPLETENESS)
    failed = re.findall(r"^FAILED (\S+)", done.stdout, flags=re.MULTILINE)
    assert {each.partition("::")[2] for each in failed} == {
        "test_every_setting_has_an_example_and_is_explained",
        "test_every_setting_is_offered_in_discord_with_what_it_is_for",
        "test_the_example_config_explains_every_setting_and_no_other",
    }
    assert "bell of [[club]] has no line with a comment above it" in done.stdout
    assert "KeyError: 'bell'" in done.stdout
