"""What can be wrong with an input, and which facts tell of it.

The values are kept with the replies that were saved, so none may change. `bot.wording.refusals`
has words for each, made of its facts alone.
"""

from __future__ import annotations

from enum import StrEnum


class Problem(StrEnum):
    """What is wrong. `facts` are the fields of `InputRefused` that tell of it; any may also have
    `typed`. A day in `text` is an ISO date, a change `name=value`."""

    facts: frozenset[str]

    def __new__(cls, value: str, *facts: str) -> Problem:
        """Make a problem of the value that is kept and the names of its facts."""
        member = str.__new__(cls, value)
        member._value_ = value
        member.facts = frozenset(facts)
        return member

    CELL = "cell", "text"
    DIGIT = "digit", "text"
    HOUSE = "house", "text"
    MARK = "mark", "text"
    """Not a cell and a digit."""
    ROW = "row", "text"
    DATE = "date", "text"
    """Cannot be read as a date."""
    PERIOD = "period", "text"
    TOPIC = "topic", "text"
    """Refused by older versions, and kept so."""
    MISSING = "missing", "text"
    """`text` is one of Missing."""
    SURPLUS = "surplus", "text"
    """`text` is left over."""
    LENGTH = "length", "found", "expected"
    ROW_LENGTH = "row-length", "house", "found", "expected"
    """One row of a grid has more cells than the others, or fewer."""
    TOO_LONG = "too-long", "found", "expected"
    """Characters: `expected` at most."""
    CHARACTER = "character", "text"
    REPEATED = "repeated", "digit", "house", "cells"
    GIVEN = "given", "cells", "digit"
    """A given cannot be changed; `digit` is what the first of the cells holds."""
    FILLED = "filled", "cells"
    COMPLETE = "complete"
    """Every cell is filled."""
    NO_SOLUTION = "no-solution"
    MANY_SOLUTIONS = "many-solutions", "cells"
    """`cells` is where two of them differ."""
    TOO_HARD = "too-hard"
    """The ladder gets stuck."""
    NO_TIME = "no-time"
    """Working it out takes longer than anybody waits."""
    REPEAT_PUZZLE = "repeat-puzzle", "text", "is_disguised"
    """The club has had it on the day in `text`; or it waits in the queue, and no text."""
    TOO_MANY = "too-many", "found", "expected"
    """Puzzles at once: `expected` at most."""
    NO_DAY = "no-day", "text"
    """No day is planned for the level in `text`."""
    DAY_TAKEN = "day-taken", "text"
    """The day is past, or has a puzzle already."""
    QUEUE_PLACE = "queue-place", "text", "found"
    """`found` wait in the queue."""
    NOT_COMING = "not-coming", "text"
    """No day to come has this date."""
    OWN_PUZZLE = "own-puzzle", "text"
    """The leader queued one for the day."""
    NO_OTHER = "no-other", "text"
    """Nothing in stock to swap for on the day."""
    PASSED = "passed", "text"
    """The day is over."""
    NOT_EARLY = "not-early", "text", "found"
    """No puzzle is up before its time, and `text` is the day if one was named; or `found` are, and
    `text` has their dates."""
    SETTING = "setting", "text"
    VALUE = "value", "text"
    LEADER = "leader", "text"
    """`text` is the change."""
    UNIQUENESS = "uniqueness", "text"
    """A theme that takes one solution for granted, which the club does without."""
    DAYS = "days", "text", "expected"
    """`expected` at most."""
    LEVEL = "level", "text", "expected"
    """`expected` is the highest."""
    PLAN = "plan", "text"
    """A word of a plan."""
    PLAN_PAST = "plan-past", "text"
    """A plan cannot begin on the day, which is past."""
    NO_PLAN = "no-plan", "text"
    """No plan begins on the day."""
    NEVER_NEEDED = "never-needed", "text"
    """A technique that no puzzle needs, so that it can be no theme."""
    WISH = "wish", "text"
    """`text` is the change of a plan."""
    MEMBER = "member", "text", "found"
    """`found` members of this name, none or several."""
    NO_RESULT = "no-result", "text"
    NO_FIND = "no-find", "text"
    """No position to ask about: `text` is a technique, a date or nothing."""
    UNTIL = "until", "text"
    """A time at which a find is to be shown that cannot be read, or is past."""
    MARKING = "marking", "text"
    """Nothing that a question may have marked."""
    NO_EXERCISE = "no-exercise", "text"
    """No positions to practise the technique in `text` at."""
    CLAIM = "claim", "text"
    """A word of what somebody says that follows."""


class Missing(StrEnum):
    """What a line lacks."""

    MARKS = "marks"
    CANDIDATES = "candidates"
    WISHES = "wishes"
    """What the days of a plan should have."""
    DIGITS = "digits"
    VERDICT = "verdict"
    MEMBER = "member"
    REASON = "reason"
    CLAIM = "claim"
    """What somebody sees, and what follows."""
    PUZZLE = "puzzle"
    """Queue and stock are empty."""
