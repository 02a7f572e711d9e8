"""What stands on a printed page, read back from the PDF alone: its lines, its letters, its grids.

Nothing here knows how a sheet is laid out: cells are found by the lines that part them.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from io import BytesIO

import pikepdf
import pypdfium2
from PIL import Image
from pypdfium2 import raw

MILLIMETRE = 72 / 25.4


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter and its box, in millimetres from the bottom left of the page."""

    text: str
    left: float
    bottom: float
    right: float
    top: float
    is_upside_down: bool


@dataclass(frozen=True, slots=True)
class PaperGrid:
    """A grid found on a page: the lines that part its cells, and the digits between them."""

    columns: tuple[float, ...]
    rows: tuple[float, ...]
    digits: dict[int, tuple[str, ...]]

    @property
    def cell(self) -> float:
        """The side of a cell, in millimetres."""
        return (self.columns[-1] - self.columns[0]) / (len(self.columns) - 1)

    @property
    def text(self) -> str:
        """The digits as a grid text; a cell with several is open."""
        count = (len(self.columns) - 1) ** 2
        found = [self.digits.get(cell, ()) for cell in range(count)]
        return "".join(each[0] if len(each) == 1 else "." for each in found)


@dataclass(frozen=True, slots=True)
class PaperPage:
    """A page as a reader has it. `words` is its text, `size` in millimetres."""

    words: str
    size: tuple[float, float]
    letters: tuple[Letter, ...]
    grids: tuple[PaperGrid, ...]
    picture: Image.Image


def problems_of(content: bytes) -> list[str]:
    """Return what a checker of PDFs finds wrong, letters that are not carried along included."""
    with pikepdf.open(BytesIO(content)) as pdf:
        found = list(pdf.check_pdf_syntax())
        for item in pdf.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/FontDescriptor":
                found += [] if "/FontFile2" in item else [f"{item['/FontName']} is not embedded"]
            if isinstance(item, pikepdf.Dictionary) and {"/JS", "/JavaScript"} & set(item.keys()):
                found.append("something in it runs")
        return found


def read_pages(content: bytes) -> list[PaperPage]:
    """Return the pages of a PDF."""
    with pypdfium2.PdfDocument(content) as document:
        return [_read(page) for page in document]


def _read(page: pypdfium2.PdfPage) -> PaperPage:
    told = page.get_textpage()
    words = told.get_text_range()
    letters = []
    for index in range(told.count_chars()):
        text = told.get_text_range(index, 1)
        if text.strip():
            box = [each / MILLIMETRE for each in told.get_charbox(index)]
            turned = raw.FPDFText_GetCharAngle(told, index)
            letters.append(Letter(text, *box, is_upside_down=abs(turned) > 1))
    bars = [
        tuple(each / MILLIMETRE for each in item.get_bounds())
        for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    ]
    picture = page.render(scale=3).to_pil()
    width, height = (each / MILLIMETRE for each in page.get_size())
    return PaperPage(words, (width, height), tuple(letters), _find_grids(bars, letters), picture)


def _find_grids(bars: list[tuple[float, ...]], letters: list[Letter]) -> tuple[PaperGrid, ...]:
    """Find grids by their thin lines, which run from edge to edge; in the order of the page."""
    tall: defaultdict[tuple[float, float], list[float]] = defaultdict(list)
    for left, bottom, right, top in bars:
        if top - bottom > 30 * (right - left):
            tall[round(bottom, 2), round(top, 2)].append((left + right) / 2)
    grids = []
    for (bottom, top), lines in tall.items():
        for inner in _apart(sorted(lines), top - bottom):
            step = inner[1] - inner[0]
            columns = (inner[0] - step, *inner, inner[-1] + step)
            rows = tuple(top - number * step for number in range(len(columns)))
            grids.append(_with_digits(columns, rows, letters))
    return tuple(sorted(grids, key=lambda grid: (-round(grid.rows[0]), grid.columns[0])))


def _apart(lines: list[float], side: float) -> list[list[float]]:
    """Part the lines of grids that stand side by side."""
    parts = [[lines[0]]]
    for line in lines[1:]:
        if line - parts[-1][0] > side:
            parts.append([])
        parts[-1].append(line)
    return parts


def _with_digits(
    columns: tuple[float, ...], rows: tuple[float, ...], letters: list[Letter]
) -> PaperGrid:
    digits: defaultdict[int, tuple[str, ...]] = defaultdict(tuple)
    for letter in letters:
        x, y = (letter.left + letter.right) / 2, (letter.bottom + letter.top) / 2
        column, row = sum(x > at for at in columns), sum(y < at for at in rows)
        size = len(columns) - 1
        if 1 <= column <= size and 1 <= row <= size:
            digits[(row - 1) * size + column - 1] += (letter.text,)
    return PaperGrid(columns, rows, dict(digits))


def is_black_alone(picture: Image.Image) -> bool:
    """Say whether a picture has black, white and the greys between them at its edges alone."""
    red, green, blue = picture.convert("RGB").split()
    counts = picture.convert("L").histogram()
    solid = counts[0] + counts[255]
    return red.tobytes() == green.tobytes() == blue.tobytes() and solid > 0.9 * sum(counts)
