"""The ladder as a list: its order, its levels, its ids."""

from __future__ import annotations

import pytest

from engine.errors import UnknownTechniqueError
from engine.techniques import LADDER, RANKS, WITHOUT_UNIQUENESS, technique_with


def test_the_ladder_stands_in_teaching_order() -> None:
    assert [technique.id for technique in LADDER] == [
        "last-digit",
        "last-three",
        "hidden-single",
        "naked-single",
        "pointing",
        "claiming",
        "locked-pair",
        "locked-triple",
        "naked-pair",
        "hidden-pair",
        "naked-triple",
        "hidden-triple",
        "naked-quad",
        "hidden-quad",
        "x-wing",
        "swordfish",
        "jellyfish",
        "skyscraper",
        "two-string-kite",
        "turbot-fish",
        "empty-rectangle",
        "xy-wing",
        "xyz-wing",
        "w-wing",
        "finned-x-wing",
        "finned-swordfish",
        "finned-jellyfish",
        "simple-colouring",
        "two-cluster-colouring",
        "remote-pair",
        "unique-rectangle",
        "hidden-rectangle",
        "avoidable-rectangle",
        "bug-plus-one",
        "x-chain",
        "xy-chain",
        "als-xz",
        "long-xy-chain",
        "large-als-xz",
        "alternating-inference-chain",
        "cell-forcing-chain",
        "house-forcing-chain",
        "traced-contradiction",
    ]


def test_levels_never_fall_along_the_ladder() -> None:
    levels = [technique.level for technique in LADDER]
    assert levels == sorted(levels)
    assert set(levels) == {1, 2, 3, 4, 5, 6}


def test_only_what_singles_place_as_well_is_a_shortcut() -> None:
    assert [technique.id for technique in LADDER if technique.is_shortcut] == [
        "last-digit",
        "last-three",
    ]


def test_rectangles_and_bug_alone_rest_on_one_solution() -> None:
    by_uniqueness = [technique.id for technique in LADDER if technique.is_by_uniqueness]
    assert by_uniqueness == [
        "unique-rectangle",
        "hidden-rectangle",
        "avoidable-rectangle",
        "bug-plus-one",
    ]
    assert [each.id for each in LADDER if each not in WITHOUT_UNIQUENESS] == by_uniqueness


def test_every_id_is_found_and_ranked() -> None:
    for rank, technique in enumerate(LADDER):
        assert technique_with(technique.id) is technique
        assert RANKS[technique.id] == rank


def test_an_unknown_id_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownTechniqueError) as caught:
        technique_with("naked-quint")
    assert caught.value.text == "naked-quint"
    assert "naked-quad" in caught.value.known
