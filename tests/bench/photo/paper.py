"""Grids as members have them: printed, ruled by hand, or the bot's own picture on a screen.

Each comes with what stands in it, cell by cell, so that a reading can be scored.
"""

from __future__ import annotations

import io
import itertools
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from bot.club.facts import GridPicture, Position
from bot.drawing import draw as draw_picture
from bot.photo.network import MARKS, STRUCK
from engine import Grid, format_grid, solve
from tests.bench.photo.hands import Hand, Supplies
from tests.photo_training.glyphs import Glyph

Page = NDArray[np.float32]
"""Brightness from 0 to 1, rows first."""

KINDS = ("printed", "ruled", "screen")
CELL = 88
MARGIN = 150
"""Of paper around the grid, in the same pixels."""


@dataclass(frozen=True, slots=True)
class Content:
    """What a member has on a puzzle: for each cell the kind that a reader should see."""

    puzzle: Grid
    kinds: NDArray[np.intp]
    wrong: tuple[int, ...] = ()
    """Cells with a mistake of the member's."""

    @property
    def givens(self) -> NDArray[np.intp]:
        """Each cell's given, or 0."""
        return np.array([int(mark) if mark != "." else 0 for mark in format_grid(self.puzzle)])


@dataclass(frozen=True, slots=True)
class Sheet:
    """A page and the corners of the grid on it, clockwise."""

    page: Page
    corners: NDArray[np.float32]


def fill(puzzle: Grid, random: np.random.Generator, *, mistakes: int = 0) -> Content:
    """Return a puzzle with as much in it as somebody may have written by now."""
    content = Content(puzzle, np.zeros(puzzle.layout.cell_count, np.intp))
    givens = content.givens
    solved = solve(puzzle)
    assert solved is not None
    solution = np.array([int(mark) for mark in format_grid(solved)])
    open_cells = random.permutation(np.flatnonzero(givens == 0))
    count = int(np.clip(random.normal(0.45, 0.2), 0.08, 0.95) * len(open_cells))
    kinds = givens.copy()
    kinds[open_cells[:count]] = solution[open_cells[:count]]
    rest = open_cells[count:]
    if random.random() < 0.6:
        marked = rest[random.random(len(rest)) < random.uniform(0.1, 0.6)]
        kinds[marked] = MARKS
    struck = rest[: int(random.choice([0, 0, 1, 2, 3]))]
    kinds[struck] = STRUCK
    wrong = open_cells[: min(mistakes, count)]
    for cell in wrong:
        others = [digit for digit in puzzle.layout.digits if digit != solution[cell]]
        kinds[cell] = int(random.choice(others))
    return Content(puzzle, kinds, tuple(int(cell) for cell in wrong))


def draw(
    kind: str, content: Content, supplies: Supplies, random: np.random.Generator
) -> tuple[Sheet, Content]:
    """Draw a sheet of a kind. On a screen nothing is struck: the content comes back as drawn."""
    if kind == "screen":
        return _draw_screen(content, random)
    size = content.puzzle.layout.size
    side = size * CELL
    page = np.ones(
        (side + 2 * MARGIN + int(random.integers(0, 300)), side + 2 * MARGIN), np.float32
    )
    if kind == "ruled":
        _draw_squares(page, random)
    else:
        _print_around(page, side, random)
    places = _rule(page, content, random, by_hand=kind == "ruled")
    _write(page, content, places, supplies, random, by_hand=kind == "ruled")
    corners = places[[0, 0, -1, -1], [0, -1, -1, 0]].astype(np.float32)
    return Sheet(page, corners), content


def _draw_squares(page: Page, random: np.random.Generator) -> None:
    """Make it squared or lined paper, as often as not."""
    way = random.random()
    if way < 0.6:
        return
    step, light = int(random.integers(24, 60)), float(random.uniform(0.78, 0.93))
    page[::step, :] = np.minimum(page[::step, :], light)
    if way > 0.8:
        page[:, ::step] = np.minimum(page[:, ::step], light)


def _print_around(page: Page, side: int, random: np.random.Generator) -> None:
    """Print a heading, and lines of text that are none below."""
    if random.random() < 0.7:
        wide = int(random.integers(200, 600))
        for x in range(MARGIN, MARGIN + wide, 26):
            height = int(random.integers(14, 34))
            page[70 - height : 70, x : x + 16] = 0.2
    if random.random() < 0.5:
        for y in range(side + MARGIN + 40, page.shape[0] - 10, 22):
            for x in range(MARGIN, MARGIN + side, 14):
                if random.random() < 0.8:
                    page[y : y + 9, x : x + 9] = 0.35


def _rule(
    page: Page, content: Content, random: np.random.Generator, *, by_hand: bool
) -> NDArray[np.float64]:
    layout = content.puzzle.layout
    at = np.arange(layout.size + 1) * float(CELL) + MARGIN
    x, y = np.meshgrid(at, at)
    places = np.stack([x, y], axis=2)
    if by_hand:
        places[:, :, 0] += random.normal(0, 4, layout.size + 1)[None, :]
        places[:, :, 1] += random.normal(0, 4, layout.size + 1)[:, None]
        places += random.normal(0, 1.8, places.shape)
    elif random.random() < 0.25:
        for box in layout.boxes[::2]:
            top, left = divmod(box.cells[0], layout.size)
            bottom, right = divmod(box.cells[-1], layout.size)
            part = page[
                MARGIN + top * CELL : MARGIN + (bottom + 1) * CELL,
                MARGIN + left * CELL : MARGIN + (right + 1) * CELL,
            ]
            part *= float(random.uniform(0.82, 0.93))
    dark = float(random.uniform(0.35, 0.8) if by_hand else random.uniform(0.6, 0.95))
    thin = float(random.uniform(1.5, 3) if by_hand else random.uniform(1.2, 3))
    thick = thin * float(random.uniform(1, 2) if by_hand else random.uniform(1.6, 3.5))
    faint = dark * float(random.uniform(0.8, 1) if by_hand else random.uniform(0.45, 1))
    for number in range(layout.size + 1):
        for across in (True, False):
            box = layout.box_height if across else layout.box_width
            is_thick = number % box == 0
            path = places[number] if across else places[:, number]
            if by_hand:
                path = _by_hand(path, random)
            _stroke(page, path, thick if is_thick else thin, dark if is_thick else faint)
    return places


def _by_hand(path: NDArray[np.float64], random: np.random.Generator) -> NDArray[np.float64]:
    """Return a line as a hand draws it: a little wavy, too short or too long."""
    fine = np.vstack(
        [np.linspace(a, b, 8, endpoint=False) for a, b in itertools.pairwise(path)] + [path[-1:]]
    )
    waves = cv2.GaussianBlur(random.normal(0, 8, fine.shape), (1, 0), 0, sigmaY=9)
    fine = fine + waves.reshape(fine.shape)
    ends = random.normal(0, 5, 2)
    fine[0] += (fine[0] - fine[4]) / np.linalg.norm(fine[0] - fine[4]) * ends[0]
    fine[-1] += (fine[-1] - fine[-5]) / np.linalg.norm(fine[-1] - fine[-5]) * ends[1]
    return fine


def _stroke(page: Page, path: NDArray[np.float64], pen: float, dark: float) -> None:
    layer = np.zeros(page.shape, np.uint8)
    points = np.round(path * 16).astype(np.int32)
    cv2.polylines(layer, [points], False, 255, max(round(pen), 1), cv2.LINE_AA, shift=4)
    page *= 1 - layer.astype(np.float32) * (dark / 255)


def _write(
    page: Page,
    content: Content,
    places: NDArray[np.float64],
    supplies: Supplies,
    random: np.random.Generator,
    *,
    by_hand: bool,
) -> None:
    middles = (places[:-1, :-1] + places[1:, 1:] + places[:-1, 1:] + places[1:, :-1]) / 4
    hand, other = (supplies.hands[int(random.integers(len(supplies.hands)))] for _ in range(2))
    printer = supplies.printers[int(random.integers(len(supplies.printers)))]
    if by_hand:
        printer = other
    printed_tall = float(random.uniform(0.5, 0.7)) * CELL
    tall = float(random.uniform(0.45, 0.75)) * CELL
    pencil = random.random() < 0.4
    dark = float(random.uniform(0.3, 0.6) if pencil else random.uniform(0.55, 0.9))
    loose = float(random.uniform(0.02, 0.07))
    givens = content.givens
    small = random.random() < 0.35
    for cell, kind in enumerate(content.kinds.tolist()):
        middle = middles[divmod(cell, content.puzzle.layout.size)]
        if givens[cell]:
            turn = float(random.normal(0, 0.05)) if by_hand else 0.0
            put(page, printer(kind, random), middle, printed_tall, turn, 0.85)
        elif kind == MARKS:
            _mark(page, middle, hand, dark, random)
        elif kind:
            digit = int(random.integers(1, 10)) if kind == STRUCK else kind
            at = middle + random.normal(0, loose, 2) * CELL
            high = tall * float(random.uniform(0.88, 1.12))
            put(page, hand(digit, random), at, high, float(random.normal(0, 0.08)), dark)
            if kind == STRUCK:
                _strike(page, at, high, dark, random)
            elif small and random.random() < 0.3:
                corner = middle + np.array([-0.33, -0.33]) * CELL
                put(page, hand(int(random.integers(1, 10)), random), corner, 0.2 * CELL, 0, dark)


def put(
    page: Page, glyph: Glyph, middle: NDArray[np.float64], tall: float, turn: float, dark: float
) -> None:
    """Draw a glyph with its middle at a place, so many pixels high."""
    scale = tall / glyph.shape[0]
    rows, columns = glyph.shape
    matrix = cv2.getRotationMatrix2D((columns / 2, rows / 2), float(np.degrees(turn)), scale)
    reach = int(max(rows, columns) * scale * 0.75) + 4
    left, top = int(middle[0]) - reach, int(middle[1]) - reach
    matrix[:, 2] += np.array([middle[0] - left - columns / 2, middle[1] - top - rows / 2])
    drawn = cv2.warpAffine(glyph, matrix, (2 * reach, 2 * reach), flags=cv2.INTER_CUBIC)
    y0, x0 = max(top, 0), max(left, 0)
    part = page[y0 : top + 2 * reach, x0 : left + 2 * reach]
    shown = drawn[y0 - top :, x0 - left :][: part.shape[0], : part.shape[1]]
    part *= 1 - np.clip(shown, 0, 1) * dark


def _mark(
    page: Page, middle: NDArray[np.float64], hand: Hand, dark: float, random: np.random.Generator
) -> None:
    """Write small candidates, in a row at the top or each in its own place."""
    digits = np.sort(random.permutation(9)[: int(random.integers(1, 5))]) + 1
    tall = float(random.uniform(0.17, 0.25)) * CELL
    in_row = random.random() < 0.5
    for place, digit in enumerate(digits.tolist()):
        at = np.array([-0.34 + 0.22 * place, -0.32])
        if not in_row:
            row, column = divmod(digit - 1, 3)
            at = np.array([0.3 * (column - 1), 0.3 * (row - 1)])
        put(page, hand(digit, random), middle + at * CELL, tall, 0, dark)


def _strike(
    page: Page, middle: NDArray[np.float64], tall: float, dark: float, random: np.random.Generator
) -> None:
    half = tall * 0.55
    way = int(random.integers(3))
    paths = [[(-1.0, 1.0), (1.0, -1.0)]]
    if way == 1:
        paths.append([(-1.0, -0.9), (1.0, 1.0)])
    elif way == 2:
        paths = [[(-1 + 0.25 * step, (-1.0) ** step) for step in range(9)]]
    for path in paths:
        points = middle + half * (np.array(path) + random.normal(0, 0.1, (len(path), 2)))
        _stroke(page, points, 4, dark)


def _draw_screen(content: Content, random: np.random.Generator) -> tuple[Sheet, Content]:
    """Draw the bot's own picture, light or dark, as it shows a member's board."""
    givens = format_grid(content.puzzle)
    with_candidates = bool(random.random() < 0.4)
    shown = [int(kind) if 0 < kind < MARKS else 0 for kind in content.kinds]
    position = Position("".join(str(kind) if kind else "." for kind in shown))
    board = position.as_written()
    picture = GridPicture(givens=givens, position=position, with_candidates=with_candidates)
    look = "dark" if random.random() < 0.3 else "light"
    with Image.open(io.BytesIO(draw_picture(picture, look))) as drawn:
        page = np.asarray(drawn.convert("L"), np.float32) / 255
    kinds = np.array(shown)
    if with_candidates:
        left = np.array([bool(board.candidates_at(cell)) for cell in range(len(kinds))])
        kinds[(kinds == 0) & left] = MARKS
    rim = 60
    page = cv2.copyMakeBorder(
        page, rim, rim, rim, rim, cv2.BORDER_CONSTANT, value=float(page[2, 2])
    )
    page = cv2.copyMakeBorder(page, 70, 70, 70, 70, cv2.BORDER_CONSTANT, value=0.08)
    high, wide = page.shape
    corners = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float32)
    return Sheet(np.asarray(page, np.float32), corners), replace(content, kinds=kinds)
