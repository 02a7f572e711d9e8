"""The recipe for a language, tried on a copy: its words, its code, and clubs can choose it."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from tests.recipes.tree import ROOT, Tree

COMPLETENESS = "tests/bot/wording/test_every_language.py"
SENTENCE = "Ruled out: "
SPOKEN = "Doorgestreept: "

ASK = r"""
import asyncio
import json
from pathlib import Path
from bot.club.setting_up import change_settings
from bot.club.settings import ClubSettings
from bot.commands.specs import sketch_commands
from bot.exchange import compose
from bot.wiring.platforms import read_settings
from datetime import date
from tests.bot.wording.samples import board_shown

path = Path("config.toml")
path.write_text('[[club]]\nplatform = "web"\nroom = "main"\nname = "Elm"\nlanguage = "xx"\n')
club = read_settings(path).clubs[0].settings
options = {option.name: option for command in sketch_commands(lambda: date(2026, 11, 24))
           if command.name == "club setup" for option in command.options}
struck = board_shown("ruled-out", marks=(("r4c5", 1),))
say = lambda settings: asyncio.run(compose(struck, settings))[0].text
print(json.dumps({
    "config": club.language,
    "room": change_settings(ClubSettings("Elm"), (("language", "xx"),))[0].language,
    "discord": list(options["language"].choices),
    "spoken": say(club),
    "english": say(ClubSettings("Elm")),
}))
"""


@pytest.fixture
def tree(tmp_path: Path) -> Tree:
    return Tree(tmp_path)


def add_words(tree: Tree) -> None:
    """Copy the package of words, have it import itself, and say one sentence otherwise."""
    folder = tree.folder / "bot" / "wording_xx"
    shutil.copytree(tree.folder / "bot" / "wording", folder)
    spoken = 0
    for path in folder.rglob("*.py"):
        text = re.sub(r"\bbot\.wording\b", "bot.wording_xx", path.read_text(encoding="utf-8"))
        spoken += text.count(SENTENCE)
        path.write_text(text.replace(SENTENCE, SPOKEN), encoding="utf-8")
    assert spoken


def add_code(tree: Tree) -> None:
    path = tree.folder / "bot" / "club" / "settings.py"
    text = path.read_text(encoding="utf-8")
    assert text.count('LANGUAGES = ("en",)') == 1
    path.write_text(text.replace('("en",)', '("en", "xx")'), encoding="utf-8")


def test_a_language_by_the_recipe_is_one_that_clubs_can_choose(tree: Tree) -> None:
    add_words(tree)
    add_code(tree)
    assert [each for each in tree.touched() if "wording_xx" not in each] == ["bot/club/settings.py"]
    asked = tree.run("-c", ASK)
    assert asked.returncode == 0, asked.stderr
    told = json.loads(asked.stdout)
    assert told["config"] == told["room"] == "xx"
    assert told["discord"] == ["en", "xx"]
    assert SPOKEN in told["spoken"]
    assert SENTENCE in told["english"]
    done = tree.test(COMPLETENESS)
    assert done.returncode == 0, done.stdout[-2000:]
    assert "[xx]" in done.stdout


@pytest.mark.long
def test_what_is_missing_of_a_language_is_named(tree: Tree) -> None:
    add_words(tree)
    add_code(tree)
    front = tree.folder / "bot" / "wording_xx" / "__init__.py"
    text = front.read_text(encoding="utf-8")
    assert text.count("    **tables.PHRASES,\n") == 1
    front.write_text(text.replace("    **tables.PHRASES,\n", ""), encoding="utf-8")
    done = tree.test(COMPLETENESS)
    failed = re.findall(r"^FAILED (\S+)", done.stdout, flags=re.MULTILINE)
    assert [each.partition("::")[2] for each in failed] == [
        "test_every_kind_of_reply_has_words_in_the_language[xx]"
    ]
    assert "KeyError" in done.stdout
    assert "TableShown" in done.stdout


def test_the_recipe_names_what_a_language_touches() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    recipe = text.partition("## Adding a language\n")[2].partition("\n## ")[0]
    assert re.findall(r"^\d\. `([^`]+)`", recipe, flags=re.MULTILINE) == [
        "bot/wording_<code>/",
        "bot/club/settings.py",
    ]
