"""What a leader hears of a sheet to print, and the words on it."""

from __future__ import annotations

from bot.club.facts import Position
from bot.club.facts_sheets import PrintedGrid, PrintedSheet
from bot.club.printing import SheetDay, SheetMade
from bot.platforms.message import Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import UNNAMED_CLUB, clean_text, join_words, sentences
from bot.wording.sheets import ANSWERS, on_it, print_exercise, puzzle_notes
from bot.wording.times import format_date, format_full_date
from bot.wording.worded import Sheets

_NAME_LIMIT = 60


def _made(reply: SheetMade) -> Message:
    count = on_it(len(reply.days), len(reply.exercises))
    held = [each for each in reply.days if each.is_open]
    missing = join_words(map(format_date, reply.missing))
    week = f"the week of {format_full_date(reply.monday)}"
    return Message(
        text=sentences(
            f"Here's the sheet for {week}, with {count}. Only you see it.",
            "What it shows for the days to come is what goes up, unless you change it."
            if any(each.is_coming for each in reply.days)
            else "",
            f"{join_words(format_date(each.date) for each in held)} is still open, so its answer "
            "isn't on it."
            if held and reply.answers != "none"
            else "",
            f"Nothing is there yet for {missing}." if missing else "",
        )
    )


def print_sheet(reply: SheetMade) -> tuple[str, PrintedSheet]:
    """Return what a week's sheet is called, and what stands on its pages."""
    club = clean_text(reply.club, _NAME_LIMIT) or UNNAMED_CLUB
    sheet = PrintedSheet(
        title=f"{club}, week of {format_full_date(reply.monday)}",
        grids=(
            *map(_print_day, reply.days),
            *(
                print_exercise(number, each.position, each.step, told=reply.answers != "none")
                for number, each in enumerate(reply.exercises, start=1)
            ),
        ),
        answers_title=ANSWERS,
        paper=reply.paper,
        a_page=reply.a_page,
        answers=reply.answers,
    )
    return f"week-of-{reply.monday.isoformat()}", sheet


def _print_day(day: SheetDay) -> PrintedGrid:
    position = Position(day.givens)
    return PrintedGrid(
        position=position,
        heading=f"{format_date(day.date)}, level {day.level}",
        notes=puzzle_notes(position.shape, day.lines, day.credit),
        lines=day.lines,
        answer=day.answer,
    )


PHRASES: Phrases = {SheetMade: _made}

SHEETS: Sheets = {SheetMade: print_sheet}

COMMANDS: Commands = {
    "club sheet": CommandWords(
        purpose="Get a week's puzzles as a PDF to print, with their answers.",
        example="club sheet next",
        help=(
            "club sheet is for this week, club sheet next for the next, and club sheet 2026-12-07 "
            "for the week of that day. per-page=4 puts up to four on a page (1 to 6), paper=letter "
            "is for Letter. answers=below puts the answers upside down below the puzzles, "
            "answers=none leaves them out; otherwise they're on a last page. The answer of a "
            "puzzle that's still open is left out. practice=naked-triple adds exercises in that "
            "technique."
        ),
        options={
            "week": "this, next, or a day of the week",
            "per-page": "How many puzzles share a page, 1 to 6",
            "paper": "A4 or Letter",
            "answers": "On a last page, below the puzzles, or none",
            "practice": "A technique to add exercises in",
        },
    ),
}
