"""Words in which a step is told, by technique: median and worst, and the worst without a break.

Steps of the corpus, at whose positions each technique is the first that does anything, told as the
fourth rung tells them.
"""

from __future__ import annotations

from collections.abc import Iterator

from bot.wording.steps import explain
from engine.techniques import LADDER
from tests.bench import Figure, median
from tests.corpus import samples_by_technique, steps_at

MOST_STEPS = 6
"""Of one position."""


def find_figures() -> Iterator[Figure]:
    for technique in LADDER:
        told = [
            explain(step, sample.grid)
            for sample in samples_by_technique()[technique.id]
            for step in steps_at(sample, technique.id)[:MOST_STEPS]
        ]
        counts = [len(text.split()) for text in told]
        stretches = [len(part.split()) for text in told for part in text.split("\n")]
        yield Figure(f"{technique.id}: median", median(counts), "words")
        yield Figure(f"{technique.id}: worst", max(counts), "words")
        yield Figure(f"{technique.id}: worst without a break", max(stretches), "words")
