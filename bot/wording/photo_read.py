"""Words for a photo that a member sends: what was read, what to look at again, and why one failed.

A cell to look at again is named and never called wrong, and what clashes is told as it was read: a
mistake on the paper is the member's own to find.
"""

from __future__ import annotations

from bot.club.photos import (
    PhotoAsked,
    PhotoNotCome,
    PhotoRead,
    PhotosPaced,
    PhotoUnread,
)
from bot.photo.told import PhotoProblem
from bot.platforms.message import Button, Form, Message
from bot.wording.buttons import BOARD, ON_PAPER, TODAY, Phrases, photo_field, reading_line
from bot.wording.photo import HOW, ask_to_look, tell_left_out, tell_photo_problem
from bot.wording.prose import join_words, paragraphs, sentences
from bot.wording.spoken import draw_text

NOT_HERE = "I can't read photos here yet. Type your grid, or paste it, and I'll take it from there."

_FEW_SLIPS = 3
"""More cells than these are counted, not told one by one: they are named as those to look at."""


def _try_again(*, then_hint: bool) -> Button:
    return Button("Try again", f"{_command(then_hint)} photo", takes_photo=True)


def _command(then_hint: bool) -> str:
    return "hint" if then_hint else "board"


def _photo_read(reply: PhotoRead) -> Message:
    clashes = [f"{house} has {digit} twice" for digit, house in reply.clashes]
    wanted = "It isn't your board until you take it."
    if reply.slips:
        wanted = "It doesn't quite show today's puzzle yet: mend it, or try again."
    return Message(
        text=paragraphs(
            sentences("This is what I read in your photo.", wanted),
            sentences(
                ask_to_look(reply.picture.doubtful),
                _tell_slips(reply.slips),
                f"As I read it, {join_words(clashes)}." if clashes else "",
            ),
            tell_left_out(reply.struck, has_marks=reply.has_marks),
        ),
        code=draw_text(reply.picture.position),
        buttons=_ways(reply),
    )


def _tell_slips(slips: tuple[tuple[str, int, int], ...]) -> str:
    """Name the givens that read otherwise; of many, which are bad light rather, how many."""
    if len(slips) > _FEW_SLIPS:
        return f"{len(slips)} of the puzzle's own digits look different."
    return sentences(
        *(
            f"In {cell} I read {_what(read)}, where the puzzle has {_what(given)}."
            for cell, read, given in slips
        )
    )


def _what(digit: int) -> str:
    if not digit:
        return "nothing"
    return f"{'an' if digit == 8 else 'a'} {digit}"


def _ways(reply: PhotoRead) -> tuple[Button, ...]:
    """Return the buttons that take what was read, which hold it, and those that do not."""
    grid = reply.picture.position.grid

    def taking(label: str, *, then_hint: bool) -> Button:
        line = reading_line("photo", grid, then_hint=then_hint)
        return Button(label, line, is_main=then_hint is reply.then_hint)

    mending = reading_line("mend", grid, then_hint=reply.then_hint)
    mend = Button("Mend it", mending, is_main=bool(reply.slips))
    others = (mend, _try_again(then_hint=reply.then_hint))
    if reply.slips:
        return others
    hint = taking("Hint from this", then_hint=True)
    if reply.then_hint:
        return hint, *others
    return taking("Keep as my board", then_hint=False), hint, *others


def _photo_unread(reply: PhotoUnread) -> Message:
    if reply.problem is PhotoProblem.NOT_INSTALLED:
        return Message(text=NOT_HERE, buttons=(ON_PAPER,))
    again = _try_again(then_hint=reply.then_hint)
    beside = TODAY if reply.problem is PhotoProblem.ANOTHER_PUZZLE else ON_PAPER
    return Message(text=tell_photo_problem(reply.problem), buttons=(again, beside))


def _photo_not_come(reply: PhotoNotCome) -> Message:
    return Message(
        text="Your photo didn't reach me. Please send it again.",
        buttons=(_try_again(then_hint=reply.then_hint), ON_PAPER),
    )


def _photos_paced(reply: PhotosPaced) -> Message:
    return Message(
        text=f"I read {reply.count} photos from each member in {reply.seconds} seconds at most, "
        "so I've left this one alone. Wait a minute, then send it again.",
        buttons=(BOARD,),
    )


def _photo_asked(reply: PhotoAsked) -> Message:
    return Message(
        text=f"Send me a photo of your paper, here where nobody else sees it. {HOW} I'll show you "
        "what I read before any of it counts, and I don't keep the photo.",
        form=Form(
            title="A photo of your paper",
            command=f"{_command(reply.then_hint)} photo",
            fields=(photo_field("Your photo"),),
        ),
    )


PHRASES: Phrases = {
    PhotoAsked: _photo_asked,
    PhotoNotCome: _photo_not_come,
    PhotoRead: _photo_read,
    PhotosPaced: _photos_paced,
    PhotoUnread: _photo_unread,
}
