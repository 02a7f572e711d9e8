"""The command line, for leaders and hosts: `ninebark COMMAND …`.

Exit codes: 0 fine, 2 the input is wrong (what was expected and an example go to standard error),
1 anything else. Engine questions are answered in `bot.cli.engine`, the rest in `bot.cli.host`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from bot.cli import engine as cli_engine
from bot.cli import host as cli_host
from bot.cli import making as cli_making
from bot.cli import puzzles as cli_puzzles
from bot.stock.stocker import AT_LEAST

FINE, FAILED, WRONG_INPUT = 0, 1, 2


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of every command; the README is checked against it."""
    parser = argparse.ArgumentParser(
        prog="ninebark",
        description="A club bot for people who learn to solve Sudoku by logic.",
        epilog="`ninebark COMMAND --help` tells more about a command.",
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
    run: Callable[[argparse.Namespace], int],
    purpose: str,
) -> argparse.ArgumentParser:
    added = commands.add_parser(name, help=purpose, description=purpose)
    added.set_defaults(run=run)
    return added


def _add_host_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    demo = _add(
        commands,
        "try",
        cli_host.try_out,
        "Open a demo club in a web room on this machine: no account, no config.",
    )
    demo.add_argument("--port", type=int, default=8317, metavar="N", help="0 takes any free port")
    demo.add_argument("--no-browser", action="store_true", help="only print the page's address")
    demo.add_argument(
        "--data", type=Path, metavar="FOLDER", help="keep the club in this folder (else nowhere)"
    )
    run = _add(commands, "run", cli_host.run, "Run the clubs of a config file.")
    check = _add(commands, "check", cli_host.check, "Say what is wrong with a config file, if any.")
    backup = _add(commands, "backup", cli_host.backup, "Copy the database, even in use.")
    restore = _add(commands, "restore", cli_host.restore, "Put a copy of the database back.")
    for command in (run, check, backup, restore):
        command.add_argument("--config", type=Path, required=True, metavar="FILE")
    backup.add_argument("file", type=Path, metavar="COPY", help="the copy to write")
    restore.add_argument("file", type=Path, metavar="COPY", help="the copy to put back")


def _add_puzzle_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    puzzles = commands.add_parser("puzzles", help="A club's puzzles: add, list, stock, report.")
    actions = puzzles.add_subparsers(dest="action", required=True, metavar="ACTION")
    add = _add(actions, "add", cli_puzzles.add_puzzles, "Vet puzzles; add them, or queue them.")
    listed = _add(actions, "list", cli_puzzles.list_puzzles, "List the puzzles in stock.")
    stock = _add(
        actions, "stock", cli_puzzles.fill_stock, "Make what the clubs' plans lack, as plain lines."
    )
    for command in (add, listed, stock):
        place = command.add_mutually_exclusive_group(required=True)
        place.add_argument("--config", type=Path, metavar="FILE", help="the clubs' config")
        place.add_argument("--data", type=Path, metavar="FOLDER", help="or their data folder")
    _add_grids(add)
    add.add_argument(
        "--author", "--credit", dest="credit", default="", metavar="NAME", help="whose they are"
    )
    add.add_argument("--room", metavar="ROOM", help="queue them for the club of this room")
    add.add_argument(
        "--for",
        "--date",
        dest="day",
        metavar="YYYY-MM-DD",
        help="queue the first for this date and the others for the days after it",
    )
    add.add_argument("--level", type=int, metavar="N", help="queue them for days of this level")
    listed.add_argument("--level", type=int, metavar="N", help="only this level")
    listed.add_argument("--needs", metavar="T", help="only those that need this technique")
    stock.add_argument(
        "--at-least", type=int, default=AT_LEAST, metavar="N", help="so many for each entry"
    )
    report = _add(
        actions, "report", cli_puzzles.report_puzzles, "Tell where a puzzle turns, for a leader."
    )
    _add_grids(report)
    report.add_argument("--json", action="store_true", help="one JSON value a line")
    report.add_argument("--pictures", type=Path, metavar="FOLDER", help="write its pictures there")
    report.add_argument("--look", choices=("light", "dark"), default="light")


def _add_grids(command: argparse.ArgumentParser, *, removed: bool = False) -> None:
    command.add_argument(
        "grids",
        nargs="+",
        metavar="GRID",
        help="81 characters or nine lines, a file, or - for standard input",
    )
    if removed:
        command.add_argument(
            "--removed", default="", metavar="LIST", help="struck candidates: 'r1c2 3, r1c4 1 5'"
        )


def _add_engine_commands(commands: _Commands[argparse.ArgumentParser]) -> None:
    rate = _add(commands, "rate", cli_engine.rate_grids, "Judge puzzles: solutions, level, needs.")
    steps = _add(commands, "steps", cli_engine.list_steps, "List every step at a position.")
    hint = _add(commands, "hint", cli_engine.give_hint, "Give the next useful step, in four rungs.")
    walk = _add(commands, "walkthrough", cli_engine.walk_through, "Solve step by step, explained.")
    picture = _add(commands, "picture", cli_engine.draw_picture, "Draw a grid as a PNG.")
    for command in (rate, steps, hint, walk, picture):
        _add_grids(command, removed=command is not rate)
    for command in (rate, steps, hint, walk, picture):
        command.add_argument(
            "--no-uniqueness",
            action="store_true",
            help="without techniques that take for granted that there is just one solution",
        )
    for command in (hint, walk, picture):
        command.add_argument(
            "--theme", metavar="T", help="by this technique wherever it works, such as naked-triple"
        )
    steps.add_argument("--technique", metavar="T", help="only this technique, such as naked-pair")
    picture.add_argument("--out", type=Path, required=True, metavar="FILE.png")
    picture.add_argument("--look", choices=("light", "dark"), default="light")
    picture.add_argument("--candidates", action="store_true", help="with the candidates")
    picture.add_argument("--lines", action="store_true", help="with the answer's two lines marked")
    picture.add_argument(
        "--hint", choices=("where", "which", "why"), help="with the next step, up to this rung"
    )
    make = _add(commands, "make", cli_making.make_puzzles, "Make puzzles.")
    cli_making.add_wishes(make)
    for command in (rate, steps, hint, walk, picture, make):
        command.add_argument(
            "--layout",
            metavar="NAME",
            help="classic, 4x4, 6x6, diagonal, or irregular:MAP, a map of the boxes with a letter "
            "or digit for each cell (else by the number of cells; make: classic)",
        )
    for command in (rate, steps, hint, walk, make):
        command.add_argument("--json", action="store_true", help="one JSON value a line")


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
