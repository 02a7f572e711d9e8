"""What `make` says where there is no puzzle: every fact has its words, and no other has."""

from __future__ import annotations

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

import engine.making.recipes
from bot.wording import making_terminal
from engine import layout_named
from engine.making.recipes import Recipe, Tried, UnmadeError, find_contradiction

WISHES = {field.name for field in fields(Recipe)} - {"layout"}


def contradictions() -> set[str]:
    text = Path(engine.making.recipes.__file__).read_text(encoding="utf-8")
    return set(re.findall(r'return "([a-z]+)"$', text, flags=re.MULTILINE))


def test_every_contradiction_has_its_words() -> None:
    assert contradictions() == set(making_terminal._CONTRADICTIONS)
    for why in contradictions():
        error = UnmadeError(Tried(), (), contradiction=why)
        said = making_terminal.unmade(error, Recipe(levels=(3,)), 0, 1)
        assert said == said.strip()
        assert said.endswith(".")
        assert "{" not in said


@pytest.mark.parametrize("name", ["4x4", "6x6", "classic"])
def test_givens_that_are_named_for_an_example_are_such_as_the_layout_can_have(name: str) -> None:
    recipe = Recipe(levels=(3,), layout=layout_named(name))
    for why in ("few", "swapped", "range", "pair"):
        error = UnmadeError(Tried(), (), contradiction=why)
        said = making_terminal.unmade(error, recipe, 0, 1)
        (ends,) = re.findall(r"--givens (\d+)-(\d+)\.$", said)
        fewest, most = map(int, ends)
        assert find_contradiction(replace(recipe, givens=(fewest, most))) == "", said


@pytest.mark.parametrize("wish", sorted(WISHES - {"pattern"}))
def test_every_wish_can_be_named_as_missed_and_loosened(wish: str) -> None:
    tried = Tried(attempts=9, misses={wish: 4}, nearest="1...", lacks=(wish,))
    error = UnmadeError(tried, (wish, "pattern", "seeds"), is_stopped=True)
    said = making_terminal.unmade(error, Recipe(levels=(3,)), 1, 3)
    assert said.splitlines()[0].startswith("Made 1 of 3 by the deadline")
    assert f"9 puzzles were tried for the next one: 4 {making_terminal._MISSES[wish]}." in said
    assert f"The nearest was 1..., but {making_terminal._LACKS[wish]}." in said
    assert "--pattern" in said
    assert "--deadline" in said


def test_too_easy_and_too_hard_are_counted_in_words() -> None:
    tried = Tried(attempts=1, too_easy=1, too_hard=2)
    error = UnmadeError(tried, ("needs",))
    said = making_terminal.unmade(error, Recipe(levels=(4,), needs=("swordfish",)), 0, 1)
    assert said.splitlines()[1] == (
        "1 puzzle was tried for the first one: 1 could do without swordfish and 2 could not be "
        "solved at this level."
    )
    assert "another --seed" in said


def test_of_puzzles_that_were_never_tried_nothing_is_claimed() -> None:
    # The deadline came while the layout was being filled for the first time.
    for made in (0, 2):
        error = UnmadeError(Tried(), ("needs", "seeds"), is_stopped=True)
        said = making_terminal.unmade(error, Recipe(levels=(4,), needs=("swordfish",)), made, 3)
        assert said.startswith(f"Made {made} of 3 by the deadline: ")
        assert "--deadline" in said
        for claim in ("rare", "0 puzzles", "--needs", "--from"):
            assert claim not in said
