"""What the club answers, as facts. `bot.wording` makes the words, `bot.drawing` the picture.

Every reply is stored with the event that it answers, so that a redelivered event gets the same
reply; hence plain values only. A field named `picture` is drawn; no other field is.
"""

from __future__ import annotations

import msgspec
from msgspec import Struct

from bot.club.replies_leading import (
    ClubArrived,
    ClubBegun,
    ClubLeft,
    ClubMoved,
    ClubShown,
    DayPosted,
    DayWithdrawn,
    MemberSolved,
    MoveRefused,
    PauseSet,
    PostAsked,
    PostRefused,
    PostWithdrawn,
    PuzzleMissing,
    ReportShown,
    ResultFlagged,
    ResultRuled,
    ResultsPosted,
    RightsMissing,
    RulingTold,
    SolversShown,
    WalkthroughPosted,
    WithdrawalAsked,
)
from bot.club.replies_planning import (
    DaysPreviewed,
    PlanShown,
    PuzzlePreviewed,
    PuzzleQueued,
    PuzzlesQueued,
    PuzzleUnqueued,
    QueueAsked,
    QueueShown,
    TurningShown,
)
from bot.club.replies_playing import (
    BoardChecked,
    BoardFull,
    BoardShown,
    ClockStarted,
    GivensDiffer,
    HintNotThere,
    HintOffered,
    HintShown,
    HintStuck,
    KnownNoted,
    MistakeShown,
    NoHintUnderWay,
    OtherPuzzle,
    PaperForm,
    RedoEmpty,
    TodayShown,
    UndoEmpty,
)
from bot.club.replies_refusing import (
    Busy,
    ClockDoubted,
    ClockNotStarted,
    CommandUnknown,
    InputRefused,
    LeadersOnly,
    NoPuzzleOpen,
    WentWrong,
)
from bot.club.replies_scoring import (
    AnswerAlready,
    AnswerNearlyRight,
    AnswerRight,
    AnswerSwapped,
    AnswerUnfinished,
    AnswerWrong,
    DayUnknown,
    Erased,
    ErasureAsked,
    ExportMade,
    HelpShown,
    PeriodEnded,
    PersonalPage,
    PrivacyShown,
    PuzzleOver,
    TableShown,
    TalkHeard,
    WalkthroughLater,
    WalkthroughShown,
)
from bot.club.reply import Reply
from bot.club.versions import VERSION, upgrades_from

__all__ = [
    "AnswerAlready",
    "AnswerNearlyRight",
    "AnswerRight",
    "AnswerSwapped",
    "AnswerUnfinished",
    "AnswerWrong",
    "BoardChecked",
    "BoardFull",
    "BoardShown",
    "Busy",
    "ClockDoubted",
    "ClockNotStarted",
    "ClockStarted",
    "ClubArrived",
    "ClubBegun",
    "ClubLeft",
    "ClubMoved",
    "ClubShown",
    "CommandUnknown",
    "DayPosted",
    "DayUnknown",
    "DayWithdrawn",
    "DaysPreviewed",
    "Erased",
    "ErasureAsked",
    "ExportMade",
    "GivensDiffer",
    "HelpShown",
    "HintNotThere",
    "HintOffered",
    "HintShown",
    "HintStuck",
    "InputRefused",
    "KnownNoted",
    "LeadersOnly",
    "MemberSolved",
    "MistakeShown",
    "MoveRefused",
    "NoHintUnderWay",
    "NoPuzzleOpen",
    "OtherPuzzle",
    "PaperForm",
    "PauseSet",
    "PeriodEnded",
    "PersonalPage",
    "PlanShown",
    "PostAsked",
    "PostRefused",
    "PostWithdrawn",
    "PrivacyShown",
    "PuzzleMissing",
    "PuzzleOver",
    "PuzzlePreviewed",
    "PuzzleQueued",
    "PuzzleUnqueued",
    "PuzzlesQueued",
    "QueueAsked",
    "QueueShown",
    "RedoEmpty",
    "Reply",
    "ReportShown",
    "ResultFlagged",
    "ResultRuled",
    "ResultsPosted",
    "RightsMissing",
    "RulingTold",
    "SolversShown",
    "TableShown",
    "TalkHeard",
    "TodayShown",
    "TurningShown",
    "UndoEmpty",
    "WalkthroughLater",
    "WalkthroughPosted",
    "WalkthroughShown",
    "WentWrong",
    "WithdrawalAsked",
    "decode_reply",
    "encode_reply",
    "reply_kinds",
]


def reply_kinds() -> tuple[type[Reply], ...]:
    """Return every kind of reply: those of this door, and those that stand with their act, once
    the command table is there. `bot.wording` has words for each, or a test names what is missing.
    """
    return tuple(Reply.__subclasses__())


_ENCODER = msgspec.json.Encoder()


_DECODERS: dict[str, msgspec.json.Decoder[Reply]] = {}


def _decoder_of(tag: str) -> msgspec.json.Decoder[Reply]:
    """Return the decoder of a kind. Raises KeyError for one that is unknown."""
    if tag not in _DECODERS:
        for kind in reply_kinds():
            _DECODERS.setdefault(str(kind.__struct_config__.tag), msgspec.json.Decoder(kind))
    return _DECODERS[tag]


class _Head(Struct):
    """What tells how to read a reply. Before version 1 none was written."""

    type: str
    version: int = 0


_HEAD_DECODER = msgspec.json.Decoder(_Head)


def encode_reply(reply: Reply) -> bytes:
    """Write a reply as JSON with its kind and version; `decode_reply` is the inverse."""
    return b'{"version":%d,%b' % (VERSION, _ENCODER.encode(reply)[1:])


def decode_reply(text: bytes) -> Reply:
    """Read what `encode_reply` wrote, in this version or an older one.

    Raises FutureVersionError; msgspec.DecodeError or KeyError for anything else.
    """
    head = _HEAD_DECODER.decode(text)
    if upgrades := upgrades_from(head.version):
        kept = msgspec.json.decode(text, type=dict)
        for upgrade in upgrades:
            kept = upgrade.reply(kept)
        return _decoder_of(kept["type"]).decode(_ENCODER.encode(kept))
    return _decoder_of(head.type).decode(text)
