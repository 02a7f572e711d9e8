"""Claims and flaws in short notation, so that tests can list them line by line."""

from __future__ import annotations

from engine.board.layout import CLASSIC, Cell, Layout
from engine.board.step import Node
from engine.claims import Claim, Flaw


def cells_of(text: str, layout: Layout = CLASSIC) -> tuple[Cell, ...]:
    return tuple(layout.parse_cell(name) for name in text.split())


def pairs_mask(text: str, layout: Layout = CLASSIC) -> int:
    """Read `r4c7=46 r5c1=2` into a candidate mask."""
    mask = 0
    for part in text.split():
        name, digits = part.split("=")
        for digit in digits:
            mask |= layout.bit(layout.parse_cell(name), int(digit))
    return mask


def claim(text: str, *, removes: str | None = None) -> Claim:
    """Read `naked-pair r9c4 r9c6 15`, `unique-rectangle/type-1 …`, or a chain.

    A chain is `xy-chain r7c5=9 r7c5=2 …`; `/` stands between lines, `r1c1+r1c2=3` is a group.
    """
    name, _, rest = text.partition(" ")
    technique, _, variant = name.partition("/")
    said = None if removes is None else pairs_mask(removes)
    if "=" in rest:
        lines = (line.split() for line in rest.split("/"))
        chains = tuple(tuple(_node(part) for part in line) for line in lines)
        return Claim(technique, chains=chains, removes=said)
    *cells, digits = rest.split()
    return Claim(
        technique, cells_of(" ".join(cells)), tuple(map(int, digits)), (), said, None, variant
    )


def _node(text: str) -> Node:
    cells, digit = text.split("=")
    return Node(cells_of(cells.replace("+", " ")), int(digit))


def told(flaw: Flaw) -> str:
    """Write a flaw as `PLACES_LEFT_OUT r1c4 / 7 / row 1`, leaving off what is empty at the end."""
    parts = (
        " ".join(map(CLASSIC.format_cell, flaw.cells)),
        "".join(map(str, flaw.digits)),
        CLASSIC.houses[flaw.houses[0]].name if flaw.houses else "",
    )
    return f"{flaw.condition.name} {' / '.join(parts)}".rstrip(" /")
