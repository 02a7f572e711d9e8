"""Facts of a club's plan: weekdays, puzzles to come, the queue, and where a puzzle turns."""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from bot.club.asked import Marking
from bot.club.facts import GridPicture, Position, StepFacts
from bot.club.until import Until


class PlannedDay(Struct, frozen=True, kw_only=True):
    """What one weekday asks for. `stock`: how many puzzles fit that the club has not had.
    `is_raised`: the theme's level is above the day's. `has_own`: a theme or pattern of its own."""

    weekday: int
    lowest: int
    highest: int
    theme: str
    pattern: str
    stock: int
    is_raised: bool = False
    has_own: bool = False


class WeekPlanned(Struct, frozen=True, kw_only=True):
    """A technique week: on which dates its parts go up, or went, and what there is for it.

    `question_on` is None where there is no question. Of the `puzzles` that are to turn on the
    technique, so many in stock are `fitting`; of these, `clean` ones turn on nothing else.
    """

    technique: str
    lesson_on: date
    is_lesson_up: bool
    question_on: date | None
    is_question_up: bool
    sums_on: date
    can_practise: bool
    puzzles: int
    fitting: int
    clean: int


class ComingDay(Struct, frozen=True, kw_only=True):
    """A puzzle before it goes up. `theme`: what the plan wants for the date, needed or not.
    `source`: `queue`, `stock` (it fits the plan), `picked` (it does not, and was chosen), `nearest`
    or `made`."""

    date: date
    level: int
    needs: tuple[str, ...]
    theme: str
    effort: float
    pattern: str
    source: str
    credit: str
    picture: GridPicture


class Landing(Struct, frozen=True, kw_only=True):
    """The date that a queued puzzle gets as things stand, what the plan asks for there, and what of
    it the puzzle `misses`: level, theme, pattern. `instead`: level and needs of the puzzle that the
    leader was shown for the date, and that it takes the place of."""

    date: date
    lowest: int
    highest: int
    theme: str
    pattern: str
    misses: tuple[str, ...] = ()
    instead: tuple[int, tuple[str, ...]] | None = None


class Waiting(Struct, frozen=True, kw_only=True):
    """One in the queue, and what it waits for: a date, a level, or neither."""

    day: date | None
    wait_level: int | None
    level: int
    needs: tuple[str, ...]
    credit: str = ""


class TurningSteps(Struct, frozen=True, kw_only=True):
    """What one technique offers at a turning point. `count`: all its steps there, `leading`: those
    that lead on to the next placement. One is shown, of these where there are some, and `then`
    what follows it, up to that placement. `is_needed`: the puzzle needs the technique."""

    technique: str
    level: int
    count: int
    is_needed: bool
    step: StepFacts
    leading: int = 0
    then: tuple[StepFacts, ...] = ()


class TurningPointFacts(Struct, frozen=True, kw_only=True):
    """A position at which no single works. `level`: nothing below it leads on. `offers`: what is
    there up to the puzzle's level, the lowest first.

    `open_cells` and `candidates` count what is left; `pairs` are cells with two candidates.
    """

    position: Position
    level: int
    offers: tuple[TurningSteps, ...]
    open_cells: int
    candidates: int
    pairs: int


class Missing(Struct, frozen=True, kw_only=True):
    """What a member sees who does not see a needed technique: the board as it is stuck.

    `way_rounds`: what would help in its stead, as (technique, is a twin).
    """

    technique: str
    stuck: Position
    open_cells: int
    pairs: int
    way_rounds: tuple[tuple[str, bool], ...]


class TurningReport(Struct, frozen=True, kw_only=True):
    """Where a puzzle turns, and what becomes of those who miss it."""

    givens: str
    level: int
    hardest: str
    needs: tuple[str, ...]
    effort: float
    minutes: int
    points: tuple[TurningPointFacts, ...]
    missing: tuple[Missing, ...]


class Planned(Struct, frozen=True, kw_only=True):
    """A question to come, on a date and then, if `is_weekly`, each week. Of a technique, of a
    `position`, of both, or of where the latest puzzle turned. `until`: when its find is shown."""

    on: date
    is_weekly: bool = False
    technique: str = ""
    mark: Marking = "house"
    until: Until = Until(days=1)
    position: Position | None = None
