"""A refusal is made with the facts of its problem and no others, wherever one is made."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from bot import wording
from bot.club.problems import Problem
from bot.club.replies import InputRefused

ROOT = Path(__file__).resolve().parents[3]
TEXT_AT = {"refuse": 2, "ArgumentError": 1, "AnswerUnreadableError": 1, "InputRefused": 1}
"""What makes a refusal, and the place of the text among its arguments."""

OF_ANY_PROBLEM = {"command", "problem", "typed"}


def refusals_made() -> Iterator[tuple[str, Problem, set[str]]]:
    """Yield where a refusal is made, of which problem, and the facts that are given."""
    for path in sorted((ROOT / "bot").rglob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(call, ast.Call) or not isinstance(call.func, ast.Name):
                continue
            if call.func.id not in TEXT_AT:
                continue
            given = {keyword.arg or "" for keyword in call.keywords} - OF_ANY_PROBLEM
            if len(call.args) > TEXT_AT[call.func.id]:
                given.add("text")
            for value in (*call.args, *(keyword.value for keyword in call.keywords)):
                if isinstance(value, ast.Attribute) and ast.unparse(value.value) == "Problem":
                    where = f"{path.relative_to(ROOT)}:{call.lineno}"
                    yield where, Problem[value.attr], given


def test_a_refusal_is_made_with_the_facts_of_its_problem_alone() -> None:
    made = tuple(refusals_made())
    assert not [(where, problem) for where, problem, given in made if not given <= problem.facts]
    assert len(made) >= len(Problem)


REFUSED_NO_MORE = [Problem.TOPIC]
"""Kept for the replies that older versions saved."""


def test_every_problem_is_met_somewhere() -> None:
    everywhere = "".join(
        path.read_text(encoding="utf-8")
        for path in sorted((ROOT / "bot").rglob("*.py"))
        if "wording" not in path.parts and path.name != "problems.py"
    )
    unmet = [each for each in Problem if f"Problem.{each.name}" not in everywhere]
    assert unmet == REFUSED_NO_MORE


def test_a_date_that_there_is_not_is_told_so_where_puzzles_are_queued() -> None:
    refused = InputRefused(command="club queue", problem=Problem.DATE, text="2026-13-45")
    assert wording.phrase(refused).text.startswith("“2026-13-45” is not a date that I can read.")
