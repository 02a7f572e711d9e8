"""Whether a puzzle that a leader queues can be a day's."""

from __future__ import annotations

import pytest

from bot.club.queue_vetting import judge_puzzle, split_puzzles
from bot.club.refusal import RefusedError
from bot.club.replies import InputRefused
from tests.bot.club.stories import CROOK, CROOK_SOLUTION, EASY, EASY_SOLUTION


def test_a_puzzle_is_read_solved_and_rated() -> None:
    lines = "\n".join(CROOK[start : start + 9] for start in range(0, 81, 9))
    judged = judge_puzzle(lines, credit=" Our  own ")
    puzzle = judged.puzzle
    # Solution: Crook, Notices AMS 56(4), 2009, p. 463.
    assert (puzzle.givens, puzzle.solution, puzzle.credit) == (CROOK, CROOK_SOLUTION, "Our own")
    assert puzzle.level == 3
    assert "naked-pair" in puzzle.needs
    assert judged.findings.givens == 81 - CROOK.count(".")
    assert "naked-pair" in judged.findings.turning
    easy = judge_puzzle(EASY).puzzle
    assert (easy.solution, easy.level) == (EASY_SOLUTION, 1)


def test_a_grid_drawn_with_the_longest_lines_is_one_puzzle() -> None:
    drawn = "\n".join("".join(f"[{mark}]|" for mark in EASY[at : at + 9]) for at in range(0, 81, 9))
    assert {len(line) for line in drawn.split()} == {36}
    assert split_puzzles(drawn) == (drawn,)
    assert split_puzzles(f"{EASY}\n{CROOK}") == (EASY, CROOK)
    assert split_puzzles(EASY) == (EASY,)


def refusal(text: str) -> InputRefused:
    with pytest.raises(RefusedError) as caught:
        judge_puzzle(text)
    reply = caught.value.reply
    assert isinstance(reply, InputRefused)
    assert (reply.command, reply.typed) == ("club queue", text)
    return reply


def test_eighty_characters_are_refused_with_both_numbers() -> None:
    reply = refusal(EASY[:-1])
    assert (reply.problem, reply.found, reply.expected) == ("length", 80, 81)


def test_letters_are_refused_by_name() -> None:
    reply = refusal("a" + EASY[1:])
    assert (reply.problem, reply.text) == ("character", "a")


def test_a_digit_twice_in_a_row_is_refused_with_its_cells() -> None:
    reply = refusal("55" + EASY[2:])
    assert (reply.problem, reply.digit, reply.house) == ("repeated", 5, "row 1")
    assert reply.cells == ("r1c1", "r1c2")


def test_a_puzzle_without_a_solution_is_refused() -> None:
    # r1c3 is 4 in the only solution of the encyclopaedia example, so 1 there leaves none.
    assert refusal("531" + EASY[3:]).problem == "no-solution"


def test_a_puzzle_with_two_solutions_is_refused_with_the_cells_in_which_they_differ() -> None:
    # Herzberg & Murty, Notices AMS 54(6), 2007: exactly two solutions, which differ in four cells.
    grid = "9.6.7.4.3...4..2...7..23.1.5.....1...4.2.8.6...3.....5.3.7...5...7..5...4.5.1.7.8"
    reply = refusal(grid)
    assert reply.problem == "many-solutions"
    assert reply.cells == ("r6c5", "r6c6", "r7c5", "r7c6")


def test_a_puzzle_of_the_highest_level_is_taken() -> None:
    # Inkala 2010: no basic step solves it.
    grid = "..53.....8......2..7..1.5..4....53...1..7...6..32...8..6.5....9..4....3......97.."
    assert judge_puzzle(grid).puzzle.level == 6
