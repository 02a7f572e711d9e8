"""How a decision says no: an exception that carries the reply, raised where the reason is seen.

The service turns it into the answer; nothing is saved then but the answer itself.
"""

from __future__ import annotations

from bot.club.replies import InputRefused, Reply
from engine import (
    CellNameError,
    DigitError,
    EngineError,
    GridCharacterError,
    GridLengthError,
    ManySolutionsError,
    NoSolutionError,
    RepeatedDigitError,
)


class RefusedError(Exception):
    """A decision cannot be carried out; `reply` says why, in facts."""

    def __init__(self, reply: Reply) -> None:
        super().__init__(repr(reply))
        self.reply = reply

    def __reduce__(self) -> tuple[type[RefusedError], tuple[Reply]]:
        """A decision made in another process refuses with its reply, not with the words of it."""
        return type(self), (self.reply,)


def refused_input(error: RefusedError) -> InputRefused:
    """Return the reply of a refusal that is one of an input."""
    assert isinstance(error.reply, InputRefused)
    return error.reply


def refusal_of(command: str, error: EngineError) -> InputRefused:
    """Return the reply for what the engine would not read. Raises the error if it is no input's."""
    match error:
        case GridLengthError():
            return InputRefused(
                command=command, problem="length", found=error.found, expected=error.expected
            )
        case GridCharacterError():
            return InputRefused(command=command, problem="character", text=error.character)
        case RepeatedDigitError():
            return InputRefused(
                command=command,
                problem="repeated",
                digit=error.digit,
                house=error.house,
                cells=error.cells,
            )
        case NoSolutionError():
            return InputRefused(command=command, problem="no-solution")
        case ManySolutionsError():
            return InputRefused(command=command, problem="many-solutions", cells=error.cells)
        case CellNameError():
            return InputRefused(command=command, problem="cell", text=error.text)
        case DigitError():
            return InputRefused(command=command, problem="digit", text=error.text)
    raise error
