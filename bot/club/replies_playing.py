"""Replies on the day, the clock, the board and hints.

The words keep to the rung that a reply names, however much its facts hold.
"""

from __future__ import annotations

from datetime import datetime

from bot.club.facts import CoverPicture, DayFacts, GridPicture, HintPicture, Position, StepFacts
from bot.club.reply import Reply


class TodayShown(Reply, frozen=True, kw_only=True):
    """`picture` is the cover on a sealed day before the clock starts."""

    day: DayFacts
    picture: GridPicture | CoverPicture
    as_text: bool
    started_at: datetime | None
    solved: bool
    is_cover: bool


class ClockStarted(Reply, frozen=True, kw_only=True):
    """The clock runs since `started_at`; `was_running`: it had been started before."""

    day: DayFacts
    picture: GridPicture
    started_at: datetime
    was_running: bool


class BoardShown(Reply, frozen=True, kw_only=True):
    """A board. `change`: what was just done: `shown`, `placed`, `rubbed`, `row`, `ruled-out`,
    `undone`, `not-undone` (it has changed since), `redone`, `pasted`, `small`, `allowed`,
    `filled`. `marks`: the (cell, digit) pairs
    that changed, digit 0 where something was rubbed out. `clashes`: (digit, house) that the board
    now shows twice, plain to see. `seconds`: what `filled` added, to `total` in all."""

    day: DayFacts
    picture: GridPicture
    change: str
    marks: tuple[tuple[str, int], ...]
    clashes: tuple[tuple[int, str], ...]
    open_cells: int
    undo_left: int
    as_text: bool
    seconds: int = 0
    total: int = 0


class UndoEmpty(Reply, frozen=True, kw_only=True):
    """Nothing is left to take back."""


class RedoEmpty(Reply, frozen=True, kw_only=True):
    """Nothing was taken back that could be done again."""


class GivensDiffer(Reply, frozen=True, kw_only=True):
    """A pasted grid has one to three givens otherwise: (cell, theirs, ours); theirs 0 is blank.
    Likely slips of the pen. Nothing was changed."""

    slips: tuple[tuple[str, int, int], ...]


class OtherPuzzle(Reply, frozen=True, kw_only=True):
    """A pasted grid is of another puzzle: `differing` of `givens` givens differ."""

    differing: int
    givens: int


class HintOffered(Reply, frozen=True, kw_only=True):
    """Ask where the member is. `is_published`: the board is still as published, two minutes on.
    `costs`: seconds of the four rungs. `in_progress`: the rung of a hint under way, 0 if none.
    `number`: by which a button names that hint."""

    is_published: bool
    costs: tuple[int, int, int, int]
    in_progress: int = 0
    number: int = 0


class PaperForm(Reply, frozen=True, kw_only=True):
    """The nine-line form, filled with the member's board: lines of the board's digits. `is_read`:
    with what was read off a photo instead."""

    lines: tuple[str, ...]
    then_hint: bool = True
    is_read: bool = False


class HintShown(Reply, frozen=True, kw_only=True):
    """One rung of a hint. `rung` is 1 to 4 (where, what, which, why).

    `seconds` is what this rung added now: 0 where it was paid before. `total` is all seconds added
    so far on this puzzle. `position` is the position that the hint is from. `pasted`: it came with
    a pasted grid, kept as the board; the picture then is that board, so `echo` holds it.
    `known_cost`: what *I know that already* adds, which puts on the board what the rungs to come
    would tell. `number`: by which a button names the hint.
    """

    rung: int
    step: StepFacts
    position: Position
    seconds: int
    total: int
    picture: HintPicture | None
    next_cost: int | None
    echo: GridPicture | None = None
    is_kept: bool = False
    known_cost: int = 0
    number: int = 0


class HintStuck(Reply, frozen=True, kw_only=True):
    """No technique of the whole ladder finds anything here. No seconds are charged."""

    highest_level: int


class HintNotThere(Reply, frozen=True, kw_only=True):
    """Nothing useful starts in the house, or at the cell, or is about the digit asked for. No
    seconds are charged, so it does not say what there is elsewhere."""

    house: str | None
    digit: int | None
    cell: str | None = None


class BoardFull(Reply, frozen=True, kw_only=True):
    """No cell is left to give a hint on: hand it in, right or wrong. `open_cells` of the board are
    open though: what goes there was told in full, and not written yet."""

    open_cells: int = 0


class MistakeShown(Reply, frozen=True, kw_only=True):
    """A mistake comes before any hint. `rung` 1: there is one; 2: `region`; 3: `cell`.

    `count` is how many of its kind there were when it was looked for, 0 where that is not known.
    `region` is a house. `kind` is `digit` (a placed digit is wrong) or `ruled-out` (the right
    digit was struck). `number`: by which a button names it.
    """

    rung: int
    kind: str
    region: str | None
    cell: str | None
    seconds: int
    total: int
    next_cost: int | None
    count: int = 0
    picture: GridPicture | None = None
    number: int = 0


class KnownNoted(Reply, frozen=True, kw_only=True):
    """The member knows this step; it counts from now on. `placed`, `struck`: what went on their
    board. `seconds`: for the rungs that tell that and were not paid for; `total` in all.

    `is_recorded` False: the hint is not far enough up the stair to say what the step is (`rung`),
    so it is not counted; what the member writes on their board is. Tell no more of `step` then
    than the rung allows. `number`: by which a button names it.
    """

    step: StepFacts
    placed: tuple[tuple[str, int], ...]
    rung: int = 4
    is_recorded: bool = True
    struck: tuple[tuple[str, int], ...] = ()
    seconds: int = 0
    total: int = 0
    number: int = 0


class NoHintUnderWay(Reply, frozen=True, kw_only=True):
    """`hint more` or `hint known` without a hint that still applies."""


class BoardChecked(Reply, frozen=True, kw_only=True):
    """A board is right so far or not, without saying where; `seconds` were added, to `total` in
    all. `filled` counts the member's own digits."""

    is_right: bool
    filled: int
    open_cells: int
    seconds: int
    total: int
    is_untouched: bool = False


WITH_UNDO = (BoardShown, HintShown, MistakeShown, KnownNoted, BoardChecked)
"""What has a button to undo, by itself or beside a grid that was pasted."""
