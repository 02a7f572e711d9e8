"""The command line, for leaders and hosts: `ninebark COMMAND …`.

Exit codes: 0 fine, 2 the input is wrong (what was expected and an example go to standard error),
1 anything else. Engine questions are answered in `bot.cli.engine`, the rest in `bot.cli.host`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from importlib import metadata
from pathlib import Path
from typing import get_args

from bot.cli import adding as cli_adding
from bot.cli import engine as cli_engine
from bot.cli import host as cli_host
from bot.cli import inviting as cli_inviting
from bot.cli import making as cli_making
from bot.cli import many as cli_many
from bot.cli import pages as cli_pages
from bot.cli import photo as cli_photo
from bot.cli import puzzles as cli_puzzles
from bot.cli import rating as cli_rating
from bot.cli import sheet as cli_sheet
from bot.club.facts_sheets import Answers, PaperSize
from bot.stock.stocker import AT_LEAST
from bot.wording import terminal_help

FINE, FAILED, WRONG_INPUT = 0, 1, 2


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of every command; the README is checked against it."""
    parser = argparse.ArgumentParser(
        prog="ninebark",
        description=terminal_help.PROGRAM,
        epilog=terminal_help.MORE,
    )
    parser.add_argument(
        "--version",
        action="version",
        version=f"%(prog)s {metadata.version('ninebark')}",
        help=terminal_help.VERSION,
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    _add_host_commands(commands)
    _add_puzzle_commands(commands)
    _add_engine_commands(commands)
    return parser


_Commands = argparse._SubParsersAction  # argparse has no public name for it


def _add(
    commands: _Commands[argparse.ArgumentParser],
    name: str,
    run: Callable[[argparse.Namespace], int] | None = None,
    *,
    under: str = "",
) -> argparse.ArgumentParser:
    """Add a command with its purpose; `under` is the command whose action it is."""
    purpose = terminal_help.PURPOSES[f"{under} {name}".strip()]
    added = commands.add_parser(name, help=purpose, description=purpose)
    added.set_defaults(run=run)
    return added


def _add_host_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    demo = _add(commands, "try", cli_host.try_out)
    demo.add_argument("--port", type=int, default=8317, metavar="N", help=terminal_help.PORT)
    demo.add_argument("--no-browser", action="store_true", help=terminal_help.NO_BROWSER)
    demo.add_argument("--data", type=Path, metavar="FOLDER", help=terminal_help.KEEP_IN)
    run = _add(commands, "run", cli_host.run)
    check = _add(commands, "check", cli_host.check)
    backup = _add(commands, "backup", cli_host.backup)
    restore = _add(commands, "restore", cli_host.restore)
    invite = _add(commands, "invite", cli_inviting.invite)
    invite.add_argument("name", metavar="NAME", help=terminal_help.INVITED)
    invite.add_argument("--room", metavar="ROOM", help=terminal_help.INVITED_TO)
    invite.add_argument("--sheet", type=Path, metavar="FILE.pdf", help=terminal_help.INVITED_BY)
    for command in (run, check, backup, restore, invite):
        command.add_argument(
            "--config", type=Path, required=True, metavar="FILE", help=terminal_help.CONFIG
        )
    backup.add_argument("file", type=Path, metavar="COPY", help=terminal_help.COPY_TO_WRITE)
    restore.add_argument("file", type=Path, metavar="COPY", help=terminal_help.COPY_TO_RESTORE)


def _add_puzzle_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    puzzles = _add(commands, "puzzles")
    actions = puzzles.add_subparsers(dest="action", required=True, metavar="ACTION")
    add = _add(actions, "add", cli_adding.add_puzzles, under="puzzles")
    listed = _add(actions, "list", cli_puzzles.list_puzzles, under="puzzles")
    stock = _add(actions, "stock", cli_puzzles.fill_stock, under="puzzles")
    for command in (add, listed, stock):
        place = command.add_mutually_exclusive_group(required=True)
        place.add_argument("--config", type=Path, metavar="FILE", help=terminal_help.CLUBS_CONFIG)
        place.add_argument("--data", type=Path, metavar="FOLDER", help=terminal_help.CLUBS_FOLDER)
    _add_grids(add)
    add.add_argument(
        "--author",
        "--credit",
        dest="credit",
        default="",
        metavar="NAME",
        help=terminal_help.CREDIT,
    )
    add.add_argument("--room", metavar="ROOM", help=terminal_help.ROOM)
    add.add_argument(
        "--for", "--date", dest="day", metavar="YYYY-MM-DD", help=terminal_help.FOR_DAY
    )
    add.add_argument("--level", type=int, metavar="N", help=terminal_help.FOR_LEVEL)
    listed.add_argument("--level", type=int, metavar="N", help=terminal_help.ONLY_LEVEL)
    listed.add_argument("--needs", metavar="T", help=terminal_help.ONLY_NEEDING)
    stock.add_argument(
        "--at-least", type=int, default=AT_LEAST, metavar="N", help=terminal_help.AT_LEAST
    )
    report = _add(actions, "report", cli_puzzles.report_puzzles, under="puzzles")
    _add_grids(report)
    report.add_argument("--json", action="store_true", help=terminal_help.JSON)
    report.add_argument("--pictures", type=Path, metavar="FOLDER", help=terminal_help.PICTURES)
    _add_look(report)


def _add_grids(command: argparse.ArgumentParser, *, begun: bool = False) -> None:
    command.add_argument("grids", nargs="+", metavar="GRID", help=terminal_help.GRID)
    if begun:
        command.add_argument("--removed", default="", metavar="LIST", help=terminal_help.REMOVED)
        command.add_argument("--own", default="", metavar="LIST", help=terminal_help.OWN)


def _add_look(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--look", choices=("light", "dark"), default="light", help=terminal_help.LOOK
    )


def _add_engine_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    rate = _add(commands, "rate", cli_rating.rate_grids)
    steps = _add(commands, "steps", cli_engine.list_steps)
    hint = _add(commands, "hint", cli_engine.give_hint)
    walk = _add(commands, "walkthrough", cli_engine.walk_through)
    picture = _add(commands, "picture", cli_engine.draw_picture)
    for command in (rate, steps, hint, walk, picture):
        _add_grids(command, begun=command is not rate)
    for command in (rate, steps, hint, walk, picture):
        command.add_argument(
            "--no-uniqueness", action="store_true", help=terminal_help.NO_UNIQUENESS
        )
    rate.add_argument("--turning-points", action="store_true", help=terminal_help.TURNING_POINTS)
    rate.add_argument("--all", action="store_true", help=terminal_help.ALL_STEPS)
    rate.add_argument(
        "--after", type=cli_many.parse_after, default=0, metavar="N", help=terminal_help.AFTER
    )
    for command in (hint, walk, picture):
        command.add_argument("--theme", metavar="T", help=terminal_help.THEME)
    walk.add_argument("--pages", type=Path, metavar="FOLDER", help=terminal_help.PAGES_FOLDER)
    walk.add_argument("--title", default="", metavar="TEXT", help=terminal_help.PAGES_TITLE)
    walk.add_argument(
        "--size", type=cli_pages.parse_size, metavar="WIDTHxHEIGHT", help=terminal_help.PAGES_SIZE
    )
    steps.add_argument("--technique", metavar="T", help=terminal_help.ONLY_TECHNIQUE)
    picture.add_argument(
        "--out", type=Path, required=True, metavar="FILE.png", help=terminal_help.OUT
    )
    _add_look(picture)
    picture.add_argument("--candidates", action="store_true", help=terminal_help.CANDIDATES)
    picture.add_argument(
        "--marks", choices=("all", "two-place", "none"), default="all", help=terminal_help.MARKS
    )
    picture.add_argument("--lines", action="store_true", help=terminal_help.LINES)
    picture.add_argument("--hint", choices=("where", "which", "why"), help=terminal_help.UP_TO_RUNG)
    read = _add(commands, "read", cli_photo.read_photo)
    read.add_argument("photo", type=Path, metavar="PHOTO", help=terminal_help.PHOTO)
    read.add_argument("--puzzle", metavar="GRID", help=terminal_help.PHOTOS_PUZZLE)
    _add_sheet(commands)
    make = _add(commands, "make", cli_making.make_puzzles)
    cli_making.add_wishes(make)
    for command in (rate, steps, hint, walk, picture, make):
        command.add_argument("--layout", metavar="NAME", help=terminal_help.LAYOUT)
    for command in (rate, steps, hint, walk, make, read):
        command.add_argument("--json", action="store_true", help=terminal_help.JSON)


def _add_sheet(commands: _Commands[argparse.ArgumentParser]) -> None:
    sheet = _add(commands, "sheet", cli_sheet.print_sheet)
    sheet.add_argument("grids", nargs="*", metavar="GRID", help=terminal_help.GRID)
    sheet.add_argument(
        "--out", type=Path, required=True, metavar="FILE.pdf", help=terminal_help.PDF_OUT
    )
    sheet.add_argument(
        "--per-page",
        type=cli_sheet.parse_per_page,
        default=2,
        metavar="N",
        help=terminal_help.PER_PAGE,
    )
    sheet.add_argument(
        "--paper", choices=tuple(PaperSize), default=PaperSize.A4, help=terminal_help.PAPER
    )
    sheet.add_argument(
        "--answers", choices=get_args(Answers), default="last", help=terminal_help.ANSWERS
    )
    sheet.add_argument("--title", default="", metavar="TEXT", help=terminal_help.SHEET_TITLE)
    sheet.add_argument("--credit", default="", metavar="NAME", help=terminal_help.CREDIT)
    sheet.add_argument("--lines", action="store_true", help=terminal_help.LINES)
    sheet.add_argument("--candidates", action="store_true", help=terminal_help.CANDIDATES)
    sheet.add_argument("--layout", metavar="NAME", help=terminal_help.LAYOUT)
    sheet.add_argument("--practice", default="", metavar="T", help=terminal_help.EXERCISES)
    sheet.add_argument("--seed", type=int, default=0, metavar="N", help=terminal_help.OTHERS)
    sheet.add_argument("--kit", action="store_true", help=terminal_help.KIT)
    sheet.add_argument(
        "--pages", type=cli_sheet.parse_pages, default=30, metavar="N", help=terminal_help.PAGES
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code; argparse itself exits 2 for wrong arguments."""
    parsed = build_parser().parse_args(arguments)
    try:
        return int(parsed.run(parsed))
    except KeyboardInterrupt:
        return FAILED
    except BrokenPipeError:
        sys.stderr.close()  # the reader has gone; say nothing more
        return FAILED
