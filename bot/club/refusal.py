"""How a decision says no: an exception that carries the reply, raised where the reason is seen.

The service turns it into the answer; nothing is saved then but the answer itself.
"""

from __future__ import annotations

from datetime import date

from bot.club.problems import Problem
from bot.club.replies import InputRefused, Reply
from engine import EngineError, errors


class RefusedError(Exception):
    """A decision cannot be carried out; `reply` says why, in facts."""

    def __init__(self, reply: Reply) -> None:
        super().__init__(repr(reply))
        self.reply = reply

    def __reduce__(self) -> tuple[type[RefusedError], tuple[Reply]]:
        """A decision made in another process refuses with its reply, not with the words of it."""
        return type(self), (self.reply,)


def refuse(
    command: str,
    problem: Problem,
    text: str | date = "",
    *,
    found: int = 0,
    expected: int = 0,
    digit: int = 0,
    cells: tuple[str, ...] = (),
    is_disguised: bool = False,
    typed: str = "",
) -> RefusedError:
    """Return the error, to be raised, for an argument that is wrong; `problem` names its facts."""
    return RefusedError(
        InputRefused(
            command=command,
            problem=problem,
            text=text if isinstance(text, str) else text.isoformat(),
            found=found,
            expected=expected,
            digit=digit,
            cells=cells,
            is_disguised=is_disguised,
            typed=typed,
        )
    )


def refused_input(error: RefusedError) -> InputRefused:
    """Return the reply of a refusal that is one of an input."""
    assert isinstance(error.reply, InputRefused)
    return error.reply


def refusal_of(command: str, error: EngineError) -> InputRefused:
    """Return the reply for what the engine would not read. Raises the error if it is no input's."""
    match error:
        case errors.GridLengthError():
            return InputRefused(
                command=command,
                problem=Problem.ROW_LENGTH if error.row else Problem.LENGTH,
                found=error.found,
                expected=error.expected,
                house=f"row {error.row}" if error.row else "",
            )
        case errors.GridCharacterError():
            return InputRefused(command=command, problem=Problem.CHARACTER, text=error.character)
        case errors.RepeatedDigitError():
            return InputRefused(
                command=command,
                problem=Problem.REPEATED,
                digit=error.digit,
                house=error.house,
                cells=error.cells,
            )
        case errors.NoSolutionError():
            return InputRefused(command=command, problem=Problem.NO_SOLUTION)
        case errors.ManySolutionsError():
            return InputRefused(command=command, problem=Problem.MANY_SOLUTIONS, cells=error.cells)
        case errors.CellNameError():
            return InputRefused(command=command, problem=Problem.CELL, text=error.text)
        case errors.DigitError():
            return InputRefused(command=command, problem=Problem.DIGIT, text=error.text)
    raise error
