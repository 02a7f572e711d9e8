"""Words on several puzzles that were queued at once: one line for each, in their order."""

from __future__ import annotations

from bot.club.replies import InputRefused, PuzzleQueued, PuzzlesQueued, QueueAsked
from bot.platforms.message import Button, Form, Message
from bot.wording.buttons import Phrases
from bot.wording.planning import QUEUE, needs_words
from bot.wording.prose import paragraphs
from bot.wording.queueing import (
    queue_form,
    queued_when,
    say_sure,
    sure_form,
    tell_findings,
    tell_mismatch,
)
from bot.wording.refusals import tell_problem


def _outcome(outcome: PuzzleQueued | QueueAsked | InputRefused) -> str:
    if isinstance(outcome, InputRefused):
        return f"not queued. {tell_problem(outcome)}"
    if isinstance(outcome, QueueAsked):
        return f"not queued yet. {tell_mismatch(outcome)}"
    return (
        f"queued {queued_when(outcome)}: level {outcome.level}, {needs_words(outcome.needs)}; "
        f"effort {outcome.effort:g}. {tell_findings(outcome.findings)}"
    )


def _form(asked: list[QueueAsked], left: str, *, only_asked: bool) -> Form:
    if not asked or not only_asked:
        return queue_form(left)
    return sure_form(left, asked[0].wait_level, asked[0].credit)


def _puzzles_queued(reply: PuzzlesQueued) -> Message:
    lines = [f"{number}. {_outcome(each)}" for number, each in enumerate(reply.outcomes, start=1)]
    refused = [each.typed for each in reply.outcomes if not isinstance(each, PuzzleQueued)]
    asked = [each for each in reply.outcomes if isinstance(each, QueueAsked)]
    left, queued = "\n".join(refused), len(lines) - len(refused)
    return Message(
        text=paragraphs(
            f"{queued} of {len(lines)} puzzles {'is' if queued == 1 else 'are'} queued.",
            "\n".join(lines),
            "Those that are not stand below, to be mended." if refused else "",
            say_sure(asked[0].wait_level) if asked else "",
        ),
        code=left,
        buttons=(QUEUE, Button("See the coming days", "club preview")),
        form=_form(asked, left, only_asked=len(asked) == len(refused)) if left else None,
    )


PHRASES: Phrases = {PuzzlesQueued: _puzzles_queued}
