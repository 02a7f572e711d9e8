"""Reasons above level 3: a few word by word, and what they claim checked against the position."""

from __future__ import annotations

import re

import pytest

from bot import wording
from bot.club.facts import Position, facts_of_step
from bot.wording.steps import explain
from bot.wording.steps.trace import tell_consequence
from bot.wording.techniques import VARIANTS
from engine.board.grid import parse_grid
from engine.inference.pattern_parts import find_break
from engine.solving.paths import find_steps
from engine.techniques import LADDER, technique_with
from tests.bot.patterns import load_patterns, one_of_each

# Worked steps of facts.md, computed there with an independent solver.
WORKED = ".....2534.34.1.28.2...341...23...74.9.6...3121472.39..7.83..4.13....96..46..7.8.3"
X_WING = "8623.9..151382..9.794156283158.....9379518..22467938156254.19.8937.851.44819....."
XY_WING = "57428...6986.53..71236.7.58618.75.4.4.78..56.2.5.6478.3517.86.47.25..8..8.9.1..75"
RECTANGLE = "548691732.1.384569936..21484.5.6932.329.458.6.61.23954....1.6..1....648.65..3.2.."
GRAVE = "1.6782.4984.6592.12..1346.84.19768..5..841.6.768523914614398.2.972465183385217496"


def _why(text: str, technique: str) -> str:
    grid = parse_grid(text)
    step = find_steps(grid, technique_with(technique))[0]
    return wording.rungs(facts_of_step(grid.layout, step), Position.of(grid))["why"]


@pytest.mark.parametrize(
    ("technique", "text", "expected"),
    [
        (
            "skyscraper",
            WORKED,
            "Skyscraper: In column 6 the 8 is in r4c6 or r5c6, in column 9 in r4c9 or r6c9. Row 4 "
            "takes only one 8, so r5c6 or r6c9 is 8, and r6c5 sees both. So r6c5 loses 8.",
        ),
        (
            "x-wing",
            X_WING,
            "X-wing: The 7s of columns 6 and 9 can only go in rows 2 and 9: r2c6 or r9c6; r2c9 or "
            "r9c9. The two columns use up the 7 of each of these rows. So r2c7, r9c5, r9c7 "
            "and r9c8 lose 7.",
        ),
        (
            "xy-wing",
            XY_WING,
            "XY-wing: The pivot r9c6 can be 2 or 6. If it is 2, r7c5 (2 or 9) in box 8 is 9; if 6, "
            "r8c6 (6 or 9) in column 6 is 9. Either way r8c5 sees a 9. So r8c5 loses 9.",
        ),
        (
            "unique-rectangle",
            RECTANGLE,
            "Unique rectangle, type 1: This relies on the puzzle having just one solution. r3c4, "
            "r3c5, r8c4 and r8c5 are the corners of a rectangle in two rows, two columns and two "
            "boxes. If they held nothing but 5 and 7, the two digits could change places "
            "everywhere and the puzzle would have a second solution. Only r8c4 can hold anything "
            "else, 2 or 9. So r8c4 must be that, and neither 5 nor 7. So r8c4 loses 5 and 7.",
        ),
    ],
)
def test_a_reason_word_by_word(technique: str, text: str, expected: str) -> None:
    assert _why(text, technique) == expected


@pytest.mark.parametrize(
    ("technique", "variant", "expected"),
    [
        (
            "finned-x-wing",
            "",
            "Finned X-wing: Look at the 2s in columns 2 and 8: in column 2, r3c2 or r5c2; in "
            "column 8, r3c8, r5c8 or r6c8. All but the fin r6c8 lie in rows 3 and 5. If the fin "
            "is 2, r5c9 sees it in box 6. If not, it is a plain X-wing: columns 2 and 8 use up "
            "the 2s of rows 3 and 5, where r5c9 lies too. Either way it cannot be 2. So r5c9 "
            "loses 2.",
        ),
        (
            "finned-swordfish",
            "sashimi",
            "Finned swordfish, sashimi: Look at the 4s in rows 2, 4 and 9: in row 2, r2c7 or "
            "r2c9; in row 4, r4c6 or r4c7; in row 9, r9c5 or r9c9. All but the fin r4c6 lie in "
            "columns 5, 7 and 9. If the fin is 4, r5c5 sees it in box 5. If not, row 4 has only "
            "r4c7 left for its 4, and rows 2, 4 and 9 still use up the 4s of columns 5, 7 and 9, "
            "where r5c5 lies too. Either way it cannot be 4. So r5c5 loses 4.",
        ),
        (
            "unique-rectangle",
            "type-4",
            "Unique rectangle, type 4: This relies on the puzzle having just one solution. r1c5, "
            "r1c8, r2c5 and r2c8 are the corners of a rectangle in two rows, two columns and two "
            "boxes. If they held nothing but 2 and 6, the two digits could change places "
            "everywhere and the puzzle would have a second solution. r1c5 and r2c5 hold nothing "
            "else. In box 3, 2 can only go in r1c8 or r2c8. If the other one were 6, there would "
            "be nothing but 2 and 6 in the rectangle, so neither can be 6. So r1c8 and r2c8 lose "
            "6.",
        ),
    ],
)
def test_the_first_of_a_kind_word_by_word(technique: str, variant: str, expected: str) -> None:
    pattern = next(
        each for each in one_of_each() if (each.technique, each.variant) == (technique, variant)
    )
    facts = facts_of_step(pattern.grid.layout, pattern.steps()[0])
    assert wording.rungs(facts, Position.of(pattern.grid))["why"] == expected


_CELLS = re.compile(r"r[1-9]c[1-9]")
TWO_LINKS = ("skyscraper", "two-string-kite", "turbot-fish", "empty-rectangle")
_PLACES = re.compile(
    r"in (\w+ [1-9])(?: the [1-9] is)? in (r[1-9]c[1-9](?:(?:, | or )r[1-9]c[1-9])+)"
)


def test_two_links_are_told_in_few_words_and_with_all_their_places() -> None:
    counts = []
    for pattern in load_patterns():
        if pattern.technique not in TWO_LINKS:
            continue
        for step in pattern.steps():
            why, grid, (digit,) = explain(step, pattern.grid), pattern.grid, step.digits
            told = _PLACES.findall(why.replace("In ", "in "))
            assert len(told) == 2, why
            for name, cells in told:
                house = grid.layout.parse_house(name)
                assert _CELLS.findall(cells) == [
                    grid.layout.format_cell(cell)
                    for cell in house.cells
                    if grid.plane(digit) >> cell & 1
                ]
            counts.append(len(why.split()))
    assert len(counts) > 50
    assert sorted(counts)[len(counts) // 2] <= 42
    assert max(counts) <= 60


def test_what_rests_on_one_solution_says_so_and_nothing_else_does() -> None:
    told = set()
    for pattern in one_of_each():
        for step in pattern.steps()[:1]:
            says = "This relies on the puzzle having just one solution." in explain(
                step, pattern.grid
            )
            assert says is step.is_by_uniqueness, pattern
            told |= {pattern.technique} if says else set()
    assert told == {technique.id for technique in LADDER if technique.is_by_uniqueness}


def test_the_grave_names_its_digit_and_cell() -> None:
    assert _why(GRAVE, "bug-plus-one").endswith("So r5c2 is 3.")


def test_every_kind_is_named_in_its_reason_and_no_kind_before_it() -> None:
    kinds = set()
    for pattern in one_of_each():
        if not pattern.variant:
            continue
        step = pattern.steps()[0]
        facts = facts_of_step(pattern.grid.layout, step)
        rungs = wording.rungs(facts, Position.of(pattern.grid))
        kind = pattern.variant.replace("-", " ")
        assert rungs["why"].startswith(f"{rungs['what'].partition('.')[0]}, {kind}: ")
        assert kind not in rungs["which"]
        kinds.add(pattern.variant)
    assert kinds == set(VARIANTS)


def test_every_case_of_a_forcing_chain_is_told() -> None:
    for technique in ("cell-forcing-chain", "house-forcing-chain"):
        for pattern in load_patterns():
            if pattern.technique != technique:
                continue
            for step in pattern.steps()[:3]:
                why = explain(step, pattern.grid)
                cell, digit = pattern.grid.layout.pairs(step.removes)[0]
                victim = f"{pattern.grid.layout.format_cell(cell)} is not {digit}"
                cases = [
                    line for line in why.split("\n") if re.match(r"[1-9]\. (?:If|Suppose) ", line)
                ]
                assert [int(case[0]) for case in cases] == [*range(1, len(step.chains) + 1)]
                assert len(cases) >= 3
                assert f"Every time {victim}." in why


def test_a_trace_is_told_step_by_step_to_what_cannot_be() -> None:
    longest = 0
    for pattern in load_patterns():
        if pattern.technique != "traced-contradiction":
            continue
        for step in pattern.steps():
            why, grid = explain(step, pattern.grid), pattern.grid
            assert step.assumed is not None
            name, digit = grid.layout.format_cell(step.assumed[0]), step.assumed[1]
            assert why.startswith(f"Suppose {name} were {digit}.")
            at = grid.place(*step.assumed)
            places = [why.index("Suppose")]
            for each in step.trace:
                assert find_break(at) is None
                places.append(why.index(tell_consequence(each, at)))
                for cell, placed in each.places:
                    at = at.place(cell, placed)
                at = at.eliminate(each.removes)
            assert places == sorted(places)
            broken = find_break(at)
            assert broken is not None
            assert f"But now {broken.house.name if broken.house else 'r'}" in why
            assert why.endswith(f"So {name} loses {digit}.")
            longest = max(longest, len(step.trace))
    assert longest >= 3


def test_a_position_without_a_break_has_none() -> None:
    assert find_break(parse_grid(WORKED)) is None
