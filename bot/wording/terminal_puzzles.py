"""What the command line says of puzzles: vetted, added, in stock, missing, and where one turns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from bot.club.facts_planning import TurningReport
from bot.club.plan import DayPlan
from bot.club.ports import Queued
from bot.club.problems import Problem
from bot.club.state import Day, Puzzle
from bot.club.vetting import Vetted
from bot.wording.planning import PATTERN_NAMES, levels_words, needs_words
from bot.wording.prose import clean_text, sentences
from bot.wording.queueing import tell_findings
from bot.wording.techniques import technique_name
from bot.wording.terminal import puzzle_refused
from bot.wording.turning import summarise_turning, tell_turning
from bot.wording.unusable import two_solutions

NO_CLUB = (
    "There is no club yet whose plan could be filled. Name a config with a club in it. "
    "Example: ninebark puzzles stock --config config.toml"
)
LIST_EXAMPLE = "ninebark puzzles list --needs naked-pair"
AT_LEAST_WRONG = "Ask for at least one of each kind. Example: ninebark puzzles stock --at-least 14"


def refused(vetted: Vetted) -> str:
    if vetted.problem is Problem.MANY_SOLUTIONS:
        return f"{two_solutions(vetted.cells)} It was not added."
    return puzzle_refused(vetted.problem)


def added(vetted: Vetted, *, is_queued: bool, on_date: date | None, level: int | None) -> str:
    """Say what was found of a puzzle, and where it went."""
    puzzle, findings = vetted.puzzle, vetted.findings
    assert puzzle is not None
    assert findings is not None
    where = "Added to the stock."
    if is_queued and on_date is not None:
        where = f"Queued for {on_date.isoformat()}."
    elif is_queued and level is not None:
        where = f"Queued for the next free day planned for level {level}."
    elif is_queued:
        where = "Queued for the next free day."
    return sentences(
        f"{puzzle.givens}: level {puzzle.level}, {needs_words(puzzle.needs)}; "
        f"effort {puzzle.effort:g}, {PATTERN_NAMES[puzzle.pattern]}.",
        tell_findings(findings),
        f"Credit: {clean_text(puzzle.credit, 80)}." if puzzle.credit else "",
        where,
    )


def no_shelf(folder: Path, action: str) -> str:
    return (
        f"There is no club's data in {folder}. Name the folder that holds it. "
        f"Example: ninebark puzzles {action} --data club-data\n"
        f"To begin a new club: ninebark try --data {folder}"
    )


def _disguise(givens: str, other: str) -> str:
    return "" if givens == other else f", in disguise, as {other}"


def in_stock(givens: str, other: str) -> str:
    return f"This puzzle is already in stock{_disguise(givens, other)}. It was not added again."


def passed_in_stock(count: int) -> str:
    if count == 1:
        return "1 was already in stock, and was passed over."
    return f"{count:,} were already in stock, and were passed over."


def club_had(givens: str, day: Day) -> str:
    same = _disguise(givens, day.puzzle.givens)
    return f"The club had this puzzle on {day.date.isoformat()}{same}. It was not queued."


def in_queue(givens: str, waiting: Queued) -> str:
    same = _disguise(givens, waiting.puzzle.givens)
    return f"This puzzle is already waiting in the queue{same}."


def passed_in_queue(count: int) -> str:
    if count == 1:
        return "1 was already waiting there, and was passed over."
    return f"{count:,} were already waiting there, and were passed over."


def day_taken(on_date: date) -> str:
    return (
        f"{on_date.isoformat()} has passed, or already has a puzzle. Name a free day to come. "
        "Example: --for 2026-12-01"
    )


def which_club(room: str | None, rooms: Sequence[str]) -> str:
    known = f"The rooms are: {', '.join(rooms)}." if rooms else "There is no club yet."
    asked = f"There is no club with the room {room!r}." if room else "Which club do you mean?"
    return f"{asked} {known} Example: --room {rooms[0] if rooms else 'main'} --for 2026-12-01"


def line(puzzle: Puzzle) -> str:
    """A puzzle as a plain line: givens, level, needs, effort, pattern, and its credit."""
    parts = [
        puzzle.givens,
        str(puzzle.level),
        ", ".join(puzzle.needs) or "-",
        f"{puzzle.effort:g}",
        puzzle.pattern or "-",
    ]
    return "\t".join([*parts, puzzle.credit] if puzzle.credit else parts)


def still_missing(entry: DayPlan, count: int) -> str:
    wishes = [levels_words(entry.lowest, entry.highest)]
    if entry.theme:
        wishes.append(f"needs {technique_name(entry.theme)}")
    if entry.pattern:
        wishes.append(PATTERN_NAMES[entry.pattern])
    return (
        f"{count} could not be made: {', '.join(wishes)}. Such puzzles are rare, or there are "
        "none. Allowing more levels, or any symmetry, might help. "
        "Example: club plan week pattern=any"
    )


def turning_report(report: TurningReport) -> str:
    """The whole report as text; the pictures' names stand beside what they show."""
    parts = tell_turning(report)
    lines = [f"{report.givens}", summarise_turning(report)]
    for part in parts:
        text = f"{part.text}\n{part.message.code}".strip()
        lines.append(f"[{part.name}] {text}" if part.name else text)
    return "\n\n".join(lines)


def pictures_unwritable(folder: Path, reason: str) -> str:
    return (
        f"The pictures cannot be written to {folder} ({reason}). "
        "Example: ninebark puzzles report GRID --pictures turning"
    )
