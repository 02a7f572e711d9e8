"""What the command `make` says: how far it is, what was tried, and what might help."""

from __future__ import annotations

from bot.wording.many_terminal import clock, draw_bar
from bot.wording.prose import join_words
from bot.wording.techniques import technique_name
from engine import Recipe, making

NOTHING_FILLS_IT = "There is no way to fill a grid of this layout. Draw its boxes differently."

_CONTRADICTIONS = {
    "levels": "No level was asked for. Name one, such as --level 3.",
    "level": "Levels run from 1 to 6. Example: --level 3.",
    "pattern": f"There is no pattern of that name. Choose from {join_words(making.PATTERNS)}.",
    "pair": "Give the fewest givens and the most. Example: --givens {givens}.",
    "effort": "Every puzzle takes some effort, so it must be above 0. Example: --effort 60.",
    "shortcut": (
        "No puzzle needs that technique: whatever it places, a hidden or naked single places too. "
        "Name another one with --needs."
    ),
    "above": (
        "That technique is above the level you asked for, and a puzzle is at least as hard as "
        "what it needs. Leave out --level, or name a higher one."
    ),
    "both": "No puzzle can need a technique and do without it. Take it out of --needs or --avoids.",
    "room": (
        "On a grid this small no puzzle needs that technique, since something simpler always does "
        "the same. Choose a larger --layout or another technique."
    ),
    "points": (
        "A clean puzzle has one turning point, so it can't need several techniques above level 1. "
        "Leave out --clean, or name just one."
    ),
    "few": (
        f"No puzzle has so few givens: a classic one has at least {making.FEWEST_GIVENS}, and on "
        "any layout at most one digit can be missing. Example: --givens {givens}."
    ),
    "swapped": (
        "That range of givens is the wrong way round: the smaller number comes first. "
        "Example: --givens {givens}."
    ),
    "range": "This grid doesn't have that many cells. Example: --givens {givens}.",
    "turns": (
        "No number of givens in that range fits the pattern, which turns or mirrors them onto each "
        "other in groups. Widen --givens or choose another --pattern."
    ),
}

_LACKS = {
    "levels": "it has the wrong level",
    "needs": "it doesn't need all that was asked for",
    "avoids": "it needs a technique that was to be avoided",
    "givens": "it has the wrong number of givens",
    "minimal": "it has a given to spare",
    "most_effort": "it takes too much effort",
    "clean": "it has more than one turning point",
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
        f"{draw_bar(made, count)} {made} of {count}; {_puzzles(tried.attempts)} tried; "
        f"{clock(seconds)}"
    )


def _puzzles(count: int) -> str:
    return f"{count} puzzle{'' if count == 1 else 's'}"


def unmade(error: making.UnmadeError, recipe: Recipe, made: int, count: int) -> str:
    """Why there are not as many puzzles as asked for, what was tried, and what might help."""
    if error.contradiction:
        cells = recipe.layout.cell_count
        givens = f"{cells * 3 // 10}-{cells * 7 // 20}"
        return _CONTRADICTIONS[error.contradiction].format(givens=givens)
    tried = error.tried
    if error.is_stopped and not tried.attempts:
        # Nothing was looked at, so nothing is known of such puzzles.
        return (
            f"Made {made} of {count} by the deadline: there was no time to try for "
            f"{'another' if made else 'one'}. More time (--deadline) would help."
        )
    end = "the deadline" if error.is_stopped else "the last attempt"
    lines = [f"Made {made} of {count} by {end}: such puzzles are rare, or there are none."]
    were = "was" if tried.attempts == 1 else "were"
    which = "next" if made else "first"
    lines.append(
        f"{_puzzles(tried.attempts)} {were} tried for the {which} one{_outcomes(tried, recipe)}."
    )
    if tried.nearest:
        lacks = join_words([_LACKS[wish] for wish in tried.lacks])
        lines.append(f"The nearest was {tried.nearest}, but {lacks}.")
    advice = [_ADVICE[wish] for wish in error.advice]
    advice += ["more time (--deadline)"] if error.is_stopped else ["another --seed"]
    lines.append(f"What might help: {'; '.join(advice)}.")
    return "\n".join(lines)


def only_repeats(made: int, count: int) -> str:
    """All that still comes has come already, turned or renamed."""
    return (
        f"Made {made} of {count}: everything after that was one of these in disguise. There may be "
        "no more of this kind. Asking for less or a larger --layout might help."
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
        said.append(f"{tried.too_hard} could not be solved at this level")
    for wish, times in tried.misses.items():
        said.append(f"{times} {_MISSES[wish]}")
    return f": {join_words(said)}" if said else ""
