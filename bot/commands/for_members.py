"""The members' rows of the command table, each with its reader.

A reader turns the text after the command's name, and the texts of a form's fields, into an act, and
raises ArgumentError. It knows what can be asked, not whether it may be.
"""

from __future__ import annotations

import re

from bot.club import (
    asking,
    deciding,
    handing_in,
    links,
    looking,
    photos,
    practising,
    seeing,
    small_digits,
    wishes,
)
from bot.club.acts import (
    Act,
    AskHint,
    CheckBoard,
    HandIn,
    PasteGrid,
    PlaceDigits,
    Privacy,
    Redo,
    RuleOut,
    ShowBoard,
    ShowHelp,
    ShowMe,
    ShowTable,
    ShowToday,
    ShowWalkthrough,
    StartClock,
    Undo,
    WriteRow,
)
from bot.club.boards import BOARD_NAME_LENGTH
from bot.club.links import AskLink
from bot.club.periods import parse_period
from bot.club.photos import AskForPhoto, MendReading, parse_reading
from bot.club.problems import Problem
from bot.club.small_digits import Allow, FillCandidates, WriteSmall
from bot.commands.arguments import (
    ArgumentError,
    looks_like_mark,
    read_candidates,
    read_cell,
    read_date_and_theme,
    read_digit,
    read_marks,
    read_noted,
    read_row,
    take_date,
    take_house,
)
from bot.commands.rows import Command, Fields, Kind, Parameter, Reader
from bot.commands.teaching import PRACTICE_WORDS, read_practising, read_seeing
from bot.commands.wishes import LOOKS, REMINDERS, read_look, read_reminder
from engine import EngineError, holds_grid


def nothing_but(act: Act) -> Reader:
    """Return a reader for a command without arguments."""

    def read(rest: str, fields: Fields) -> Act:
        if rest:
            raise ArgumentError(Problem.SURPLUS, rest)
        return act

    return read


def read_today(rest: str, fields: Fields) -> Act:
    return ShowToday(as_text=_is_text(rest))


def _is_text(rest: str) -> bool:
    if rest.lower() not in ("", "text"):
        raise ArgumentError(Problem.SURPLUS, rest)
    return bool(rest)


def read_board(rest: str, fields: Fields) -> Act:
    if (act := _read_photo_words(rest, then_hint=False)) is not None:
        return act
    if holds_grid(rest):
        return PasteGrid(rest)
    return ShowBoard(as_text=_is_text(rest))


def read_undo(rest: str, fields: Fields) -> Act:
    if rest and _NAMED_BOARD.fullmatch(rest) is None:
        raise ArgumentError(Problem.SURPLUS, rest)
    return Undo(rest)


_NAMED_BOARD = re.compile(f"[0-9a-f]{{{BOARD_NAME_LENGTH}}}")
"""How a button names the board that it takes a change back from."""


def _read_photo_words(rest: str, *, then_hint: bool) -> Act | None:
    """Read what is said of a photo: `photo` asks for one, a word behind it takes what was read off
    one, and behind `mend` it fills the form; None for anything else."""
    match rest.split():
        case [word] if word.lower() == "photo":
            return AskForPhoto(then_hint)
        case [word, written] if word.lower() in ("photo", "mend"):
            try:
                grid = parse_reading(written)
            except (ValueError, EngineError):
                raise ArgumentError(Problem.SURPLUS, written) from None
            if word.lower() == "mend":
                return MendReading(grid, then_hint)
            return PasteGrid(grid, then_hint, is_read=True)
    return None


def read_paste(rest: str, fields: Fields) -> Act:
    return PasteGrid(fields.get("grid", rest))


def read_hint(rest: str, fields: Fields) -> Act:
    word, _, after = rest.partition(" ") if "\n" not in rest else rest.partition("\n")
    if word.strip().lower() in ("paste", "paper", "grid") and ("grid" in fields or after.strip()):
        return PasteGrid(fields.get("grid", after), then_hint=True)
    if (act := _read_photo_words(rest, then_hint=True)) is not None:
        return act
    if holds_grid(rest):
        return PasteGrid(rest, then_hint=True)
    words = [word for word in re.sub(r"[?!,]", " ", rest.lower()).split() if word not in _FILLERS]
    sure, anywhere = "sure" in words, "anywhere" in words
    words = [each for each in words if each not in ("sure", "anywhere")]
    match words:
        case []:
            return AskHint(way="board", sure=True) if sure else AskHint()
        case ["board"]:
            return AskHint(way="board", sure=sure)
        case ["more"]:
            return AskHint(way="more")
        case ["more", number, rung] if _NAMED_RUNG.fullmatch(f"{number} {rung}"):
            return AskHint(way="more", number=int(number), rung=int(rung))
        case [("known" | "next") as way, number] if _NUMBER.fullmatch(number):
            return AskHint(way="known" if way == "known" else "board", number=int(number))
        case ["paper"]:
            return AskHint(way="paper")
        case ["known"]:
            return AskHint(way="known")
        case ["paste"]:
            return PasteGrid("", then_hint=True)
    house, left = take_house(" ".join(each for each in words if each != "board"))
    cells = [each for each in left.split() if looks_like_mark(each)]
    others = [each for each in left.split() if each not in ("for", *cells)]
    digit = read_digit(others[0]) if others and others[0].isdecimal() else None
    if others[0 if digit is None else 1 :] or len(cells) > 1:
        raise ArgumentError(Problem.HOUSE, rest)
    cell = read_cell(cells[0]) if cells else None
    return AskHint("board", house, digit, cell, sure=sure, anywhere=anywhere)


_NUMBER = re.compile("[0-9]{1,5}")
_NAMED_RUNG = re.compile("[0-9]{1,5} [1-4]")
"""How a button names the rung that it asks for: the number of what was paid for, and the rung."""

_FILLERS = ("in", "at", "on", "here", "please", "now", "a", "the", "me", "with")
_STUCK = re.compile(
    r"(?:(?:please|help|i ?a?m|am|still|really|so|totally|completely|a bit) )*stuck\b"
)
_PLEAS = ("help me please", "give me a hint", "i need a hint", "i need help", "a hint please",
    "can i have a hint", "another hint", "next hint", "what now", "what next",
)  # fmt: skip


def read_plea(line: str) -> Act | None:
    """Read `I'm stuck`, `stuck in box 5`, `give me a hint`; None where no hint is asked for."""
    plain = " ".join(re.sub(r"[^\w ]", "", line.lower()).split())
    found = _STUCK.match(plain)
    if found is None:
        plea = plain.removeprefix("please ").removesuffix(" please")
        return AskHint() if plea in _PLEAS or plain in _PLEAS else None
    try:
        return read_hint(plain[found.end() :], {})
    except ArgumentError:
        return AskHint()


def read_hand_in(rest: str, fields: Fields) -> Act:
    day, text = take_date(rest)
    return HandIn(fields.get("answer", text).strip(), day)


_TABLES = {
    "": ShowTable("week"),
    "week": ShowTable("week"),
    "month": ShowTable("month"),
    "all": ShowTable("all"),
    "all time": ShowTable("all"),
    "last": ShowTable("week", ago=1),
    "last week": ShowTable("week", ago=1),
    "last month": ShowTable("month", ago=1),
    "today": ShowTable("day"),
    "yesterday": ShowTable("day", ago=1),
}


def read_table(rest: str, fields: Fields) -> Act:
    words = " ".join(rest.lower().split()).removeprefix("this ")
    if (said := _TABLES.get(words.replace("-", " "))) is not None:
        return said
    try:
        return ShowTable(*parse_period(words))
    except ValueError:
        raise ArgumentError(Problem.PERIOD, rest) from None


def read_placing(rest: str, fields: Fields) -> Act:
    return PlaceDigits(read_marks(rest))


def read_whole_row(rest: str, fields: Fields) -> Act:
    return WriteRow(*read_row(rest))


def read_ruling_out(rest: str, fields: Fields) -> Act:
    return RuleOut(read_candidates(rest))


def read_allowing(rest: str, fields: Fields) -> Act:
    return Allow(read_candidates(rest))


def read_small_digits(rest: str, fields: Fields) -> Act:
    return WriteSmall(*read_noted(rest))


def read_walkthrough(rest: str, fields: Fields) -> Act:
    return ShowWalkthrough(*read_date_and_theme(rest, fields.get("theme")))


def read_privacy(rest: str, fields: Fields) -> Act:
    match rest.lower().split():
        case []:
            return Privacy()
        case ["export"]:
            return Privacy("export")
        case ["erase"]:
            return Privacy("erase")
        case ["erase", "sure"]:
            return Privacy("erase", sure=True)
    raise ArgumentError(Problem.SURPLUS, rest)


def read_erasure(rest: str, fields: Fields) -> Act:
    return read_privacy(f"erase {rest}", fields)


def read_help(rest: str, fields: Fields) -> Act:
    return ShowHelp("-".join(rest.lower().lstrip("/!").replace("_", "-").split()))


DAY = Parameter("date", Kind.DATE, "2026-11-24")
THEME = Parameter("theme", Kind.THEME, "naked-triple", is_named=True)
_TEXT = Parameter("as", Kind.CHOICE, "text", ("text",))
_PHOTO = Parameter("photo", Kind.PHOTO)
_HINT_WAYS = ("board", "more", "paper", "known", "paste")

ROWS: tuple[Command, ...] = (
    Command("today", read_today, (deciding.TODAY,), (_TEXT,)),
    Command("start", nothing_but(StartClock()), (deciding.START,)),
    Command(
        "board",
        read_board,
        (deciding.BOARD, photos.READ, photos.ASK, photos.MEND),
        (_TEXT, Parameter("grid", Kind.GRID, "23..7.....8..56.21..."), _PHOTO),
    ),
    Command("link", nothing_but(AskLink()), (links.LINK,)),
    Command(
        "place",
        read_placing,
        (deciding.PLACE,),
        (Parameter("marks", Kind.MARKS, "r4c5 7 r6c1 2", is_required=True),),
    ),
    Command(
        "row",
        read_whole_row,
        (deciding.ROW,),
        (Parameter("row", Kind.ROW, "4 9..714..8", is_required=True),),
    ),
    Command(
        "rule-out",
        read_ruling_out,
        (deciding.RULE_OUT,),
        (Parameter("candidates", Kind.CANDIDATES, "r4c5 1 4", is_required=True),),
    ),
    Command(
        "allow",
        read_allowing,
        (small_digits.ALLOW,),
        (Parameter("candidates", Kind.CANDIDATES, "r4c5 1", is_required=True),),
    ),
    Command(
        "small",
        read_small_digits,
        (small_digits.SMALL,),
        (Parameter("candidates", Kind.CANDIDATES, "r4c5 1 4", is_required=True),),
    ),
    Command("fill", nothing_but(FillCandidates()), (small_digits.FILL,)),
    Command("undo", read_undo, (deciding.UNDO,)),
    Command("redo", nothing_but(Redo()), (deciding.REDO,)),
    Command(
        "check",
        nothing_but(CheckBoard()),
        (deciding.CHECK,),
    ),
    Command(
        "hint",
        read_hint,
        (deciding.HINT, deciding.PASTE),
        (
            Parameter("way", Kind.CHOICE, "board", _HINT_WAYS),
            Parameter("about", Kind.NARROWING, "box 5 for 7"),
            Parameter("grid", Kind.GRID, "23..7.....8..56.21..."),
            _PHOTO,
        ),
        aliases=("hints", "hint?", "hints?"),
    ),
    Command(
        "paste",
        read_paste,
        (deciding.PASTE,),
        (Parameter("grid", Kind.GRID, "23..7.....8..56.21..."),),
    ),
    Command(
        "see",
        read_seeing,
        (seeing.SEE, asking.NAME),
        (Parameter("find", Kind.WORDS, "r3c6-1 r5c6-1"),),
    ),
    Command(
        "practice",
        read_practising,
        (practising.PRACTISE,),
        (Parameter("technique", Kind.TECHNIQUE, "naked-triple", words=PRACTICE_WORDS),),
        aliases=("practise",),
    ),
    Command(
        "hand-in",
        read_hand_in,
        (handing_in.HAND_IN,),
        (Parameter("answer", Kind.DIGITS, "236971845 173249586"), DAY),
        aliases=("answer",),
    ),
    Command(
        "leaderboard",
        read_table,
        (looking.TABLE,),
        (Parameter("period", Kind.PERIOD, "2026-W48", words=tuple(filter(None, _TABLES))),),
        aliases=("table",),
    ),
    Command(
        "walkthrough",
        read_walkthrough,
        (looking.WALKTHROUGH,),
        (DAY, THEME),
    ),
    Command("me", nothing_but(ShowMe()), (looking.ME,)),
    Command(
        "look",
        read_look,
        (wishes.LOOK,),
        (Parameter("look", Kind.CHOICE, "dark", tuple(LOOKS)),),
    ),
    Command(
        "remind",
        read_reminder,
        (wishes.REMINDER,),
        (Parameter("wish", Kind.CHOICE, "on", tuple(REMINDERS)),),
    ),
    Command(
        "privacy",
        read_privacy,
        (looking.PRIVACY,),
        (Parameter("wish", Kind.CHOICE, "export", ("export", "erase", "erase sure")),),
    ),
    Command(
        "help",
        read_help,
        (looking.HELP,),
        (Parameter("topic", Kind.TOPIC, "hint"),),
    ),
)

SHORTCUTS = (Command("privacy", read_erasure, aliases=("erase",)),)
"""Other words for a command with some of its arguments."""
