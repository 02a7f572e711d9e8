"""Words beside a board that is live: which day it is, what to do first, what was told last."""

from __future__ import annotations

from dataclasses import dataclass

from bot.club.board_seen import BoardSeen
from bot.club.replies import HintShown, MistakeShown, NoPuzzleOpen
from bot.platforms.message import Message
from bot.wording.buttons import all_of_day
from bot.wording.day import SEALED, headline, tell_closing, tell_no_puzzle
from bot.wording.hints import tell_mistake, tell_rung

_BEGIN = (
    "Start your clock when you begin. Then tap a cell and a digit, or a digit and then its cells; "
    "Hint helps from exactly where you are."
)
_OVER = "This puzzle has closed. Its results and the walkthrough are in your club's room."
_SOLVED = "You have solved this one. The board is yours to look at, and nothing is added any more."


@dataclass(frozen=True, slots=True)
class BoardWords:
    """`notice` says what to do first, empty while there is nothing to say; `told` is the rung or
    the mistake told last, whose buttons lead on."""

    notice: str
    title: str = ""
    closes: str = ""
    told: Message | None = None


def word_board(seen: BoardSeen | NoPuzzleOpen) -> BoardWords:
    """Return what stands in words beside a live board."""
    if isinstance(seen, NoPuzzleOpen):
        return BoardWords(tell_no_puzzle(seen).text)
    told = None if seen.told is None else all_of_day(_tell(seen.told), seen.day.date)
    closes = "" if seen.at >= seen.day.closes_at else tell_closing(seen.day)
    return BoardWords(_notice(seen), headline(seen.day), closes, told)


def _notice(seen: BoardSeen) -> str:
    if seen.at >= seen.day.closes_at:
        return _OVER
    if seen.is_covered:
        return SEALED
    if seen.finished_at is not None:
        return _SOLVED
    return "" if seen.started_at else _BEGIN


def _tell(told: HintShown | MistakeShown) -> Message:
    return tell_mistake(told) if isinstance(told, MistakeShown) else tell_rung(told)
