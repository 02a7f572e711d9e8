"""What the club answers, as facts. `bot.wording` makes the words, `bot.drawing` the picture.

Every reply is stored with the event that it answers, so that a redelivered event gets the same
reply; hence plain values only. A field named `picture` is drawn; no other field is.
"""

from __future__ import annotations

from datetime import date, datetime

import msgspec
from msgspec import Struct

from bot.club.facts import (
    CoverPicture,
    DayFacts,
    GridPicture,
    HintPicture,
    Position,
    StepFacts,
    Table,
    TablePicture,
)


class Reply(Struct, frozen=True, tag=True, kw_only=True):
    """The root of the family; `decode_reply` finds the member by its tag."""


# --- what went wrong, in facts ---


class CommandUnknown(Reply, frozen=True, kw_only=True):
    """`nearest` is the known command that looks most like it, if one does."""

    text: str
    nearest: str | None


class InputRefused(Reply, frozen=True, kw_only=True):
    """An argument is wrong. Nothing was changed. `was_public`: it held an answer, or most of one,
    said in the open room.

    `problem` is one of: `cell`, `digit`, `house`, `mark` (not a cell=digit mark), `row`, `date`,
    `period`, `topic`, `length` (found, expected), `character` (text), `repeated` (digit, house,
    cells), `given` (cells, digit: a given cannot be changed), `filled` (cells), `missing`
    (text names the argument), `no-solution`, `many-solutions` (cells differ), `setting`, `value`
    (text is the setting's name and value), `member` (nobody of that name), `no-result`, `too-hard`
    (the ladder gets stuck), `repeat-puzzle` (the club has had it), `surplus` (text left over).
    """

    command: str
    problem: str
    text: str = ""
    found: int = 0
    expected: int = 0
    digit: int = 0
    house: str = ""
    cells: tuple[str, ...] = ()
    was_public: bool = False
    was_removed: bool = False


class LeadersOnly(Reply, frozen=True, kw_only=True):
    command: str


class NoPuzzleOpen(Reply, frozen=True, kw_only=True):
    next_at: datetime | None
    zone: str
    paused: bool


class ClockNotStarted(Reply, frozen=True, kw_only=True):
    """The command needs a running clock; `command` is the line to repeat after starting."""

    command: str
    sealed: bool


class WentWrong(Reply, frozen=True, kw_only=True):
    """Something of ours failed; nothing was changed. `reference` is in the host's log."""

    reference: str


class Busy(Reply, frozen=True, kw_only=True):
    """Too many acts at once from this member; nothing was changed."""


# --- the day, the clock, the board ---


class TodayShown(Reply, frozen=True, kw_only=True):
    """`picture` is the cover on a sealed day before the clock starts."""

    day: DayFacts
    picture: GridPicture | CoverPicture
    as_text: bool
    started_at: datetime | None
    solved: bool
    is_cover: bool


class ClockStarted(Reply, frozen=True, kw_only=True):
    day: DayFacts
    picture: GridPicture
    started_at: datetime
    was_running: bool


class BoardShown(Reply, frozen=True, kw_only=True):
    """`change`: what was just done: `shown`, `placed`, `rubbed`, `row`, `ruled-out`, `undone`,
    `pasted`. `marks`: the (cell, digit) pairs of the change. `clashes`: (digit, house) that the
    board now shows twice, plain to see. `was_public`: digits were said in the open room."""

    day: DayFacts
    picture: GridPicture
    change: str
    marks: tuple[tuple[str, int], ...]
    clashes: tuple[tuple[int, str], ...]
    open_cells: int
    undo_left: int
    as_text: bool
    was_public: bool = False
    was_removed: bool = False


class UndoEmpty(Reply, frozen=True, kw_only=True):
    pass


class GivensDiffer(Reply, frozen=True, kw_only=True):
    """A pasted grid has one to three givens otherwise: (cell, theirs, ours); theirs 0 is blank.
    Likely slips of the pen. Nothing was changed."""

    slips: tuple[tuple[str, int, int], ...]


class OtherPuzzle(Reply, frozen=True, kw_only=True):
    """A pasted grid is of another puzzle: `differing` of `givens` givens differ."""

    differing: int
    givens: int


# --- hints ---


class HintOffered(Reply, frozen=True, kw_only=True):
    """Ask where the member is. `is_published`: the board is still as published, two minutes on.
    `costs`: seconds of the four rungs. `in_progress`: the rung of a hint under way, 0 if none."""

    is_published: bool
    costs: tuple[int, int, int, int]
    in_progress: int = 0


class PaperForm(Reply, frozen=True, kw_only=True):
    """The nine-line form, filled with the member's board: lines of the board's digits."""

    lines: tuple[str, ...]
    then_hint: bool = True


class HintShown(Reply, frozen=True, kw_only=True):
    """One rung of a hint. `rung` is 1 to 4 (where, what, which, why).

    `seconds` is what this rung added now: 0 where it was paid before. `total` is all seconds added
    so far on this puzzle. `position` is the position that the hint is from. `pasted`: it came with
    a pasted grid, kept as the board; the picture then is that board, so `echo` holds it.
    `was_public`: the grid was said in the open room.
    """

    rung: int
    step: StepFacts
    position: Position
    seconds: int
    total: int
    picture: HintPicture | None
    next_cost: int | None
    echo: GridPicture | None = None
    is_kept: bool = False
    was_public: bool = False
    was_removed: bool = False


class HintStuck(Reply, frozen=True, kw_only=True):
    """The ladder, as far as it goes today, finds nothing here. No seconds are charged."""

    highest_level: int


class HintNotThere(Reply, frozen=True, kw_only=True):
    """Nothing useful in the house or for the digit asked for. No seconds are charged."""

    house: str | None
    digit: int | None


class BoardFull(Reply, frozen=True, kw_only=True):
    """The position has no open cell: hand it in."""


class MistakeShown(Reply, frozen=True, kw_only=True):
    """A mistake comes before any hint. `rung` 1: there is one; 2: `region`; 3: `cell`.

    `region` is a house. `kind` is `digit` (a placed digit is wrong) or `ruled-out` (the right
    digit was struck). `command` is the line that climbs, None at the top.
    """

    rung: int
    kind: str
    region: str | None
    cell: str | None
    seconds: int
    total: int
    next_cost: int | None
    picture: GridPicture | None = None


class KnownNoted(Reply, frozen=True, kw_only=True):
    """The member knows this step; it counts from now on. `placed`: it went on their board.

    `is_recorded` False: the hint is not far enough up the stair to say what the step is (`rung`),
    so it is not counted; what the member writes on their board is. Tell no more of `step` then
    than the rung allows.
    """

    step: StepFacts
    placed: tuple[tuple[str, int], ...]
    rung: int = 4
    is_recorded: bool = True


class NoHintUnderWay(Reply, frozen=True, kw_only=True):
    """`hint more` or `hint known` without a hint that still applies."""


class BoardChecked(Reply, frozen=True, kw_only=True):
    is_right: bool
    filled: int
    open_cells: int
    seconds: int
    total: int


# --- answers ---


class AnswerRight(Reply, frozen=True, kw_only=True):
    """The first right answer. Seconds: `raw` on the clock, `added`, `adjusted`, the sum.

    `rank` is None where it does not rank (`is_late`) or is held for the leader (`is_flagged`).
    `was_public`: it was said in the open room; `was_removed`: and taken away.
    """

    date: date
    raw: int
    added: int
    adjusted: int
    hints: int
    tries: int
    rank: int | None
    of: int
    is_late: bool
    is_flagged: bool
    timed_from_post: bool
    is_personal_best: bool = False
    was_public: bool = False
    was_removed: bool = False


class AnswerWrong(Reply, frozen=True, kw_only=True):
    tries: int
    seconds: int
    total: int
    was_public: bool = False
    was_removed: bool = False


class AnswerSwapped(Reply, frozen=True, kw_only=True):
    """The two lines were handed in the wrong way round. Costs nothing."""

    lines: tuple[str, str]
    was_public: bool = False
    was_removed: bool = False


class AnswerAlready(Reply, frozen=True, kw_only=True):
    """A right answer stands already; later ones change nothing."""

    date: date
    raw: int
    adjusted: int
    rank: int | None
    was_public: bool = False
    was_removed: bool = False


class AnswerUnfinished(Reply, frozen=True, kw_only=True):
    """Handing in the board, but cells are open. Costs nothing."""

    open_cells: int
    lines: tuple[str, str]


# --- table, walkthrough, own page ---


class TableShown(Reply, frozen=True, kw_only=True):
    table: Table
    picture: TablePicture


class WalkthroughShown(Reply, frozen=True, kw_only=True):
    """The path of a puzzle, pruned to what matters. `positions[i]` is where `steps[i]` is taken."""

    date: date
    givens: str
    level: int
    steps: tuple[StepFacts, ...]
    positions: tuple[Position, ...]
    is_solved: bool
    picture: GridPicture


class WalkthroughLater(Reply, frozen=True, kw_only=True):
    """The day is still open and the member has not solved it."""

    date: date
    closes_at: datetime
    zone: str


class DayUnknown(Reply, frozen=True, kw_only=True):
    """The club has no puzzle on this date."""

    date: date


class PersonalPage(Reply, frozen=True, kw_only=True):
    """`bests`: (level, adjusted seconds, date). `recent`: (date, level, adjusted, hints), newest
    first. `asked`: (technique, times a hint for it was asked), most first. `average_before`: the
    average of the five results before the last three, to see progress by; None if too few."""

    name: str
    solved: int
    late: int
    streak: int
    best_streak: int
    bests: tuple[tuple[int, int, date], ...]
    recent: tuple[tuple[date, int, int, int], ...]
    asked: tuple[tuple[str, int], ...]
    average_before: int | None
    average_now: int | None


class PrivacyShown(Reply, frozen=True, kw_only=True):
    entries: int


class ExportMade(Reply, frozen=True, kw_only=True):
    """All that is kept of the member, as JSON text."""

    text: str


class ErasureAsked(Reply, frozen=True, kw_only=True):
    entries: int


class Erased(Reply, frozen=True, kw_only=True):
    entries: int


class HelpShown(Reply, frozen=True, kw_only=True):
    topic: str
    is_leader: bool
    sealed: bool
    costs: tuple[int, int, int, int]
    wrong_cost: int


class TalkHeard(Reply, frozen=True, kw_only=True):
    """Plain talk in the open room: nothing to answer."""


# --- leaders ---


class ClubShown(Reply, frozen=True, kw_only=True):
    """`changed`: names of the settings just changed. `settings`: (name, value as written)."""

    settings: tuple[tuple[str, str], ...]
    changed: tuple[str, ...]
    next_at: datetime | None
    zone: str
    queued: int
    stock: int


class PuzzleQueued(Reply, frozen=True, kw_only=True):
    day: date | None
    level: int
    needs: tuple[str, ...]
    place: int
    picture: GridPicture


class QueueShown(Reply, frozen=True, kw_only=True):
    """`waiting`: (date or None, level, needs)."""

    waiting: tuple[tuple[date | None, int, tuple[str, ...]], ...]


class PostAsked(Reply, frozen=True, kw_only=True):
    """The next puzzle goes up now, or why not (`already`: today's is up)."""

    date: date
    already: bool


class PauseSet(Reply, frozen=True, kw_only=True):
    on: bool
    next_at: datetime | None
    zone: str


class ReportShown(Reply, frozen=True, kw_only=True):
    """One day, for leaders. `techniques`: (technique, members who asked, their deepest rung's
    average in tenths). `stuck`: the commonest stuck position and how many were there, None where
    fewer than three. `flagged`: (name, raw seconds, reason) of results that wait for a ruling."""

    date: date
    started: int
    finished: int
    late: int
    median: int | None
    techniques: tuple[tuple[str, int, int], ...]
    stuck_count: int
    picture: GridPicture | None
    flagged: tuple[tuple[str, int, str], ...]


class ResultRuled(Reply, frozen=True, kw_only=True):
    member: str
    verdict: str
    reason: str
    date: date
    rank: int | None


# --- notices: what the club says of itself, not in answer ---


class DayPosted(Reply, frozen=True, kw_only=True):
    day: DayFacts
    picture: GridPicture | CoverPicture


class MemberSolved(Reply, frozen=True, kw_only=True):
    """A line to the room, without spoilers. `rank` None: late or waiting for the leader."""

    date: date
    name: str
    rank: int | None
    adjusted: int
    hints: int
    is_late: bool


class ResultsPosted(Reply, frozen=True, kw_only=True):
    """The day's results when it closes; posted once and mended in place."""

    date: date
    table: Table
    picture: TablePicture | None
    late: int
    is_mended: bool = False


class RulingTold(Reply, frozen=True, kw_only=True):
    """To the member, privately: what a leader decided about a result, and why."""

    date: date
    verdict: str
    reason: str


class WalkthroughPosted(Reply, frozen=True, kw_only=True):
    """The thread under a closed day's puzzle."""

    date: date
    givens: str
    level: int
    steps: tuple[StepFacts, ...]
    positions: tuple[Position, ...]
    is_solved: bool


def _family(root: type[Reply]) -> tuple[type[Reply], ...]:
    return tuple(root.__subclasses__())


REPLIES: tuple[type[Reply], ...] = _family(Reply)
"""Every kind of reply; `bot.wording` has words for each, or a test names what is missing."""

_ENCODER = msgspec.json.Encoder()
_BY_TAG = {str(kind.__struct_config__.tag): kind for kind in REPLIES}
_DECODERS = {tag: msgspec.json.Decoder(kind) for tag, kind in _BY_TAG.items()}


class _Tagged(Struct):
    type: str


_TAG_DECODER = msgspec.json.Decoder(_Tagged)


def encode_reply(reply: Reply) -> bytes:
    """Write a reply as JSON with its kind; `decode_reply` is the inverse."""
    return _ENCODER.encode(reply)


def decode_reply(text: bytes) -> Reply:
    """Read what `encode_reply` wrote. Raises msgspec.DecodeError or KeyError for anything else."""
    return _DECODERS[_TAG_DECODER.decode(text).type].decode(text)
