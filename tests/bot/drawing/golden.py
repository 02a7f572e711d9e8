"""Golden pictures: what they are, how two pictures are compared, and how to make them anew.

`python -m tests.bot.drawing.golden` draws all of them; look at each before it is committed.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageChops

from bot.club.facts import Picturable
from bot.drawing import draw
from bot.drawing.theme import Look
from tests.bot.drawing import scenes

FOLDER = Path(__file__).parent / "golden"
DIFFERENCES = Path(__file__).parent / "differences"
TOLERATED_SHARE = 0.0005
"""Of the pixels, how many may differ by more than an eighth of the range: another version of the
library that sets the letters may round a few edges differently."""

GOLDEN: dict[str, tuple[Picturable, Look]] = {
    "puzzle-light": (scenes.puzzle(), "light"),
    "board-dark": (scenes.board(), "dark"),
    "naked-pair-why-light": (scenes.hint("naked-pair", "why"), "light"),
    "hidden-single-why-dark": (scenes.hint("hidden-single", "why"), "dark"),
    "xy-chain-why-light": (scenes.hint("xy-chain", "why"), "light"),
    "table-light": (scenes.table(), "light"),
    "cover-light": (scenes.cover(), "light"),
}


def difference_of(one: Image.Image, other: Image.Image) -> tuple[float, Image.Image]:
    """Return the share of pixels that differ visibly, and a picture of where. Sizes must agree."""
    apart = ImageChops.difference(one.convert("RGB"), other.convert("RGB")).convert("L")
    marked = apart.point(lambda value: 255 if value > 32 else 0)
    return marked.histogram()[255] / (marked.width * marked.height), marked


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, (picture, look) in GOLDEN.items():
        (FOLDER / f"{name}.png").write_bytes(draw(picture, look))
