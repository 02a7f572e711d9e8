"""What the command `make` says: how far it is, what was tried, and what would help."""

from __future__ import annotations

from bot.wording.many_terminal import clock, draw_bar
from bot.wording.prose import join_words
from bot.wording.techniques import technique_name
from engine import Recipe, making

NOTHING_FILLS_IT = "There is no way to fill a grid of this layout. Draw its boxes differently."

_CONTRADICTIONS = {
    "levels": "No level is asked for. Name one: --level 3.",
    "level": "Levels run from 1 to 6. Example: --level 3.",
    "pattern": f"There is no such pattern. Choose from {join_words(making.PATTERNS)}.",
    "pair": "Give the fewest and the most givens. Example: --givens 24-28.",
    "effort": "No puzzle takes so little effort: it is always above 0. Example: --effort 60.",
    "shortcut": (
        "No puzzle needs it: whatever it places, a hidden or naked single places too. "
        "Name another technique with --needs."
    ),
    "above": (
        "That technique is above the level you asked for, and a puzzle is at least as hard as "
        "what it needs. Leave out --level, or name a higher one."
    ),
    "both": "A technique is both needed and avoided. Take it out of --needs or out of --avoids.",
    "room": (
        "On a grid this small, something simpler always does the same: the rest of the house, or "
        "the other lines, hold a smaller one. Name a larger --layout or another technique."
    ),
    "points": (
        "A clean puzzle has one turning point, so it cannot need several techniques above level 1. "
        "Leave out --clean, or name one technique."
    ),
    "few": (
        f"No puzzle has so few givens: the fewest of a classic one are {making.FEWEST_GIVENS}, "
        "and on any layout all digits but one must be given. Example: --givens 24-28."
    ),
    "swapped": (
        "The range of givens is the wrong way round: the fewest come first. Example: --givens "
        "24-28."
    ),
    "range": "There are not that many cells. Example: --givens 24-28.",
    "turns": (
        "No number of givens in that range can keep the pattern: they come in groups that are "
        "turned or mirrored onto each other. Widen --givens or choose another --pattern."
    ),
}

_LACKS = {
    "levels": "its level",
    "needs": "what it needs",
    "avoids": "a technique that it should do without",
    "givens": "the number of its givens",
    "minimal": "a given that it could do without",
    "most_effort": "its effort",
    "clean": "more than one turning point",
}

_MISSES = {
    "levels": "came out at the wrong level",
    "needs": "did not need all that was asked for",
    "avoids": "needed a technique that was to be avoided",
    "givens": "had the wrong number of givens",
    "minimal": "had a given to spare",
    "most_effort": "took too much effort",
    "clean": "had more than one turning point",
}
"""The same of some of them: each goes with one and with many."""

_ADVICE = {
    "levels": "a wider --level",
    "needs": "fewer --needs, or another technique",
    "avoids": "fewer --avoids",
    "givens": "a wider range of --givens",
    "minimal": "leaving out --minimal",
    "most_effort": "a higher --effort",
    "clean": "leaving out --clean",
    "pattern": "another --pattern or none",
    "seeds": "similar puzzles to start from (--from FILE)",
}


def swapped_ends(text: str) -> str:
    """A range that runs from the larger to the smaller end."""
    first, _, last = text.partition("-")
    return f"{text} is the wrong way round: write {last}-{first}"


def not_a_count(text: str) -> str:
    """What was given for a count is none."""
    return f"{text!r} is not a number of puzzles; give 1 or more, such as 7"


def no_file_to_start_from(name: str) -> str:
    """There is no such file of puzzles to start from."""
    return (
        f"There is no file {name} to read puzzles from. Name a file with one a line, or - for "
        "standard input. Example: ninebark make --from known.txt"
    )


def not_a_range(text: str) -> str:
    """What was given for a number of givens is neither a number nor a range."""
    return f"{text!r} is not a number or a range; give one such as 24-28"


def not_levels(text: str) -> str:
    """What was given for levels is neither a level nor a range of them."""
    return f"{text!r} is not a level or a range of levels; give 1 to 6, or a range such as 2-4"


def progress(made: int, count: int, tried: making.Tried, seconds: float) -> str:
    """How far it is, in one line."""
    return (
        f"{draw_bar(made, count)} {made} of {count}; {_attempts(tried.attempts)}; {clock(seconds)}"
    )


def _attempts(count: int) -> str:
    return f"{count} puzzle{'' if count == 1 else 's'} tried"


def unmade(error: making.UnmadeError, recipe: Recipe, made: int, count: int) -> str:
    """Why there are not as many puzzles as asked for, what was tried, and what would help."""
    if error.contradiction:
        return f"There is no such puzzle. {_CONTRADICTIONS[error.contradiction]}"
    tried = error.tried
    if error.is_stopped and not tried.attempts:
        # Nothing was looked at, so nothing is known of such puzzles.
        return (
            f"Made {made} of {count} by the deadline: there was no time to try for "
            f"{'another' if made else 'one'}. More time (--deadline) would help."
        )
    end = "the deadline" if error.is_stopped else "the last attempt"
    lines = [f"Made {made} of {count} by {end}: such puzzles are rare, or there are none."]
    lines.append(f"For the one missing, {_attempts(tried.attempts)}{_outcomes(tried, recipe)}.")
    if tried.nearest:
        lacks = join_words([_LACKS[wish] for wish in tried.lacks])
        lines.append(f"The nearest: {tried.nearest} (what is wrong: {lacks}).")
    advice = [_ADVICE[wish] for wish in error.advice]
    advice += ["more time (--deadline)"] if error.is_stopped else ["another --seed"]
    lines.append(f"What would help: {'; '.join(advice)}.")
    return "\n".join(lines)


def only_repeats(made: int, count: int) -> str:
    """All that still comes has come already, turned or renamed."""
    return (
        f"Made {made} of {count}: everything after that was one of these in disguise. There may be "
        "no more of this kind. Asking for less or a larger --layout would help."
    )


def _outcomes(tried: making.Tried, recipe: Recipe) -> str:
    """What came of them, counted."""
    said = []
    if tried.too_easy:
        names = [technique_name(id) for id in recipe.needs]
        said.append(
            f"{tried.too_easy} could do without {join_words(names)}"
            if names
            else f"{tried.too_easy} turned out too easy"
        )
    if tried.too_hard:
        said.append(f"{tried.too_hard} could not be settled at this level")
    for wish, times in tried.misses.items():
        said.append(f"{times} {_MISSES[wish]}")
    return f": {', '.join(said)}" if said else ""
