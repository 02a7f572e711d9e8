"""Words for the club's question: put up, answered in private, and revealed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from bot.club.asked import Marking
from bot.club.asking import (
    FindJudged,
    FindWanted,
    NamingTold,
    NoQuestion,
    QuestionRevealed,
    QuestionUp,
    RevealTold,
)
from bot.club.putting_questions import QuestionAhead, QuestionPut
from bot.platforms.message import Button, Field, Form, Message
from bot.wording.buttons import Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import (
    capitalise,
    clean_name,
    count_of,
    join_words,
    number_word,
    paragraphs,
    sentences,
)
from bot.wording.rungs import where, why
from bot.wording.times import format_date, format_moment
from engine import claims

ANSWER = Button("My answer", "see question", is_main=True)
NAME_ME = Button("Name me when it's shown", "see named")
TO_WRITE = "see r8c2-5 r8c7-5"
"""How a find is written: one that is the find of no lesson."""

HOW_TO_ANSWER = (
    f"Press My answer, or write it to me: {TO_WRITE}. Only you see what I say to it, and you can "
    "try as often as you like."
)

_EXAMPLE = "r8c2-5 r8c7-5, or 149 in r1c6 r2c6 r9c6"

FIND_FIELD = Field(name="find", label="What you see, or what goes", placeholder=_EXAMPLE)

_ASKED: dict[Marking, Callable[[QuestionUp], str]] = {
    "none": lambda _: "what follows here?",
    "house": lambda reply: f"what follows here? {where(reply.step)}",
    "pattern": lambda _: "what follows from the marked cells?",
}


def _question_up(reply: QuestionUp) -> Message:
    return Message(
        paragraphs(
            f"Question {reply.number}: {_ASKED[reply.mark](reply)}",
            HOW_TO_ANSWER,
            _shown_at(reply.until, reply.zone),
        ),
        buttons=(ANSWER,),
    )


def _shown_at(until: datetime | None, zone: str) -> str:
    return f"I show the find on {format_moment(until, zone)}." if until else ""


def _question_put(reply: QuestionPut) -> Message:
    ended = "It takes the place of the one before, which was not revealed." if reply.ended else ""
    return Message(
        sentences(
            f"Question {reply.number} goes up in the room.",
            ended,
            f"{_shown_at(reply.until, reply.zone)} To show it sooner: club reveal"
            if reply.until
            else "When you want the find shown: club reveal",
        ),
        buttons=(Button("Reveal it", "club reveal"),),
    )


def _question_ahead(reply: QuestionAhead) -> Message:
    when = f"on {format_date(reply.date)}" if reply.date else "before long"
    again = f"club ask {reply.date.isoformat()} sure" if reply.date and not reply.is_pasted else ""
    return Message(
        paragraphs(
            f"Members have still to meet that puzzle: it goes up {when}. A question shows it "
            "partly solved, a head start for whoever looks, so I'd keep it until its day is over.",
            "To ask all the same, write "
            f"{again or 'club ask sure, and the position behind it'}. Then I show the find before "
            "the puzzle goes up, so that everyone starts level.",
        ),
        buttons=(Button("Ask all the same", again),) if again else (),
    )


def _find_wanted(reply: FindWanted) -> Message:
    return Message(
        f"What do you see in question {reply.number}? Example: {TO_WRITE}",
        form=Form(f"Question {reply.number}", "see question", (FIND_FIELD,), send_label="Say it"),
    )


def _no_question(reply: NoQuestion) -> Message:
    return Message(
        "There is no question open right now. The next one goes up in the room. For a "
        "position of your own: practice"
    )


# --- what becomes of a find ---


def _judged(reply: FindJudged) -> Message:
    late = f"The find of question {reply.number} is out already, so this one isn't counted."
    saw = reply.judgement in (claims.Judgement.RIGHT, claims.Judgement.RIGHT_AND_MORE)
    named = () if reply.is_late or reply.is_named or not saw else (NAME_ME,)
    again = () if reply.judgement is claims.Judgement.RIGHT else (ANSWER,)
    return Message(
        sentences(tell_judged(reply), late if reply.is_late else ""), buttons=(*again, *named)
    )


def _naming(reply: NamingTold) -> Message:
    if not reply.has_tried:
        return Message(
            f"Answer question {reply.number} first. Once you have seen it, I can name you with it.",
            buttons=(ANSWER,),
        )
    if reply.is_named:
        return Message(
            f"When the find of question {reply.number} is shown, I'll name you among those who saw "
            "it, until the next question goes up. Changed your mind? see unnamed",
            buttons=(Button("Don't name me", "see unnamed"),),
        )
    return Message(
        f"I won't name you with question {reply.number}. Changed your mind? see named",
        buttons=(NAME_ME,),
    )


def tell_judged(reply: FindJudged) -> str:
    """Say what becomes of a find."""
    return _JUDGED[reply.judgement](reply)


def _right(reply: FindJudged) -> str:
    if reply.tries > 1 and not reply.is_late:
        return f"Yes, that is right, and all of it, on your {_ordinal(reply.tries)} try."
    return "Yes, that is right, and all of it."


def _ordinal(number: int) -> str:
    return {2: "second", 3: "third", 4: "fourth", 5: "fifth"}.get(number, "latest")


def _more(reply: FindJudged) -> str:
    more = count_of(reply.left, "more candidate")
    return f"That is right, and there is more: the same find settles or strikes {more}. Which?"


def tell_reason(reply: FindJudged) -> str:
    """Say which condition fails, nothing where none is known."""
    return _REASONS[reply.condition](reply) if reply.condition else ""


def _fails(reply: FindJudged) -> str:
    reason = tell_reason(reply)
    return sentences("That does not follow from these cells.", reason, "Try again if you like.")


_JUDGED: dict[claims.Judgement, Callable[[FindJudged], str]] = {
    claims.Judgement.RIGHT: _right,
    claims.Judgement.RIGHT_AND_MORE: _more,
    claims.Judgement.ANOTHER: lambda _: (
        "That is right, though it is not the one that I asked about."
    ),
    claims.Judgement.IDLE: lambda _: "That is there, right enough, but nothing goes by it.",
    claims.Judgement.FAILS: _fails,
    claims.Judgement.NOT_SHOWN: lambda _: (
        "I cannot tell from that what you see. Name the cells that it rests on, and what goes: "
        f"{_EXAMPLE}."
    ),
}


def _cells(reply: FindJudged) -> str:
    return join_words(reply.cells)


def _agreed(reply: FindJudged, one: str, many: str) -> str:
    """Return what goes with one cell, or with several."""
    return one if len(reply.cells) == 1 else many


def _digits(reply: FindJudged, last: str = "and") -> str:
    return join_words(tuple(map(str, reply.digits)), last)


def _pairs(reply: FindJudged) -> str:
    pairs = zip(reply.cells, reply.digits, strict=True)
    return join_words(tuple(f"{cell} = {digit}" for cell, digit in pairs))


def _in_house(reply: FindJudged) -> str:
    return f" in {join_words(reply.houses)}" if reply.houses else ""


def _plainly(text: str) -> Callable[[FindJudged], str]:
    return lambda _: text


_REASONS: dict[claims.Condition, Callable[[FindJudged], str]] = {
    claims.Condition.NOT_CLAIMED_BY_CELLS: _plainly(
        "Cells and digits alone do not make that find."
    ),
    claims.Condition.NO_CHAIN: _plainly(
        "A chain needs its steps in order, so tell me what goes by it."
    ),
    claims.Condition.CELL_COUNT: _plainly("That pattern takes a different number of cells."),
    claims.Condition.DIGIT_COUNT: _plainly("That pattern takes a different number of digits."),
    claims.Condition.FILLED: lambda r: (
        f"{capitalise(_cells(r))} already {_agreed(r, 'has', 'have')} a digit."
    ),
    claims.Condition.GIVEN: lambda r: (
        f"{capitalise(_cells(r))} {_agreed(r, 'is a given', 'are givens')}."
    ),
    claims.Condition.LACKS: lambda r: (
        f"{capitalise(_cells(r))} cannot be {_digits(r, 'or')} "
        f"as {_agreed(r, 'it is', 'they are')}."
    ),
    claims.Condition.WRONG_CANDIDATES: lambda r: (
        f"{capitalise(_cells(r))} can be {_digits(r, 'or')}, and that does not fit."
        if len(r.cells) == 1 and r.digits
        else f"That is not what {_cells(r)} can hold."
    ),
    claims.Condition.HOLDS_MORE: lambda r: (
        f"{capitalise(_cells(r))} can also be {_digits(r, 'or')}."
    ),
    claims.Condition.NO_HOUSE: lambda r: (
        f"{capitalise(_cells(r))} do not share the right house for it."
    ),
    claims.Condition.NO_RECTANGLE: _plainly(
        "Those cells are not the corners of a rectangle in two boxes."
    ),
    claims.Condition.LINE_COUNT: _plainly("Those cells lie in too many lines, or too few."),
    claims.Condition.PLACES_LEFT_OUT: lambda r: (
        f"There {_agreed(r, 'is', 'are')} also {_cells(r)}{_in_house(r)}"
        f"{f' for {_digits(r)}' if r.digits else ', still open'}."
    ),
    claims.Condition.HOUSE_COUNT: lambda r: (
        f"That needs a different number of places for {_digits(r)}{_in_house(r)}."
    ),
    claims.Condition.NOT_LINKED: lambda r: f"{capitalise(_cells(r))} are not the only choices.",
    claims.Condition.NOT_SEEN: lambda r: f"{capitalise(_cells(r))} do not see each other.",
    claims.Condition.ODD_RING: _plainly("Those links close a ring that cannot be coloured."),
    claims.Condition.NO_FIN: _plainly("No place is left over, so it has no fin."),
    claims.Condition.FINS_APART: lambda r: f"The fins, {_cells(r)}, do not lie in one box.",
    claims.Condition.OTHER_KIND: _plainly("It is a pattern of its own, but of another kind."),
    claims.Condition.NOT_ALL_CASES: lambda r: f"What if {_pairs(r)}? That case is not covered.",
    claims.Condition.ENDS_APART: _plainly("The two ends do not come to the same thing."),
    claims.Condition.DOES_NOT_FOLLOW: _plainly(""),
    claims.Condition.STILL_POSSIBLE: lambda r: f"They would still allow this: {_pairs(r)}.",
}


# --- the reveal ---


def _reveal_told(reply: RevealTold) -> Message:
    return Message(f"The find of question {reply.number} goes up in the room.")


def _revealed(reply: QuestionRevealed) -> Message:
    return Message(
        paragraphs(
            f"Question {reply.number}: {why(reply.step, reply.picture.position)}",
            _how_many(reply.tried, reply.seen, [clean_name(name) for name in reply.names]),
        )
    )


def _how_many(tried: int, seen: int, names: Sequence[str]) -> str:
    """Say how many tried and saw it, and who of these wishes to be named."""
    if not tried:
        return "Nobody tried this one."
    if tried == 1:
        told = "One member tried, and saw it" if seen else "One member tried"
    else:
        saw = "all of them" if seen == tried else number_word(seen) if seen else "none"
        told = f"{capitalise(number_word(tried))} members tried, and {saw} saw it"
    if not names:
        return f"{told}."
    named = join_words([*names[:_NAMED], *(["others"] if len(names) > _NAMED else [])])
    return f"{told}: {named}." if len(names) >= seen else f"{told}, {named} among them."


_NAMED = 20
"""So many names stand in one line."""

PHRASES: Phrases = {
    QuestionUp: _question_up,
    QuestionPut: _question_put,
    QuestionAhead: _question_ahead,
    FindWanted: _find_wanted,
    FindJudged: _judged,
    NamingTold: _naming,
    NoQuestion: _no_question,
    RevealTold: _reveal_told,
    QuestionRevealed: _revealed,
}

COMMANDS: Commands = {
    "see": CommandWords(
        purpose="Answer the club's question or your practice position, for you alone.",
        example="see r3c6-1 r5c6-1",
        help=(
            "see r3c6-1 r5c6-1 says that 1 goes from those cells; see 149 in r1c6 r2c6 r9c6, or "
            "see naked triple col 6, says what you see. A part will do. I tell you whether it "
            "follows, and you can try as often as you like. see none says that there is none. see "
            "alone opens the form. While a practice position is before you, it is about that one; "
            "see question r3c6-1 still answers the club's question. When the find is shown I name "
            "nobody; who wants to be named says see named, and see unnamed takes that back."
        ),
        options={"find": "What goes, or what you see"},
    ),
    "club ask": CommandWords(
        purpose="Put a question to the club: a position, and what follows there.",
        example="club ask naked-triple",
        help=(
            "club ask naked-triple puts up a position with a naked triple; club ask 2026-11-24 the "
            "place where that day's puzzle turned, once it is over, and club ask alone that of the "
            "latest. Members answer in private. club reveal shows the find; until=20:00, "
            "until=friday or until=friday 20:00 has it shown then, and until=daily at the hour of "
            "the daily puzzle. mark=none marks nothing on the picture, mark=house the house to "
            "look at, mark=pattern all cells of the pattern. For a position of your own paste it "
            "behind that: its digits alone, or each cell's candidates. every=wednesday plans one "
            "for each week, on=friday for one day; it goes up with that day's puzzle, club queue "
            "shows what is planned, and club ask drop wednesday takes it out."
        ),
        options={
            "technique": "What the question is about",
            "until": "When I show the find: 20:00, friday, friday 20:00, daily",
            "every": "Each week, on this day",
            "on": "Once, on a day to come: wednesday, 2026-12-02",
            "sure": "Even about a puzzle that is still to come",
            "plan": "Take the planned question of that day out",
            "grid": "A position of your own: digits, or the candidates of each cell",
            "mark": "What is marked: nothing, the house to look at, or the whole pattern",
        },
    ),
    "club reveal": CommandWords(
        purpose="Show the find of the club's question, and how many saw it.",
        example="club reveal",
        help="club reveal shows the find in the room, why it holds, and how many members saw it.",
    ),
}
