"""A member's own find as they claim it, and the verdict on it: facts, never sentences.

A claim names a technique, cells and digits, or for a chain its candidates in order. The verdict is
either all the ways in which that is an instance of the technique, with what follows, or the one
condition that fails, with where it fails. Nothing here knows a technique.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from engine.board.layout import Cell
from engine.board.step import Node


class Condition(StrEnum):
    """What a find has to meet, and does not. In this order: the later, the nearer it came.

    `Flaw` says which of its fields each one fills.
    """

    NOT_CLAIMED_BY_CELLS = "no cells and digits can stand for it"
    """A traced contradiction: it is a line of reasoning, not a pattern."""
    NO_CHAIN = "the chain's candidates in order are missing"
    """`expected` lines of candidates, `found` given; 0 expected: three or more, one a case."""
    CELL_COUNT = "another number of cells is needed"
    """`expected` and `found`."""
    DIGIT_COUNT = "another number of digits is needed"
    """`expected` and `found`."""
    FILLED = "a cell is filled"
    """`cells`."""
    GIVEN = "a cell's digit is a given"
    """`cells`."""
    LACKS = "a cell cannot hold a digit"
    """`cells` and `digits`."""
    WRONG_CANDIDATES = "the cells do not hold the digits that the pattern asks for"
    """`cells`, and the `digits` that they hold."""
    HOLDS_MORE = "cells can hold other digits too"
    """`cells` and the other `digits`."""
    NO_HOUSE = "the cells share no house of the right sort"
    """`cells`."""
    NO_RECTANGLE = "the cells are not the corners of a rectangle in two boxes"
    """`cells`."""
    LINE_COUNT = "the cells lie in another number of lines"
    """`houses`: the lines; `expected` and `found`."""
    PLACES_LEFT_OUT = "a digit has more places in a house"
    """`digits`, `houses`, and the `cells` that were left out."""
    HOUSE_COUNT = "a digit stands another number of times in a house"
    """`digits`, `houses`; `expected` and `found`."""
    NOT_LINKED = "no house has a digit in just these places, no cell just these two digits"
    """`cells` and `digits`: the two ends of what should be a strong link."""
    NOT_SEEN = "cells do not see each other"
    """`cells`, `digits`: the two ends of what should be a weak link."""
    ODD_RING = "the links close a ring that cannot be coloured"
    """`cells`."""
    NO_FIN = "no place is left over: the fish is whole"
    """`cells`."""
    FINS_APART = "the fins do not lie in one box"
    """`cells`: the fins."""
    OTHER_KIND = "it is a pattern of its own, but of another kind"
    """`houses`: those of the two links."""
    NOT_ALL_CASES = "a case has no line of its own"
    """`cells` and `digits` of the cases left out."""
    ENDS_APART = "the lines do not all end in the same candidate, or the chain not in one digit"
    """`cells` and `digits` of the ends."""
    DOES_NOT_FOLLOW = "the find holds, but not all that was claimed follows from it"
    """`cells` and `digits` of what does not follow, as pairs in step."""
    STILL_POSSIBLE = "the cells can be filled otherwise"
    """`cells` and `digits` of such a filling, as pairs in step, first the cell claimed about."""


NEARNESS = {condition: place for place, condition in enumerate(Condition)}


@dataclass(frozen=True, slots=True)
class Claim:
    """What a member says that they found.

    - `cells` and `digits`: the pattern's, in any order, as `Step` has them: for a fish all places
      of its base lines, for colouring one or more linked pairs, for sets the cells of both.
    - `chains`: for chains the candidates (or groups) in order. One line for a chain, which starts
      with a strong link; for a forcing chain one line a case, from the case to what goes.
    - `removes` and `places`: what they say follows, a candidate mask and pairs; None if not said.
    - `variant`: as in `Step`, where they say which.
    """

    technique: str
    cells: tuple[Cell, ...] = ()
    digits: tuple[int, ...] = ()
    chains: tuple[tuple[Node, ...], ...] = ()
    removes: int | None = None
    places: tuple[tuple[Cell, int], ...] | None = None
    variant: str = ""


@dataclass(frozen=True, slots=True)
class Flaw:
    """The condition that fails, and where. What each field holds is told by the condition."""

    condition: Condition
    cells: tuple[Cell, ...] = ()
    digits: tuple[int, ...] = ()
    houses: tuple[int, ...] = ()
    expected: int = 0
    found: int = 0


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which the claim is an instance, and all that follows: maybe nothing at all."""

    removes: int = 0
    places: tuple[tuple[Cell, int], ...] = ()
    houses: tuple[int, ...] = ()
    variant: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """The claim holds. `removes` and `places` are all that follows in any of the `ways`.

    `unsaid` and `unsaid_places` are the part of it that the member did not claim, where they
    claimed something.
    """

    ways: tuple[Way, ...]
    removes: int
    places: tuple[tuple[Cell, int], ...]
    unsaid: int = 0
    unsaid_places: tuple[tuple[Cell, int], ...] = ()

    @property
    def is_idle(self) -> bool:
        """Say whether it is an instance from which nothing follows."""
        return not self.removes and not self.places


Verdict = Found | Flaw
