"""Words for the member's own board: what was written, what clashes, a pasted grid, a check."""

from __future__ import annotations

from bot.club.replies import (
    BoardChecked,
    BoardFull,
    BoardShown,
    GivensDiffer,
    HelpShown,
    OtherPuzzle,
    PaperForm,
    RedoEmpty,
    UndoEmpty,
)
from bot.platforms.message import Button, Message
from bot.wording.buttons import (
    AS_BOARD,
    BOARD,
    HAND_IN,
    HINT,
    ON_PAPER,
    TODAY,
    UNDO,
    Phrases,
    grid_form,
)
from bot.wording.charges import charge_sentence
from bot.wording.explaining import Commands, CommandWords
from bot.wording.photo import offer_photos
from bot.wording.prose import count_of, join_words, paragraphs, sentences
from bot.wording.spoken import draw_text, speak_board, tell_mistakes
from bot.wording.unusable import EXAMPLE_GRID

_FEW_MARKS = 6
"""More marks than this are counted, not listed."""


def _marks(marks: tuple[tuple[str, int], ...]) -> str:
    if len(marks) > _FEW_MARKS:
        return count_of(len(marks), "mark")
    return join_words(f"{digit} in {cell}" for cell, digit in marks)


def _changed(reply: BoardShown) -> str:
    told = _marks(reply.marks)
    if reply.change in ("placed", "row", "allowed") and not reply.marks:
        return "There was nothing new in that; your board is as it was."
    if reply.change in ("placed", "row"):
        return f"Written: {told}."
    if reply.change == "rubbed":
        return f"Rubbed out: {join_words(cell for cell, _ in reply.marks)}."
    if reply.change == "ruled-out":
        return f"Ruled out: {told}."
    if reply.change == "undone":
        return "Undone: this is your board as it was before."
    if reply.change == "not-undone":
        return "Your board has changed since then, so nothing was undone. It looks like this now."
    if reply.change == "redone":
        return "Redone: this is your board as it was before you undid that."
    if reply.change == "small":
        return _small(reply.marks)
    if reply.change == "allowed":
        return f"Allowed again: {told}."
    if reply.change == "filled":
        cost = charge_sentence(reply.seconds, reply.total) if reply.seconds else ""
        return sentences("Every open cell now shows all that can still go in it.", cost)
    if reply.change == "pasted":
        return "I read your grid like this, and it is your board now. Undo brings the old one back."
    return "Your board as it stands."


def _small(marks: tuple[tuple[str, int], ...]) -> str:
    cell = marks[0][0]
    digits = [str(digit) for _, digit in marks if digit]
    if not digits:
        return f"Rubbed out the small digits in {cell}."
    return f"Small digits in {cell}: {join_words(digits)}."


def _clash(digit: int, house: str) -> str:
    return f"{house} now has {digit} twice"


def _board_shown(reply: BoardShown) -> Message:
    clashes = [_clash(digit, house) for digit, house in reply.clashes]
    warning = f"Careful: {join_words(clashes)}." if clashes else ""
    if reply.open_cells:
        left = f"{count_of(reply.open_cells, 'open cell')} left."
    else:
        left = "Every cell is filled: hand it in when you are ready."
    position = reply.picture.position
    return Message(
        text=paragraphs(
            sentences(_changed(reply), warning, left),
            tell_mistakes(reply.picture.mistakes),
            speak_board(reply.picture) if reply.as_text else "",
        ),
        code="" if reply.as_text else draw_text(position),
        buttons=(HINT, HAND_IN, UNDO) if reply.undo_left else (HINT, HAND_IN),
    )


def _undo_empty(reply: UndoEmpty) -> Message:
    return Message(
        text="There is nothing left to undo; your board stays as it is.",
        buttons=(BOARD,),
    )


def _redo_empty(reply: RedoEmpty) -> Message:
    return Message(
        text="There is nothing to redo; your board stays as it is.",
        buttons=(BOARD,),
    )


def _slip(cell: str, theirs: int, ours: int) -> str:
    yours = str(theirs) if theirs else "an empty cell"
    return f"in {cell} you have {yours} where the puzzle gives {ours}"


def _givens_differ(reply: GivensDiffer) -> Message:
    slips = [_slip(*slip) for slip in reply.slips]
    return Message(
        text=f"That looks like a slip of the pen: {'; '.join(slips)}. Nothing was changed. Put it "
        "right and paste again.",
        buttons=(ON_PAPER, TODAY),
    )


def _other_puzzle(reply: OtherPuzzle) -> Message:
    return Message(
        text=f"This is not today's puzzle: {reply.differing} of its {reply.givens} givens are "
        "different in your grid. I left your board as it was.",
        buttons=(TODAY, ON_PAPER),
    )


def _paper_form(reply: PaperForm) -> Message:
    what = "what I read in your photo" if reply.is_read else "your board"
    form = grid_form(reply.lines, then_hint=reply.then_hint, is_read=reply.is_read)
    return Message(
        text=f"Here is {what}, one line for each row. Change it until it matches your paper, "
        "or paste a grid of your own; dots, zeros, spaces and underscores all stand for empty "
        "cells, and … for three of them.",
        form=form,
    )


def _board_full(reply: BoardFull) -> Message:
    if reply.open_cells:
        return Message(
            text="There are no hints left: the ones you have had tell you everything. "
            f"{count_of(reply.open_cells, 'cell')} on your board here "
            f"{'is' if reply.open_cells == 1 else 'are'} still open; fill them in, or type the "
            "digits of the two marked lines.",
            buttons=(BOARD, HAND_IN),
        )
    return Message(
        text="Your board is full, so there are no hints left. Hand it in to find out whether it "
        "is right.",
        buttons=(HAND_IN,),
    )


def _board_checked(reply: BoardChecked) -> Message:
    cost = charge_sentence(reply.seconds, reply.total)
    if reply.is_untouched:
        return Message(
            text="There is nothing of yours on the board to check yet, so I added nothing. Bring "
            "over what you have on paper, or write digits. Example: place r4c5 7",
            buttons=(Button("I have more on paper", "paste"), BOARD),
        )
    if not reply.is_right:
        return Message(
            text="Not right yet: something on your board does not fit the solution. "
            f"A hint tells you roughly where. {cost}",
            buttons=(AS_BOARD, BOARD, UNDO),
        )
    if not reply.open_cells:
        return Message(
            text=f"All right, and every cell is filled: hand it in. {cost}", buttons=(HAND_IN,)
        )
    written = f": all {reply.filled} of your digits" if reply.filled > 1 else ""
    return Message(text=f"Right so far{written}. {cost}", buttons=(HINT, BOARD))


def _board_help(reply: HelpShown) -> str:
    return paragraphs(
        "board shows your own board, with what you wrote and what is still possible. board text "
        "reads it out row by row. Nobody else can see it.",
        offer_photos("board") if reply.reads_photos else "",
    )


PHRASES: Phrases = {
    BoardChecked: _board_checked,
    BoardFull: _board_full,
    BoardShown: _board_shown,
    GivensDiffer: _givens_differ,
    OtherPuzzle: _other_puzzle,
    PaperForm: _paper_form,
    RedoEmpty: _redo_empty,
    UndoEmpty: _undo_empty,
}

COMMANDS: Commands = {
    "place": CommandWords(
        purpose="Write digits on your board; 0 rubs one out.",
        example="place r4c5 7 r6c1 2",
        help=(
            "place writes digits on your board, as many as you like: place r4c5 7 r6c1 2. r4c5 is"
            " the cell in row 4, column 5. A 0 rubs a cell out: place r4c5 0."
        ),
        overview=(
            "place r4c5 7",
            "write on your board; also row, rule-out, allow, small, fill, undo, redo, paste",
        ),
        options={"marks": "Cells and digits"},
    ),
    "board": CommandWords(
        purpose="Show your board, or take a pasted grid as your board.",
        example="board",
        help=_board_help,
        overview=("board", "see your board"),
    ),
    "row": CommandWords(
        purpose="Write a whole row of your board.",
        example="row 4 9..714..8",
        help="row writes a whole row at once, with dots for the open cells: row 4 9..714..8",
        options={"row": "The row's number and its nine digits, a dot for an open cell"},
    ),
    "rule-out": CommandWords(
        purpose="Rule out candidates in a cell.",
        example="rule-out r4c5 1 4",
        help=(
            "rule-out strikes candidates that you know are impossible: rule-out r4c5 1 4. From "
            "then on hints take that as known."
        ),
        options={"candidates": "A cell and the digits to rule out"},
    ),
    "allow": CommandWords(
        purpose="Bring back what you ruled out.",
        example="allow r4c5 1",
        help="allow brings back what you ruled out: allow r4c5 1 puts the 1 back into r4c5.",
        options={"candidates": "A cell and the digits to put back"},
    ),
    "small": CommandWords(
        purpose="Note small digits in a cell.",
        example="small r4c5 1 4",
        help=(
            "small notes small digits in a cell, in place of any that are there: small r4c5 1 4. "
            "A 0 rubs them out. They are notes for your own eyes: hints build on what you rule "
            "out, but not on these."
        ),
        options={"candidates": "A cell and its small digits"},
    ),
    "fill": CommandWords(
        purpose="Fill in everything that is still possible.",
        example="fill",
        help=(
            "fill shows all the digits that can still go in each open cell, going by your own "
            "board. In some clubs that adds a little to your time, once a day."
        ),
    ),
    "redo": CommandWords(
        purpose="Redo what you just undid.",
        example="redo",
        help="redo brings back what you undid, until you change something else.",
    ),
    "undo": CommandWords(
        purpose="Take back your last change.",
        example="undo",
        help="undo takes back the last change to your board, one at a time.",
    ),
    "paste": CommandWords(
        purpose="Take a pasted grid as your board.",
        example=f"paste {EXAMPLE_GRID}",
        help=(
            "paste takes a whole grid and keeps it as your board. Dots, zeros, spaces, x, "
            "underscores and stars all stand for empty cells, … for three of them; rulers, "
            "brackets and quotes are ignored. A grid from a spreadsheet works too, and here in "
            "private you can leave out the command. Undo brings the old board back."
        ),
    ),
}
