"""What readings got right and wrong, counted cell by cell and photo by photo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.photo.network import BLANK, MARKS, STRUCK
from bot.photo.told import PhotoReading
from tests.bench.photo.paper import Content


@dataclass(frozen=True, slots=True)
class Score:
    """One photo's reading against what stands on the paper.

    `wrong` counts cells that come out as another digit, or as open where a digit stands, or the
    other way round; `silent` those of them that nobody is asked to look at; `flagged` the doubtful
    ones, right or wrong. `lost` counts mistakes of the member's that are silently something else,
    `unsaid` struck cells and small marks that are open but not said to be left out.
    """

    is_found: bool
    is_upright: bool = False
    wrong: int = 0
    silent: int = 0
    flagged: int = 0
    lost: int = 0
    mistakes: int = 0
    unsaid: int = 0
    confused: tuple[str, ...] = ()


def score(reading: PhotoReading, turned: int, content: Content) -> Score:
    """Return how a reading did of a photo with known content, turned by so many degrees."""
    if reading.problem is not None:
        return Score(is_found=False)
    layout = content.puzzle.layout
    read = kinds_of(reading, len(content.kinds))
    doubtful = {layout.parse_cell(name) for name in reading.doubtful}
    pairs = list(enumerate(zip(content.kinds.tolist(), read, strict=True)))
    wrong = [cell for cell, (there, seen) in pairs if digit_of(there) != digit_of(seen)]
    unsaid = [cell for cell, (there, seen) in pairs if there in (MARKS, STRUCK) and seen == BLANK]
    silent = [cell for cell in wrong if cell not in doubtful]
    return Score(
        is_found=True,
        is_upright=reading.turned == turned,
        wrong=len(wrong),
        silent=len(silent),
        flagged=len(doubtful),
        lost=len(set(silent) & set(content.wrong)),
        mistakes=len(content.wrong),
        unsaid=len(unsaid),
        confused=tuple(
            f"{content.kinds[cell]}>{read[cell]}{'!' * (cell in silent)}" for cell in wrong
        ),
    )


def digit_of(kind: int) -> int:
    """Return a kind's digit, 0 for a cell that comes out open."""
    return kind if BLANK < kind < MARKS else 0


def kinds_of(reading: PhotoReading, count: int) -> list[int]:
    """Return the kinds of a reading's cells."""
    kinds = [int(mark) if mark != "." else 0 for mark in reading.grid]
    size = int(count**0.5)
    for names, kind in ((reading.struck, STRUCK), (reading.marked, MARKS)):
        for name in names:
            row, column = name[1:].split("c")
            kinds[(int(row) - 1) * size + int(column) - 1] = kind
    return kinds


def sum_up(scores: Sequence[Score]) -> str:
    """Return one line of figures."""
    found = [each for each in scores if each.is_found]
    if not found:
        return f"{len(scores)} photos, none found"
    upright = sum(each.is_upright for each in found)
    count = len(found)
    return (
        f"{len(scores)} photos: found and registered {count / len(scores):.1%}"
        f" (turned wrong {count - upright});"
        f" a photo {sum(s.wrong for s in found) / count:.2f} wrong,"
        f" {sum(s.silent for s in found) / count:.3f} silent,"
        f" {sum(s.flagged for s in found) / count:.2f} doubtful;"
        f" all right {sum(s.wrong == 0 for s in found) / count:.1%},"
        f" after mending {sum(s.silent == 0 for s in found) / count:.1%}"
    )
