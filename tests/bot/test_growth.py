"""What is read from outside costs no more than its length, whoever sends it and whatever it holds.

Every public reader of the two packages is in the table; a test looks for those that are not.
"""

from __future__ import annotations

import ast
import inspect
import io
import re
from argparse import ArgumentTypeError
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import cache, partial
from importlib import import_module
from pathlib import Path

import pytest

from bot import wording
from bot.club import answer_key, queue_vetting, setting_up
from bot.club.refusal import RefusedError
from bot.club.replies import CommandUnknown, InputRefused
from bot.club.settings import SETTINGS
from bot.club.state import ClubSettings
from bot.commands import table as commands
from bot.commands.arguments import ArgumentError
from bot.grid_input import InputError, find_grids
from bot.platforms.discord import text as discord_text
from bot.platforms.matrix import reading as matrix_reading
from bot.platforms.message import Photo
from bot.platforms.web import frames as web_frames
from engine.board import layout_names
from engine.board.layout import CLASSIC
from engine.errors import EngineError
from tests.bot.growth import MOST_TIMES_DEARER, RUNS, TAILS, Growth, Read, growth_of, growths

ROOT = Path(__file__).resolve().parents[2]
SHORT, LONG = 10_000, 100_000

EASY = "53..7....6..195....98....6.8...6...34..8.3..17...2...6.6....28....419..5....8..79"
SOLVED = "534678912672195348198342567859761423426853791713924856961537284287419635345286179"
LINES = ("row 1", "row 2")

REFUSALS = (ArgumentTypeError,
    ArgumentError, EngineError, InputError, RefusedError, ValueError,
    answer_key.AnswerUnreadableError,
)  # fmt: skip

BEGINS: dict[str, tuple[str, ...]] = {
    "bot.commands.for_members.read_hint": ("", "box ", "paste "),
    "bot.commands.for_members.read_hand_in": ("", "date"),
    "bot.commands.for_members.read_placing": ("", "r4c5=7 "),
    "bot.commands.for_members.read_ruling_out": ("", "r4c5 1 "),
    "bot.commands.for_members.read_whole_row": ("", "4 "),
    "bot.commands.arguments.read_candidates": ("", "r4c5 1 "),
    "bot.commands.arguments.read_marks": ("", "r4c5=7 "),
    "bot.commands.arguments.read_row": ("", "4 "),
    "bot.commands.arguments.read_pairs": ("", "name=", "name"),
    "bot.commands.arguments.read_plan_words": ("", "mon theme=", "week"),
    "bot.commands.arguments.take_date": ("", "date", "2026-11-24"),
    "bot.commands.arguments.take_house": ("", "box"),
    "bot.commands.arguments.take_level": ("", "level"),
    "bot.platforms.discord.marks.parse_press": ("", "nb:1:", "nb:"),
    "bot.platforms.matrix.reading.take_fields": ("", "club queue\ngrid:\n"),
    "bot.platforms.web.frames.parse_frame": ("", '{"type":"act","id":"1","text":"', "[" * 50),
    "bot.club.themes.read_theme": ("", "naked-"),
    "bot.commands.table.parse": ("",),
    "bot.commands.table.parse_called": ("", "hint ", "stuck "),
    "bot.commands.for_leaders.read_plan": ("", "mon theme="),
    "bot.commands.for_leaders.read_queue": ("", "level", "remove", "date"),
    "bot.commands.for_leaders.read_ruling": ("", "Anna accept ", "Anna date"),
    "bot.commands.for_leaders.read_settings": ("", "name=", "name"),
    "engine.board.pasting.read_pasted": ("", EASY, "\n" * 9),
}
"""How a text starts that gets far in a reader; any other text only from nothing."""

PREFIXES = (
    "read_", "take_", "parse", "looks_like_", "complete", "clean_", "escape", "split_", "is_snow",
)  # fmt: skip

DEFINES_A_READER = re.compile(rf"^def (?:{'|'.join(PREFIXES)})", re.MULTILINE)

IN_PIECES = ("bot.platforms.discord.text.split_text", "bot.platforms.matrix.layout.split_text")
"""These begin to work where a text is longer than a piece: only longer ones compare."""

NOT_FROM_OUTSIDE = {
    "bot.platforms.web.guard.parse_loopback": "an address that the host gives when starting it",
    "bot.wording.techniques.read_lesson": "a lesson of ours",
}


async def _fetch_none(most: int) -> None:
    return None


NO_PHOTO = Photo(1, _fetch_none)


def public_readers() -> dict[str, Callable[..., object]]:
    """Return every public function that by its name reads text, and whose first argument is one."""
    found = {}
    for package in ("engine", "bot"):
        for path in sorted((ROOT / package).rglob("*.py")):
            code = path.read_text(encoding="utf-8")
            if not DEFINES_A_READER.search(code):
                continue  # Every test process asks: to parse all code in each would take seconds.
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            for node in ast.parse(code).body:
                if not isinstance(node, ast.FunctionDef) or not node.name.startswith(PREFIXES):
                    continue
                first = next(iter(node.args.args), None)
                kind = ast.unparse(first.annotation) if first and first.annotation else ""
                if kind in ("str", "str | bytes"):
                    name = f"{module.removesuffix('.__init__')}.{node.name}"
                    found[name] = getattr(import_module(module), node.name)
    return found


def _with_one_argument(read: Callable[..., object]) -> Read:
    """Return a reader of a text alone; form's fields are none, limits are what is usual."""
    needed = [
        each
        for each in inspect.signature(read).parameters.values()
        if each.default is inspect.Parameter.empty
    ][1:]
    match [each.name for each in needed]:
        case []:
            return read
        case ["fields"]:
            return lambda text: read(text, {})
        case ["solution", "lines"]:
            return lambda text: read(text, SOLVED, LINES)
        case ["limit"]:
            return lambda text: read(text, 40)
        case ["photo"]:
            return lambda text: read(text, NO_PHOTO)
        case ["by_name"]:
            return lambda text: read(text, by_name=False)
        case ["key_id", "description"]:
            return lambda text: read(text, "key", {})
        case ["fields", "in_open"]:
            return lambda text: read(text, {}, in_open=True)
    raise AssertionError(f"no arguments known for {read}")


def _tell(problem: str) -> Read:
    return lambda text: wording.phrase(
        InputRefused(command="club queue", problem=problem, text=text, typed=text)
    )


def _said_in_open(text: str) -> object:
    return answer_key.answer_within(text, SOLVED, LINES)


OTHERS: dict[str, tuple[Read, tuple[str, ...]]] = {
    "a line in private": (
        lambda text: commands.parse(text, {}, in_open=False), ("", "hand-in date")
    ),
    "a line on a day": (
        lambda text: commands.parse(text, {}, in_open=False, today=date(2026, 11, 24)),
        ("", "walkthrough ", "walkthrough 24 Nov ", "leaderboard ", "club queue tuesday "),
    ),
    "a form's field": (lambda text: commands.parse("paste", {"grid": text}, in_open=False), ("",)),
    "the name for the log": (commands.name_of, ("", "club queue level")),
    "talk that may hold an answer": (_said_in_open, ("", SOLVED[:17])),
    "splitting queued puzzles": (queue_vetting.split_puzzles, ("", EASY)),
    "each setting": (
        lambda text: [
            _quietly(partial(setting_up.change_settings, ClubSettings("Maple"), ((name, text),)))
            for name in (setting.name for setting in SETTINGS)
        ],
        ("", "1,2", "Europe/"),
    ),
    "an unknown command": (
        lambda text: wording.phrase(CommandUnknown(text=text, nearest=None)), ("",)
    ),
    "a refused value": (_tell("value"), ("",)),
    "a refused puzzle": (_tell("many-solutions"), ("",)),
    "a line for a room in Matrix": (
        lambda text: matrix_reading.address(text, "!nb", is_direct=False), ("", "!nb")
    ),
    "an event in Matrix": (
        lambda text: matrix_reading.read_event(
            {
                "type": "m.room.message",
                "content": {
                    "msgtype": "m.text", "body": text, "m.relates_to": {"m.in_reply_to": {}},
                },
            }
        ),
        ("", "> a\n"),
    ),
    "a block of code for Discord": (discord_text.code_block, ("",)),
    "grids of a command line": (lambda text: list(find_grids(text, io.StringIO())), ("", EASY)),
    "a layout's name": (layout_names.layout_named, ("", "irregular:", "diagonal:")),
    "a cell's name": (CLASSIC.parse_cell, ("", "r4c")),
    "a digit": (CLASSIC.parse_digit, ("",)),
    "a house's name": (CLASSIC.parse_house, ("", "box")),
}  # fmt: skip
"""What reads text besides, in the rooms, in the words and on the command line."""


def _quietly(read: Callable[[], object]) -> None:
    with suppress(*REFUSALS):
        read()


def _forgiving(read: Read) -> Read:
    """Return a reader that may refuse what it reads, but not fall over."""

    def attempt(text: str) -> None:
        with suppress(*REFUSALS, web_frames.msgspec.DecodeError):
            read(text)

    return attempt


def table() -> dict[str, tuple[Read, tuple[str, ...]]]:
    readers = {
        name: (_with_one_argument(read), BEGINS.get(name, ("",)))
        for name, read in public_readers().items()
        if name not in NOT_FROM_OUTSIDE
    }
    return readers | OTHERS


TABLE = table()


def test_the_table_names_only_what_is_there() -> None:
    known = set(public_readers())
    assert set(BEGINS) <= known
    assert len(known) > 40


@pytest.mark.parametrize("name", sorted(TABLE))
def test_reading_grows_no_faster_than_the_text(name: str) -> None:
    _check(name, LONG if name in IN_PIECES else SHORT, TAILS[-1:])


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(TABLE))
def test_reading_a_very_long_text_grows_no_faster_than_it(name: str) -> None:
    _check(name, LONG, TAILS)


def _check(name: str, length: int, tails: tuple[str, ...]) -> None:
    read, begins = TABLE[name]
    seen: list[Growth] = list(growths(_forgiving(read), begins, length, tails))
    dearest = max(seen, key=lambda each: each.times)
    told = f"{len(seen)} texts of {length:,}, at most {dearest.times:.1f} times as dear"
    print(f"{name}: {told} ({dearest.shape})")  # noqa: T201 - its output
    assert dearest.times <= MOST_TIMES_DEARER, dearest
    assert len(seen) == len(begins) * len(RUNS) * len(tails)


def test_the_measure_tells_a_quadratic_reader_from_a_linear_one() -> None:
    @cache  # What it remembers does not make it cheap.
    def quadratic(text: str) -> int:
        return sum(text.count(" ", place) for place in range(len(text)))

    assert growth_of(quadratic, "", " ", "x", SHORT) > MOST_TIMES_DEARER
    assert growth_of(str.split, "", " a", "x", SHORT) <= MOST_TIMES_DEARER
