"""Words that people read stand in `bot/wording` alone, and every option explains itself there."""

from __future__ import annotations

import argparse
import ast
from collections.abc import Iterator
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

import pytest

from bot.cli.main import build_parser
from bot.wording import terminal_help
from tests.strays import find_strays

ROOT = Path(__file__).resolve().parent.parent
BOT, WORDING = ROOT / "bot", ROOT / "bot" / "wording"

EXCEPTIONS = {
    ("bot/*.py", "Hedgerow Sudoku Club"): "the invented club's name, in the demo and in examples",
    ("bot/platforms/discord/permissions.py", "*"): "Discord's own names of its settings, by which "
    "a leader finds them",
    ("bot/cli/starting_recipes.py", "# The puzzles that*"): "the head of an asset that it writes",
}
"""(module, literal) as patterns, each with its reason."""


@cache
def strays() -> tuple[tuple[str, int, str], ...]:
    outside = [path for path in sorted(BOT.rglob("*.py")) if not path.is_relative_to(WORDING)]
    return tuple(
        (path.relative_to(ROOT).as_posix(), stray.line, stray.text)
        for path in outside
        for stray in find_strays(ast.parse(path.read_text(encoding="utf-8")))
    )


def is_excepted(name: str, text: str) -> bool:
    return any(
        fnmatchcase(name, module) and fnmatchcase(text, literal) for module, literal in EXCEPTIONS
    )


def test_words_that_people_read_stand_in_wording_alone() -> None:
    found = [
        f"{name}:{line}: {text!r}" for name, line, text in strays() if not is_excepted(name, text)
    ]
    assert not found, "move these to bot/wording:\n" + "\n".join(found)


def test_no_exception_outlives_what_it_was_made_for() -> None:
    for module, literal in EXCEPTIONS:
        assert any(
            fnmatchcase(name, module) and fnmatchcase(text, literal) for name, _, text in strays()
        ), f"{module}, {literal!r} excepts nothing any more"


PLANTED = {
    "a sentence that is printed": 'say(f"There is no port {port}.")',
    "help of an option": 'parser.add_argument("--port", help="takes any free one")',
    "a message": 'Message("your clock is running")',
    "a message by keyword": 'Message(text=f"{name}, you\'re done")',
    "a sentence that is only returned": 'return "Nobody has solved it yet"',
    "a title beside a name": 'name = given or "Sudoku Club"',
    "an error of a reader of arguments": 'raise ArgumentTypeError("is no number")',
    "a sentence filled in": 'text = f"{file} cannot be written ({why}). Name another."',
}

FOR_NOBODY = {
    "a docstring": 'def f() -> None:\n    """Say what it does. And more."""',
    "a log line": '_LOG.warning("Discord is out of reach; connecting goes on.")',
    "an error for programmers": 'raise ValueError("A moment needs a zone.")',
    "facts of an error": 'super().__init__("Nothing was made of it.")',
    "an assertion": 'assert club, "It was inserted just now."',
    "a statement of SQL": 'link.execute("SELECT name FROM member WHERE id = ?", id)',
    "a condition of SQL": 'where = "day.club_id = ? AND day.date = ?"',
    "a command line": 'button = "hint for 7"',
    "one word": 'title = "Hint"',
}


@pytest.mark.parametrize("code", PLANTED.values(), ids=PLANTED)
def test_a_planted_stray_is_found(code: str) -> None:
    assert [stray.line for stray in find_strays(ast.parse(code))] == [1]


@pytest.mark.parametrize("code", FOR_NOBODY.values(), ids=FOR_NOBODY)
def test_what_nobody_reads_is_left_alone(code: str) -> None:
    assert not list(find_strays(ast.parse(code)))


# --- the command line's help ---


def parsers() -> Iterator[tuple[str, argparse.ArgumentParser]]:
    waiting = [("", build_parser())]
    while waiting:
        name, parser = waiting.pop()
        yield name, parser
        for action in parser._actions:
            if isinstance(action, argparse._SubParsersAction):
                waiting += [(f"{name} {each}".strip(), one) for each, one in action.choices.items()]


def test_every_command_has_its_purpose_and_no_other_has_one() -> None:
    named = {name: parser.description for name, parser in parsers()}
    assert named == {"": terminal_help.PROGRAM, **terminal_help.PURPOSES}


def test_every_argument_and_option_is_explained() -> None:
    told = {value for value in vars(terminal_help).values() if isinstance(value, str)}
    unexplained = [
        f"{name} {action.dest}"
        for name, parser in parsers()
        for action in parser._actions
        if not isinstance(action, argparse._SubParsersAction | argparse._HelpAction)
        and action.help not in told
    ]
    assert not unexplained


def test_no_explanation_is_left_without_its_option() -> None:
    used = {action.help for _, parser in parsers() for action in parser._actions}
    used |= {parser.epilog for _, parser in parsers()} | {terminal_help.PROGRAM}
    told = {
        name: value
        for name, value in vars(terminal_help).items()
        if name.isupper() and isinstance(value, str)
    }
    assert not [name for name, value in told.items() if value not in used]
