"""Where a puzzle turns, told to a leader part by part: each part is words and mostly a picture.

The same parts are sent in a room and written by the command line. Only leaders read them: they
give everything away.
"""

from __future__ import annotations

from bot.club.facts import GridPicture, HintPicture
from bot.club.facts_planning import Missing, TurningPointFacts, TurningReport, TurningSteps
from bot.club.replies import TurningShown
from bot.platforms.message import Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, count_of, join_words, paragraphs, sentences
from bot.wording.rungs import why
from bot.wording.techniques import technique_name
from bot.wording.times import format_weekday_date, tell_minutes
from bot.wording.worded import More, Worded

ROOM_POINTS = 4
"""So many turning points are told in a room; the command line tells all."""


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
        turns = "It turns once: at one position no single is left, and one more idea is needed."
    else:
        turns = f"It turns {count} times, each time at a position where no single is left."
    needed = [technique_name(each.technique) for each in report.missing]
    needs = (
        f"It cannot be solved without {join_words(needed)}."
        if needed
        else "No technique above the singles is needed for it."
    )
    return sentences(
        f"Level {report.level}; the hardest step is {technique_name(report.hardest)}; "
        f"effort {report.effort:g}, {tell_minutes(report.minutes)}.",
        turns,
        needs,
    )


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
    offers = "\n".join(_tell_offer(offer) for offer in point.offers)
    chosen = [each for each in point.offers if each.technique == theme]
    chosen += [each for each in point.offers if each.is_needed]
    shown = (*chosen, *point.offers)[0]
    solved = HintPicture(givens=report.givens, position=point.position, step=shown.step, rung="why")
    return (
        Worded(Message(f"{board} There is:\n{offers}"), stuck, f"turn-{number}-board"),
        Worded(
            Message(why(shown.step, point.position)), solved, f"turn-{number}-{shown.technique}"
        ),
    )


def _tell_offer(offer: TurningSteps) -> str:
    needed = ", which the puzzle needs" if offer.is_needed else ""
    if offer.is_needed and 0 < offer.leading < offer.count:
        lead = "one of them leads" if offer.leading == 1 else f"{offer.leading} of them lead"
        needed += f" ({lead} on)"
    times = "once" if offer.count == 1 else f"in {offer.count} places"
    return f"- {technique_name(offer.technique)} (level {offer.level}), {times}{needed}"


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
    return Worded(Message(text), stuck, f"stuck-without-{missing.technique}")


def _tell_ways(missing: Missing) -> str:
    twins = [technique_name(name) for name, is_twin in missing.way_rounds if is_twin]
    others = [technique_name(name) for name, is_twin in missing.way_rounds if not is_twin]
    if not twins and not others:
        return "There is no way round it up to this level."
    same = f"The same can be seen as {join_words(twins, 'or')}: a twin." if twins else ""
    way = f"A way round: {join_words(others, 'or')}." if others else ""
    return sentences(way, same)


def _turning_shown(reply: TurningShown) -> Message:
    return Message(
        text=paragraphs(
            f"Where the puzzle for {format_weekday_date(reply.date)} turns. Only you see this.",
            summarise_turning(reply.report),
        )
    )


def _parts(reply: TurningShown) -> tuple[Worded, ...]:
    return tell_turning(reply.report, most=ROOM_POINTS, theme=reply.theme)


PHRASES: Phrases = {TurningShown: _turning_shown}
MORE: More = {TurningShown: _parts}

COMMANDS: Commands = {
    "club turning": CommandWords(
        purpose="See where a coming puzzle turns, and what a member sees who misses it.",
        example="club turning 2026-11-30 theme=naked-triple",
        help=(
            "club turning 2026-11-30 tells where the puzzle of a day turns: the positions at "
            "which no single is left, what is there, whether there is a way round, and how the "
            "board looks to somebody who misses it. With pictures, and to you alone. With "
            "theme=naked-triple each is shown by that technique where it works."
        ),
    ),
}
