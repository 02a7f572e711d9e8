"""The two sizes of a law that is held against samples of each technique: every run looks at some,
spread over all that there are, and a long run at all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import pytest

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Size:
    """`least` is how often each technique must fire in a law; `share` how much of what there is
    to be looked at it takes.
    """

    name: str
    least: int
    share: float

    def some_of(self, samples: Sequence[T]) -> tuple[T, ...]:
        """Return this size's share of the samples, spread evenly."""
        count = self.count(len(samples))
        return tuple(samples[index * len(samples) // count] for index in range(count))

    def count(self, whole: int) -> int:
        """Return this size's share of a number, at least 1."""
        return max(1, round(self.share * whole))


PART = Size("part", least=10, share=0.25)
WHOLE = Size("whole", least=50, share=1)
either_size = pytest.mark.parametrize(
    "size", [PART, pytest.param(WHOLE, marks=pytest.mark.long)], ids=lambda size: size.name
)


def first_of(name: str, values: Sequence[object], ids: Sequence[str]) -> pytest.MarkDecorator:
    """Return the mark of a test that takes the same way with each value: every run takes the first,
    a long run all of them.
    """
    first, *others = zip(values, ids, strict=True)
    return pytest.mark.parametrize(
        name,
        [
            pytest.param(first[0], id=first[1]),
            *(pytest.param(value, id=told, marks=pytest.mark.long) for value, told in others),
        ],
    )
