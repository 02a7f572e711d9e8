"""A photo of the paper becomes a board, after a look: what was read is shown, then taken or not.

The givens, which the day knows, find and turn the grid. The solution is not looked at, and nothing
that a member wrote is put right: what clashes is shown as it stands. What was read is in the
buttons that take it, so that nothing of it is kept for whoever takes none of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from string import ascii_letters

from bot.club.acts import Act, Event, OfADay, PasteGrid
from bot.club.boards import board_lines, find_clashes, given_slips, layout_of
from bot.club.charging import as_of
from bot.club.course import Course, Decision
from bot.club.deciding import need_clock, on_board, open_day
from bot.club.facts import GridPicture, Position
from bot.club.loading import Loading
from bot.club.photo_pace import MOST_PHOTOS, SPAN
from bot.club.ports import PhotoSent
from bot.club.questions import read_photo
from bot.club.refusal import RefusedError
from bot.club.replies import PaperForm
from bot.club.reply import Reply
from bot.club.showing import fresh_entry
from bot.club.state import Day, MemberSolve, Scene
from bot.photo.told import PhotoProblem, PhotoReading
from engine import CLASSIC, EMPTY_MARKS


@dataclass(frozen=True, slots=True)
class ReadPhoto(OfADay):
    """Read the board off a photo. `then_hint`: the first rung is wanted from there."""

    photo: PhotoSent
    then_hint: bool


@dataclass(frozen=True, slots=True)
class AskForPhoto(OfADay):
    """Ask how to send a photo, or for another one."""

    then_hint: bool


@dataclass(frozen=True, slots=True)
class MendReading(OfADay):
    """Open the form with what was read, to overtype."""

    grid: str
    then_hint: bool


class PhotoRead(Reply, frozen=True, kw_only=True):
    """What stands on a photo of the paper, as read; nobody's board yet. Its picture marks the cells
    to look at again, and tells as givens those alone that are read so.

    `slips`: (cell, read, given) where a given reads otherwise; `clashes`: (digit, house) that shows
    a digit twice. `struck`: cells with something crossed out, left out as small marks are, where
    it `has_marks`. `then_hint`: a hint was asked for.
    """

    picture: GridPicture
    slips: tuple[tuple[str, int, int], ...] = ()
    clashes: tuple[tuple[int, str], ...] = ()
    struck: tuple[str, ...] = ()
    has_marks: bool = False
    then_hint: bool = True


class PhotoUnread(Reply, frozen=True, kw_only=True):
    """A photo that became no board, and why."""

    problem: PhotoProblem
    then_hint: bool = True


class PhotoNotCome(Reply, frozen=True, kw_only=True):
    """A photo could not be fetched from where it was, or took too long to come."""

    then_hint: bool = True


class PhotosPaced(Reply, frozen=True, kw_only=True):
    """One member's photos were so many within so many seconds that this one was not read."""

    count: int
    seconds: int


class PhotoAsked(Reply, frozen=True, kw_only=True):
    """Ask for a photo of the paper."""

    then_hint: bool = True


# --- what a button holds ---


def format_reading(grid: str) -> str:
    """Write a grid's text as one word of letters, for a line that has no room for all of it.

    Nothing in it can be taken for a date, or for digits that somebody typed.
    """
    digits = "".join("0" if mark in EMPTY_MARKS else mark for mark in grid)
    number, word = int(f"1{digits}"), ""
    while number:
        number, rest = divmod(number, len(ascii_letters))
        word += ascii_letters[rest]
    return word


def parse_reading(word: str) -> str:
    """Read what `format_reading` wrote. Raises ValueError, LayoutError."""
    if len(word) > CLASSIC.cell_count:
        raise ValueError(word)
    number = 0
    for letter in reversed(word):
        number = number * len(ascii_letters) + ascii_letters.index(letter)
    digits = str(number)
    grid = digits[1:].replace("0", EMPTY_MARKS[0])
    layout = layout_of(grid)
    is_whole = digits[:1] == "1" and len(grid) == layout.cell_count
    if not is_whole or set(grid) - {EMPTY_MARKS[0], *layout.marks}:
        raise ValueError(word)
    return grid


# --- the decisions ---


async def load_reading(
    loading: Loading, scene: Scene, event: Event, act: ReadPhoto
) -> PhotoReading | None:
    """Return what the photo shows, None where it never came. RefusedError where the puzzle may not
    be seen yet, or the member has sent many. Raises StudyNeededError before it is read."""
    day = open_day(scene, event)
    entry = as_of(scene.entry or fresh_entry(day, scene.came_back), event.acted_at)
    need_clock(day, entry, PasteGrid("", is_read=True))
    who = event.club_id, event.user_id
    if not loading.pace.may_read(who, event.event_id, event.acted_at):
        raise RefusedError(PhotosPaced(count=MOST_PHOTOS, seconds=round(SPAN.total_seconds())))
    return loading.studies.of(read_photo, act.photo, day.puzzle.givens)


def decide_reading(
    scene: Scene, event: Event, act: ReadPhoto, reading: PhotoReading | None
) -> Decision:
    """Show what was read, or say why nothing was. The board stays as it is."""
    if reading is None:
        return Decision(PhotoNotCome(then_hint=act.then_hint))
    if reading.problem is not None:
        return Decision(PhotoUnread(problem=reading.problem, then_hint=act.then_hint))
    return Decision(_show_reading(open_day(scene, event), reading, then_hint=act.then_hint))


def _show_reading(day: Day, reading: PhotoReading, *, then_hint: bool) -> PhotoRead:
    givens, grid = day.puzzle.givens, reading.grid
    as_read = (
        given if given == read else EMPTY_MARKS[0] for given, read in zip(givens, grid, strict=True)
    )
    return PhotoRead(
        picture=GridPicture(
            givens="".join(as_read), position=Position(grid), doubtful=reading.doubtful
        ),
        slips=given_slips(grid, givens),
        clashes=find_clashes(grid),
        struck=reading.struck,
        has_marks=bool(reading.marked),
        then_hint=then_hint,
    )


async def load_whether_read(loading: Loading, scene: Scene, event: Event, act: Act) -> bool:
    """Return whether photos can be read here at all."""
    return loading.reads_photos


def decide_asking(scene: Scene, event: Event, act: AskForPhoto, can_read: bool) -> Decision:
    """Ask for a photo, where one can be read."""
    if not can_read:
        return Decision(PhotoUnread(problem=PhotoProblem.NOT_INSTALLED, then_hint=act.then_hint))
    return Decision(PhotoAsked(then_hint=act.then_hint))


def _mend(
    scene: Scene, event: Event, day: Day, entry: MemberSolve, act: MendReading
) -> tuple[MemberSolve, Reply]:
    need_clock(day, entry, act)
    lines = board_lines(act.grid)
    return entry, PaperForm(lines=lines, then_hint=act.then_hint, is_read=True)


READ = Course(ReadPhoto, decide_reading, load_reading, is_own=True)
ASK = Course(AskForPhoto, decide_asking, load_whether_read, is_own=True)
MEND = on_board(MendReading, _mend)
