"""A picture, drawn and encoded, against encoding a blank RGB PNG of its size."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from io import BytesIO

from PIL import Image

from bot.club.facts import Picturable
from bot.drawing import draw
from tests.bench import Figure, median, seconds_of
from tests.bot.drawing import scenes

ROUNDS = 40
MOST_TIMES, MOST_BYTES = 2.0, 60 * 1024

PICTURES: dict[str, Picturable] = {
    "the day's puzzle": scenes.puzzle(),
    "a board with candidates": scenes.board(),
    "hint, naked pair, why": scenes.hint("naked-pair", "why"),
    "hint, hidden single, why": scenes.hint("hidden-single", "why"),
    "the week's table": scenes.table(),
    "a table of 25 lines": scenes.table(rows=25),
    "the cover": scenes.cover(),
}


def _encode_blank(size: tuple[int, int]) -> None:
    # What is compared with: Pillow's default compression of a plain RGB sheet.
    Image.new("RGB", size, "white").save(BytesIO(), "PNG")


def find_figures() -> Iterator[Figure]:
    """Time each picture and a blank of its size in turn, so that both meet the same machine."""
    for name, picture in PICTURES.items():
        encoded = draw(picture, "light")
        size = Image.open(BytesIO(encoded)).size
        ours, blank = [], []
        for _ in range(ROUNDS):
            ours.append(seconds_of(lambda: draw(picture, "light")))  # noqa: B023 called at once
            blank.append(seconds_of(lambda: _encode_blank(size)))  # noqa: B023 called at once
        ratio = median(ours) / median(blank)
        yield Figure(
            f"{name}, median {median(ours) * 1000:.1f} ms",
            ratio,
            "times",
            "at most 2",
            ratio <= MOST_TIMES,
        )
        yield Figure(
            f"{name}, size", len(encoded) / 1024, "KB", "at most 60", len(encoded) <= MOST_BYTES
        )


def main() -> None:
    for figure in find_figures():
        print(figure)  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
