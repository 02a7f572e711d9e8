"""Finds what a rung of a hint tells too early. Independent of the functions that make the words.

Each checker returns the leaks that it found in a text, as phrases; none where the secret is kept.
"""

from __future__ import annotations

import re

from bot.club.facts import StepFacts
from engine.board.layout import CLASSIC, Layout
from engine.techniques import LADDER

_CELL = re.compile(r"\br[1-9]c[1-9]\b", re.IGNORECASE)
_HOUSE = re.compile(r"\b(row|column|box|diagonal) [1-9]\b", re.IGNORECASE)
_DIGIT = re.compile(r"[0-9]")
_CONCLUDING = re.compile(
    r"\b(los\w+|strik\w*|struck|eliminat\w*|rules? out|ruled out|remov\w*|cannot|so)\b",
    re.IGNORECASE,
)
_GENERAL_WORDS = {"last", "digit", "hidden", "three"}
"""Words of techniques' names that also have an everyday meaning; alone they give nothing away."""


def _technique_phrases() -> set[str]:
    phrases = {technique.id.replace("-", " ") for technique in LADDER}
    words = {word for phrase in phrases for word in phrase.split()}
    return phrases | (words - _GENERAL_WORDS)


def _named_techniques(text: str) -> list[str]:
    low = text.lower().replace("-", " ")
    return [phrase for phrase in sorted(_technique_phrases()) if re.search(rf"\b{phrase}s?\b", low)]


def house_meets_pattern(text: str, step: StepFacts, layout: Layout = CLASSIC) -> bool:
    """Say whether the one house named has a cell of the pattern in it."""
    named = _HOUSE.search(text)
    if not named:
        return False
    house = layout.parse_house(named[0])
    return any(layout.parse_cell(name) in house.cells for name in step.cells)


def where_leaks(text: str) -> list[str]:
    """Where may name one house, and no technique, digit or cell."""
    leaks = _named_techniques(text) + _CELL.findall(text)
    houses = {found[0].lower() for found in _HOUSE.finditer(text)}
    if len(houses) != 1:
        leaks.append(f"{len(houses)} houses named")
    return leaks + _DIGIT.findall(_CELL.sub("", _HOUSE.sub("", text)))


def what_leaks(text: str) -> list[str]:
    """What may hold no cell, no digit and no house by its number."""
    return _CELL.findall(text) + _DIGIT.findall(_CELL.sub("", text))


def which_leaks(text: str, step: StepFacts) -> list[str]:
    """Which may name the pattern's cells, digits and houses, and nothing that follows."""
    leaks = [f"{cell} is not of the pattern" for cell in _CELL.findall(text)
             if cell.lower() not in step.cells]  # fmt: skip
    leaks += [f"{found[0]} is no house of the pattern" for found in _HOUSE.finditer(text)
              if found[0].lower() not in step.houses]  # fmt: skip
    bare = _HOUSE.sub("", _CELL.sub("", text))
    leaks += [f"{digit} is not of the pattern" for digit in _DIGIT.findall(bare)
              if int(digit) not in step.digits]  # fmt: skip
    if len(step.places) > 1:
        leaks += [f"{digit} goes to {cell}" for cell, digit in step.places
                  if re.search(rf"{cell}\W+(is|=|takes|to)?\W*{digit}\b", text)]  # fmt: skip
    return leaks + [found[0] for found in _CONCLUDING.finditer(text)]


def without_position(alt: str) -> str:
    """Return an alternative text without its reading of the position, which is no secret."""
    return "\n".join(
        line
        for line in alt.splitlines()
        if not re.match(r"(row [1-9]: [1-9(blnk.]|Not given but placed: |Irregular boxes; )", line)
    )
