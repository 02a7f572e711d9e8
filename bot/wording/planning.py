"""Words for a leader who plans: the week, the days to come, a swap, the queue."""

from __future__ import annotations

from datetime import datetime

from bot.club.facts import Findings
from bot.club.facts_planning import ComingDay, PlannedDay, Waiting
from bot.club.replies import (
    DaysPreviewed,
    PlanShown,
    PuzzlePreviewed,
    PuzzleQueued,
    PuzzleUnqueued,
    QueueShown,
)
from bot.platforms.message import Button, Choice, Field, Form, Menu, Message
from bot.wording.buttons import Phrases
from bot.wording.prose import (
    capitalise,
    clean_text,
    count_of,
    join_words,
    paragraphs,
    sentences,
)
from bot.wording.techniques import NAMES, technique_name
from bot.wording.times import (
    format_moment,
    format_weekday_date,
    tell_minutes,
    weekday_name,
)
from bot.wording.worded import More, Worded
from engine import CLASSIC, LADDER

BEGIN = Button("Begin", "club pause off", is_main=True)
AHEAD = Button("See the coming days", "club preview", is_main=True)
PLAN = Button("Plan", "club plan")
QUEUE = Button("Queue", "club queue")

PATTERN_NAMES = {
    "quarter-turn": "quarter-turn symmetry",
    "half-turn": "half-turn symmetry",
    "mirror": "mirror symmetry",
    "diagonal": "diagonal symmetry",
    "none": "no symmetry",
}

SINGLES = frozenset(technique.id for technique in LADDER if technique.level == 1)

THEMES_OFFERED = (
    "none", "hidden-single", "naked-single", "pointing", "claiming", "locked-pair", "naked-pair",
    "hidden-pair", "naked-triple", "hidden-triple", "naked-quad", "hidden-quad", "x-wing",
    "swordfish", "skyscraper", "two-string-kite", "turbot-fish", "empty-rectangle", "xy-wing",
    "xyz-wing", "w-wing", "simple-colouring", "unique-rectangle", "x-chain", "xy-chain",
)  # fmt: skip
"""The themes that a club is likeliest to want; all others can be typed."""


def next_post(next_at: datetime | None, zone: str) -> str:
    if next_at is None:
        return "No next puzzle is planned."
    return f"The next puzzle goes up {format_moment(next_at, zone)}."


def needs_words(needs: tuple[str, ...]) -> str:
    """Say what a puzzle needs; singles go without saying where there is more."""
    if not needs:
        return "needs singles only"
    told = [name for name in needs if name not in SINGLES] or needs
    return f"needs {join_words(technique_name(name) for name in told)}"


def levels_words(lowest: int, highest: int) -> str:
    return f"level {lowest}" if lowest == highest else f"level {lowest} to {highest}"


# --- the plan ---


def _plan_shown(reply: PlanShown) -> Message:
    week = [
        f"theme {technique_name(reply.theme)}" if reply.theme else "no theme",
        PATTERN_NAMES[reply.pattern] if reply.pattern else "any symmetry",
        "effort rising from day to day" if reply.rising else "effort as it comes",
    ]
    raised = any(day.is_raised for day in reply.days)
    return Message(
        text=paragraphs(
            "The plan is changed." if reply.changed else "",
            "\n".join(["The club's plan:", *_day_lines(reply.days)]),
            sentences(
                f"For the whole week: {', '.join(week)}.",
                "A theme raises a day to its own level." if raised else "",
            ),
            "Change a day like this: club plan mon level=2 theme=pointing\n"
            "Change the week like this: club plan week theme=naked-triple rising pattern=half-turn",
        ),
        buttons=(
            AHEAD,
            Button("Let the effort stay as it comes", "club plan week steady")
            if reply.rising
            else Button("Let the effort rise", "club plan week rising"),
        ),
        menus=_plan_menus(reply),
    )


def _day_lines(days: tuple[PlannedDay, ...]) -> list[str]:
    """Tell the days, those in a row that ask for the same on one line."""
    runs: list[list[PlannedDay]] = []
    for day in days:
        if runs and _wishes(runs[-1][0]) == _wishes(day):
            runs[-1].append(day)
        else:
            runs.append([day])
    return [f"{_run_name(run)}: {_wishes(run[0])}" for run in runs]


def _run_name(run: list[PlannedDay]) -> str:
    first, last = weekday_name(run[0].weekday), weekday_name(run[-1].weekday)
    if len(run) == 1:
        return first
    return f"{first} and {last}" if len(run) == 2 else f"{first} to {last}"


def _wishes(day: PlannedDay) -> str:
    wishes = [levels_words(day.lowest, day.highest)]
    if day.theme:
        wishes.append(technique_name(day.theme))
    if day.pattern:
        wishes.append(PATTERN_NAMES[day.pattern])
    stock = f"{day.stock} in stock" if day.stock else "none in stock yet, they are made in time"
    return f"{', '.join(wishes)} ({stock})"


def _plan_menus(reply: PlanShown) -> tuple[Menu, ...]:
    theme, pattern = reply.theme or "none", reply.pattern or "any"
    themes = {each: capitalise(NAMES.get(each, "No theme")) for each in THEMES_OFFERED}
    if theme not in themes:
        del themes[THEMES_OFFERED[-1]]
        themes[theme] = capitalise(technique_name(theme))
    patterns = {"any": "Any symmetry"} | {
        name: capitalise(words) for name, words in PATTERN_NAMES.items() if name != "none"
    }
    return (
        _menu("Theme of the week", "club plan week theme=", themes, theme),
        _menu("Symmetry of the givens", "club plan week pattern=", patterns, pattern),
    )


def _menu(label: str, command: str, offered: dict[str, str], now: str) -> Menu:
    choices = tuple(Choice(words, each, is_chosen=each == now) for each, words in offered.items())
    return Menu(label, command, choices)


# --- the days to come ---

_SOURCES = {
    "queue": "It is from your queue.",
    "stock": "",
    "nearest": "Nothing in stock fits the plan for that day yet; this comes nearest, and "
    "goes up if nothing better is made in time.",
    "picked": "You picked it, though it does not fit the plan in all.",
    "made": "It was made for that day just now.",
}


def coming_day(day: ComingDay) -> str:
    """Tell a puzzle to come in a few sentences."""
    pattern = f", {PATTERN_NAMES[day.pattern]}" if day.pattern else ""
    is_off = day.theme and day.theme not in day.needs and day.source != "queue"
    theme = f"It does without {technique_name(day.theme)}, the theme." if is_off else ""
    return sentences(
        f"{format_weekday_date(day.date)}: level {day.level}, {needs_words(day.needs)}; "
        f"effort {day.effort:g}{pattern}.",
        theme,
        _SOURCES[day.source],
        f"Credit: {clean_text(day.credit, 80)}." if day.credit else "",
    )


def day_buttons(day: ComingDay) -> tuple[Button, ...]:
    date = day.date.isoformat()
    turning = Button("Where it turns", f"club turning {date}")
    if day.source == "queue":
        return (turning,)
    return Button("Swap it", f"club swap {date}"), turning


def _days(reply: DaysPreviewed) -> tuple[Worded, ...]:
    return tuple(
        Worded(Message(text=coming_day(day), buttons=day_buttons(day)), day.picture)
        for day in reply.days
    )


def _puzzle_previewed(reply: PuzzlePreviewed) -> Message:
    on_break = reply.next_at is None
    head = "Swapped. Now it is this one." if reply.is_swapped else ""
    waits = "The club is on a break; it goes up once you begin." if on_break else ""
    when = waits or (next_post(reply.next_at, reply.zone) if reply.is_next else "")
    return Message(
        text=paragraphs(
            sentences(head, coming_day(reply.day)), sentences("Only you see it.", when)
        ),
        buttons=(
            *((BEGIN,) if on_break else ()),
            *day_buttons(reply.day),
            Button("See the coming days", "club preview"),
            *((Button("Settings", "club setup"),) if reply.is_next and not on_break else ()),
        ),
    )


def _days_previewed(reply: DaysPreviewed) -> Message:
    count = count_of(len(reply.days), "puzzle")
    missing = [format_weekday_date(day) for day in reply.missing]
    return Message(
        text=paragraphs(
            f"The next {count}. Only you see them, and what fits the plan is kept for its day.",
            f"Nothing is in stock yet for {join_words(missing)}; one is made in time."
            if missing
            else "",
            "The club is on a break; they go up once you begin."
            if reply.next_at is None
            else next_post(reply.next_at, reply.zone),
        ),
        buttons=(*((BEGIN,) if reply.next_at is None else ()), PLAN, QUEUE),
    )


# --- the queue ---


def tell_findings(findings: Findings) -> str:
    """Say what judging a puzzle found."""
    spare = "none to spare" if findings.is_minimal else "some could be spared"
    turns = len(findings.turning)
    kinds = join_words(dict.fromkeys(technique_name(each) for each in findings.turning))
    turning = (
        f"It turns {'once' if turns == 1 else f'{turns} times'}: {kinds}."
        if turns
        else "It does not turn: singles lead all the way."
    )
    return sentences(
        f"One solution, {findings.givens} givens ({spare}), {tell_minutes(findings.minutes)}.",
        turning,
    )


def queued_when(reply: PuzzleQueued) -> str:
    """Say what a queued puzzle waits for."""
    if reply.day is not None:
        return f"for {format_weekday_date(reply.day)}"
    if reply.wait_level is not None:
        level = reply.wait_level
        return f"as number {reply.place}, for the next free day planned for level {level}"
    return f"as number {reply.place} in the queue, for the next free day"


def _puzzle_queued(reply: PuzzleQueued) -> Message:
    return Message(
        text=paragraphs(
            f"Queued {queued_when(reply)}: level {reply.level}, {needs_words(reply.needs)}; "
            f"effort {reply.effort:g}.",
            sentences(
                tell_findings(reply.findings),
                f"Credit: {clean_text(reply.credit, 80)}." if reply.credit else "",
            ),
        ),
        buttons=(QUEUE, Button("See the coming days", "club preview")),
    )


def _puzzle_unqueued(reply: PuzzleUnqueued) -> Message:
    left = f"{count_of(reply.left, 'puzzle')} left in it" if reply.left else "it is empty now"
    return Message(
        text=f"Number {reply.place}, of level {reply.level}, is out of the queue; {left}. "
        "The puzzle stays in the stock.",
        buttons=(QUEUE,),
    )


def _waits_for(waiting: Waiting) -> str:
    if waiting.day is not None:
        return format_weekday_date(waiting.day)
    if waiting.wait_level is not None:
        return f"next free day of level {waiting.wait_level}"
    return "next free day"


def queue_form(typed: str = "") -> Form:
    """The form in which a puzzle is pasted, with what was typed before to mend."""
    return Form(
        title="Queue a puzzle of your own",
        command="club queue",
        fields=(
            Field(
                name="grid",
                label="The puzzle; or several, a line each",
                value=typed,
                rows=CLASSIC.size,
                placeholder="53..7....6..195... and so on; a dot for an empty cell",
            ),
            Field(
                name="date",
                label="A date or a level; empty: next free day",
                placeholder="2026-11-30, or 2",
            ),
            Field(name="credit", label="Whose puzzle it is; may stay empty"),
        ),
        send_label="Judge and queue",
    )


def _queue_shown(reply: QueueShown) -> Message:
    if not reply.waiting:
        return Message(
            text="The queue is empty: the days are filled from the stock, as the plan has it. "
            "Queue a puzzle of your own with the form, or its 81 digits after: club queue",
            form=queue_form(),
        )
    lines = [
        f"{number}. {_waits_for(each)}: level {each.level}, {needs_words(each.needs)}"
        + (f" ({clean_text(each.credit, 40)})" if each.credit else "")
        for number, each in enumerate(reply.waiting, start=1)
    ]
    return Message(
        text=paragraphs(
            "\n".join(["Waiting in the queue:", *lines]),
            "Take one out by its number: club queue remove 1",
        ),
        form=queue_form(),
    )


PHRASES: Phrases = {
    DaysPreviewed: _days_previewed,
    PlanShown: _plan_shown,
    PuzzlePreviewed: _puzzle_previewed,
    PuzzleQueued: _puzzle_queued,
    PuzzleUnqueued: _puzzle_unqueued,
    QueueShown: _queue_shown,
}

MORE: More = {DaysPreviewed: _days}
