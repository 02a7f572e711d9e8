"""Where a puzzle turns, told to a leader part by part: each part is words and mostly a picture.

The same parts are sent in a room and written by the command line. Only leaders read them: they
give everything away.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.club.facts import GridPicture, HintPicture, Position, StepFacts
from bot.club.facts_planning import Missing, TurningPointFacts, TurningReport, TurningSteps
from bot.club.replies import TurningShown
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, count_of, join_words, number_word, paragraphs, sentences
from bot.wording.rungs import why
from bot.wording.spoken import write_to_copy
from bot.wording.techniques import technique_name
from bot.wording.times import format_weekday_date, tell_minutes
from bot.wording.worded import More, Worded

ROOM_POINTS = 4
"""So many turning points are told in a room; the command line tells all."""
TWIN = "the same candidates go, only seen another way"
Ways = Sequence[tuple[str, bool]]
"""Techniques that would do in another's place, each with whether it is a twin."""


def tell_turning(
    report: TurningReport, *, most: int | None = None, theme: str = ""
) -> tuple[Worded, ...]:
    """Return the parts of a report after its summary, of at most so many turning points.

    A turning point is shown by the theme where that works, else by what the puzzle needs.
    """
    points = report.points if most is None else report.points[:most]
    parts: list[Worded] = []
    for number, point in enumerate(points, start=1):
        parts.extend(_tell_point(report, number, point, theme))
    if len(points) < len(report.points):
        left = count_of(len(report.points) - len(points), "turning point")
        text = f"{capitalise(left)} more. To see them all: ninebark puzzles report"
        parts.append(Worded(Message(text)))
    for missing in report.missing:
        parts.append(_tell_missing(report, missing))
    return tuple(parts)


def summarise_turning(report: TurningReport) -> str:
    """Say in a few sentences how hard the puzzle is and how often it turns."""
    count = len(report.points)
    if count == 0:
        turns = "It does not turn: singles lead all the way."
    elif count == 1:
        turns = "It turns once: at one position no single is left."
    else:
        turns = f"It turns {count} times, each time at a position where no single is left."
    return sentences(
        f"Level {report.level}; the hardest step is {technique_name(report.hardest)}; "
        f"effort {report.effort:g}, {tell_minutes(report.minutes)}.",
        turns,
        tell_needs({each.technique: each.way_rounds for each in report.missing})
        or "No technique above the singles is needed for it.",
    )


def tell_needs(needs: Mapping[str, Ways]) -> str:
    """Say what a puzzle needs, what stands in for it included; nothing where it needs nothing.

    What something else can stand in for is not told as what a puzzle cannot be solved without.
    """
    alone = [technique_name(each) for each, ways in needs.items() if not ways]
    return sentences(
        f"It cannot be solved without {join_words(alone)}." if alone else "",
        *(_tell_need(each, ways) for each, ways in needs.items() if ways),
    )


def _tell_need(technique: str, ways: Ways) -> str:
    twins, others = _twins(ways), _others(ways)
    name = technique_name(technique)
    if not twins:
        return f"It needs {name} or, in its place, {join_words(others, 'or')}."
    twin = "its twin" if len(twins) == 1 else "one of its twins"
    way = f"; in their place, {join_words(others, 'or')} would do" if others else ""
    return f"It needs {name} or {twin}, {join_words(twins, 'or')} ({TWIN}){way}."


def _twins(ways: Ways) -> list[str]:
    return [technique_name(each) for each, is_twin in ways if is_twin]


def _others(ways: Ways) -> list[str]:
    return [technique_name(each) for each, is_twin in ways if not is_twin]


def _tell_point(
    report: TurningReport, number: int, point: TurningPointFacts, theme: str
) -> tuple[Worded, ...]:
    """Tell a turning point twice: as members see it, and as the leader may show it."""
    stuck = GridPicture(
        givens=report.givens,
        position=point.position,
        with_candidates=True,
        caption=f"Turning point {number} of {len(report.points)}",
    )
    board = (
        f"Turning point {number} of {len(report.points)}, level {point.level}. "
        f"{capitalise(count_of(point.open_cells, 'cell'))} open, "
        f"{point.candidates} candidates, {count_of(point.pairs, 'cell')} with just two of them, "
        "and no single anywhere."
    )
    leading = [offer for offer in point.offers if offer.leading] or list(point.offers)
    chosen = [each for each in leading if theme in {step.technique for step in _steps(each)}]
    chosen += [each for each in point.offers if each.technique == theme]
    chosen += [each for each in leading if each.is_needed]
    shown = (*chosen, *leading)[0]
    solved = HintPicture(givens=report.givens, position=point.position, step=shown.step, rung="why")
    lines = [f"{board} What leads on:", *map(_tell_offer, leading)]
    lines += _tell_others([(each.technique, each.count - each.leading) for each in point.offers])
    told = sentences(why(shown.step, point.position), tell_then(shown.then))
    return (
        Worded(
            Message("\n".join(lines), code=write_to_copy(point.position)),
            stuck,
            f"turn-{number}-board",
        ),
        Worded(Message(told), solved, f"turn-{number}-{shown.technique}"),
    )


def _tell_offer(offer: TurningSteps) -> str:
    needed = " (the puzzle needs it)" if offer.is_needed else ""
    times = "once" if offer.leading <= 1 else f"in {offer.leading} places"
    first, *then = (
        f"{technique_name(each.technique)} (level {each.level})" for each in _steps(offer)
    )
    after = f", and then {join_words(then)}" if then else ""
    return f"- {first}, {times}{needed}{after}"


def _steps(offer: TurningSteps) -> list[StepFacts]:
    """Return the steps of a way on, without the single that it opens."""
    return [offer.step, *(step for step in offer.then if step.level > 1)]


def _tell_others(counts: list[tuple[str, int]]) -> list[str]:
    """Say in a line what else is there and how often, if anything is."""
    kinds = [f"{technique_name(technique)} {count}" for technique, count in counts if count]
    if not kinds:
        return []
    total = sum(count for _, count in counts)
    what = "other step is there, but opens" if total == 1 else "others are there, but open"
    return [f"{capitalise(number_word(total))} {what} nothing yet: {', '.join(kinds)}."]


def tell_then(steps: Sequence[StepFacts]) -> str:
    """Say briefly what follows a step, up to the placement that it leads to."""
    if not steps:
        return ""
    *between, last = steps
    first = f"Then {', then '.join(map(tell_briefly, between))}. " if between else ""
    return f"{first}So {tell_outcome(last)}."


def tell_briefly(step: StepFacts) -> str:
    """Say a step in one line: its technique, pattern and what follows."""
    where = ", ".join(step.houses + step.covers)
    digits = ", ".join(map(str, step.digits))
    return (
        f"{technique_name(step.technique)}: {digits} in {', '.join(step.cells)} ({where}): "
        f"{tell_outcome(step)}"
    )


def tell_outcome(step: StepFacts) -> str:
    """Say what a step places and strikes: `r1c2 = 4; r1c5 loses 3, 8`."""
    struck: dict[str, list[str]] = {}
    for cell, digit in step.removes:
        struck.setdefault(cell, []).append(str(digit))
    places = [f"{cell} = {digit}" for cell, digit in step.places]
    return "; ".join(
        [*places, *(f"{cell} loses {', '.join(digits)}" for cell, digits in struck.items())]
    )


def _tell_missing(report: TurningReport, missing: Missing) -> Worded:
    name = technique_name(missing.technique)
    stuck = GridPicture(
        givens=report.givens,
        position=missing.stuck,
        with_candidates=True,
        caption=f"Stuck without {name}",
    )
    text = sentences(
        f"Someone who finds everything but the {name} gets stuck here: "
        f"{count_of(missing.open_cells, 'cell')} open, {missing.pairs} with two candidates.",
        _tell_ways(missing),
    )
    message = Message(text, code=write_to_copy(missing.stuck))
    return Worded(message, stuck, f"stuck-without-{missing.technique}")


def _tell_ways(missing: Missing) -> str:
    twins, others = _twins(missing.way_rounds), _others(missing.way_rounds)
    if not twins and not others:
        return "There is no way round it up to this level."
    twin = "Its twin is" if len(twins) == 1 else "Its twins are"
    same = f"{twin} {join_words(twins)}: {TWIN}." if twins else ""
    way = f"A way round: {join_words(others, 'or')}." if others else ""
    return sentences(way, same)


def _turning_shown(reply: TurningShown) -> Message:
    return Message(
        text=paragraphs(
            f"Where the puzzle for {format_weekday_date(reply.date)} turns. Only you see this.",
            summarise_turning(reply.report),
        ),
        code=write_to_copy(Position(reply.report.givens)),
        buttons=(Button("How to solve it", f"walkthrough {reply.date.isoformat()}"),),
    )


def _parts(reply: TurningShown) -> tuple[Worded, ...]:
    return tell_turning(reply.report, most=ROOM_POINTS, theme=reply.theme)


PHRASES: Phrases = {TurningShown: _turning_shown}
MORE: More = {TurningShown: _parts}

COMMANDS: Commands = {
    "club turning": CommandWords(
        purpose="See where a coming puzzle turns, and what a member who misses it sees.",
        example="club turning 2026-11-30 theme=naked-triple",
        help=(
            "club turning 2026-11-30 shows where that day's puzzle turns: the positions where no "
            "single is left, what leads on, whether there is a way round, and how the board looks "
            "to somebody who misses it. It comes with pictures, and with each position as text to "
            "copy, for you alone. With theme=naked-triple, each is shown with that technique "
            "where it works."
        ),
    ),
}
