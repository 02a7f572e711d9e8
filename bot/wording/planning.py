"""Words for a leader who plans: the week, the days to come, a swap, the queue."""

from __future__ import annotations

from datetime import datetime

from bot.club.facts_planning import ComingDay, PlannedDay
from bot.club.plan import WEEKDAYS
from bot.club.replies import (
    DaysPreviewed,
    PlanShown,
    PuzzlePreviewed,
)
from bot.club.state import mark_of
from bot.platforms.message import BUTTON_COMMAND_LIMIT, Button, Choice, Menu, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import (
    capitalise,
    clean_text,
    count_of,
    join_words,
    paragraphs,
    sentences,
)
from bot.wording.spoken import write_to_copy
from bot.wording.technique_week import tell_week, week_buttons
from bot.wording.techniques import technique_name
from bot.wording.times import (
    format_date,
    format_moment,
    format_weekday_date,
    weekday_name,
)
from bot.wording.worded import More, Worded
from engine import LADDER

BEGIN = Button("Begin", "club pause off", is_main=True)
AHEAD = Button("See the coming days", "club preview", is_main=True)
PLAN = Button("Plan", "club plan")
QUEUE = Button("Queue", "club queue")

MOST_BUTTONS = 5
"""As many as stand in a row on every platform."""

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
    """Say when the next puzzle goes up, in the club's zone."""
    if next_at is None:
        return "The club is on a break; the next puzzle goes up once it is over."
    return f"The next puzzle goes up {format_moment(next_at, zone)}."


def needs_words(needs: tuple[str, ...]) -> str:
    """Say what a puzzle needs; singles go without saying where there is more."""
    if not needs:
        return "needs singles only"
    told = [name for name in needs if name not in SINGLES] or needs
    return f"needs {join_words(technique_name(name) for name in told)}"


def levels_words(lowest: int, highest: int) -> str:
    """Write `level 3` or `level 2 to 4`."""
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
            _what_changed(reply),
            "\n".join([_plan_heading(reply), *_day_lines(reply.days)]),
            sentences(
                f"For the whole week: {', '.join(week)}.",
                "A theme raises a day to its own level." if raised else "",
            ),
            f"From {format_weekday_date(reply.then)} another plan takes over."
            if reply.then
            else "",
            tell_week(reply.week) if reply.week else "",
            "Change a day like this: club plan mon level=2 theme=pointing\n"
            "Change the week like this: club plan week theme=naked-triple rising\n"
            "Plan from next Monday like this: club plan next theme=x-wing\n"
            "Plan a technique week like this: club plan week theme=naked-triple lessons=yes",
        ),
        buttons=_plan_buttons(reply),
        menus=_plan_menus(reply),
    )


def _plan_heading(reply: PlanShown) -> str:
    if reply.starts is None:
        return "The club's plan:"
    return f"The plan from {format_weekday_date(reply.starts)}:"


def _what_changed(reply: PlanShown) -> str:
    """Say what a change did, and what it left alone."""
    done = ""
    if reply.is_dropped:
        done = "That plan is dropped; the one before it carries on."
    elif reply.changed:
        done = "The plan is changed."
        if reply.starts is not None:
            done = f"Planned from {format_weekday_date(reply.starts)}; until then nothing changes."
    today = ""
    if reply.for_today:
        today = (
            "A plan made on a Sunday is for the new week, so today's puzzle stays as it is. To "
            f"change today's too: {reply.for_today}"
        )
    return sentences(
        done,
        _keep_their_own(reply.own_themes, "theme"),
        _keep_their_own(reply.own_patterns, "symmetry"),
        today,
    )


def _keep_their_own(days: tuple[int, ...], what: str) -> str:
    if not days:
        return ""
    names = join_words(weekday_name(day) for day in days)
    return f"{names} {'keeps' if len(days) == 1 else 'keep'} the {what} planned for that day alone."


def _plan_buttons(reply: PlanShown) -> tuple[Button, ...]:
    line = _plan_line(reply)
    buttons = [AHEAD, *week_buttons(reply.week)]
    if reply.for_today and len(reply.for_today) <= BUTTON_COMMAND_LIMIT:
        buttons.append(Button("Change today's too", reply.for_today))
    for days, wish, label in (
        (reply.own_themes, "theme", "One theme for every day"),
        (reply.own_patterns, "pattern", "One symmetry for every day"),
    ):
        if days:
            names = " ".join(WEEKDAYS[day] for day in days)
            buttons.append(Button(label, f"{line} {names} {wish}=week"))
    if reply.has_own_start and not reply.is_dropped:
        buttons.append(Button("Drop this plan", f"{line} drop"))
    if reply.then is not None:
        then = reply.then.isoformat()
        buttons.append(Button(f"Plan from {format_date(reply.then)}", f"club plan from={then}"))
    if reply.rising:
        buttons.append(Button("Let the effort stay as it comes", f"{line} steady"))
    else:
        buttons.append(Button("Let the effort rise", f"{line} rising"))
    return tuple(buttons[:MOST_BUTTONS])


def _plan_line(reply: PlanShown) -> str:
    """Return the start of every line that changes the plan that is shown."""
    return "club plan" if reply.starts is None else f"club plan from={reply.starts.isoformat()}"


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
    stock = (
        f"{day.stock} in stock"
        if day.stock
        else "none in stock yet; I make them in time where I can"
    )
    return f"{', '.join(wishes)} ({stock})"


def _plan_menus(reply: PlanShown) -> tuple[Menu, ...]:
    theme, pattern = reply.theme or "none", reply.pattern or "any"
    themes = {each: capitalise(technique_name(each)) for each in THEMES_OFFERED}
    themes["none"] = "No theme"
    if theme not in themes:
        del themes[THEMES_OFFERED[-1]]
        themes[theme] = capitalise(technique_name(theme))
    patterns = {"any": "Any symmetry"} | {
        name: capitalise(words) for name, words in PATTERN_NAMES.items() if name != "none"
    }
    return (
        _menu("Theme of the week", f"{_plan_line(reply)} theme=", themes, theme),
        _menu("Symmetry of the givens", f"{_plan_line(reply)} pattern=", patterns, pattern),
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
    "picked": "You picked it, although it does not quite fit the plan.",
    "made": "It was made for that day just now.",
}


def coming_day(day: ComingDay) -> str:
    """Tell a puzzle to come in a few sentences."""
    pattern = f", {PATTERN_NAMES[day.pattern]}" if day.pattern else ""
    is_off = day.theme and day.theme not in day.needs and day.source != "queue"
    theme = f"It does not need {technique_name(day.theme)}, the theme." if is_off else ""
    return sentences(
        f"{format_weekday_date(day.date)}: level {day.level}, {needs_words(day.needs)}; "
        f"effort {day.effort:g}{pattern}.",
        theme,
        _SOURCES[day.source],
        f"Credit: {clean_text(day.credit, 80)}." if day.credit else "",
    )


def _to_copy(day: ComingDay) -> str:
    return write_to_copy(day.picture.position)


def day_buttons(day: ComingDay) -> tuple[Button, ...]:
    """Return what a leader may press beside a coming day; one from the queue is not swapped."""
    date = day.date.isoformat()
    turning = Button("Where it turns", f"club turning {date}")
    solving = Button("How to solve it", f"walkthrough {date}")
    if day.source == "queue":
        return turning, solving
    swap = Button("Swap it", f"club swap {date} {mark_of(day.picture.givens)}")
    return swap, turning, solving


def _days(reply: DaysPreviewed) -> tuple[Worded, ...]:
    return tuple(
        Worded(
            Message(text=coming_day(day), code=_to_copy(day), buttons=day_buttons(day)), day.picture
        )
        for day in reply.days
    )


def _puzzle_previewed(reply: PuzzlePreviewed) -> Message:
    on_break = reply.next_at is None
    head = "Swapped. Here is the new puzzle." if reply.is_swapped else ""
    waits = "The club is on a break; it goes up once you begin." if on_break else ""
    when = waits or (next_post(reply.next_at, reply.zone) if reply.is_next else "")
    return Message(
        text=paragraphs(
            sentences(head, coming_day(reply.day)), sentences("Only you see it.", when)
        ),
        code=_to_copy(reply.day),
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
            f"The next {count}. Only you see them, and those that fit the plan are kept for their "
            "days.",
            f"Nothing is in stock yet for {join_words(missing)}; one will be made in time."
            if missing
            else "",
            "The club is on a break; they go up once you begin."
            if reply.next_at is None
            else next_post(reply.next_at, reply.zone),
        ),
        buttons=(*((BEGIN,) if reply.next_at is None else ()), PLAN, QUEUE),
    )


PHRASES: Phrases = {
    DaysPreviewed: _days_previewed,
    PlanShown: _plan_shown,
    PuzzlePreviewed: _puzzle_previewed,
}

MORE: More = {DaysPreviewed: _days}

COMMANDS: Commands = {
    "club plan": CommandWords(
        purpose="Show or change the plan: levels, themes and symmetry of the week or of a weekday.",
        example="club plan week theme=naked-triple rising pattern=half-turn",
        help=(
            "club plan alone shows the plan of the week, and how many puzzles in stock fit each "
            "day. club plan mon level=2 theme=pointing plans a weekday; name several at once, as "
            "in mon-thu. club plan week theme=naked-triple rising pattern=half-turn plans for all "
            "of it: every puzzle needs the theme, and takes more effort from day to day. Days "
            "with a theme or symmetry of their own keep it. club plan next theme=x-wing plans "
            "from next Monday, and club plan from=2026-12-07 theme=x-wing from that date; until "
            "then nothing changes. What you plan on a Sunday is for the new week, unless you say "
            "club plan this. club plan from=2026-12-07 drop takes that plan back. club plan week "
            "theme=naked-triple lessons=yes plans a technique week, from Monday to Sunday: the "
            "lesson with the first puzzle, puzzles that rise, a question on Wednesday, and on "
            "Sunday how many now manage alone, without names. club plan this begins it in this "
            "week, and club plan lessons=no takes the lessons back.\n\n"
            "level: one level, or a range such as 2-3\n"
            "theme: a technique that the puzzle needs, or none; a day can also take week, for "
            "the week's theme\n"
            "pattern: the symmetry of the givens, quarter-turn, half-turn, mirror or "
            "diagonal; or any\n"
            "rising or steady: whether the effort rises through the week\n"
            "lessons: yes for a technique week, or no"
        ),
        options={
            "day": "The week, or one weekday; leave it out for the week",
            "from": "The date it begins; or next, for next Monday",
            "pattern": "The symmetry of the givens",
            "effort": "Does the effort rise through the week?",
            "lessons": "Is it a technique week, with a lesson and a question?",
        },
    ),
    "club preview": CommandWords(
        purpose="See the puzzles of the coming days before they go up.",
        example="club preview 3",
        help=(
            "club preview shows the puzzles of the next seven days before they go up, to you "
            "alone; club preview 3 the next three, club preview 2026-11-30 one. What you have "
            "seen is what goes up, unless you swap it, queue one of your own or change the plan. "
            "walkthrough 2026-11-30 tells you, and nobody else, how that puzzle is solved."
        ),
        options={"days": "How many days, or one date"},
    ),
    "club swap": CommandWords(
        purpose="Swap a coming day's puzzle for another that fits.",
        example="club swap 2026-11-30",
        help=(
            "club swap 2026-11-30 gives that day another puzzle that fits: the next harder one, "
            "or the easiest after the hardest. club swap alone swaps the next day's."
        ),
    ),
}
