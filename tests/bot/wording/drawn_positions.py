"""Reads the positions that a lesson draws, sharing no code with the club's reading of it."""

from __future__ import annotations

import re

from engine.board.grid import Grid, parse_grid


def position_of_lesson(text: str) -> Grid:
    """Read the first position that is drawn in the text, and what the text says of it."""
    drawn = re.search(r"```\n((?:[-+.|\d]+\n)+)", text)
    assert drawn is not None
    grid = parse_grid(drawn[1])
    text = text[drawn.end() :].partition("\n## ")[0]
    own = re.findall(r"r\dc\d", " ".join(re.findall(r"([^.]*) were not given", text)))
    struck = re.search(r"Struck before: ([^.]*)\.", text)
    for name, digits in re.findall(r"(r\dc\d)((?: \d)+)", struck[1] if struck else ""):
        for digit in digits.split():
            bit = grid.layout.bit(grid.layout.parse_cell(name), int(digit))
            assert grid.candidates & bit, (name, digit)
            grid = grid.eliminate(bit)
    return grid.with_own(grid.layout.mask_of(map(grid.layout.parse_cell, own)))
