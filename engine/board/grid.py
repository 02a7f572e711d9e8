"""A position: the digits placed and the candidates left. Immutable; every change is a new Grid.

`placed` and `candidates` are candidate masks (see `engine.board.layout`): `placed` has one bit for
each digit that stands in the grid, `candidates` the digits that open cells can still hold. A filled
cell has no candidates. A Grid never judges whether a digit is right. `own` is the cell mask of the
filled cells that are known to be no givens: what is read is given until `with_own` says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from engine.board.layout import CLASSIC, Cell, Layout, iterate_bits, layout_with
from engine.errors import GridCharacterError, GridLengthError, RepeatedDigitError

EMPTY_MARKS = ".0"
"""What stands for an empty cell in a grid's text; `format_grid` writes the first."""

_WITHOUT_RULERS = str.maketrans("", "", "|+-")


@dataclass(frozen=True, slots=True)
class Grid:
    """An immutable position on `layout`. See the module's text for the three masks."""

    layout: Layout
    placed: int
    candidates: int
    own: int = 0

    @classmethod
    def empty(cls, layout: Layout = CLASSIC) -> Grid:
        """Return a grid with nothing placed and every candidate there."""
        return cls(layout, 0, layout.all_candidates)

    def __repr__(self) -> str:
        struck = self.removed_mask
        own = f".with_own({self.own:#x})" if self.own else ""
        eliminated = f".eliminate({struck:#x})" if struck else ""
        return f"parse_grid({format_grid(self)!r}){own}{eliminated}"

    def __str__(self) -> str:
        return draw_grid(self)

    def __hash__(self) -> int:
        return hash(self.candidates)  # tells positions apart, and is asked for at every turn

    @property
    def open_cells(self) -> int:
        """Cell mask of the cells without a digit."""
        return self.layout.all_cells & ~self.filled_cells

    @property
    def filled_cells(self) -> int:
        """Cell mask of the cells that hold a digit."""
        return _cells_of(self.layout, self.placed)

    @property
    def is_complete(self) -> bool:
        """Whether every cell holds a digit; whether rightly, it does not tell."""
        return self.placed.bit_count() == self.layout.cell_count

    @property
    def removed_mask(self) -> int:
        """Candidate mask of what is struck beyond what the placed digits strike."""
        return self.unstruck_candidates & ~self.candidates

    @property
    def unstruck_candidates(self) -> int:
        """Candidate mask that follows from the placed digits alone."""
        layout, left = self.layout, self.layout.all_candidates
        for index in iterate_bits(self.placed):
            cell, digit = layout.split(index)
            left &= ~layout.strikes[digit - 1][cell]
        return left

    def digit_at(self, cell: int) -> int:
        """Return the digit that stands in `cell`, 0 if it is open."""
        here = self.placed & self.layout.cell_bits[cell]
        return self.layout.split(here.bit_length() - 1)[1] if here else 0

    def candidates_at(self, cell: int) -> tuple[int, ...]:
        """Return the digits that `cell` can still hold, lowest first; none if it is filled."""
        layout = self.layout
        return tuple(
            layout.split(index)[1]
            for index in iterate_bits(self.candidates & layout.cell_bits[cell])
        )

    def plane(self, digit: int) -> int:
        """Return the cell mask of the open cells that can still hold `digit`."""
        return self.layout.plane(self.candidates, digit)

    def place(self, cell: int, digit: int) -> Grid:
        """Return the position after writing `digit` in the open `cell`; its peers lose it.

        A digit that is written is no given.
        """
        layout = self.layout
        return Grid(
            layout,
            self.placed | layout.bit(cell, digit),
            self.candidates & ~layout.strikes[digit - 1][cell],
            self.own | 1 << cell,
        )

    def eliminate(self, candidates: int) -> Grid:
        """Return the position without the candidates of a candidate mask."""
        return Grid(self.layout, self.placed, self.candidates & ~candidates, self.own)

    def with_candidates(self, candidates: int) -> Grid:
        """Return the position with a candidate mask's candidates brought back."""
        return Grid(self.layout, self.placed, self.candidates | candidates, self.own)

    def with_written(self, placed: int, candidates: int) -> Grid:
        """Return the position after more digits were written: now these stand, and these are left.

        `placed` holds the digits that stood before as well.
        """
        own = self.own | _cells_of(self.layout, placed & ~self.placed)
        return Grid(self.layout, placed, candidates, own)

    def with_own(self, cells: int) -> Grid:
        """Return the position in which just these of the filled cells are known to be no givens."""
        return Grid(self.layout, self.placed, self.candidates, cells & self.filled_cells)


def _cells_of(layout: Layout, candidates: int) -> int:
    cells = 0
    while candidates:
        cells |= candidates & layout.all_cells
        candidates >>= layout.cell_count
    return cells


def parse_grid(text: str, *, layout: Layout | None = None) -> Grid:
    """Read a grid of one character a cell, row by row; white space and rulers are ignored.

    So it reads what `draw_grid` drew. Without a layout the number of cells chooses it. Raises
    GridLengthError, GridCharacterError, RepeatedDigitError (a digit twice in a house).

    >>> from engine import parse_grid
    >>> parse_grid("12|34  34|..  --+--  21|43  43|21")
    parse_grid('123434..21434321')
    """
    marks = "".join(text.translate(_WITHOUT_RULERS).split())
    if layout is None:
        layout = layout_with(len(marks))
    for index, mark in enumerate(marks):
        if mark not in EMPTY_MARKS and mark not in layout.marks:
            raise GridCharacterError(mark, index)
    if len(marks) != layout.cell_count:
        raise GridLengthError(len(marks), layout.cell_count)
    return grid_with(
        ((Cell(index), int(mark)) for index, mark in enumerate(marks) if mark not in EMPTY_MARKS),
        layout=layout,
    )


def grid_with(digits: Iterable[tuple[Cell, int]], *, layout: Layout = CLASSIC) -> Grid:
    """Return the position with these (cell, digit) placed. Raises RepeatedDigitError."""
    grid = Grid.empty(layout)
    for cell, digit in digits:
        plane = layout.plane(grid.placed, digit)
        for house in layout.houses_of[cell]:
            if plane & house.mask:
                other = layout.cells_in(plane & house.mask)[0]
                names = sorted((other, cell))
                raise RepeatedDigitError(
                    digit,
                    house.name,
                    (layout.format_cell(names[0]), layout.format_cell(names[1])),
                )
        grid = grid.place(cell, digit)
    return grid.with_own(0)


def grid_without(grid: Grid, cell: int) -> Grid:
    """Return the position of all placed digits but the one in `cell`; no eliminations are kept."""
    layout = grid.layout
    rest = Grid(layout, grid.placed & ~layout.cell_bits[cell], layout.all_candidates)
    return Grid(layout, rest.placed, rest.unstruck_candidates, grid.own & ~(1 << cell))


def as_grid(grid: Grid | str) -> Grid:
    """Return a grid as it is, or the one that a text shows. Raises what `parse_grid` raises."""
    return parse_grid(grid) if isinstance(grid, str) else grid


def format_grid(grid: Grid) -> str:
    """Write the digits, one character a cell, `.` where it is open: the inverse of `parse_grid`.

    >>> from engine import format_grid, solve
    >>> format_grid(solve("1... ..3. .4.. ...2"))
    '1324423124133142'
    """
    layout = grid.layout
    marks = [EMPTY_MARKS[0]] * layout.cell_count
    for index in iterate_bits(grid.placed):
        cell, digit = layout.split(index)
        marks[cell] = str(digit)
    return "".join(marks)


def draw_grid(grid: Grid | str) -> str:
    """Draw the digits as lines of text with rulers between boxes; `parse_grid` reads it back.

    >>> from engine import draw_grid
    >>> print(draw_grid("1... ..3. .4.. ...2"))
    1.|..
    ..|3.
    --+--
    .4|..
    ..|.2
    """
    grid = as_grid(grid)
    layout, text = grid.layout, format_grid(grid)
    if not layout.is_regular:
        return _draw_irregular(layout, text)
    lines = []
    for row in range(layout.size):
        if row and row % layout.box_height == 0:
            lines.append("+".join(["-" * layout.box_width] * (layout.size // layout.box_width)))
        marks = text[row * layout.size : (row + 1) * layout.size]
        lines.append(
            "|".join(
                marks[start : start + layout.box_width]
                for start in range(0, layout.size, layout.box_width)
            )
        )
    return "\n".join(lines)


def _draw_irregular(layout: Layout, text: str) -> str:
    """Draw the digits two columns a cell, with a stroke wherever two boxes meet."""
    size, lines = layout.size, []
    for row in range(size):
        cells = range(row * size, (row + 1) * size)
        if row:
            walls = ["-" if layout.is_apart(cell, cell - size) else " " for cell in cells]
            if "-" in walls:
                lines.append(" ".join(walls).rstrip())
        marks = [text[cell] for cell in cells]
        for place, cell in enumerate(cells[1:], start=1):
            marks[place] = ("|" if layout.is_apart(cell, cell - 1) else " ") + marks[place]
        lines.append("".join(marks))
    return "\n".join(lines)


def position_of(
    text: str,
    removed: Iterable[tuple[str, int]],
    *,
    own: Iterable[str] = (),
    layout: Layout | None = None,
) -> Grid:
    """Read the outside form of a position: a grid's text, and the candidates struck beyond it.

    `removed` holds (cell name, digit) pairs such as ("r1c2", 3); one that is struck already is no
    error. `own` names the cells whose digits are known to be no givens; one that is open is no
    error either. Raises what `parse_grid` raises, CellNameError and DigitError.

    >>> from engine import position_of
    >>> grid = position_of("1... ..3. .4.. ...2", [("r1c2", 2)])
    >>> grid.candidates_at(grid.layout.parse_cell("r1c2"))
    (3,)
    """
    grid = parse_grid(text, layout=layout)
    named = grid.layout.mask_of(grid.layout.parse_cell(name) for name in own)
    return grid.with_own(named).eliminate(grid.layout.parse_pairs(removed))
