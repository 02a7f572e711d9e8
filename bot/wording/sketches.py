"""Words for platforms that show commands before they are typed: purposes of options."""

from __future__ import annotations

_PURPOSES = {
    "as": "Read it out as text",
    "grid": "A grid: 81 characters, a dot for an open cell",
    "marks": "Cells and digits",
    "row": "The row's number and its nine digits, a dot for an open cell",
    "candidates": "A cell and the digits to strike",
    "way": "Where you stand; leave it out to be asked",
    "about": "Narrow it to a house or a digit",
    "answer": "The digits of the two marked lines; leave it out for a form or your full board",
    "date": "The puzzle's date",
    "period": "Which table",
    "wish": "Show, export or erase",
    "topic": "A command or a technique",
    "credit": "Whose puzzle it is",
    "day": "The week, or one weekday; leave it out for the week",
    "days": "How many days, or one date",
    "level": "A level, or two with a dash between",
    "pattern": "The symmetry of the givens",
    "effort": "Does the effort rise through the week?",
    "switch": "off ends the break",
    "sure": "Also where members have taken part",
    "member": "Whose result",
    "verdict": "What becomes of it",
    "reason": "Told to the member",
    "theme": "A technique that puzzles should turn on, or none",
    "channel": "Where a club is to meet: a new one is founded there",
}


def option_purpose(name: str, example: str) -> str:
    """Say what an option is for, with an example where there is one."""
    purpose = _PURPOSES.get(name, name.replace("-", " ").capitalize())
    return f"{purpose}, such as {example}" if example else purpose
