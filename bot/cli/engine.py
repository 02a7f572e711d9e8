"""The command line's questions to the engine: steps, hint, walkthrough, picture."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from typing import Any

from bot import drawing, wording
from bot.cli.json_format import path_form, step_form
from bot.cli.pages import write_pages
from bot.club.answer_key import line_names
from bot.club.facts import GridPicture, HintPicture, Picturable, Position, facts_of_step
from bot.club.frames import cut_reel
from bot.club.walkthrough import facts_of_path
from bot.grid_input import InputError, find_grids, read_position
from bot.wording import pages as words
from bot.wording import terminal
from bot.wording.sheets import sheet_title
from engine import (
    CLASSIC,
    EMPTY_MARKS,
    LADDER,
    WITHOUT_UNIQUENESS,
    EngineError,
    Grid,
    Path,
    Technique,
    count_solutions,
    errors,
    find_all_steps,
    find_hint,
    find_steps,
    find_walkthrough,
    format_grid,
    layout_named,
    rate,
    technique_with,
)

FINE, FAILED, WRONG_INPUT = 0, 1, 2

Answerer = Callable[[Grid, bool], tuple[int, str]]
"""Takes a position and whether it is one of several; returns an exit code and what to print."""


def complain(text: str) -> None:
    """Write an error for people."""
    sys.stderr.write(text + "\n")


def say(text: str) -> None:
    """Write an answer."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def to_json(value: Any) -> str:
    """Return a value as one line of JSON, letters of every script as they are."""
    return json.dumps(value, ensure_ascii=False, separators=(", ", ": "))


def each_grid(
    arguments: argparse.Namespace,
    answer: Answerer,
) -> int:
    """Answer every grid in order; a wrong one costs the exit code, not the others' answers."""
    code = FINE
    try:
        layout = layout_named(arguments.layout) if arguments.layout else None
        given = [grid for text in arguments.grids for grid in find_grids(text, sys.stdin, layout)]
    except errors.LayoutError as error:
        complain(wording.explain_error(error, "--layout diagonal"))
        return WRONG_INPUT
    except InputError as error:
        complain(terminal.input_error(error))
        return WRONG_INPUT
    for each in given:
        try:
            struck, own = (getattr(arguments, name, "") for name in ("removed", "own"))
            grid = read_position(each, struck, layout, own=own)
            result, text = answer(grid, len(given) > 1)
        except EngineError as error:
            result, text = WRONG_INPUT, ""
            example = terminal.EXAMPLE_GRID if layout in (None, CLASSIC) else ""
            complain(terminal.placed(each.line, wording.explain_error(error, example)))
        except InputError as error:
            complain(terminal.input_error(error))
            return WRONG_INPUT
        if text:
            say(text)
        code = max(code, result) if WRONG_INPUT not in (code, result) else WRONG_INPUT
    return code


def unsound(grid: Grid) -> tuple[int, str] | None:
    """Refuse a grid that logic cannot settle: anything but one solution."""
    found = count_solutions(grid)
    if found == 1:
        return None
    complain(terminal.rating(rate(grid)))
    return WRONG_INPUT, ""


def _ladder(arguments: argparse.Namespace) -> tuple[Technique, ...]:
    return WITHOUT_UNIQUENESS if arguments.no_uniqueness else LADDER


def _by_technique(
    run: Callable[[argparse.Namespace, Technique | None], int], option: str, example: str
) -> Callable[[argparse.Namespace], int]:
    """Return a command that reads an option with a technique's id first, and refuses any other."""

    def command(arguments: argparse.Namespace) -> int:
        id = getattr(arguments, option)
        try:
            return run(arguments, technique_with(id) if id else None)
        except errors.UnknownTechniqueError as error:
            complain(wording.explain_error(error, example))
            return WRONG_INPUT

    return command


def _list_steps(arguments: argparse.Namespace, technique: Technique | None) -> int:
    def answer(grid: Grid, _: bool) -> tuple[int, str]:
        steps = (
            find_steps(grid, technique) if technique else find_all_steps(grid, _ladder(arguments))
        )
        if arguments.json:
            return FINE, to_json({"steps": [step_form(grid, step) for step in steps]})
        return FINE, "\n".join(terminal.step_line(grid, step) for step in steps) or terminal.STUCK

    return each_grid(arguments, answer)


def _give_hint(arguments: argparse.Namespace, theme: Technique | None) -> int:
    def answer(grid: Grid, is_one_of_many: bool) -> tuple[int, str]:
        refused = unsound(grid)
        if refused:
            return refused
        step = find_hint(grid, theme=theme, ladder=_ladder(arguments))
        code = FINE if step or grid.is_complete else FAILED
        if arguments.json:
            return code, to_json(step_form(grid, step) if step else None)
        if step is None:
            return code, terminal.COMPLETE if grid.is_complete else terminal.STUCK
        return code, (terminal.hint_line if is_one_of_many else terminal.hint)(grid, step)

    return each_grid(arguments, answer)


def _walk_through(arguments: argparse.Namespace, theme: Technique | None) -> int:
    if (arguments.size or arguments.title) and not arguments.pages:
        complain(words.PAGES_WANTED)
        return WRONG_INPUT

    def answer(grid: Grid, is_one_of_many: bool) -> tuple[int, str]:
        refused = unsound(grid)
        if refused:
            return refused
        if arguments.pages and is_one_of_many:
            complain(words.ONE_PUZZLE)
            return WRONG_INPUT, ""
        path = find_walkthrough(grid, theme=theme, ladder=_ladder(arguments))
        if arguments.pages:
            return _write_pages(arguments, path)
        if arguments.json:
            return FINE, to_json(path_form(path))
        return FINE, terminal.walkthrough(path)

    return each_grid(arguments, answer)


def _write_pages(arguments: argparse.Namespace, path: Path) -> tuple[int, str]:
    reel = cut_reel(format_grid(path.start), facts_of_path(path))
    title = sheet_title(arguments.title) or words.PAGE_TITLE
    try:
        count = write_pages(arguments.pages, reel, title, arguments.size)
    except OSError as error:
        complain(words.folder_unwritable(arguments.pages, error.strerror or ""))
        return WRONG_INPUT, ""
    return FINE, words.pages_written(arguments.pages, count)


def _draw_picture(arguments: argparse.Namespace, theme: Technique | None) -> int:
    if arguments.out.suffix.lower() != ".png":
        complain(terminal.not_a_picture(arguments.out))
        return WRONG_INPUT

    def answer(grid: Grid, is_one_of_many: bool) -> tuple[int, str]:
        if is_one_of_many:
            complain(terminal.ONE_GRID_A_PICTURE)
            return WRONG_INPUT, ""
        position = Position.of(grid)
        marks = enumerate(position.grid)
        givens = "".join(EMPTY_MARKS[0] if grid.own >> cell & 1 else mark for cell, mark in marks)
        facts: Picturable = GridPicture(
            givens=givens,
            position=position,
            with_candidates=arguments.candidates or arguments.marks != "all",
            marks=arguments.marks,
            lines=line_names(position.grid) if arguments.lines else (),
        )
        if arguments.hint:
            step = find_hint(grid, theme=theme, ladder=_ladder(arguments))
            if step is None:
                return FAILED, terminal.COMPLETE if grid.is_complete else terminal.STUCK
            facts = HintPicture(
                givens=givens,
                position=position,
                step=facts_of_step(grid.layout, step),
                rung=arguments.hint,
                marks=arguments.marks,
            )
        try:
            arguments.out.write_bytes(drawing.draw(facts, arguments.look))
        except OSError as error:
            complain(terminal.picture_unwritable(arguments.out, error.strerror or ""))
            return WRONG_INPUT, ""
        return FINE, wording.describe(facts)

    return each_grid(arguments, answer)


list_steps = _by_technique(_list_steps, "technique", "ninebark steps GRID --technique naked-pair")
give_hint = _by_technique(_give_hint, "theme", "ninebark hint GRID --theme naked-triple")
walk_through = _by_technique(_walk_through, "theme", "ninebark walkthrough GRID --theme naked-pair")
draw_picture = _by_technique(
    _draw_picture, "theme", "ninebark picture GRID --hint why --theme naked-pair --out grid.png"
)
