"""What a told reason names, read back from its words so that a test can hold it to the position."""

from __future__ import annotations

import re

from engine import Grid, Step

HOUSE = r"(?:row|column|box) [1-9]"
LINES = r"(?:(?:rows?|columns?|box|boxes) [1-9](?:(?:, | and )[1-9](?![a-z]))*(?:, | and )?)+"
CELL = r"r[1-9]c[1-9]"
CELLS = rf"{CELL}(?:(?:, | and | or ){CELL})*"
DIGITS = r"[1-9](?:(?:, | and | or )[1-9])*"
WORD = r"(?:two|three|four|five|six|seven|eight|nine)"
WORDS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "11",
    "12",
)

_OF_A_KIND = re.compile(r"(row|column|box|diagonal)s? ([0-9](?:(?:, | and )[0-9])*)")


_CELL = re.compile("r[1-9]c[1-9]")


def digits_in(text: str) -> set[int]:
    return set(map(int, re.findall("(?<![rc0-9])[1-9](?![0-9c])", text)))


def cells_in(text: str, grid: Grid) -> set[int]:
    return {grid.layout.parse_cell(name) for name in _CELL.findall(text)}


def strikes_told(conclusion: str, step: Step, grid: Grid) -> int:
    """Return the candidate mask that a conclusion says is struck. Raises ValueError for a clause of
    no known form."""
    layout, struck = grid.layout, 0
    for clause in conclusion.removeprefix("So ").removesuffix(".").split("; "):
        clause = re.sub(r"^in (?:row|column|box) [1-9] ", "", clause)
        subject, verb, digits = re.split(" (loses?|keep only) ", clause, maxsplit=1)
        closed = re.fullmatch("all other cells of (.*)", subject)
        is_held = digits.startswith("what they hold of ") or closed is not None
        cells = cells_in(subject, grid)
        if closed:
            houses = [layout.parse_house(name) for name in lines_named(closed[1])]
            cells = {cell for house in houses for cell in house.cells} - set(step.cells)
        for cell in cells:
            for digit in layout.digits:
                if (digit in digits_in(digits)) is (verb != "keep only"):
                    bit = layout.bit(cell, digit)
                    is_there = grid.candidates & bit
                    struck |= bit if is_there or not (is_held or verb == "keep only") else 0
    return struck


def lines_named(text: str) -> tuple[str, ...]:
    """Return the names in `rows 2 and 7, column 3 and box 5`, each by itself."""
    return tuple(
        f"{kind} {number}"
        for kind, numbers in _OF_A_KIND.findall(text)
        for number in re.findall("[0-9]", numbers)
    )
