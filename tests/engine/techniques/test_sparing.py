"""What a step can spare of what it cites: the same whatever is guessed on the way."""

from __future__ import annotations

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from engine.board.step import Bound, Constraint, HouseConstraint
from engine.inference.minimal_evidence import guesses_along, spare_constraints
from tests.corpus import Sample, samples_by_technique, steps_at

TECHNIQUES = ("alternating-inference-chain", "xy-chain", "skyscraper", "als-xz")
SAMPLES = [sample for each in TECHNIQUES for sample in samples_by_technique()[each][:12]]


def with_idle_ones(cited: tuple[Constraint, ...]) -> tuple[Constraint, ...]:
    """Return the constraints with as many more of the same digits, in other houses, before them."""
    more = [
        HouseConstraint(Bound.AT_MOST_ONE, (each.house + 7) % 27, each.digit)
        for each in cited
        if isinstance(each, HouseConstraint)
    ]
    return tuple(dict.fromkeys((*more, *cited)))


@given(st.sampled_from(SAMPLES), st.lists(st.integers(min_value=0), max_size=4), st.data())
def test_what_is_spared_does_not_depend_on_guesses(
    sample: Sample, wild: list[int], data: st.DataObject
) -> None:
    step = data.draw(st.sampled_from(steps_at(sample, sample.technique)))
    cited, stand = with_idle_ones(step.constraints), sample.grid.candidates
    nodes = [1 << place for place in range(729) if step.pattern >> place & 1]
    guesses = [*guesses_along(nodes, step.removes), *(guess & stand for guess in wild)]
    guesses += [guess & stand | step.removes & -step.removes for guess in wild]
    assert spare_constraints(sample.grid, cited, step.removes, guesses) == spare_constraints(
        sample.grid, cited, step.removes
    )


def test_a_step_cites_nothing_that_it_can_spare_and_what_is_added_goes() -> None:
    spared: Counter[str] = Counter()
    for sample in SAMPLES:
        for step in steps_at(sample, sample.technique):
            kept = spare_constraints(sample.grid, step.constraints, step.removes)
            assert kept == step.constraints, step
            wider = with_idle_ones(step.constraints)
            fewer = spare_constraints(sample.grid, wider, step.removes)
            spared[step.technique] += len(wider) > len(fewer)
    assert all(spared[technique] for technique in TECHNIQUES), spared
