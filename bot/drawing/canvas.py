"""The sheet that pictures are drawn on: the only place where shapes meet colours.

A canvas holds palette indices, one byte a pixel. Before it draws, it looks at what it is about to
cover, so the ground of every shape is the true one, and it keeps each (front, back, use) that it
drew; a pair that the theme does not list is refused. A shape must lie on one paint.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import lru_cache

from PIL import Image, ImageChops, ImageDraw

from bot.drawing.fonts import Face
from bot.drawing.geometry import Rect
from bot.drawing.shapes import (
    Coverage,
    digit_shape,
    plate_shape,
    slash_shape,
    text_shape,
)
from bot.drawing.theme import LISTED, Look, Paint, Pair, Use, index_of, paint_of, theme_of

_LINES = (Paint.INK, Paint.THIN)
_DASHES = 7
"""Parts of a dashed line, every other one drawn."""


class UnlistedPairError(Exception):
    """A paint was about to be drawn upon another, and the theme does not list the two."""

    def __init__(self, pair: Pair) -> None:
        super().__init__(f"{pair.front.name} on {pair.back.name} as {pair.use.name}")
        self.pair = pair


class MixedGroundError(Exception):
    """A shape was about to be drawn where the ground is no single paint."""


class Canvas:
    """A sheet of one look. `drawn` holds every pair that was drawn on it."""

    def __init__(self, width: int, height: int, look: Look, *, ground: Paint = Paint.PAPER) -> None:
        self.look: Look = look
        self.image = Image.new("L", (width, height), index_of(ground))
        self.drawn: set[Pair] = set()

    def copy(self) -> Canvas:
        """Return a sheet with the same on it, to draw on."""
        other = Canvas.__new__(Canvas)
        other.look, other.image, other.drawn = self.look, self.image.copy(), set(self.drawn)
        return other

    def paint_at(self, x: int, y: int) -> Paint:
        """Return what stands at a pixel. Raises MixedGroundError on the edge of a shape."""
        index = self.image.getpixel((x, y))
        paint = paint_of(index) if isinstance(index, int) else None
        if paint is None:
            raise MixedGroundError(f"two paints blend at {x}, {y}")
        return paint

    def _record(self, front: Paint, back: Paint, use: Use) -> None:
        pair = Pair(front, back, use)
        if pair not in LISTED:
            raise UnlistedPairError(pair)
        self.drawn.add(pair)

    def fill(self, rect: Rect, paint: Paint) -> None:
        """Fill a rectangle. The lines that stand beside it count as drawn upon it."""
        under = self.paint_at(*rect.middle)
        if under is paint:
            return
        self._record(paint, under, Use.SURFACE)
        self.image.paste(index_of(paint), rect)
        x, y = rect.middle
        beside = ((rect.left - 1, y), (rect.right, y), (x, rect.top - 1), (x, rect.bottom))
        for point in beside:
            if 0 <= point[0] < self.image.width and 0 <= point[1] < self.image.height:
                other = self.paint_at(*point)
                if other in _LINES and other is not under:
                    self._record(other, paint, Use.GRAPHIC)

    def line(self, rect: Rect, paint: Paint) -> None:
        """Draw a straight line as the rectangle that it covers. Lines may cross."""
        under = self.paint_at(*rect.middle)
        if under not in _LINES:
            self._record(paint, under, Use.GRAPHIC)
        self.image.paste(index_of(paint), rect)

    def frame(self, rect: Rect, paint: Paint, width: int) -> None:
        """Draw the line inside a rectangle's edge, upon what stands at its middle."""
        self._record(paint, self.paint_at(*rect.middle), Use.GRAPHIC)
        self._outline(rect, paint, width)

    def outline(self, cell: Rect, *, is_double: bool) -> None:
        """Draw the mark of a pattern's cell upon the lines around it, from the first one inwards.

        It takes six pixels on every side, of which the outer one lies beyond the cell.
        """
        ground = self.paint_at(*cell.middle)
        self._record(Paint.OUTLINE, ground, Use.GRAPHIC)
        self._outline(cell.inset(-1), Paint.OUTLINE, 6)
        if is_double:
            self._outline(cell.inset(1), ground, 2)

    def dashed_frame(self, rect: Rect, paint: Paint, width: int) -> None:
        """Draw a line of dashes inside a rectangle's edge, one at each corner."""
        self._record(paint, self.paint_at(*rect.middle), Use.GRAPHIC)
        for dash in range(0, _DASHES, 2):
            start, end = (rect.width * each // _DASHES for each in (dash, dash + 1))
            left, right = rect.left + start, rect.left + end
            top, bottom = rect.top + start, rect.top + end
            for strip in (
                (left, rect.top, right, rect.top + width),
                (left, rect.bottom - width, right, rect.bottom),
                (rect.left, top, rect.left + width, bottom),
                (rect.right - width, top, rect.right, bottom),
            ):
                self.image.paste(index_of(paint), strip)

    def box(self, rect: Rect, filling: Paint, edge: Paint, width: int) -> None:
        """Draw a filled box; its edge must stand out from its filling and from around it."""
        under = self.paint_at(*rect.middle)
        self._record(filling, under, Use.SURFACE)
        self._record(edge, under, Use.GRAPHIC)
        self._record(edge, filling, Use.GRAPHIC)
        self.image.paste(index_of(filling), rect)
        self._outline(rect, edge, width)

    def _outline(self, rect: Rect, paint: Paint, width: int) -> None:
        edges = (rect.left, rect.top, rect.right - 1, rect.bottom - 1)
        ImageDraw.Draw(self.image).rectangle(edges, outline=index_of(paint), width=width)

    def band(self, rect: Rect, filling: Paint, *, width: int = 2) -> None:
        """Draw a bar with an outline of ink."""
        self._record(Paint.INK, self.paint_at(rect.left, rect.top), Use.GRAPHIC)
        self._record(Paint.INK, filling, Use.GRAPHIC)
        self.image.paste(index_of(Paint.INK), rect)
        self.image.paste(index_of(filling), rect.inset(width))

    def band_around(
        self, edge: Iterable[Rect], core: Iterable[Rect], filling: Paint, inside: tuple[int, int]
    ) -> None:
        """Draw a band around something of any shape: strips of ink, and within them their filling.

        `inside` is a point of what it goes around.
        """
        self._record(Paint.INK, self.paint_at(*inside), Use.GRAPHIC)
        self._record(Paint.INK, filling, Use.GRAPHIC)
        for rects, paint in ((edge, Paint.INK), (core, filling)):
            for rect in rects:
                self.image.paste(index_of(paint), rect)

    def shape(self, coverage: Coverage, x: int, y: int, paint: Paint, use: Use) -> None:
        """Draw a shape with its upper left corner at a point."""
        under = self.paint_at(x, y)
        self._record(paint, under, use)
        self._lay(_tile_of_shape(_Kept(coverage), paint, under, self.look), x, y)

    def text(
        self,
        text: str,
        x: int,
        y: int,
        paint: Paint,
        *,
        face: Face = Face.MEDIUM,
        size: int,
        align: str = "left",
    ) -> None:
        """Write one line of showable text with its middle at height `y`."""
        if not text:
            return
        coverage = text_shape(text, face, size)
        left = {"left": x, "right": x - coverage.width, "middle": x - coverage.width // 2}[align]
        top = y - coverage.height // 2
        under = self.paint_at(left, top)
        self._record(paint, under, Use.TEXT)
        self._lay(_tile(coverage, theme_of(self.look).blends[paint, under]), left, top)

    def digit(self, digit: int, rect: Rect, paint: Paint, *, face: Face, size: int) -> None:
        """Write a digit in the middle of a rectangle."""
        side = min(rect.width, rect.height)
        x, y = rect.middle
        under = self.paint_at(x, y)
        x, y = x - side // 2, y - side // 2
        self._record(paint, under, Use.TEXT)
        self._lay(_digit_tile(digit, face, size, side, paint, under, self.look), x, y)

    def plated_digit(self, digit: int, rect: Rect, *, size: int) -> None:
        """Write a candidate on a plate: it belongs to the pattern."""
        under = self.paint_at(*rect.middle)
        self._record(Paint.PLATE, under, Use.GRAPHIC)
        self._record(Paint.PLATE_INK, Paint.PLATE, Use.TEXT)
        self._lay(_plated_tile(digit, size, rect.width, under, self.look), rect.left, rect.top)

    def mark(self, rect: Rect, mark: Coverage, under: Paint) -> None:
        """Draw the line of a mark around a candidate that is written in `rect` upon `under`."""
        x, y = rect.middle
        left, top = x - mark.width // 2, y - mark.height // 2
        self._record(Paint.OUTLINE, under, Use.GRAPHIC)
        self._lay(_tile_of_shape(_Kept(mark), Paint.OUTLINE, under, self.look), left, top)

    def struck_digit(self, digit: int, rect: Rect, *, size: int) -> None:
        """Write a candidate with a slash through it: it is eliminated."""
        under = self.paint_at(*rect.middle)
        self._record(Paint.CANDIDATE, under, Use.TEXT)
        self._record(Paint.SLASH, under, Use.GRAPHIC)
        self._lay(_struck_tile(digit, size, rect.width, under, self.look), rect.left, rect.top)

    def overlay(self, coverage: Coverage, paint: Paint, *, surfaces: Collection[Paint]) -> None:
        """Lay one shape over the whole sheet: it lies on the surfaces and crosses all lines.

        Only a surface under it is a pair; where it crosses another line it takes its place.
        """
        bounds = coverage.getbbox()
        if bounds is None:
            return
        ground, coverage, corner = self.image.crop(bounds), coverage.crop(bounds), bounds[:2]
        solid, anywhere = coverage.point(_SOLID_WHERE_HALF), coverage.point(list(_ANYWHERE))
        for under in surfaces:
            here = ground.point([255 if index == index_of(under) else 0 for index in range(256)])
            covered = ImageChops.darker(here, anywhere)
            if covered.getbbox() is None:
                continue
            self._record(paint, under, Use.GRAPHIC)
            blended = coverage.point(list(theme_of(self.look).blends[paint, under]))
            self.image.paste(blended, corner, covered)
            solid = ImageChops.subtract(solid, here)
        self.image.paste(index_of(paint), (*corner, *bounds[2:]), solid)

    def _lay(self, tile: tuple[Image.Image, Image.Image], x: int, y: int) -> None:
        self.image.paste(tile[0], (x, y), tile[1])


class _Kept:
    """A shape as a key of a cache: the same shape is the same object, for shapes are kept."""

    __slots__ = ("coverage",)

    def __init__(self, coverage: Coverage) -> None:
        self.coverage = coverage

    def __hash__(self) -> int:
        return id(self.coverage)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Kept) and self.coverage is other.coverage


_Tile = tuple[Image.Image, Image.Image]
"""Palette indices, and where they go: 255 where the shape covers anything at all."""

_ANYWHERE = bytes([0] + [255] * 255)
_SOLID_WHERE_HALF = [0] * 128 + [255] * 128


def _tile(coverage: Coverage, blend: bytes) -> _Tile:
    return coverage.point(list(blend)), coverage.point(list(_ANYWHERE))


@lru_cache(maxsize=64)
def _tile_of_shape(kept: _Kept, paint: Paint, under: Paint, look: Look) -> _Tile:
    return _tile(kept.coverage, theme_of(look).blends[paint, under])


@lru_cache(maxsize=512)
def _digit_tile(
    digit: int, face: Face, size: int, side: int, paint: Paint, under: Paint, look: Look
) -> _Tile:
    coverage = digit_shape(str(digit), face, size, side)
    return _tile(coverage, theme_of(look).blends[paint, under])


@lru_cache(maxsize=128)
def _plated_tile(digit: int, size: int, side: int, under: Paint, look: Look) -> _Tile:
    blends = theme_of(look).blends
    tile, where = _tile(plate_shape(side), blends[Paint.PLATE, under])
    letter = digit_shape(str(digit), Face.HEAVY, size, side)
    over, there = _tile(letter, blends[Paint.PLATE_INK, Paint.PLATE])
    tile.paste(over, (0, 0), there)
    return tile, where


@lru_cache(maxsize=128)
def _struck_tile(digit: int, size: int, side: int, under: Paint, look: Look) -> _Tile:
    blends = theme_of(look).blends
    letter = digit_shape(str(digit), Face.HEAVY, size, side)
    # The ground shows beside the stroke, so that both stay readable where they cross.
    room = slash_shape(side, 4.6)
    parted = letter.copy()
    parted.paste(0, (0, 0), room.point(lambda covered: 255 if covered > 127 else 0))
    tile, where = _tile(parted, blends[Paint.CANDIDATE, under])
    over, there = _tile(slash_shape(side, 2.8), blends[Paint.SLASH, under])
    tile.paste(over, (0, 0), there)
    where.paste(255, (0, 0), there)
    return tile, where
