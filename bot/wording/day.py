"""Words for the day's puzzle: the post, `today`, starting the clock, results, the walkthrough.

The post and the results go to everyone, so nothing here may tell a digit that is not a given,
except in a walkthrough, which comes when the day has closed or to a member who has solved it.
"""

from __future__ import annotations

from datetime import date

from bot.club.facts import DayFacts, Position
from bot.club.replies import (
    ClockNotStarted,
    ClockStarted,
    DayPosted,
    DayUnknown,
    MemberSolved,
    NoPuzzleOpen,
    PuzzleOver,
    ResultsPosted,
    SolversShown,
    TodayShown,
)
from bot.platforms.message import Button, Message
from bot.wording.buttons import (
    BOARD,
    HAND_IN,
    HINT,
    START,
    TODAY,
    Phrases,
    of_day,
    table_of_week,
    table_this_week,
)
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import (
    clean_name,
    clean_text,
    count_of,
    join_words,
    opening_name,
    paragraphs,
    sentences,
)
from bot.wording.spoken import draw_givens, draw_text, speak_rows
from bot.wording.tables import first_lines
from bot.wording.techniques import technique_name
from bot.wording.times import format_date, format_full_date, format_length, format_moment

CREDIT_LIMIT = 80

SEALED = "This day is sealed: the puzzle comes to you, privately, when you start your clock."


def lines_sentence(lines: tuple[str, str]) -> str:
    """Say which two lines, in which order, are the answer."""
    return f"Answer: the 18 digits of {lines[0]}, then {lines[1]}."


def headline(day: DayFacts) -> str:
    """Write the puzzle's date, level and theme."""
    theme = f", theme: {technique_name(day.theme)}" if day.theme else ""
    return f"{format_date(day.date)}: level {day.level}{theme}."


def _credit(day: DayFacts) -> str:
    return f"Puzzle: {clean_text(day.credit, CREDIT_LIMIT)}." if day.credit else ""


def tell_closing(day: DayFacts) -> str:
    """Say until when a day is open."""
    return f"Open until {format_moment(day.closes_at, day.zone)}."


def _day_posted(reply: DayPosted) -> Message:
    day = reply.day
    if reply.is_closed:
        return Message(
            text=paragraphs(
                sentences("This day is closed.", headline(day), _credit(day)),
                "The results are in the room, and the walkthrough is under this post.",
            ),
            code=draw_givens(day.givens),
        )
    if day.sealed:
        how = "The puzzle is sealed: it comes to you privately when you start your clock."
    else:
        how = "Start your clock when you begin, and solve on paper or on your board here."
    return Message(
        text=paragraphs(
            sentences("Today's puzzle is up.", headline(day), _credit(day)),
            sentences(how, "" if day.sealed else lines_sentence(day.lines), tell_closing(day)),
        ),
        code="" if day.sealed else draw_givens(day.givens),
        buttons=_of(day, START, HINT, HAND_IN),
    )


def _of(day: DayFacts, *buttons: Button) -> tuple[Button, ...]:
    return tuple(of_day(button, day.date) for button in buttons)


def _today_shown(reply: TodayShown) -> Message:
    day = reply.day
    if reply.is_cover:
        text = sentences(
            headline(day),
            SEALED,
            tell_closing(day),
        )
        return Message(text=text, buttons=_of(day, START))
    if reply.solved:
        state = "You have solved this one."
    elif reply.started_at is not None:
        state = f"Your clock has been running since {format_moment(reply.started_at, day.zone)}."
    else:
        state = "Your clock is not running yet."
    spoken = speak_rows(Position(day.givens).as_written()) if reply.as_text else ""
    buttons = _of(day, BOARD, HINT, HAND_IN)
    if reply.solved:
        buttons = (
            *_of(day, BOARD),
            table_this_week(day.date),
            Button("Walkthrough", f"walkthrough {day.date.isoformat()}"),
        )
    elif reply.started_at is None:
        buttons = _of(day, START, HINT, HAND_IN)
    return Message(
        text=paragraphs(
            sentences(headline(day), _credit(day), state),
            sentences(lines_sentence(day.lines), tell_closing(day)),
            spoken,
        ),
        code="" if reply.as_text else draw_givens(day.givens),
        buttons=buttons,
    )


def _clock_started(reply: ClockStarted) -> Message:
    day = reply.day
    since = format_moment(reply.started_at, day.zone)
    if reply.was_running:
        first = f"Your clock was already running, since {since}; it goes on from there."
    else:
        first = "Your clock is running. Good luck, and take your time."
    return Message(
        text=paragraphs(
            sentences(first, headline(day), _credit(day)),
            sentences(
                lines_sentence(day.lines),
                "Solve on paper, or write here: place r4c5 7.",
                tell_closing(day),
            ),
        ),
        code=draw_text(reply.picture.position),
        buttons=_of(day, HINT, HAND_IN, BOARD),
    )


def _clock_not_started(reply: ClockNotStarted) -> Message:
    what = f"“{clean_text(reply.command, 40)}” needs your clock to be running, and it is not yet."
    then = "Start it, and the puzzle comes to you." if reply.sealed else "Start it, then ask again."
    return Message(text=sentences(what, then), buttons=(START,))


def tell_no_puzzle(reply: NoPuzzleOpen) -> Message:
    """Say that no puzzle is open, and when the next one comes."""
    if reply.paused:
        text = (
            "The club is taking a break: no puzzle is open. "
            "A leader can end it with: club pause off"
        )
    elif reply.next_at is None:
        text = "No puzzle is open, and none is planned yet."
    else:
        text = (
            "No puzzle is open just now. "
            f"The next one comes {format_moment(reply.next_at, reply.zone)}."
        )
    return Message(text=text, buttons=(table_this_week(reply.asked_on),))


def talk_title(on_date: date) -> str:
    """Name the thread under a day's post where its puzzle is talked about."""
    return f"Talk, with spoilers: the puzzle for {format_full_date(on_date)}"


def _member_solved(reply: MemberSolved) -> Message:
    name = opening_name(reply.name)
    helped = "no hints" if not reply.hints else count_of(reply.hints, "hint")
    time = f"{format_length(reply.adjusted)} adjusted, {helped}"
    if reply.is_late:
        return Message(f"{name} solved the puzzle for {format_date(reply.date)} late: {time}.")
    place = f", number {reply.rank} so far" if reply.rank is not None else ""
    return Message(f"{name} solved today's puzzle{place}: {time}.")


def _solvers_shown(reply: SolversShown) -> Message:
    puzzle = f"the puzzle for {format_date(reply.date)}"
    if not reply.count:
        return Message(f"Nobody has solved {puzzle} yet.")
    if reply.count == len(reply.names) == 1:
        time = f", in {format_length(reply.best)}" if reply.best is not None else ""
        return Message(f"{opening_name(reply.names[0])} has solved {puzzle}{time}.")
    names = [clean_name(each) for each in reply.names]
    if reply.count > len(names):
        names.append(count_of(reply.count - len(names), "other"))
    best = f"The best time so far is {format_length(reply.best)}." if reply.best is not None else ""
    solved = f"{count_of(reply.count, 'member')} have solved {puzzle}: {join_words(names)}."
    return Message(sentences(solved, best))


def _results_posted(reply: ResultsPosted) -> Message:
    rows = first_lines(reply.table)
    late = f"{count_of(reply.late, 'late answer')} kept, outside the ranking." if reply.late else ""
    none = (
        ""
        if rows
        else "Nobody handed in a right answer this time. The walkthrough shows how to solve it."
    )
    mended = "These results have changed since they first went up." if reply.is_mended else ""
    return Message(
        text=paragraphs(
            f"The puzzle for {format_date(reply.date)} is closed. Results:"
            if rows
            else f"The puzzle for {format_date(reply.date)} is closed.",
            "\n".join(rows),
            sentences(none, late, mended),
        ),
        buttons=(
            *((Button("Your place", f"leaderboard {reply.date.isoformat()}"),) if rows else ()),
            table_of_week(reply.date),
            Button("Walkthrough", f"walkthrough {reply.date.isoformat()}"),
        ),
    )


def _puzzle_over(reply: PuzzleOver) -> Message:
    return Message(
        text=f"The puzzle for {format_date(reply.date)} has closed, so that button no longer "
        "works. Nothing was started or counted.",
        buttons=(TODAY, Button("Walkthrough", f"walkthrough {reply.date.isoformat()}")),
    )


def _day_unknown(reply: DayUnknown) -> Message:
    return Message(
        text=f"This club had no puzzle on {format_full_date(reply.date)}. "
        "Dates are written year, month, day. Example: 2026-11-24",
        buttons=(TODAY,),
    )


PHRASES: Phrases = {
    ClockNotStarted: _clock_not_started,
    ClockStarted: _clock_started,
    DayPosted: _day_posted,
    DayUnknown: _day_unknown,
    PuzzleOver: _puzzle_over,
    MemberSolved: _member_solved,
    NoPuzzleOpen: tell_no_puzzle,
    ResultsPosted: _results_posted,
    SolversShown: _solvers_shown,
    TodayShown: _today_shown,
}

COMMANDS: Commands = {
    "start": CommandWords(
        purpose="Start your clock.",
        example="start",
        help=(
            "start sets your clock running and gives you the puzzle privately, as a picture and "
            "as text. Starting twice changes nothing: the first start counts."
        ),
        overview=("start", "start your clock and get the puzzle"),
    ),
    "today": CommandWords(
        purpose="Show today's puzzle again.",
        example="today text",
        help=(
            "today shows the open puzzle again, on any device; it never touches the clock. today "
            "text reads it out row by row, for a screen reader or for copying."
        ),
        overview=("today", "see the puzzle again"),
    ),
}
