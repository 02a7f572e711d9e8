"""Photos of filled-in pages of the kit, scored: each is named by its page's number."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from bot.cli.sheet import find_kit
from bot.photo.kit import KitPage
from bot.photo.network import MARKS, STRUCK
from bot.photo.reading import read_photo
from bot.wording.photo import tell_photo_problem
from engine import parse_grid
from tests.bench.photo.paper import Content
from tests.bench.photo.scoring import Score, kinds_of, score, sum_up


def content_of(page: KitPage) -> Content:
    """Return what stands on a page once it is filled in."""
    kinds = [
        int(given) if given != "." else _kind_of(cell)
        for given, cell in zip(page.givens, page.cells, strict=True)
    ]
    return Content(parse_grid(page.givens), np.array(kinds))


def _kind_of(cell: str) -> int:
    return {"": 0, "x": STRUCK, "m": MARKS}[cell[:1]] if not cell.isdigit() else int(cell)


def find_figures(folder: Path) -> Iterator[str]:
    """Yield a line for each photo of a folder, then one for all."""
    scores: list[Score] = []
    for file in sorted(each for each in folder.iterdir() if each.is_file()):
        number = re.match(r"[0-9]+", file.name)
        if number is None or int(number[0]) < 1:
            yield f"{file.name}: not named by a page's number, such as 3.jpg or 3-dim.jpg"
            continue
        content = content_of(find_kit(int(number[0]))[-1])
        reading = read_photo(file.read_bytes(), {"page": content.puzzle})
        scored = score(reading, reading.turned, content)
        scores.append(scored)
        if reading.problem is not None:
            yield f"{file.name}: {tell_photo_problem(reading.problem, 'its page')}"
            continue
        seen = kinds_of(reading, len(content.kinds))
        yield (
            f"{file.name}: {scored.wrong} wrong, {scored.silent} silent, {scored.flagged} doubtful,"
            f" {sum(kind != 0 for kind in seen)} cells with something in them;"
            f" {', '.join(scored.confused)}"
        )
    yield sum_up(scores) if scores else "no photos"
