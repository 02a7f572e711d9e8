"""Which check a step has to pass: proof from what it cites, line by line for a trace, its links."""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.layout import Layout
from engine.board.step import Step
from tests.independent.plain import Plain
from tests.proof.checker import find_faults, read_claim
from tests.proof.traces import TRACED, find_link_faults, find_trace_faults

FORCING = ("cell-forcing-chain", "house-forcing-chain")
"""What these conclude is entailed; that none of their constraints can be spared is not asked."""


def find_step_faults(layout: Layout, position: Plain, step: Step) -> Iterator[object]:
    """Yield what is wrong with a step at a position: nothing if it is proved."""
    if step.technique == TRACED:
        yield from find_trace_faults(layout, position, step)
        return
    claim = read_claim(layout, position, step)
    yield from find_faults(position, claim, may_spare=step.technique in FORCING)
    yield from find_link_faults(layout, position, step)
    if step.is_by_uniqueness and not claim.unique:
        yield "nothing follows here from there being one solution"


def is_proved(layout: Layout, position: Plain, step: Step) -> bool:
    return not any(find_step_faults(layout, position, step))
