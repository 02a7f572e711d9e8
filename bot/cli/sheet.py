"""The command line's sheets to print: the kit by which reading photos is tested honestly."""

from __future__ import annotations

import argparse

from bot.cli.engine import FINE, WRONG_INPUT, complain, say
from bot.drawing.kit import FormPage, draw_form
from bot.photo.kit import KitPage, make_page
from bot.stock.starting_stock import load_starting_stock
from bot.wording import sheets
from engine import layout_with


def parse_pages(text: str) -> int:
    """Read how many pages are printed. Raises ArgumentTypeError."""
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(sheets.not_a_count(text))
    return int(text)


def print_sheet(arguments: argparse.Namespace) -> int:
    """Write the kit as a PDF."""
    if not arguments.kit:
        complain(sheets.KIT_ONLY)
        return WRONG_INPUT
    pages = [_form_of(page) for page in find_kit(arguments.pages)]
    try:
        arguments.out.write_bytes(draw_form(pages))
    except OSError as error:
        complain(sheets.unwritable(arguments.out, error.strerror or ""))
        return WRONG_INPUT
    say(sheets.kit_written(arguments.out, len(pages)))
    return FINE


def find_kit(count: int) -> list[KitPage]:
    """Return the first pages of the kit."""
    puzzles = [(puzzle.givens, puzzle.solution) for puzzle in load_starting_stock()]
    return [make_page(number, puzzles) for number in range(1, count + 1)]


def _form_of(page: KitPage) -> FormPage:
    layout = layout_with(len(page.givens))
    box = (layout.box_height, layout.box_width)
    return FormPage(sheets.kit_title(page), page.givens, box, sheets.kit_lines(page))
