"""The four rungs of a hint, each a fuller answer to the same question, and each keeping its secret.

- Where names one house, says if the pattern runs across the board, and names neither technique,
  digit nor cell.
- What names the technique with a general reminder, and no cell, digit or house.
- Which names the pattern's cells and digits, and nothing that is struck. For a single the cell and
  its digit *are* the pattern, so it names both; for a last three it names the three cells and
  the three digits, and not which goes where. For a traced contradiction it names the candidate
  to try.
- Why names the kind of the technique, gives the whole reasoning and what follows.
"""

from __future__ import annotations

from bot.club.facts import Position, StepFacts, step_of_facts
from bot.wording.prose import capitalise, join_words
from bot.wording.sight import NO_STRIKES, Strikes
from bot.wording.steps import explain
from bot.wording.techniques import kind_name, reminder, technique_name
from bot.wording.walks import is_spread_out, tell_walk
from engine import pattern_parts

RUNGS = ("where", "what", "which", "why")


def where(step: StepFacts) -> str:
    """Say the first rung: a house worth looking at, and nothing else of the step."""
    if is_spread_out(step):
        return (
            f"The next step runs across much of the board; {step.houses[0]} is a good place to "
            "start."
        )
    return f"Have a good look at {step.houses[0]}."


def what(step: StepFacts) -> str:
    """Say the second rung: the technique with a reminder of how it works, no cell or digit."""
    return f"{capitalise(technique_name(step.technique))}. {reminder(step.technique)}"


def which(step: StepFacts) -> str:
    """Name the pattern: `Naked pair: 2 and 8 in r3c3 and r4c3 (column 3).`, or the way to walk."""
    if step.technique in pattern_parts.WALKED:
        name = capitalise(technique_name(step.technique))
        return f"{name} of {join_words(step.digits)}: {tell_walk(step)}"
    houses = f" ({join_words(step.houses)})" if step.houses else ""
    return (
        f"{capitalise(technique_name(step.technique))}: {join_words(step.digits)} in "
        f"{join_words(step.cells)}{houses}."
    )


def why(step: StepFacts, position: Position, strikes: Strikes = NO_STRIKES) -> str:
    """Say the fourth rung: the whole reasoning and what follows.

    With `strikes` it names the earlier steps that it rests on.
    """
    grid = position.to_grid()
    reasoning = explain(step_of_facts(grid.layout, step), grid, strikes)
    return f"{capitalise(kind_name(step.technique, step.variant))}: {reasoning}"


def rungs(step: StepFacts, position: Position) -> dict[str, str]:
    """Return the words of all four rungs by name, for a step found at `position`."""
    return {
        "where": where(step),
        "what": what(step),
        "which": which(step),
        "why": why(step, position),
    }


def rung_text(number: int, step: StepFacts, position: Position) -> str:
    """Return the words of one rung, 1 to 4, and of no other."""
    if RUNGS[number - 1] == "why":
        return why(step, position)
    return {"where": where, "what": what, "which": which}[RUNGS[number - 1]](step)
