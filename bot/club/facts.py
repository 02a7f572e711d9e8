"""Facts that replies and pictures are made of: plain values that can be stored and sent as JSON.

Cells, houses and candidates stand here by their names, as people and the outside form know them.
No sentence is written here.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Literal

from msgspec import Struct

from bot.club.clock import Period
from engine import (
    EMPTY_MARKS,
    PLAIN_LEVEL,
    Bound,
    CellConstraint,
    Constraint,
    Grid,
    HouseConstraint,
    Layout,
    Link,
    LinkKind,
    Node,
    Step,
    format_grid,
    layout_name,
    layout_named,
    layout_with,
    position_of,
    witnesses,
)

NOT_THERE = "be-there"
"""The duty that a bot lacks which is not in the room at all, or whose room is no more."""


class Lacks(Struct, frozen=True):
    """What the bot may not do in the club's room: (duty, what the platform calls the right to it).
    `how`: how a leader gives the rights, in the platform's words."""

    rights: tuple[tuple[str, str], ...] = ()
    how: str = ""

    @property
    def duties(self) -> tuple[str, ...]:
        """What cannot be done."""
        return tuple(duty for duty, _ in self.rights)


class Position(Struct, frozen=True):
    """A position in its outside form: the digits, and what is struck beyond what they strike.

    `layout` is the layout's name where the number of cells does not tell it. `own` names the cells
    whose digits are known to be no givens.
    """

    grid: str
    removed: tuple[tuple[str, int], ...] = ()
    layout: str = ""
    own: tuple[str, ...] = ()

    @classmethod
    def of(cls, grid: Grid) -> Position:
        """Return a grid as texts; `removed` is what was struck beyond what its digits strike."""
        layout = grid.layout
        name = "" if layout is layout_with(layout.cell_count) else layout_name(layout)
        removed = tuple(layout.format_pairs(grid.removed_mask))
        own = tuple(map(layout.format_cell, layout.cells_in(grid.own)))
        return cls(format_grid(grid), removed, name, own)

    @property
    def shape(self) -> Layout:
        """The layout that it is on."""
        return layout_named(self.layout) if self.layout else layout_with(len(self.grid))

    @property
    def givens(self) -> str:
        """Its digits without those that are known to be no givens."""
        own = set(map(self.shape.parse_cell, self.own))
        return "".join("." if cell in own else mark for cell, mark in enumerate(self.grid))

    def to_grid(self, layout: Layout | None = None) -> Grid:
        """Return the position as a grid. Raises RepeatedDigitError for a digit twice in a house."""
        return position_of(self.grid, self.removed, own=self.own, layout=layout or self.shape)

    def as_written(self) -> Grid:
        """Return the grid as it stands, even where a digit stands twice in a house.

        A picture shows, and a text reads out, what a member wrote, and neither judges it.
        """
        layout = self.shape
        grid = Grid.empty(layout)
        for cell, mark in zip(layout.cells_in(layout.all_cells), self.grid, strict=True):
            if mark not in EMPTY_MARKS:
                grid = grid.place(cell, int(mark))
        for digit in layout.digits:
            grid = grid.eliminate(layout.spread(grid.filled_cells, digit))
        own = layout.mask_of(map(layout.parse_cell, self.own))
        return grid.with_own(own).eliminate(layout.parse_pairs(self.removed))


def encode_position(position: Position) -> str:
    """Write a position on one line, `.5.3… r1c2-3 r1c2-4`; `decode_position` is the inverse. Which
    digits are no givens is not told."""
    struck = (f"{cell}-{digit}" for cell, digit in position.removed)
    return " ".join((position.grid, *struck))


def decode_position(text: str) -> Position:
    """Read what `encode_position` wrote."""
    grid, *struck = text.split()
    pairs = (each.split("-") for each in struck)
    return Position(grid, tuple((cell, int(digit)) for cell, digit in pairs))


class LinkFacts(Struct, frozen=True):
    """A link by names: (cells, digit) to (cells, digit); `kind` is `strong` or `weak`."""

    first: tuple[str, ...]
    first_digit: int
    second: tuple[str, ...]
    second_digit: int
    kind: str


class StepFacts(Struct, frozen=True):
    """A step of the engine by names. `constraints` as `facts_of_step` writes them.

    The last five are the engine's `Step` fields of these names.
    """

    technique: str
    level: int
    houses: tuple[str, ...]
    covers: tuple[str, ...]
    cells: tuple[str, ...]
    digits: tuple[int, ...]
    pattern: tuple[tuple[str, int], ...]
    places: tuple[tuple[str, int], ...]
    removes: tuple[tuple[str, int], ...]
    constraints: tuple[str, ...]
    chains: tuple[tuple[LinkFacts, ...], ...] = ()
    assumed: tuple[str, int] | None = None
    trace: tuple[StepFacts, ...] = ()
    is_by_uniqueness: bool = False
    variant: str = ""

    @property
    def key(self) -> str:
        """A text that tells this instance from every other on the same puzzle."""
        key = f"{self.technique}:{','.join(self.cells)}:{''.join(map(str, self.digits))}"
        if self.level <= PLAIN_LEVEL:
            return key
        ends: tuple[str, ...] = ()
        if self.chains and self.chains[0]:
            ends = (*self.chains[0][0].first, *self.chains[0][-1].second)
        return f"{key}:{self.variant}:{','.join(self.covers)}:{','.join(ends)}"


def _format_constraint(layout: Layout, constraint: Constraint) -> str:
    """Write `at least one: r4c5` or `at most one: 7 in row 4`; `_parse_constraint` reads it."""
    if isinstance(constraint, CellConstraint):
        return f"{constraint.bound}: {layout.format_cell(constraint.cell)}"
    return f"{constraint.bound}: {constraint.digit} in {layout.houses[constraint.house].name}"


def _parse_constraint(layout: Layout, text: str) -> Constraint:
    """Read what `_format_constraint` wrote: `at least one: 7 in box 5`, `at most one: r4c7`."""
    bound, where = text.split(": ", 1)
    if " in " not in where:
        return CellConstraint(Bound(bound), layout.parse_cell(where))
    digit, house = where.split(" in ", 1)
    return HouseConstraint(Bound(bound), layout.parse_house(house).index, layout.parse_digit(digit))


def facts_of_step(layout: Layout, step: Step) -> StepFacts:
    """Write a step by names; `step_of_facts` is the inverse."""
    return StepFacts(
        technique=step.technique,
        level=step.level,
        houses=tuple(layout.houses[index].name for index in step.houses),
        covers=tuple(layout.houses[index].name for index in step.covers),
        cells=tuple(layout.format_cell(cell) for cell in step.cells),
        digits=step.digits,
        pattern=tuple(layout.format_pairs(step.pattern)),
        places=tuple((layout.format_cell(cell), digit) for cell, digit in step.places),
        removes=tuple(layout.format_pairs(step.removes)),
        constraints=tuple(_format_constraint(layout, each) for each in step.constraints),
        chains=tuple(tuple(_facts_of_link(layout, link) for link in line) for line in step.chains),
        assumed=(layout.format_cell(step.assumed[0]), step.assumed[1]) if step.assumed else None,
        trace=tuple(facts_of_step(layout, each) for each in step.trace),
        is_by_uniqueness=step.is_by_uniqueness,
        variant=step.variant,
    )


def _facts_of_link(layout: Layout, link: Link) -> LinkFacts:
    return LinkFacts(
        first=tuple(layout.format_cell(cell) for cell in link.first.cells),
        first_digit=link.first.digit,
        second=tuple(layout.format_cell(cell) for cell in link.second.cells),
        second_digit=link.second.digit,
        kind=link.kind.value,
    )


def _link_of_facts(layout: Layout, facts: LinkFacts) -> Link:
    return Link(
        Node(tuple(layout.parse_cell(name) for name in facts.first), facts.first_digit),
        Node(tuple(layout.parse_cell(name) for name in facts.second), facts.second_digit),
        LinkKind(facts.kind),
    )


def step_of_facts(layout: Layout, facts: StepFacts) -> Step:
    """Return the step that `facts_of_step` wrote."""
    return Step(
        technique=facts.technique,
        level=facts.level,
        houses=tuple(layout.parse_house(name).index for name in facts.houses),
        covers=tuple(layout.parse_house(name).index for name in facts.covers),
        cells=tuple(layout.parse_cell(name) for name in facts.cells),
        digits=facts.digits,
        pattern=layout.parse_pairs(facts.pattern),
        places=tuple((layout.parse_cell(name), digit) for name, digit in facts.places),
        removes=layout.parse_pairs(facts.removes),
        constraints=tuple(_parse_constraint(layout, text) for text in facts.constraints),
        chains=tuple(tuple(_link_of_facts(layout, each) for each in line) for line in facts.chains),
        assumed=(layout.parse_cell(facts.assumed[0]), facts.assumed[1]) if facts.assumed else None,
        trace=tuple(step_of_facts(layout, each) for each in facts.trace),
        is_by_uniqueness=facts.is_by_uniqueness,
        variant=facts.variant,
    )


class DayFacts(Struct, frozen=True):
    """The day's puzzle, as far as a member may see it. `lines` are the two marked lines' names."""

    club: str
    date: date
    givens: str
    level: int
    theme: str | None
    lines: tuple[str, str]
    sealed: bool
    closes_at: datetime
    zone: str
    credit: str = ""


class Findings(Struct, frozen=True):
    """What judging a puzzle found besides what is kept with it. `turning`: the highest
    technique of each turning point, in the order in which the sweeps come to them."""

    givens: int
    is_minimal: bool
    minutes: int
    turning: tuple[str, ...]


Marks = Literal["all", "two-place", "none"]
"""Which candidates a picture shows beside what it is about: all, those with two places in a box."""


class GridPicture(Struct, frozen=True, tag="grid"):
    """A grid: `position` with the `givens` told apart, candidates if asked, lines marked, the cells
    of `mistakes` that the member was told of, and those that are `doubtful`, to look at again.
    `places` are (cell, digit) pairs that come next: boxed. `houses` and `cells` are what it is
    about, marked as in a hint's picture. `keeps_marks`: `marks` stand, whatever
    the club's pictures show."""

    givens: str
    position: Position
    with_candidates: bool = False
    lines: tuple[str, ...] = ()
    caption: str = ""
    mistakes: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = ()
    places: tuple[tuple[str, int], ...] = ()
    marks: Marks = "all"
    keeps_marks: bool = False
    houses: tuple[str, ...] = ()
    cells: tuple[str, ...] = ()


class HintPicture(Struct, frozen=True, tag="hint"):
    """A position with as much of a step as the rung allows: `where`, `which` or `why`. Marks as a
    `GridPicture` has them."""

    givens: str
    position: Position
    step: StepFacts
    rung: str
    marks: Marks = "all"
    keeps_marks: bool = False


def marked(grid: Grid, marks: Marks) -> int:
    """Return the candidate mask that is shown of a position."""
    if marks == "none":
        return 0
    return witnesses.find_two_places(grid) if marks == "two-place" else grid.candidates


class CoverPicture(Struct, frozen=True, tag="cover"):
    """The cover of a sealed day: nothing of the puzzle."""

    club: str
    date: date
    level: int


FORMER_MEMBER = ""
"""The name of somebody who had their data erased, in what was posted before."""


class TableRow(Struct, frozen=True):
    """One member's line. Times in whole seconds; `rank` is shared by equal results.

    `rank` 0: nothing that ranks, only late answers; such rows come last. `wrong`
    counts the wrong answers to what ranks.
    """

    rank: int
    name: str
    solved: int
    adjusted: int
    raw: int
    hints: int
    late: int = 0
    streak: int = 0
    wrong: int = 0


class Table(Struct, frozen=True):
    """`period` is `week`, `month`, `all` or `day`; `first` and `last` are its puzzle dates."""

    club: str
    period: Period
    first: date | None
    last: date | None
    rows: tuple[TableRow, ...]
    most_improved: tuple[str, ...] = ()


class Praise(Struct, frozen=True):
    """What was good in a period: `names` improved most, solved a puzzle of a `level` for the first
    time, are new, or needed the fewest `hints` each, for the puzzles that each `solved`."""

    kind: Literal["improved", "level", "new", "hints"]
    names: tuple[str, ...]
    level: int = 0
    hints: int = 0
    solved: int = 0


class TablePicture(Struct, frozen=True, tag="table"):
    """A table as a picture; the drawing decides how many rows fit."""

    table: Table


class SkillFacts(Struct, frozen=True):
    """How a member stands with a technique: positions met, found alone, found with help."""

    technique: str
    met: int
    alone: int
    helped: int
    is_due: bool


class SkillsPicture(Struct, frozen=True, tag="skills"):
    """How a member stands with the techniques that they practise, a bar each."""

    skills: tuple[SkillFacts, ...]


Picturable = GridPicture | HintPicture | CoverPicture | TablePicture | SkillsPicture
"""Whatever `bot.drawing` can draw and `bot.wording` can describe."""
