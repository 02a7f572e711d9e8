"""The members' boards for pages that show them live: facts to shapes and words, taps to the club.

It decides nothing: a tap goes the way of every line, and what a page shows is read from what is
saved. Unlike `exchange` it draws no picture, but of a photo that was read: the page draws on its
own grid.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime

from bot import languages
from bot.club.acts import HandIn, OnDay
from bot.club.board_seen import BoardSeen
from bot.club.facts import StepFacts
from bot.club.photos import PhotoRead
from bot.club.ports import Store
from bot.club.replies import BoardShown, ClockStarted, HintShown, MistakeShown, NoPuzzleOpen, Reply
from bot.club.service import ClubService
from bot.club.state import Penalties
from bot.commands.arguments import take_date
from bot.commands.table import parse
from bot.drawing.live import house_line, shapes_told
from bot.exchange import Answered, Exchange
from bot.links import without_link
from bot.platforms.boards import DrawnLink, LiveBoard, NotOfThisBoardError, Shapes
from bot.platforms.message import Incoming, Message
from engine import layout_with

_SHOWN_LIVE = (ClockStarted, HintShown, MistakeShown)
"""What the board itself goes on showing, so that nothing need be said of it besides."""

_AT_THE_BOARD = frozenset(("board", "check", "hand-in", "hint", "redo", "start", "undo"))
"""Commands that a live board has keys for, so that it needs no button for them."""


class LiveBoards:
    """Implements `bot.platforms.boards.Boards`. `now` is the clock that acts are stamped by."""

    def __init__(
        self,
        exchange: Exchange,
        service: ClubService,
        store: Store,
        now: Callable[[], datetime],
    ) -> None:
        self._exchange = exchange
        self._service = service
        self._store = store
        self._now = now
        self._watching: list[Answered] = []
        self._club_ids: dict[tuple[str, str], int] = {}
        exchange.watch(self._tell)

    async def see(
        self, platform: str, room_id: str, user_id: str, day: str = ""
    ) -> LiveBoard | None:
        """Return what a member sees just now, of the open day or of `day`; None where the room has
        no club."""
        club_id = await self._club_in(platform, room_id)
        if club_id is None:
            return None
        at = self._now()
        on_date = date.fromisoformat(day) if day else None
        seen, settings = await self._service.see_board(club_id, user_id, at, on_date)
        return live_board(seen, at, settings.language)

    async def touch(self, incoming: Incoming, day: str = "") -> tuple[Message, ...]:
        """Carry out a tap; return what is to be said of it besides the board. With a `day`, nothing
        but what acts on its board."""
        if day and not is_of_day(incoming.text, incoming.fields, day):
            raise NotOfThisBoardError(incoming.text)
        reply, club = await self._exchange.reply_to(incoming)
        if reply is None or club is None or _is_shown_live(reply):
            return ()
        if isinstance(reply, PhotoRead):
            messages = await self._exchange.word(reply, club)
        else:
            words = languages.language_of(club.settings.language)
            said = words.phrase_all(without_link(reply, is_here=True))
            messages = tuple(self._exchange.offered(each.message) for each in said)
        return tuple(_beside_board(each, day) for each in messages)

    async def _club_in(self, platform: str, room_id: str) -> int | None:
        """Return the id of a room's club, which it keeps: whoever taps is not to wait for it."""
        if (platform, room_id) not in self._club_ids:
            club = await self._store.load_club(platform, room_id)
            if club is None:
                return None
            self._club_ids[platform, room_id] = club.id
        return self._club_ids[platform, room_id]

    def forget_rooms(self) -> None:
        """Look up anew which club a room has: one has moved."""
        self._club_ids.clear()

    def watch(self, changed: Answered) -> None:
        """Have `changed` told of every board that may have changed."""
        self._watching.append(changed)

    def note(self, platform: str, room_id: str) -> None:
        """Note that all boards of a room may have changed: a day has begun there, or is over."""
        self._tell(platform, room_id, "")

    def _tell(self, platform: str, room_id: str, user_id: str) -> None:
        for changed in self._watching:
            changed(platform, room_id, user_id)


def _is_shown_live(reply: Reply) -> bool:
    return isinstance(reply, _SHOWN_LIVE) or (
        isinstance(reply, BoardShown) and reply.change != "shown"
    )


def is_of_day(line: str, fields: Mapping[str, str], day: str) -> bool:
    """Tell whether a line acts on the member's own board of a day and on nothing else."""
    match parse(line, fields, in_open=False):
        case OnDay(day=named) | HandIn(day=date() as named):
            return named.isoformat() == day
    return False


def _beside_board(message: Message, day: str) -> Message:
    """Return a message without the buttons that the board has itself; with a `day`, without those
    that lead elsewhere."""
    left = tuple(
        button
        for button in message.buttons
        if take_date(button.command)[1].strip() not in _AT_THE_BOARD
        and (not day or is_of_day(button.command, {}, day))
    )
    return replace(message, buttons=left, menus=() if day else message.menus)


def live_board(seen: BoardSeen | NoPuzzleOpen, at: datetime, language: str) -> LiveBoard:
    """Return what a page shows of a board, its words in the club's language."""
    words = languages.language_of(language).word_board(seen)
    if isinstance(seen, NoPuzzleOpen):
        return LiveBoard(at=at, notice=words.notice)
    told, givens = seen.told, seen.day.givens
    shapes = None if told is None else shapes_told(told, givens)
    if shapes is not None and "links" in shapes:
        shapes["links"] = tuple(DrawnLink(**link) for link in shapes["links"])
    is_over = seen.finished_at is None and at >= seen.day.closes_at
    return LiveBoard(
        at=at,
        notice=words.notice,
        title=words.title,
        closes=words.closes,
        day=seen.day.date.isoformat(),
        givens=givens,
        grid=seen.board.grid,
        lines=() if seen.is_covered else tuple(house_line(name) for name in seen.day.lines),
        struck=_marks(givens, seen.struck),
        small=_marks(givens, seen.board.small),
        mistakes=tuple(cell for cell, _ in _marks(givens, tuple((c, 0) for c in seen.mistakes))),
        may_start=not (is_over or seen.started_at or seen.finished_at),
        started_at=None if is_over else seen.started_at,
        finished_at=seen.finished_at,
        added=seen.added,
        undo_left=seen.undo_left,
        redo_left=seen.redo_left,
        is_filled=seen.is_filled,
        costs=_costs(seen.penalties),
        told=words.told,
        told_key=_key(told),
        shapes=None if shapes is None else Shapes(**shapes),
    )


def _marks(givens: str, named: tuple[tuple[str, int], ...]) -> tuple[tuple[int, int], ...]:
    if not named:
        return ()
    layout = layout_with(len(givens))
    return tuple((layout.parse_cell(name), digit) for name, digit in named)


def _costs(penalties: Penalties) -> dict[str, int]:
    return {"hint": penalties.rungs[0], "check": penalties.check, "fill": penalties.fill}


def _key(told: HintShown | MistakeShown | None) -> str:
    """Return what tells one thing told from another: the same step or mistake, the same rung."""
    match told:
        case HintShown(rung=rung, step=StepFacts() as step):
            return f"{step.key}:{rung}"
        case MistakeShown(rung=rung, kind=kind, region=region, cell=cell):
            return f"{kind}:{region}:{cell}:{rung}"
    return ""
