"""The table of measures, small here and whole behind `long`, held to what it must show."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import pytest

from tests.bench.photo import FULL, SMALL, Size, Table, costs, count, digits, newspaper
from tests.bench.photo.hands import find_supplies, own_supplies
from tests.bench.photo.no_grid import EXAMPLES
from tests.bench.photo.scoring import Score

needs_examples = pytest.mark.skipif(
    not newspaper.is_there(), reason="Debian's package opencv-doc is not installed"
)


def fill_in(size: Size, *, is_whole: bool) -> Table:
    table = Table([])
    for line in count(size, find_supplies() if is_whole else own_supplies(), table):
        sys.stdout.write(line + "\n")
    return table


def share(scores: Sequence[Score], right: Sequence[bool]) -> float:
    return sum(right) / len(scores)


@pytest.mark.long
@needs_examples
def test_a_small_table_shows_what_the_whole_one_must() -> None:
    table = fill_in(SMALL, is_whole=False)
    scores = table.all_scores()
    assert len(scores) == SMALL.photos
    assert all(each.is_found and each.is_upright for each in scores)
    assert sum(each.silent for each in scores) <= 1
    assert sum(each.flagged for each in scores) <= 6 * len(scores)
    assert sum(each.mistakes for each in scores) > 0
    assert sum(each.lost for each in scores) == 0
    assert (table.others_accepted, table.pictures_accepted) == (0, 0)
    assert all(each.is_found and each.is_upright for each in table.small)
    assert (len(table.small), table.small_others_accepted) == (SMALL.small, 0)
    assert table.in_newspaper == [(81, 0)] * SMALL.versions
    assert len(table.inked) == SMALL.inked
    assert all(each.is_found and each.silent == 0 for each in table.inked)


@needs_examples
def test_digits_alone_are_read() -> None:
    assert digits.find_sheets_rate(SMALL.every) >= 0.975
    for line in digits.find_figures(own_supplies(), 5, SMALL.every):
        assert "100.00%" in line or "digits.png" in line


@pytest.mark.long
@needs_examples
def test_the_whole_table_shows_what_it_must() -> None:
    supplies = find_supplies()
    assert supplies.held_out is not None, "name the folder of held-out samples and fonts"
    assert EXAMPLES.exists()
    table = fill_in(FULL, is_whole=True)
    scores = table.all_scores()
    found = [each for each in scores if each.is_found]
    assert share(scores, [each.is_found and each.is_upright for each in scores]) >= 0.985
    assert (table.others_accepted, table.pictures_accepted) == (0, 0)
    assert sum(each.silent for each in found) <= 0.1 * len(found)
    assert sum(each.flagged for each in found) <= 4 * len(found)
    assert share(found, [each.silent == 0 for each in found]) >= 0.93
    assert sum(each.lost for each in found) <= 0.01 * sum(each.mistakes for each in found)
    assert share(table.small, [each.is_found and each.is_upright for each in table.small]) >= 0.985
    assert table.small_others_accepted == 0
    assert table.in_newspaper[0] == (81, 0)
    assert all(false == 0 for _, false in table.in_newspaper)
    assert share(table.inked, [each.is_found and each.silent == 0 for each in table.inked]) >= 0.85
    held = [(digit, glyph) for digit, glyphs in supplies.held_out.of.items() for glyph in glyphs]
    assert digits.find_rate(held) >= 0.985


@pytest.mark.long
def test_reading_a_photo_takes_little_memory() -> None:
    for line in costs.find_figures(own_supplies(), 12.0):
        sys.stdout.write(line + "\n")
        assert int(line.split(", ")[1].split()[0]) <= 250
