"""A club's week as a plan: what the puzzle of each weekday should be, and whether one is that.

A plan is what a weekday asks for once its own wishes and the week's are put together. A theme
above a day's level raises the level: no puzzle of level 1 needs a naked triple. The plan of the
settings is the one for the next puzzle; a later one takes over from its date on.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from msgspec import structs

from bot.club.settings import PlanFrom
from bot.club.state import ClubSettings, Puzzle
from bot.club.themes import HIGHEST_LEVEL, NO_THEME
from engine import LADDER, WITHOUT_UNIQUENESS, technique_with

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
ANY_PATTERN = "any"

BY_UNIQUENESS = tuple(technique.id for technique in LADDER if technique not in WITHOUT_UNIQUENESS)
_UNIQUENESS_LEVEL = min(technique_with(id).level for id in BY_UNIQUENESS)

_IMPLIED = {"half-turn": ("half-turn", "quarter-turn")}
"""What is the same turned by a quarter is the same turned by half."""


@dataclass(frozen=True, slots=True, order=True)
class DayPlan:
    """`theme` and `pattern` are empty where any will do. `by_logic`: it must not need a technique
    that takes for granted that there is one solution only."""

    lowest: int
    highest: int
    theme: str = ""
    pattern: str = ""
    by_logic: bool = False

    @property
    def key(self) -> str:
        """A text that tells it from every other plan."""
        key = f"{self.lowest}-{self.highest}:{self.theme}:{self.pattern}"
        return f"{key}:by-logic" if self.by_logic else key

    @property
    def levels(self) -> tuple[int, ...]:
        """The levels that will do, lowest first."""
        return tuple(range(self.lowest, self.highest + 1))


PLANNED = tuple(name for name in PlanFrom.__struct_fields__ if name != "starts")
"""The fields of a club's settings that are its plan."""


def _with_plan(settings: ClubSettings, plan: PlanFrom | ClubSettings) -> ClubSettings:
    return structs.replace(settings, **{name: getattr(plan, name) for name in PLANNED})


def settings_on(on_date: date, settings: ClubSettings) -> ClubSettings:
    """Return the settings with the plan that holds on a date."""
    begun = [each for each in settings.later if each.starts <= on_date]
    return _with_plan(settings, begun[-1]) if begun else settings


def settings_from(on_date: date, settings: ClubSettings) -> ClubSettings:
    """Return the settings with the plan that holds on a date as their own, the plans from before
    it forgotten."""
    ahead = tuple(each for each in settings.later if each.starts > on_date)
    return structs.replace(settings_on(on_date, settings), later=ahead)


def without_plan_from(on_date: date, settings: ClubSettings) -> ClubSettings:
    """Return the settings without the plan that begins just on a date."""
    return structs.replace(
        settings, later=tuple(each for each in settings.later if each.starts != on_date)
    )


def with_plan_from(on_date: date, settings: ClubSettings, planned: ClubSettings) -> ClubSettings:
    """Return the settings with the plan of others from a date on, until the next one begins."""
    if _with_plan(settings, planned) == settings_on(on_date, settings):
        return settings
    own = PlanFrom(on_date, **{name: getattr(planned, name) for name in PLANNED})
    others = without_plan_from(on_date, settings).later
    return structs.replace(
        settings, later=tuple(sorted((*others, own), key=lambda each: each.starts))
    )


def is_rising_on(on_date: date, settings: ClubSettings) -> bool:
    """Say whether the week of a date is to rise in effort."""
    return settings_on(on_date, settings).rising


def plan_for(on_date: date, settings: ClubSettings) -> DayPlan:
    """Return what the plan asks for on a date."""
    return plan_of_weekday(on_date.weekday(), settings_on(on_date, settings))


def plan_of_weekday(weekday: int, settings: ClubSettings) -> DayPlan:
    """Return what the plan asks for on a weekday, Monday being 0."""
    level, wish = settings.levels[weekday], settings.wishes[weekday]
    theme = wish.theme or settings.theme or ""
    pattern = wish.pattern or settings.pattern
    theme = "" if theme == NO_THEME else theme
    least = technique_with(theme).level if theme else 1
    return DayPlan(
        lowest=max(level, least),
        highest=max(level, wish.up_to, least),
        theme=theme,
        pattern="" if pattern == ANY_PATTERN else pattern,
        by_logic=not settings.uniqueness and max(level, wish.up_to, least) >= _UNIQUENESS_LEVEL,
    )


def plans_of(settings: ClubSettings) -> tuple[DayPlan, ...]:
    """Return the different plans of a week, in the order of its days; then those of the weeks
    that are planned ahead."""
    weeks = (settings, *(_with_plan(settings, each) for each in settings.later))
    return tuple(
        dict.fromkeys(plan_of_weekday(weekday, week) for week in weeks for weekday in range(7))
    )


def theme_at_odds(settings: ClubSettings) -> str:
    """Return a theme that takes one solution for granted where the club does without that; empty
    where there is none."""
    if settings.uniqueness:
        return ""
    plans: tuple[ClubSettings | PlanFrom, ...] = (settings, *settings.later)
    themes = [
        theme for plan in plans for theme in (plan.theme, *(wish.theme for wish in plan.wishes))
    ]
    return next((theme for theme in themes if theme in BY_UNIQUENESS), None) or ""


def has_pattern(puzzle: Puzzle, pattern: str) -> bool:
    """Tell whether a puzzle keeps a pattern; every puzzle keeps the empty one."""
    return not pattern or puzzle.pattern in _IMPLIED.get(pattern, (pattern,))


def fits(puzzle: Puzzle, plan: DayPlan) -> bool:
    """Say whether a puzzle is all that a plan asks for."""
    return distance(puzzle, plan) == NO_DISTANCE


NO_DISTANCE = (0, False, False)


def distance(puzzle: Puzzle, plan: DayPlan) -> tuple[int, bool, bool]:
    """Return how far a puzzle is from a plan: its level first, then theme, then pattern."""
    is_off = bool(plan.theme) and plan.theme not in puzzle.needs
    if plan.by_logic and any(id in puzzle.needs for id in BY_UNIQUENESS):
        is_off = True
    return (
        max(plan.lowest - puzzle.level, puzzle.level - plan.highest, 0),
        is_off,
        not has_pattern(puzzle, plan.pattern),
    )


def missed(puzzle: Puzzle, plan: DayPlan) -> tuple[str, ...]:
    """Return what of a plan a puzzle is not: level, theme, pattern."""
    kinds = ("level", "theme", "pattern")
    return tuple(kind for kind, off in zip(kinds, distance(puzzle, plan), strict=True) if off)


def relaxed(plan: DayPlan) -> tuple[DayPlan, ...]:
    """Return what will do in a plan's stead, the best first and the easiest to come by last."""
    any_pattern = replace(plan, pattern="")
    any_theme = replace(any_pattern, theme="")
    return tuple(dict.fromkeys((plan, any_pattern, any_theme, DayPlan(1, HIGHEST_LEVEL))))
