"""Words for hints: offering them, each rung with its cost, mistakes first, and what cannot be told.

The rung's own words come from `rungs`; nothing here may add to them anything about the step.
"""

from __future__ import annotations

from dataclasses import replace

from bot.club.replies import (
    HelpShown,
    HintNotThere,
    HintOffered,
    HintShown,
    HintStuck,
    KnownNoted,
    MistakeShown,
    NoHintUnderWay,
)
from bot.platforms.message import Button, Message
from bot.wording.buttons import (
    AS_BOARD,
    BOARD,
    HAND_IN,
    HINT,
    ON_PAPER,
    PHOTO,
    UNDO,
    Phrases,
    known_button,
    more_button,
    next_button,
)
from bot.wording.charges import charge_sentence, costs_sentence
from bot.wording.explaining import Commands, CommandWords
from bot.wording.photo import offer_photos
from bot.wording.prose import capitalise, join_words, number_word, paragraphs, sentences
from bot.wording.rungs import RUNGS, rung_text

_LAST_RUNG = len(RUNGS)
_WHAT_RUNG, _WHICH_RUNG = RUNGS.index("what") + 1, RUNGS.index("which") + 1


def _hint_offered(reply: HintOffered) -> Message:
    if reply.is_published:
        question = (
            "Your board here is still as the puzzle was published. Is that where you are, "
            "or do you have more on paper?"
        )
        first = Button("From my board", "hint board sure")
        buttons: tuple[Button, ...] = (ON_PAPER, PHOTO, first)
    else:
        question = "Where are you? I start from your board here, or from what you have on paper."
        buttons = (AS_BOARD, ON_PAPER, PHOTO)
    going = ""
    if reply.in_progress:
        going = f"You have a hint under way, at rung {reply.in_progress} of {_LAST_RUNG}."
        rung = min(reply.in_progress + 1, _LAST_RUNG)
        go_on = more_button("Go on with that hint", reply.number, rung)
        buttons = (*buttons, replace(go_on, is_main=False))
    return Message(
        text=paragraphs(sentences(question, going), costs_sentence(reply.costs)), buttons=buttons
    )


def tell_rung(reply: HintShown) -> Message:
    """Say what a rung tells, with the buttons that lead on, and nothing of what it cost."""
    title = f"{capitalise(RUNGS[reply.rung - 1])}, rung {reply.rung} of {_LAST_RUNG}."
    kept = "This is the hint you were on; it still holds." if reply.is_kept else ""
    buttons: list[Button] = []
    if reply.rung < _LAST_RUNG:
        label, rung = f"More: {capitalise(RUNGS[reply.rung])}", reply.rung + 1
        buttons.append(more_button(label, reply.number, rung, reply.next_cost))
    known_from = _WHICH_RUNG if reply.step.places else _WHAT_RUNG
    if known_from <= reply.rung < _LAST_RUNG:
        buttons.append(known_button(reply.number, reply.known_cost))
    if reply.rung == _LAST_RUNG:
        buttons.append(next_button("Another hint", reply.number))
    text = rung_text(reply.rung, reply.step, reply.position)
    return Message(text=paragraphs(sentences(title, kept), text), buttons=tuple(buttons))


def _hint_shown(reply: HintShown) -> Message:
    return _with_charge(tell_rung(reply), reply, BOARD)


def _with_charge(message: Message, reply: HintShown | MistakeShown, *buttons: Button) -> Message:
    cost = charge_sentence(reply.seconds, reply.total)
    return Message(paragraphs(message.text, cost), buttons=(*message.buttons, *buttons))


def phrase_echo() -> Message:
    """Return the words that go with the picture of a pasted grid, before its hint."""
    return Message(
        text="I read your grid like this, and keep it as your board. If something is off, Undo "
        "brings your old board back.",
        buttons=(UNDO,),
    )


def _hint_stuck(reply: HintStuck) -> Message:
    return Message(
        text="I find no next step here, not with any technique I know up to level "
        f"{reply.highest_level}, so I will not pretend to know. Nothing was added to your time.",
        buttons=(BOARD, HAND_IN),
    )


def _hint_not_there(reply: HintNotThere) -> Message:
    place = f" in {reply.house}" if reply.house else ""
    cell = f" at {reply.cell}" if reply.cell else ""
    digit = f" for digit {reply.digit}" if reply.digit else ""
    about = " ".join(
        filter(None, (reply.cell, reply.house, f"for {reply.digit}" if reply.digit else None))
    )
    return Message(
        text=f"I find nothing to start from{cell}{place}{digit} just now, so I would have to look "
        "elsewhere. Nothing was added to your time; a hint from elsewhere costs as usual.",
        buttons=(
            Button("Look elsewhere", f"hint {about} anywhere", is_main=True),
            Button("Hint from the whole board", "hint board"),
            ON_PAPER,
        ),
    )


def _tell_mistakes(kind: str, count: int) -> str:
    number = number_word(count)
    if kind == "ruled-out":
        struck = f"{number} candidates" if count > 1 else "a candidate"
        return f"you ruled out {struck} that the solution needs"
    if count > 1:
        return f"{number} of the digits you wrote do not fit the solution"
    return "one of the digits you wrote does not fit the solution"


def tell_mistake(reply: MistakeShown) -> Message:
    """Say what was found of a mistake, as `tell_rung` does of a step."""
    what = _tell_mistakes(reply.kind, reply.count)
    if reply.cell is not None:
        place = (
            f"{'One of them' if reply.count > 1 else 'It'} is in {reply.cell}, in a dashed frame."
        )
    elif reply.region is not None:
        place = f"Look in {reply.region}."
    else:
        place = ""
    buttons: list[Button] = []
    if reply.next_cost is not None:
        label = "Roughly where?" if reply.rung == 1 else "Which cell?"
        buttons.append(more_button(label, reply.number, reply.rung + 1, reply.next_cost))
    else:
        buttons.append(HINT)
    return Message(sentences(f"Before any hint: {what}.", place), buttons=tuple(buttons))


def _mistake_shown(reply: MistakeShown) -> Message:
    return _with_charge(tell_mistake(reply), reply, UNDO, BOARD)


def _known_noted(reply: KnownNoted) -> Message:
    if not reply.is_recorded:
        return Message(
            text="This hint has not said yet which step it means, so I cannot count it as known. "
            "If you know a step there, write it on your board, with place or rule-out, and ask "
            "again.",
            buttons=(more_button("More", reply.number, reply.rung + 1), BOARD),
        )
    return Message(
        text=paragraphs(
            sentences(
                "Noted: you know this step, so later hints on this puzzle build on it.",
                _on_board("I wrote it on your board", reply.placed),
                _on_board("I ruled out on your board what it rules out", reply.struck),
            ),
            charge_sentence(reply.seconds, reply.total) if reply.seconds else "",
        ),
        buttons=(next_button("Next hint", reply.number, is_main=True), UNDO, BOARD),
    )


def _on_board(what: str, marks: tuple[tuple[str, int], ...]) -> str:
    written = join_words(f"{digit} in {cell}" for cell, digit in marks)
    return f"{what}: {written}." if marks else ""


def _no_hint_under_way(reply: NoHintUnderWay) -> Message:
    return Message(
        text="No hint is under way, or your board has moved past it. Ask for a new one.",
        buttons=(HINT, BOARD),
    )


def _hint_help(reply: HelpShown) -> str:
    return paragraphs(
        "hint helps from exactly where you are. It asks whether your board here is up to date or "
        "you have more on paper; then it tells as little as will help, one rung at a time: Where "
        "to look, What to look for, Which cells, and Why. Press More for the next rung.",
        f"{costs_sentence(reply.costs)} Reading a rung again is free. If there is a mistake on "
        "your board, I say so before any new rung, and that costs too: nothing that is free ever "
        "tells you whether your digits are right.",
        "Narrow it: hint box 5, hint row 2, hint for 7, hint r4c5. If you know the step already, "
        "rule out what it rules out, which is free; or press I know that already, and I put it on "
        "your board, at the price of the rungs that would have told you.",
        offer_photos("hint") if reply.reads_photos else "",
    )


PHRASES: Phrases = {
    HintNotThere: _hint_not_there,
    HintOffered: _hint_offered,
    HintShown: _hint_shown,
    HintStuck: _hint_stuck,
    KnownNoted: _known_noted,
    MistakeShown: _mistake_shown,
    NoHintUnderWay: _no_hint_under_way,
}

COMMANDS: Commands = {
    "hint": CommandWords(
        purpose="Get a nudge from where you are.",
        example="hint box 5",
        help=_hint_help,
        overview=("hint", "a nudge from where you are"),
        options={
            "way": "Where you stand; leave it out to be asked",
            "about": "Narrow it to a house, a digit or a cell",
        },
    ),
    "check": CommandWords(
        purpose="Ask whether your board is right so far.",
        example="check",
        help=(
            "check says whether everything on your board is right so far. It adds a little to "
            "your time and does not say where a mistake is; a hint does that."
        ),
        overview=("check", "is my board right so far?"),
    ),
}
