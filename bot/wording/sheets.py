"""What stands on printed pages, and what the command line says of them."""

from __future__ import annotations

from pathlib import Path

from bot.photo.kit import KitPage
from engine import layout_with

KIT_ONLY = "Say what to print. Example: ninebark sheet --kit --out kit.pdf"

_HOW = (
    "Fill in the grid by hand, as you usually write, and take a photo of it.",
    "Name the photo after the page: {number}.jpg. What to write, by row and column:",
)


def kit_title(page: KitPage) -> str:
    """Say which page it is."""
    return f"Reading kit, page {page.number}"


def kit_lines(page: KitPage) -> tuple[str, ...]:
    """Say what is to be written on a page: how, then a line for each row."""
    size = layout_with(len(page.givens)).size
    rows = [page.cells[start : start + size] for start in range(0, len(page.cells), size)]
    lines = [f"Row {number}: {_tell_row(row)}" for number, row in enumerate(rows, start=1)]
    return (_HOW[0], _HOW[1].format(number=page.number), *lines)


def _tell_row(row: tuple[str, ...]) -> str:
    told = [f"c{column} {_tell_cell(cell)}" for column, cell in enumerate(row, start=1) if cell]
    return ", ".join(told) or "nothing"


def _tell_cell(cell: str) -> str:
    if cell[0] == "x":
        return f"{cell[1]} crossed out"
    if cell[0] == "m":
        return f"small {' '.join(cell[1:])}"
    return cell


def kit_written(file: Path, pages: int) -> str:
    """Say where the kit is and what to do with it."""
    count = "1 page" if pages == 1 else f"{pages} pages"
    return (
        f"{file} has {count}. Print them, fill them in by hand, and put the photos into a folder. "
        "In a checkout, score them with: python -m tests.bench photo FOLDER"
    )


def not_a_count(text: str) -> str:
    """Say that what was given for a number of pages is none."""
    return f"{text!r} is not a number of pages; give 1 or more, such as 30"


def unwritable(file: Path, reason: str) -> str:
    """Say that a file cannot be written."""
    why = f" ({reason})" if reason else ""
    return f"I can't write {file}{why}. Example: ninebark sheet --kit --out kit.pdf"
