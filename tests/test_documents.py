"""Documents that cannot lie: every command and setting stands in them, and no other."""

from __future__ import annotations

import argparse
import re
import shlex
import tomllib
from pathlib import Path

import pytest
from PIL import Image

from bot import settings
from bot.cli.main import build_parser, main
from bot.club.answer_key import answer_of, line_names
from bot.commands.table import COMMANDS
from bot.wiring.platforms import PLATFORMS, read_settings
from engine import find_solutions, format_grid, parse_grid
from engine.techniques import LADDER
from tests.bot.drawing.golden import TOLERATED_SHARE, difference_of

ROOT = Path(__file__).resolve().parent.parent
GUIDES = sorted((ROOT / "assets" / "guides").glob("*.md"))
PAGES = (ROOT / "README.md", *GUIDES)
TOLD = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
"""What users are told: README and the guides."""
EXAMPLE = ROOT / "config.example.toml"
TOPS = ("engine", "bot", "tests")


def subcommands(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def all_commands() -> dict[str, argparse.ArgumentParser]:
    found = {}
    for name, parser in subcommands(build_parser()).items():
        inner = subcommands(parser)
        found.update({f"{name} {action}": each for action, each in inner.items()})
        if not inner:
            found[name] = parser
    return found


@pytest.mark.parametrize("command", all_commands())
def test_users_are_told_of_every_command_of_the_command_line(command: str) -> None:
    assert f"ninebark {command}" in TOLD


def test_no_command_or_option_is_told_of_that_is_not_there() -> None:
    known = all_commands()
    options = {
        option for parser in (build_parser(), *known.values()) for action in parser._actions
        for option in action.option_strings
    }  # fmt: skip
    for line in re.findall(r"(?<![\w/])ninebark ((?:puzzles )?[a-z]+)[^`\n]*", TOLD):
        assert line in known, line
    for option in re.findall(r"(?<=[ `])--[a-z][a-z-]*", TOLD):
        assert option in options, option


@pytest.mark.parametrize("command", [command.name for command in COMMANDS])
def test_users_are_told_of_every_command_in_the_room(command: str) -> None:
    assert f"| `{command}` |" in TOLD


def test_the_tables_name_every_command_as_the_room_knows_it() -> None:
    in_tables = re.findall(r"^\| `([a-z -]+)` \|", TOLD, flags=re.MULTILINE)
    assert set(in_tables) == {command.name for command in COMMANDS}


def test_users_are_told_of_every_technique() -> None:
    for technique in LADDER:
        words = technique.id.split("-")
        assert words[-1] in TOLD.lower(), technique.id
        assert words[0] in TOLD.lower(), technique.id


def test_readme_is_short_and_leads_to_every_guide() -> None:
    readme = PAGES[0].read_text(encoding="utf-8")
    assert len(readme.splitlines()) <= 150
    assert {f"assets/guides/{guide.name}" for guide in GUIDES} == set(
        re.findall(r"\]\((assets/guides/[^)]+)\)", readme)
    )


def test_links_between_the_guides_lead_somewhere() -> None:
    for guide in GUIDES:
        for target in re.findall(r"\]\(([^)]+)\)", guide.read_text(encoding="utf-8")):
            assert (guide.parent / target).exists(), (guide.name, target)


def test_the_pictures_of_readme_are_what_its_commands_draw_now(tmp_path: Path) -> None:
    drawn = re.findall(r"^ninebark (picture .*)--out (assets/readme/\S+)$", TOLD, re.MULTILINE)
    shown = re.findall(r"\]\((assets/readme/[^)]+)\)", TOLD)
    assert sorted(name for _, name in drawn) == sorted(shown) != []
    for words, name in drawn:
        out = tmp_path / Path(name).name
        assert main([*shlex.split(words), "--out", str(out)]) == 0
        with Image.open(ROOT / name) as kept, Image.open(out) as now:
            assert kept.size == now.size
            assert difference_of(kept, now)[0] <= TOLERATED_SHARE, f"{name} is drawn otherwise now"
        assert (ROOT / name).stat().st_size < 40_000


def test_readme_hands_in_what_stands_in_the_lines_that_its_picture_marks() -> None:
    readme = PAGES[0].read_text(encoding="utf-8")
    (givens,) = re.findall(r"^ninebark picture (\S+) --lines ", readme, re.MULTILINE)
    (answer,) = re.findall(r"`hand-in (\d+)`", readme)
    (solved,) = find_solutions(parse_grid(givens))
    assert answer == answer_of(format_grid(solved), line_names(givens))


TABLES = {
    "top": settings.TOP_KEYS,
    **{f"[{platform.name}]": platform.table.keys for platform in PLATFORMS},
    "[[club]]": settings.CLUB_KEYS,
    "[club.penalties]": settings.PENALTY_KEYS,
}


def test_the_example_config_explains_every_setting_and_no_other() -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    for platform in PLATFORMS:
        assert re.search(rf"^(?:# )?\[{platform.name}\]", text, flags=re.MULTILINE), platform.name
        assert f'"{platform.name}"' in text, f"`platform` does not name {platform.name}"
    for table, keys in TABLES.items():
        for key in keys:
            found = re.search(rf"(?:^#.*\n)+(?:# )?{key} = ", text, flags=re.MULTILINE)
            assert found, f"{key} of {table} has no line with a comment above it"
    assert read_settings(EXAMPLE).clubs


def test_each_example_in_the_settings_is_a_line_that_works() -> None:
    for keys in TABLES.values():
        for key, (read, example) in keys.items():
            parsed = tomllib.loads(example)
            assert list(parsed) == [key]
            read(parsed[key])


def test_the_example_config_shows_the_values_that_hold_when_it_is_silent(tmp_path: Path) -> None:
    least = tmp_path / "least.toml"
    least.write_text(
        '[[club]]\nplatform = "web"\nroom = "main"\nname = "Hedgerow Sudoku Club"\n',
        encoding="utf-8",
    )
    silent, told = read_settings(least), read_settings(EXAMPLE)
    assert silent.clubs == told.clubs
    assert (silent.log_level, silent.platforms) == (told.log_level, told.platforms)


def developers_page() -> str:
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_the_map_of_the_code_is_short_and_names_only_what_is_there() -> None:
    text = developers_page()
    assert len(text.splitlines()) <= 150
    for name in re.findall(r"`((?:engine|bot|assets|tests)/[\w./*]+)`", text):
        assert list(ROOT.glob(name)) or "<" in name, name
    for name in set(re.findall(r"`((?:\w+/)?\w+\.py)`", text)):
        found = [ROOT / name, *(path for top in TOPS for path in (ROOT / top).rglob(name))]
        assert any(path.exists() for path in found), name


def test_the_walk_through_the_code_finds_each_thing_where_it_says() -> None:
    _, _, after = developers_page().partition("## One hint, file by file\n")
    steps = re.findall(r"^\d+\. (.*)$", after.partition("\n## ")[0], flags=re.MULTILINE)
    assert 10 <= len(steps) <= 14
    for step in steps:
        named = re.findall(r"`([^`]+)`", step)
        code = "".join(
            path.read_text(encoding="utf-8")
            for name in named
            if "/" in name
            for path in [ROOT / name]
        )
        for name in named:
            if not name.endswith(".py"):
                assert re.search(rf"\b{name}\b", code), f"{name} is not where {step!r} says"
