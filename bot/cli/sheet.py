"""The command line's sheets to print: puzzles for paper, and the kit that tests photos honestly."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from bot.cli.engine import FAILED, FINE, WRONG_INPUT, complain, each_grid, say, unsound
from bot.club.answer_key import line_names
from bot.club.exercises import draw_several, practised_techniques
from bot.club.facts import Position
from bot.club.facts_sheets import EXERCISES, MOST_A_PAGE, PaperSize, PrintedGrid, PrintedSheet
from bot.drawing.kit import FormPage, draw_form
from bot.drawing.pen import can_print
from bot.drawing.sheets import draw_sheet, letters_lacking
from bot.photo.kit import KitPage, make_page
from bot.stock.starting_stock import load_starting_stock
from bot.wording import sheets
from engine import Grid, layout_with, rate


def parse_pages(text: str) -> int:
    """Read how many pages are printed. Raises ArgumentTypeError."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(sheets.not_a_count(text))
    return int(text)


def parse_per_page(text: str) -> int:
    """Read how many puzzles share a page. Raises ArgumentTypeError."""
    if not text.isdecimal() or not 1 <= int(text) <= MOST_A_PAGE:
        raise argparse.ArgumentTypeError(sheets.not_on_a_page(text, MOST_A_PAGE))
    return int(text)


def print_sheet(arguments: argparse.Namespace) -> int:
    """Write puzzles, or the kit, as a PDF."""
    if arguments.kit and (arguments.grids or arguments.practice):
        complain(sheets.KIT_ALONE)
        return WRONG_INPUT
    if arguments.kit:
        pages = [_form_of(page) for page in find_kit(arguments.pages)]
        told = sheets.kit_written(arguments.out, len(pages))
        return _write(arguments.out, draw_form(pages), told)
    if not arguments.grids and not arguments.practice:
        complain(sheets.NOTHING_TO_PRINT)
        return WRONG_INPUT
    if arguments.practice and arguments.practice not in practised_techniques():
        complain(sheets.not_practised(arguments.practice))
        return WRONG_INPUT
    if not can_print():
        complain(sheets.NOT_INSTALLED)
        return FAILED
    return _print_puzzles(arguments)


def _print_puzzles(arguments: argparse.Namespace) -> int:
    grids: list[PrintedGrid] = []

    def take(grid: Grid, _: bool) -> tuple[int, str]:
        refused = unsound(grid)
        if refused:
            return refused
        grids.append(_printed(grid, len(grids) + 1, arguments))
        return FINE, ""

    code = each_grid(arguments, take)
    if code != FINE:
        return code
    exercises = list(_exercises(arguments))
    sheet = PrintedSheet(
        title=sheets.sheet_title(arguments.title),
        grids=(*grids, *exercises),
        answers_title=sheets.ANSWERS,
        paper=PaperSize(arguments.paper),
        a_page=arguments.per_page,
        answers=arguments.answers,
    )
    lacking = letters_lacking(sheet)
    told = sheets.sheet_written(arguments.out, len(grids), len(exercises), lacking)
    return _write(arguments.out, draw_sheet(sheet), told)


def _printed(grid: Grid, number: int, arguments: argparse.Namespace) -> PrintedGrid:
    position, judged = Position.of(grid), rate(grid, with_turning_points=False)
    lines = line_names(position.grid) if arguments.lines else ()
    return PrintedGrid(
        position=position,
        heading=sheets.numbered(number, judged.level),
        notes=sheets.puzzle_notes(grid.layout, lines, arguments.credit),
        lines=lines,
        answer=judged.solution or "",
        with_candidates=arguments.candidates,
    )


def _exercises(arguments: argparse.Namespace) -> Iterator[PrintedGrid]:
    if not arguments.practice:
        return
    several = draw_several(arguments.practice, f"{arguments.seed}", EXERCISES)
    for number, drawn in enumerate(several, start=1):
        if drawn.step is not None:
            told = arguments.answers != "none"
            yield sheets.print_exercise(number, drawn.position, drawn.step, told=told)


def _write(file: Path, content: bytes, told: str) -> int:
    try:
        file.write_bytes(content)
    except OSError as error:
        complain(sheets.unwritable(file, error.strerror or ""))
        return WRONG_INPUT
    say(told)
    return FINE


def find_kit(count: int) -> list[KitPage]:
    """Return the first pages of the kit."""
    puzzles = [(puzzle.givens, puzzle.solution) for puzzle in load_starting_stock()]
    return [make_page(number, puzzles) for number in range(1, count + 1)]


def _form_of(page: KitPage) -> FormPage:
    layout = layout_with(len(page.givens))
    box = (layout.box_height, layout.box_width)
    return FormPage(sheets.kit_title(page), page.givens, box, sheets.kit_lines(page))
