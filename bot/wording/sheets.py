"""What stands on printed pages, and what the command line says of them."""

from __future__ import annotations

from pathlib import Path

from bot.club.facts import Position, StepFacts
from bot.club.facts_sheets import PrintedGrid
from bot.photo.kit import KitPage
from bot.wording.prose import clean_text, count_of, join_words, sentences
from bot.wording.rungs import why
from bot.wording.techniques import a_technique
from bot.wording.unusable import EXAMPLE_GRID
from engine import Layout, layout_with

_EXAMPLE = f"Example: ninebark sheet {EXAMPLE_GRID} --out sheet.pdf"

NOTHING_TO_PRINT = f"Say what to print: grids, or ninebark sheet --kit. {_EXAMPLE}"
KIT_ALONE = "The kit has its own pages. Leave out the grids, or leave out --kit."
_INSTALL = "pip install 'ninebark[print]' (in a checkout: '.[print]')"
NOT_INSTALLED = f"Sheets need a library that isn't installed. Install it with: {_INSTALL}"
NOT_PRINTED = (
    "I can't print sheets yet: whoever hosts me has to install a library for it first, with "
    f"{_INSTALL}."
)


def tell_unprinted(lacking: str | None) -> str:
    """Say which letters a sheet lacks; of None, that there is no sheet, for want of the library."""
    return NOT_PRINTED if lacking is None else letters_lacking(lacking)


ANSWERS = "Answers"
_DIAGONALS = "Each diagonal has every digit once, too"
_CREDIT_LIMIT, _TITLE_LIMIT = 80, 80


def sheet_title(text: str) -> str:
    """Write what somebody wants at the head of each page."""
    return clean_text(text, _TITLE_LIMIT)


def numbered(number: int, level: int | None) -> str:
    """Write `Puzzle 3, level 2`, without a level where none is known."""
    return f"Puzzle {number}" + (f", level {level}" if level else "")


def print_exercise(number: int, position: Position, step: StepFacts, *, told: bool) -> PrintedGrid:
    """Word an exercise: what is to be found, and, where it is `told`, the find."""
    return PrintedGrid(
        position=position,
        heading=f"Exercise {number}: find {a_technique(step.technique)}",
        found=why(step, position) if told else "",
        with_candidates=True,
    )


def puzzle_notes(layout: Layout, lines: tuple[str, ...], credit: str) -> tuple[str, ...]:
    """Say below a puzzle's heading what its marks mean, and whose it is."""
    marks = [f"Answer: {', then '.join(lines)}" if lines else ""]
    marks.append(_DIAGONALS if layout.has_diagonals else "")
    credit = clean_text(credit, _CREDIT_LIMIT)
    notes = (". ".join(filter(None, marks)), f"Puzzle: {credit}" if credit else "")
    return tuple(filter(None, notes))


def sheet_written(file: Path, puzzles: int, exercises: int, lacking: str) -> str:
    """Say where a sheet is, and what its letters could not show."""
    return sentences(f"{file} has {on_it(puzzles, exercises)}.", letters_lacking(lacking))


def on_it(puzzles: int, exercises: int) -> str:
    """Write `7 puzzles and 4 exercises`, or what there is of them."""
    told = {"puzzle": puzzles, "exercise": exercises}
    return join_words(count_of(count, name) for name, count in told.items() if count)


def not_practised(technique: str) -> str:
    """Say that there are no exercises of what somebody named."""
    return (
        f"I have no exercises of {technique!r}. Name a technique. Example: --practice naked-triple"
    )


def letters_lacking(lacking: str) -> str:
    """Say which letters have a box in their place; empty for none."""
    if not lacking:
        return ""
    told = join_words(lacking[:_MOST_LETTERS])
    more = " and others" if len(lacking) > _MOST_LETTERS else ""
    return f"The letters that I print with don't have {told}{more}, so there's a box for each."


_MOST_LETTERS = 12


def not_on_a_page(text: str, most: int) -> str:
    """Say that what was given for puzzles on a page is none."""
    return f"{text!r} is not a number of puzzles for a page; give 1 to {most}, such as 2"


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
    return f"I can't write {file}{why}. {_EXAMPLE}"
