"""What gives an open puzzle away in the open room, in any dress; and plain talk, which does not."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from time import process_time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.club.answer_key import answer_within, line_names
from bot.club.telling import tells
from tests.bot.club.stories import (
    CROOK,
    CROOK_SOLUTION,
    EASY,
    EASY_SOLUTION,
    SEVENTEEN,
    SEVENTEEN_SOLUTION,
)

PUZZLES = ((EASY, EASY_SOLUTION), (CROOK, CROOK_SOLUTION), (SEVENTEEN, SEVENTEEN_SOLUTION))


def gives_away(text: str, givens: str = EASY, solution: str = EASY_SOLUTION) -> bool:
    return tells(text, givens, solution, line_names(givens))


def columns(solution: str) -> str:
    return "".join(solution[column::9] for column in range(9))


KEYCAPS = {str(digit): f"{digit}\ufe0f\u20e3" for digit in range(10)}
NAMES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
WORDS = dict(zip("123456789", NAMES, strict=True))
DRESSES = {
    "bare": lambda digits: digits,
    "spaced": lambda digits: " ".join(digits),
    "commas": lambda digits: ", ".join(digits),
    "threes": lambda digits: " ".join(digits[i : i + 3] for i in range(0, len(digits), 3)),
    "bold": lambda digits: f"**{digits}**",
    "full-width": lambda digits: "".join(chr(0xFF10 + int(mark)) for mark in digits),
    "mathematical": lambda digits: "".join(chr(0x1D7CE + int(mark)) for mark in digits),
    "keycaps": lambda digits: "".join(KEYCAPS[mark] for mark in digits),
    "circled": lambda digits: "".join(chr(0x2460 + int(mark) - 1) for mark in digits),
    "black circles": lambda digits: "".join(chr(0x2776 + int(mark) - 1) for mark in digits),
    "Arabic-Indic": lambda digits: "".join(chr(0x0660 + int(mark)) for mark in digits),
    "words": lambda digits: " ".join(WORDS[mark] for mark in digits),
    "zero-width": lambda digits: "\u200b".join(digits),
}
BETWEEN = ("\n", " ", " and then ", "; ", " | ", "\n\n> ", "!!! ", " :) ")
LABELS = ("{}", "row {}: {}", "{} {}", "{}. {}", "r{} {}", "Row #{} = {}", "({}) {}", "18:0{} {}")


@pytest.mark.parametrize("solution", [solution for _, solution in PUZZLES])
def test_digits_that_pieces_share_count_once(solution: str) -> None:
    """Five pieces of five from all over the reading, each beginning with the last digit of the one
    before: in order there are fifteen digits at most."""
    said, last = solution[:5], 0
    while len(said) < 21:
        last = solution.index(said[-1], last + 5)
        said += solution[last + 1 : last + 5]
    assert not gives_away(said, solution=solution)


@pytest.mark.parametrize("solution", [solution for _, solution in PUZZLES])
def test_a_piece_said_again_and_again_counts_once(solution: str) -> None:
    assert not gives_away(" ".join([solution[:7]] * 5), solution=solution)


@settings(max_examples=400, deadline=None, derandomize=True)
@given(st.data())
def test_more_than_twenty_right_digits_in_order_tell_in_any_dress(draws: st.DataObject) -> None:
    givens, solution = draws.draw(st.sampled_from(PUZZLES))
    reading = draws.draw(st.sampled_from((solution, columns(solution))))
    dress = DRESSES[draws.draw(st.sampled_from(sorted(DRESSES)))]
    label, between = draws.draw(st.sampled_from(LABELS)), draws.draw(st.sampled_from(BETWEEN))
    if label == "{}":
        start = draws.draw(st.integers(0, 60))
        length = draws.draw(st.integers(21, 81 - start))
        said = dress(reading[start : start + length])
    else:
        first = draws.draw(st.integers(0, 6))
        last = draws.draw(st.integers(first + 3, 9))
        lines = [(row + 1, reading[9 * row : 9 * row + 9]) for row in range(first, last)]
        said = between.join(label.format(number, dress(line)) for number, line in lines)
    before, after = draws.draw(st.sampled_from((("", ""), ("I have ", "!"), ("12:30 ", " ok? 7"))))
    assert gives_away(before + said + after, givens, solution), said


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.data())
def test_both_marked_lines_tell_in_either_order_and_any_dress(draws: st.DataObject) -> None:
    givens, solution = draws.draw(st.sampled_from(PUZZLES))
    names = list(line_names(givens))
    if draws.draw(st.booleans()):
        names.reverse()
    dress = DRESSES[draws.draw(st.sampled_from(sorted(DRESSES)))]
    between = draws.draw(st.sampled_from((*BETWEEN, ", at 18:05 on 24.11. I had 2 left, ")))
    kind = {"row": solution, "column": columns(solution)}
    parts = []
    for name in names:
        house, number = name.split()
        digits = kind[house][9 * int(number) - 9 : 9 * int(number)]
        parts.append(f"{draws.draw(st.sampled_from((f'{name}: ', '', 'it is ')))}{dress(digits)}")
    assert gives_away(between.join(parts), givens, solution), parts


ROWS = [EASY_SOLUTION[start : start + 9] for start in range(0, 81, 9)]


@pytest.mark.parametrize(
    "said",
    [
        "column 3: 428963175, column 7: 935478261",
        "\n".join(f"{number} {row}" for number, row in enumerate(ROWS, start=1)),
        "rows 7, 2 and 5: " + ", ".join((ROWS[6], ROWS[1], ROWS[4])),
        EASY_SOLUTION[:40] + "1" + EASY_SOLUTION[41:],
        "\n".join("".join(mark if mark in "123456" else "." for mark in row) for row in ROWS),
        " ".join(f"r{c // 9 + 1}c{c % 9 + 1}={EASY_SOLUTION[c]}" for c in range(0, 81, 3)),
    ],
    ids=["issue", "numbered", "any order", "one wrong", "with blanks", "cells"],
)
def test_these_tell(said: str) -> None:
    assert gives_away(said)


@pytest.mark.parametrize(
    "said",
    [
        EASY,  # as published
        "\n".join(EASY[start : start + 9] for start in range(0, 81, 9)),
        EASY_SOLUTION[:20],
        f"row 1: {ROWS[0]}, row 2: {ROWS[1]}",  # 18, and not those that are marked
        "is r1c3 a 4?",
        CROOK_SOLUTION,
        "",
    ],
)
def test_these_do_not(said: str) -> None:
    assert not gives_away(said)


# --- plain talk ---


def a_plain_line(random: Random) -> str:
    """Return a line with numbers as people write them in a club's room."""

    def digits(count: int) -> str:
        return "".join(random.choice("0123456789") for _ in range(count))

    def shuffled() -> str:
        return "".join(random.sample("123456789", 9))

    def renamed() -> str:
        """Return digits of which none is as it was: of another puzzle then, not of this one."""
        turn = random.randrange(1, 9)
        return "123456789"[turn:] + "123456789"[:turn]

    def when() -> datetime:
        return datetime(2026, 1, 1) + timedelta(minutes=random.randrange(10**6))  # noqa: DTZ001

    def many(make: object, most: int = 9) -> str:
        between = random.choice((", ", " ", "; ", "\n", " - "))
        return between.join(str(make()) for _ in range(random.randint(1, most)))  # type: ignore[operator]

    kinds = (
        lambda: many(lambda: f"+{digits(2)} {digits(3)} {digits(4)} {digits(4)}"),
        lambda: many(lambda: digits(random.randint(7, 12)), 3),
        lambda: many(lambda: when().date().isoformat()),
        lambda: many(lambda: f"{when():%d.%m.%Y %H:%M}"),
        lambda: many(lambda: f"{when():%H:%M}"),
        lambda: many(lambda: f"{random.randrange(1, 60)}:{random.randrange(10, 60)}", 12),
        lambda: many(lambda: f"{random.randrange(22)}:{random.randrange(22)}", 5),
        lambda: many(lambda: random.randrange(100, 999), 12),
        lambda: f"order {digits(18)} and {digits(20)}",
        lambda: many(shuffled, 2),
        lambda: random.choice((CROOK, SEVENTEEN, EASY)),
        lambda: random.choice((CROOK_SOLUTION, SEVENTEEN_SOLUTION)),
        lambda: EASY_SOLUTION.translate(str.maketrans("123456789", renamed())),
        lambda: f"yesterday's lines: {shuffled()} {shuffled()}",
        lambda: f"is {digits(1)} in r{digits(1)}c{digits(1)}? I see {many(lambda: digits(1), 12)}",
    )
    said = random.choice(kinds)()
    return random.choice(("{}", "well, {}", "{} :)", "call me: {}", "{}!")).format(said)


@pytest.mark.parametrize("count", [3_000, pytest.param(10_000, marks=pytest.mark.long)])
def test_of_thousands_of_lines_of_plain_talk_with_numbers_none_is_taken(count: int) -> None:
    random = Random(11)
    lines, numbers = line_names(EASY), 0
    for _ in range(count):
        said = a_plain_line(random)
        numbers += sum(mark.isdigit() for mark in said)
        assert not gives_away(said), said
    assert numbers > 20 * count
    for _ in range(count // 5):
        said = f"well, {a_plain_line(random)}"
        assert answer_within(said, EASY_SOLUTION, lines) is None, said


@pytest.mark.parametrize(
    "said",
    [
        "9:45 8:12 7:58 6:33 9:51 7:44",  # six times, 18 digits
        "461-233-859 712-345-986",  # two telephone numbers
        "121 134 156 178 192 183",
    ],
)
def test_eighteen_digits_of_something_else_are_no_wrong_answer(said: str) -> None:
    assert answer_within(said, EASY_SOLUTION, line_names(EASY)) is None


def test_a_wrong_answer_of_digits_alone_is_an_answer() -> None:
    lines = line_names(EASY)  # columns 3 and 7
    key = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
    slip = f"{key[:9]} {key[9:-1]}{key[-2]}"
    assert answer_within(slip, EASY_SOLUTION, lines) == slip.replace(" ", "")


# --- cost ---


@pytest.mark.parametrize("piece", [EASY_SOLUTION, "53467", "1 ", "r1c1=5 ", "1. ", "\u0301", " "])
def test_the_cost_grows_with_the_length_of_a_line_and_no_faster(piece: str) -> None:
    def cost(length: int) -> float:
        text = (piece * (length // len(piece) + 1))[:length] + "x"
        started = process_time()
        gives_away(text)
        return process_time() - started

    cost(1000)
    short = min(cost(8_000) for _ in range(3))
    long = min(cost(64_000) for _ in range(3))
    assert long < 30 * short, (short, long)  # eight times as long; a square would be 64
