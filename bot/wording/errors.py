"""Words for what went wrong: what was found, what was expected, and an example that works.

One table of problems serves the club's replies; `explain_error` says the engine's own errors for
the command line too.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.chat.message import Message
from bot.club.replies import Busy, CommandUnknown, InputRefused, WentWrong
from bot.wording.buttons import BOARD, HELP, Phrases
from bot.wording.prose import count_of, join_words, quote, sentences
from engine.errors import (
    CellNameError,
    DigitError,
    EngineError,
    GridCharacterError,
    GridLengthError,
    ManySolutionsError,
    NoSolutionError,
    RepeatedDigitError,
    StoppedError,
    UnknownTechniqueError,
)
from engine.layout import CLASSIC

EXAMPLES: dict[str, str] = {
    "today": "today text",
    "board": "board text",
    "place": "place r4c5 7",
    "row": "row 4 53..7....",
    "rule-out": "rule-out r4c5 1 4",
    "hint": "hint box 5",
    "paste": "paste 53..7.... 6..195... and so on, 81 cells in all",
    "hand-in": "hand-in 534678912 672195348",
    "leaderboard": "leaderboard month",
    "walkthrough": "walkthrough 2026-11-24",
    "privacy": "privacy export",
    "help": "help hint",
    "club": "club setup",
    "club setup": "club setup post_time 18:30",
    "club queue": "club queue 2026-11-24 and then the 81 cells of the puzzle",
    "club report": "club report 2026-11-24",
    "club result": "club result Robin accept seen solving it",
}
"""A line that works, for each command that can be mistyped."""


def example_of(command: str) -> str:
    return EXAMPLES.get(command) or EXAMPLES.get(command.split(" ")[0], "help")


_SIZE = CLASSIC.size


def _clip(cells: tuple[str, ...], limit: int = 6) -> str:
    if len(cells) <= limit:
        return join_words(cells)
    return f"{', '.join(cells[:limit])} and {len(cells) - limit} more cells"


Say = Callable[[InputRefused], str]


def _cell(reply: InputRefused) -> str:
    return _no_cell(reply.text, _SIZE)


def _no_cell(text: str, size: int) -> str:
    return f"There is no cell {quote(text)}. Rows and columns run from 1 to {size}."


def _digit(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is no digit: a cell holds one from 1 to {_SIZE}."


def _house(reply: InputRefused) -> str:
    return (
        f"I know no house {quote(reply.text)}. It is row, column or box and a number "
        f"from 1 to {_SIZE}."
    )


def _mark(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)}. Write a cell and then its digit, as often as you like."
    )


def _row(reply: InputRefused) -> str:
    return (
        f"I cannot read {quote(reply.text)} as a row. Write its number, then {_SIZE} cells: "
        "digits, and dots for the open ones."
    )


def _date(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is no date that I can read. Write year, month and day."


def _period(reply: InputRefused) -> str:
    return f"{quote(reply.text)} is no period. It is week, month or all."


def _topic(reply: InputRefused) -> str:
    return f"There is no help on {quote(reply.text)}. Plain help lists all topics."


def _length(reply: InputRefused) -> str:
    return (
        f"That has {count_of(reply.found, 'cell')}, and {reply.expected} are expected. "
        "Nothing was changed."
    )


def _character(reply: InputRefused) -> str:
    return (
        f"{quote(reply.text)} does not belong in a grid. Digits from 1 to {_SIZE} fill cells; "
        "dots, zeros, spaces and underscores leave them empty."
    )


def _repeated(reply: InputRefused) -> str:
    where = join_words(reply.cells)
    return f"{reply.digit} stands twice in {reply.house}: {where}. Nothing was changed."


def _given(reply: InputRefused) -> str:
    has = f" It holds {reply.digit}." if reply.digit else ""
    one = len(reply.cells) == 1
    return (
        f"{_clip(reply.cells)} {'is a given' if one else 'are givens'} of the puzzle and cannot "
        f"change.{has}"
    )


def _filled(reply: InputRefused) -> str:
    return (
        f"{_clip(reply.cells)} {'is' if len(reply.cells) == 1 else 'are'} filled already, so there "
        "is nothing to rule out. Undo, or write 0 there, to rub a digit out."
    )


def _missing(reply: InputRefused) -> str:
    return f"Something is missing: {reply.text or 'the rest of the line'}."


def _no_solution(reply: InputRefused) -> str:
    return "This grid has no solution, so it is no puzzle. Please check it for a slip of the pen."


def _many_solutions(reply: InputRefused) -> str:
    return _two_solutions(reply.cells)


def _two_solutions(cells: tuple[str, ...]) -> str:
    differ = f" Two of them differ in {_clip(cells)}." if cells else ""
    return f"This grid has more than one solution.{differ} A given may be missing."


def _setting(reply: InputRefused) -> str:
    return f"There is no setting {quote(reply.text)}. Club setup alone lists them all."


def _value(reply: InputRefused) -> str:
    return f"{quote(reply.text, 80)} does not fit that setting."


def _member(reply: InputRefused) -> str:
    return f"I know nobody called {quote(reply.text)} in this club."


def _no_result(reply: InputRefused) -> str:
    return f"{quote(reply.text)} has no right answer on that day to rule on."


def _too_hard(reply: InputRefused) -> str:
    return (
        "My ladder gets stuck on this puzzle, so I could give no hints on it and will not post it. "
        "Levels 1 to 3 are what I can explain so far."
    )


def _repeat_puzzle(reply: InputRefused) -> str:
    return "The club has had this puzzle already, or it waits in the queue."


def _surplus(reply: InputRefused) -> str:
    return f"I understood the start of that, but not {quote(reply.text)}."


PROBLEMS: dict[str, Say] = {
    "cell": _cell,
    "digit": _digit,
    "house": _house,
    "mark": _mark,
    "row": _row,
    "date": _date,
    "period": _period,
    "topic": _topic,
    "length": _length,
    "character": _character,
    "repeated": _repeated,
    "given": _given,
    "filled": _filled,
    "missing": _missing,
    "no-solution": _no_solution,
    "many-solutions": _many_solutions,
    "setting": _setting,
    "value": _value,
    "member": _member,
    "no-result": _no_result,
    "too-hard": _too_hard,
    "repeat-puzzle": _repeat_puzzle,
    "surplus": _surplus,
}
"""What to say for each `problem` of InputRefused; a test compares it with the reply's own list."""


def _with_example(text: str, example: str) -> str:
    return sentences(text, f"Example: {example}" if example else "")


def _input_refused(reply: InputRefused) -> Message:
    return Message(text=_with_example(PROBLEMS[reply.problem](reply), example_of(reply.command)))


def _command_unknown(reply: CommandUnknown) -> Message:
    guess = f"Did you mean {reply.nearest}?" if reply.nearest else ""
    example = f"Example: {example_of(reply.nearest)}" if reply.nearest else "Example: hint"
    return Message(
        text=sentences(f"I do not know the command {quote(reply.text)}.", guess, example),
        buttons=(HELP,),
    )


def _went_wrong(reply: WentWrong) -> Message:
    return Message(
        text="Something went wrong on my side, and nothing was changed. Please try again. If it "
        f"stays, tell whoever runs the bot: reference {reply.reference}.",
    )


def _busy(reply: Busy) -> Message:
    return Message(
        text="That was a lot at once, and I could not take this one; nothing was changed. "
        "Wait a moment and send it again.",
        buttons=(BOARD,),
    )


def explain_error(error: EngineError, example: str = "") -> str:
    """Say an engine's error in plain words, with an example that works where one is given."""
    return _with_example(_engine_words(error), example)


def _engine_words(error: EngineError) -> str:
    match error:
        case CellNameError():
            return _no_cell(error.text, error.size)
        case DigitError():
            return f"{quote(error.text)} is no digit from 1 to {error.size}."
        case GridLengthError():
            return (
                f"A grid has {error.expected} cells; this one has {error.found}. Write a digit for "
                "each filled cell and a dot for each empty one, row by row."
            )
        case GridCharacterError():
            return (
                f"{quote(error.character)}, at place {error.index + 1}, does not belong in a grid. "
                "Write digits, and dots for empty cells."
            )
        case RepeatedDigitError():
            return f"{error.digit} stands twice in {error.house}: {join_words(error.cells)}."
        case NoSolutionError():
            return "This grid has no solution."
        case ManySolutionsError():
            return _two_solutions(error.cells)
        case UnknownTechniqueError():
            return f"I know no technique {quote(error.text)}. Known: {', '.join(error.known)}."
        case StoppedError():
            return f"Stopped after {error.work} units of work, before there was a result."
        case _:
            return f"That cannot be used: {error}."


PHRASES: Phrases = {
    Busy: _busy,
    CommandUnknown: _command_unknown,
    InputRefused: _input_refused,
    WentWrong: _went_wrong,
}
