"""The settings of a club: what is kept of them, and one record for each that a leader can set.

`SETTINGS` is the one list of them. The config file, `club setup`, the help and what Discord offers
are made from it; what each setting means is said in `bot.wording.settings`. A field of the club's
settings that has no record is set by `club plan`. Stored settings lack the fields of later
versions, so each field but the name has a default.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from msgspec import Struct
from msgspec.structs import replace

from bot.club import notations
from bot.club.notations import Notation
from bot.club.themes import HIGHEST_LEVEL, NO_THEME, THEMES
from bot.club.zones import zones

NAME_LIMIT = 60
LONGEST_PENALTY = 3600

LANGUAGES = ("en",)
"""The languages that a club can be spoken to in, by their codes, English first. Each but English
has its words in `bot.wording_<code>` (see `bot.languages`)."""


class Penalties(Struct, frozen=True):
    """Seconds added: for the four rungs, the three mistake rungs, a check, a wrong answer, all
    candidates filled in."""

    rungs: tuple[int, int, int, int] = (15, 30, 60, 120)
    mistakes: tuple[int, int, int] = (15, 30, 60)
    check: int = 30
    wrong: int = 60
    fill: int = 0


class DayWish(Struct, frozen=True):
    """What a weekday asks for besides its level. Empty: nothing of its own, as the week has it.

    `up_to` is the highest level that will do, 0 for the day's level alone. `theme` is a
    technique's id, or `none` for a day outside the week's theme. `pattern` is a symmetry of the
    givens, or `any`.
    """

    up_to: int = 0
    theme: str = ""
    pattern: str = ""


_Wishes = tuple[DayWish, DayWish, DayWish, DayWish, DayWish, DayWish, DayWish]
_Levels = tuple[int, int, int, int, int, int, int]


class PlanFrom(Struct, frozen=True):
    """The plan that holds from a date on; its other fields are those of the club's settings."""

    starts: date
    levels: _Levels
    theme: str | None
    rising: bool
    pattern: str
    wishes: _Wishes
    lessons: bool = False


class ClubSettings(Struct, frozen=True):
    """What a leader decides. `post_time` is local, `HH:MM`; `levels` by weekday, Monday first.

    `theme` is a technique's id that the week's puzzles need, `pattern` the symmetry of their
    givens, empty for any; `rising`: their effort rises day by day through the week. `wishes` are
    those of single weekdays (`bot.club.plan` puts all of it together). `lessons`: the week is a
    technique week (`bot.club.technique_week`). `later` are plans that take over from a date on, by
    date. `quick` is the seconds per open cell under which a result waits for the leader.
    `uniqueness`: hints and walkthroughs may take for granted that there is one solution only.
    `leaders` are user ids of the platform, besides those whom the platform itself calls leaders.
    `solved_lines`: how the room hears who has solved the day's puzzle, by one line that grows, by
    one each, or by one each in the thread under its post. `ping`: the groups whose people are
    called to a new puzzle, or `notations.EVERYBODY`.
    """

    name: str
    zone: str = "UTC"
    post_time: str = "18:00"
    sealed: bool = False
    levels: _Levels = (1, 1, 2, 2, 3, 3, 2)
    theme: str | None = None
    penalties: Penalties = Penalties()
    quick: float = 1.5
    look: Literal["light", "dark"] = "light"
    marks: Literal["all", "two-place", "none"] = "all"
    language: str = LANGUAGES[0]
    leaders: tuple[str, ...] = ()
    rising: bool = False
    uniqueness: bool = True
    pattern: str = ""
    wishes: _Wishes = (
        DayWish(), DayWish(), DayWish(), DayWish(), DayWish(), DayWish(), DayWish(),
    )  # fmt: skip
    lessons: bool = False
    later: tuple[PlanFrom, ...] = ()
    solved_lines: Literal["one-line", "thread", "each", "none"] = "one-line"
    ping: tuple[str, ...] = ()


def _nothing() -> Sequence[str]:
    return ()


@dataclass(frozen=True, slots=True)
class Setting:
    """One thing that a leader can set. `name` is what the room calls it; with underscores it is
    the key in the config, and the field. `example` is a value. `offered` are the likely values as
    texts, for platforms that complete what is typed.
    """

    name: str
    notation: Notation
    example: Any
    offered: Callable[[], Sequence[str]] = _nothing
    is_penalty: bool = False

    @property
    def key(self) -> str:
        """What it is called in the config file: its name with underscores."""
        return self.name.replace("-", "_")

    def of(self, settings: ClubSettings) -> Any:
        """Return the value that holds."""
        return getattr(settings.penalties if self.is_penalty else settings, self.key)

    def with_value(self, settings: ClubSettings, value: Any) -> ClubSettings:
        """Return the settings with another value of this one."""
        changed: dict[str, Any] = {self.key: value}
        if self.is_penalty:
            changed = {"penalties": replace(settings.penalties, **changed)}
        return replace(settings, **changed)


USUAL_LEVELS = (
    "1,1,1,1,1,1,1",
    "1,1,1,1,2,2,1",
    "1,1,2,2,3,3,2",
    "2,2,2,2,2,2,2",
    "2,2,2,3,3,3,2",
    "3,3,3,3,3,3,3",
)
"""Weeks of levels that clubs are likely to want, the easiest first."""

_HALF_HOURS = tuple(f"{hour:02}:{half}" for hour in range(24) for half in ("00", "30"))
_LEVEL = notations.whole(1, HIGHEST_LEVEL)
_WEEK_OF_LEVELS = notations.so_many(7, _LEVEL, or_one=True)
_SECONDS = notations.whole(0, LONGEST_PENALTY)

SETTINGS: tuple[Setting, ...] = (
    Setting("name", notations.words(NAME_LIMIT), "Hedgerow Sudoku Club"),
    Setting("zone", notations.zone(), "Europe/London", zones),
    Setting("post-time", notations.post_time(), "18:00", lambda: _HALF_HOURS),
    Setting("sealed", notations.switch(), False),
    Setting("uniqueness", notations.switch(), True),
    Setting("levels", _WEEK_OF_LEVELS, (1, 1, 2, 2, 3, 3, 2), lambda: USUAL_LEVELS),
    Setting("theme", notations.theme(), "naked-triple", lambda: (NO_THEME, *THEMES)),
    Setting("look", notations.one_of("light", "dark"), "light"),
    Setting("marks", notations.one_of("all", "two-place", "none"), "two-place"),
    Setting("language", notations.one_of(*LANGUAGES), LANGUAGES[0]),
    Setting("solved-lines", notations.one_of("one-line", "thread", "each", "none"), "one-line"),
    Setting("ping", notations.groups(), (notations.EVERYBODY,)),
    Setting("quick", notations.number(0, 60), 1.5),
    Setting("leaders", notations.ids(), ("Rowan", "Hazel")),
    Setting("rungs", notations.so_many(4, _SECONDS), (15, 30, 60, 120), is_penalty=True),
    Setting("mistakes", notations.so_many(3, _SECONDS), (15, 30, 60), is_penalty=True),
    Setting("check", _SECONDS, 30, is_penalty=True),
    Setting("wrong", _SECONDS, 60, is_penalty=True),
    Setting("fill", _SECONDS, 0, is_penalty=True),
)
"""Every setting, in the order in which they are shown."""
