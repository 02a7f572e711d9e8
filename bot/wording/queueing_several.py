"""Words on several puzzles that were queued at once: one line for each, in their order."""

from __future__ import annotations

from bot.club.replies import InputRefused, PuzzleQueued, PuzzlesQueued, QueueAsked
from bot.platforms.message import Button, Message
from bot.wording.buttons import Phrases
from bot.wording.planning import QUEUE, needs_words
from bot.wording.prose import paragraphs
from bot.wording.queueing import (
    queue_form,
    queued_when,
    sure_line,
    tell_findings,
    tell_mismatch,
)
from bot.wording.refusals import tell_problem

MOST_ASKED = 3
"""Of so many it is asked by buttons; more of them are queued one by one, with `sure`."""


def _outcome(outcome: PuzzleQueued | QueueAsked | InputRefused) -> str:
    if isinstance(outcome, InputRefused):
        return f"not queued. {tell_problem(outcome)}"
    if isinstance(outcome, QueueAsked):
        return f"not queued yet. {tell_mismatch(outcome)}"
    return (
        f"queued {queued_when(outcome)}: level {outcome.level}, {needs_words(outcome.needs)}; "
        f"effort {outcome.effort:g}. {tell_findings(outcome.findings)}"
    )


def _puzzles_queued(reply: PuzzlesQueued) -> Message:
    lines = [f"{number}. {_outcome(each)}" for number, each in enumerate(reply.outcomes, start=1)]
    refused = [each.typed for each in reply.outcomes if isinstance(each, InputRefused)]
    left = "\n".join(refused)
    queued = sum(isinstance(each, PuzzleQueued) for each in reply.outcomes)
    asked = [
        Button(f"Queue number {number} all the same", sure_line(each))
        for number, each in enumerate(reply.outcomes, start=1)
        if isinstance(each, QueueAsked)
    ]
    return Message(
        text=paragraphs(
            f"{queued} of {len(lines)} puzzles {'is' if queued == 1 else 'are'} queued.",
            "\n".join(lines),
            "The ones I refused are below, for you to put right." if refused else "",
        ),
        code=left,
        buttons=(*asked[:MOST_ASKED], QUEUE, Button("See the coming days", "club preview")),
        form=queue_form(left) if left else None,
    )


PHRASES: Phrases = {PuzzlesQueued: _puzzles_queued}
