"""Words for what went wrong: unknown commands, our own failures, and the engine's errors.

`explain_error` serves the command line too. Wrong arguments are in `refusals`.
"""

from __future__ import annotations

from bot.club.replies import Busy, CommandUnknown, WentWrong
from bot.platforms.message import Message
from bot.wording.buttons import BOARD, HELP, Phrases
from bot.wording.prose import join_words, quote, sentences
from bot.wording.refusals import example_of
from bot.wording.unusable import no_cell, two_solutions, with_example
from engine import EngineError, errors, making


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
        f"keeps happening, tell whoever runs the bot: reference {reply.reference}.",
    )


def _busy(reply: Busy) -> Message:
    return Message(
        text="That was a lot at once, and I could not take this one; nothing was changed. "
        "Wait a moment and send it again.",
        buttons=(BOARD,),
    )


def explain_error(error: EngineError, example: str = "") -> str:
    """Say an engine's error in plain words, with an example that works where one is given."""
    return with_example(_engine_words(error), example)


def _engine_words(error: EngineError) -> str:
    match error:
        case errors.CellNameError():
            return no_cell(error.text, error.size)
        case errors.DigitError():
            return f"{quote(error.text)} is not a digit from 1 to {error.size}."
        case errors.GridLengthError(row=row) if row:
            return f"Row {row} has {error.found} cells, and a row has {error.expected}."
        case errors.GridLengthError():
            return (
                f"A grid has {error.expected} cells; this one has {error.found}. Write a digit for "
                "each filled cell and a dot for each empty one, row by row."
            )
        case errors.GridCharacterError():
            return (
                f"{quote(error.character)}, at place {error.index + 1}, does not belong in a grid. "
                "Write digits, and dots for empty cells."
            )
        case errors.RepeatedDigitError():
            return f"{error.digit} stands twice in {error.house}: {join_words(error.cells)}."
        case errors.LayoutError():
            return _layout_words(error)
        case errors.NoSolutionError():
            return "This grid has no solution."
        case errors.ManySolutionsError():
            return two_solutions(error.cells)
        case errors.UnknownTechniqueError():
            known = ", ".join(error.known)
            return f"I know no technique called {quote(error.text)}. Known: {known}."
        case errors.StoppedError():
            return f"Stopped after {error.work} units of work, before there was a result."
        case making.UnmadeError():
            return (
                f"No such puzzle came of {error.tried.attempts} tries. Asking for less might help."
            )
        case _:
            return f"That cannot be used: {error}."


def _layout_words(error: errors.LayoutError) -> str:
    match error.problem:
        case errors.LayoutProblem.CELLS:
            return (
                f"A map of irregular boxes has a mark for each cell of a square of two to nine "
                f"rows; this one has {error.found} marks."
            )
        case errors.LayoutProblem.BOXES:
            return (
                f"That map has {error.found} boxes where {error.expected} were expected, as many "
                "as a row has cells."
            )
        case errors.LayoutProblem.BOX:
            return (
                f"Box {quote(error.text)} of the map has {error.found} cells where "
                f"{error.expected} were expected."
            )
        case errors.LayoutProblem.APART:
            return f"Box {quote(error.text)} of the map is in pieces: its cells must touch."
        case errors.LayoutProblem.NAME:
            return (
                f"I know no layout called {quote(error.text)}. Choose classic, 4x4, 6x6 or "
                "diagonal, or write irregular: and then a map of the boxes, with a letter or "
                "digit for each cell."
            )


PHRASES: Phrases = {
    Busy: _busy,
    CommandUnknown: _command_unknown,
    WentWrong: _went_wrong,
}
