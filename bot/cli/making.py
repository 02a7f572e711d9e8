"""The command `make`: puzzles by wishes, as plain lines, and how far it is meanwhile.

The same wishes and the same seed give the same puzzles; the deadline only ends the search.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Generator, Sequence
from itertools import count
from random import Random

from bot import wording
from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, say, to_json
from bot.cli.json_format import made_form
from bot.cli.progress import StatusLine
from bot.grid_input import InputError, find_grids, is_file, read_position
from bot.stock.at_once import count_cores
from bot.stock.making_at_once import make_at_once
from bot.wording import making_terminal, terminal, terminal_help
from engine import (
    CLASSIC,
    EngineError,
    Grid,
    Layout,
    Recipe,
    canonical_form,
    errors,
    layout_named,
    make_puzzle,
    making,
    parse_grid,
    technique_with,
)

USUAL_LEVELS = (1, 2, 3)
"""Where neither a level nor a need is named."""

MANY = 4
"""From so many on the other cores are asked to help: they take a moment to start."""

NOTHING_TRIED = making.Tried()

MOST_REPEATS = 200
"""So many puzzles that are others in disguise end the command: there may be no more."""


def add_wishes(make: argparse.ArgumentParser) -> None:
    """Add the options of the command but `--layout` and `--json`, which others share."""
    make.add_argument("--needs", action="append", default=[], metavar="T", help=terminal_help.NEEDS)
    make.add_argument(
        "--avoids", action="append", default=[], metavar="T", help=terminal_help.AVOIDS
    )
    make.add_argument("--level", type=_parse_levels, metavar="N", help=terminal_help.LEVELS)
    make.add_argument("--givens", type=_parse_range, metavar="N-M", help=terminal_help.GIVENS)
    make.add_argument("--pattern", choices=making.PATTERNS, help=terminal_help.PATTERN)
    make.add_argument("--minimal", action="store_true", help=terminal_help.MINIMAL)
    make.add_argument("--clean", action="store_true", help=terminal_help.CLEAN)
    make.add_argument("--effort", type=float, metavar="N", help=terminal_help.EFFORT)
    make.add_argument(
        "--count", type=_parse_count, default=1, metavar="N", help=terminal_help.COUNT
    )
    make.add_argument("--seed", type=int, default=1, metavar="N", help=terminal_help.SEED)
    make.add_argument("--deadline", type=float, metavar="SECONDS", help=terminal_help.DEADLINE)
    make.add_argument("--from", dest="seeds", metavar="FILE", help=terminal_help.START_FROM)


def _parse_count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(making_terminal.not_a_count(text))
    return int(text)


def _parse_range(text: str) -> tuple[int, int]:
    first, _, last = text.partition("-")
    last = last or first
    if not (first.isdecimal() and last.isdecimal()):
        raise argparse.ArgumentTypeError(making_terminal.not_a_range(text))
    if int(first) > int(last):
        raise argparse.ArgumentTypeError(making_terminal.swapped_ends(text))
    return int(first), int(last)


def _parse_levels(text: str) -> tuple[int, ...]:
    first, _, last = text.partition("-")
    last = last or first
    known = "123456"
    if not (first in known and last in known and len(first) == len(last) == 1):
        raise argparse.ArgumentTypeError(making_terminal.not_levels(text))
    if first > last:
        raise argparse.ArgumentTypeError(making_terminal.swapped_ends(text))
    return tuple(range(int(first), int(last) + 1))


def make_puzzles(arguments: argparse.Namespace) -> int:
    """Print puzzles that fulfil every wish, one a line, as they are made."""
    try:
        recipe = recipe_of(arguments)
        seeds = _read_seeds(arguments.seeds, recipe.layout)
    except errors.UnknownTechniqueError as error:
        complain(wording.explain_error(error, "ninebark make --needs naked-pair"))
        return WRONG_INPUT
    except errors.LayoutError as error:
        complain(wording.explain_error(error, "ninebark make --layout diagonal"))
        return WRONG_INPUT
    except FileNotFoundError as error:
        complain(making_terminal.no_file_to_start_from(str(error)))
        return WRONG_INPUT
    except InputError as error:
        complain(terminal.input_error(error))
        return WRONG_INPUT
    except EngineError as error:
        complain(wording.explain_error(error, terminal.EXAMPLE_GRID))
        return WRONG_INPUT
    return _make_all(arguments, recipe, seeds, StatusLine(sys.stderr, time.monotonic))


def read_wishes(words: Sequence[str]) -> tuple[Recipe, int]:
    """Return the recipe and the seed that the words after `ninebark make` stand for."""
    parser = argparse.ArgumentParser()
    add_wishes(parser)
    parser.add_argument("--layout")
    arguments = parser.parse_args(words)
    return recipe_of(arguments), int(arguments.seed)


def recipe_of(arguments: argparse.Namespace) -> Recipe:
    """Return the recipe of a command line. Raises UnknownTechniqueError, LayoutError."""
    needs = tuple(dict.fromkeys(technique_with(text).id for text in arguments.needs))
    avoids = tuple(dict.fromkeys(technique_with(text).id for text in arguments.avoids))
    hardest = max((technique_with(id).level for id in needs), default=0)
    return Recipe(
        levels=arguments.level or ((hardest,) if hardest else USUAL_LEVELS),
        needs=needs,
        avoids=avoids,
        givens=arguments.givens,
        pattern=arguments.pattern or "",
        minimal=arguments.minimal,
        most_effort=arguments.effort,
        clean=arguments.clean,
        layout=layout_named(arguments.layout) if arguments.layout else CLASSIC,
    )


def _read_seeds(source: str | None, layout: Layout) -> tuple[Grid, ...]:
    if source is None:
        return ()
    if source != "-" and not is_file(source):
        raise FileNotFoundError(source)
    return tuple(
        read_position(each, layout=layout) for each in find_grids(source, sys.stdin, layout)
    )


def _make_all(
    arguments: argparse.Namespace, recipe: Recipe, seeds: tuple[Grid, ...], bar: StatusLine
) -> int:
    forms: set[str] = set()
    repeats = 0

    def show(tried: making.Tried = NOTHING_TRIED) -> None:
        made, count = len(forms), arguments.count
        bar.show(lambda seconds: making_terminal.progress(made, count, tried, seconds))

    show()
    puzzles = _make_each(arguments, recipe, seeds, bar.now, show)
    try:
        for seed, made in puzzles:
            form = _form_of(made, recipe.layout)
            if form not in forms:
                forms.add(form)
                bar.clear()
                say(to_json(made_form(made, seed)) if arguments.json else made.puzzle)
            elif (repeats := repeats + 1) == MOST_REPEATS:
                bar.clear()
                complain(making_terminal.only_repeats(len(forms), arguments.count))
                return FAILED
            if len(forms) == arguments.count:
                break
            show()
    except errors.NoSolutionError:
        bar.clear()
        complain(making_terminal.NOTHING_FILLS_IT)
        return WRONG_INPUT
    except making.UnmadeError as error:
        bar.clear()
        complain(making_terminal.unmade(error, recipe, len(forms), arguments.count))
        return WRONG_INPUT if error.contradiction else FAILED
    finally:
        puzzles.close()
        bar.clear()
    return FINE


def _make_each(
    arguments: argparse.Namespace,
    recipe: Recipe,
    like: tuple[Grid, ...],
    now: Callable[[], float],
    show: Callable[[making.Tried], None],
) -> Generator[tuple[int, making.Made]]:
    """Yield (seed, puzzle), seed after seed, by all cores where that is quicker."""
    end = None if arguments.deadline is None else now() + arguments.deadline
    cores = count_cores()
    if cores > 1 and arguments.count >= MANY and not making.find_contradiction(recipe):
        yield from make_at_once(
            recipe,
            arguments.seed,
            like=like,
            cores=cores,
            end=end,
            on_wait=lambda: show(NOTHING_TRIED),
        )
    for seed in count(arguments.seed):
        should_stop = None if end is None else lambda: now() > end
        yield (
            seed,
            make_puzzle(
                Random(seed), recipe, seeds=like, should_stop=should_stop, on_progress=show
            ),
        )


def _form_of(made: making.Made, layout: Layout) -> str:
    solution = parse_grid(made.solution, layout=layout)
    return canonical_form(parse_grid(made.puzzle, layout=layout), solution)
