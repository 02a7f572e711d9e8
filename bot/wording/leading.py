"""Words for leaders: settings, the queue, posting, the report, rulings, and who is told what."""

from __future__ import annotations

from datetime import datetime

from bot.chat.message import Button, Message
from bot.club.replies import (
    ClubShown,
    LeadersOnly,
    PauseSet,
    PostAsked,
    PuzzlePreviewed,
    PuzzleQueued,
    QueueShown,
    ReportShown,
    ResultFlagged,
    ResultRuled,
    RulingTold,
)
from bot.wording.buttons import HELP, Phrases
from bot.wording.menus import settings_menus
from bot.wording.prose import clean_name, clean_text, join_words, paragraphs, sentences
from bot.wording.techniques import technique_name
from bot.wording.times import format_date, format_full_date, format_length, format_moment

SMALL_GROUP = 3
"""Below so many members a report names no number that could point at one of them."""

_REASON_LIMIT = 200

_BEGIN = Button("Begin", "club pause off", is_main=True)


def _next(next_at: datetime | None, zone: str) -> str:
    if next_at is None:
        return "No next puzzle is planned."
    return f"The next puzzle goes up {format_moment(next_at, zone)}."


def _leaders_only(reply: LeadersOnly) -> Message:
    return Message(
        text=f"“{clean_text(reply.command, 40)}” is for the club's leaders. Ask one of them, or "
        "see what you can do here.",
        buttons=(HELP,),
    )


def _club_shown(reply: ClubShown) -> Message:
    changed = f"Changed: {join_words(reply.changed)}." if reply.changed else ""
    settings = [f"{name}: {clean_text(value, 80)}" for name, value in reply.settings]
    stores = f"{reply.queued} queued, {reply.stock} more in stock."
    return Message(
        text=paragraphs(
            changed,
            "\n".join(["The club's settings:", *settings]),
            sentences(_next(reply.next_at, reply.zone), stores),
            "Change one like this, or several at once: club setup post-time=18:30",
        ),
        buttons=(
            Button("See the next puzzle", "club preview", is_main=True),
            *((_BEGIN,) if reply.next_at is None else ()),
            Button("Report", "club report"),
            Button("Queue", "club queue"),
        ),
        menus=settings_menus(reply.settings),
    )


def _puzzle_previewed(reply: PuzzlePreviewed) -> Message:
    credit = f"Credit: {clean_text(reply.credit, 80)}." if reply.credit else ""
    waits = "The club is on a break; it goes up once you begin." if reply.next_at is None else ""
    return Message(
        text=paragraphs(
            f"The puzzle for {format_full_date(reply.date)}: level {reply.level}, "
            f"{_needs(reply.needs)}. Only you see it.",
            sentences(credit, waits or _next(reply.next_at, reply.zone)),
        ),
        buttons=(
            *((_BEGIN,) if reply.next_at is None else ()),
            Button("Settings", "club setup"),
            Button("Post it now", "club post-now"),
        ),
    )


def _needs(needs: tuple[str, ...]) -> str:
    if not needs:
        return "needs singles only"
    return f"needs {join_words(technique_name(name) for name in needs)}"


def _puzzle_queued(reply: PuzzleQueued) -> Message:
    when = (
        f"for {format_full_date(reply.day)}"
        if reply.day
        else f"as number {reply.place} in the queue"
    )
    return Message(
        text=f"Queued {when}: level {reply.level}, {_needs(reply.needs)}.",
        buttons=(Button("Queue", "club queue"),),
    )


def _queue_shown(reply: QueueShown) -> Message:
    if not reply.waiting:
        return Message(
            text="The queue is empty: days are filled from stock. "
            "Queue one with its 81 digits after: club queue",
        )
    lines = [
        f"{number}. {format_full_date(day) if day else 'next free day'}: "
        f"level {level}, {_needs(needs)}"
        for number, (day, level, needs) in enumerate(reply.waiting, start=1)
    ]
    return Message(text="\n".join(["Waiting in the queue:", *lines]))


def _post_asked(reply: PostAsked) -> Message:
    if reply.already:
        return Message(text=f"The puzzle of {format_date(reply.date)} is up already; one a day.")
    return Message(text=f"The puzzle of {format_date(reply.date)} goes up now.")


def _pause_set(reply: PauseSet) -> Message:
    if reply.on:
        return Message(
            text="The club is on a break: no puzzle goes up until you end it. "
            "What is open now stays open until it closes.",
            buttons=(Button("End the break", "club pause off"),),
        )
    return Message(text=f"The break is over. {_next(reply.next_at, reply.zone)}")


_FLAGS = {"quick": "faster than anyone is likely to write"}


def _stair(average_tenths: int) -> str:
    return f"on average to rung {average_tenths / 10:.1f} of 4"


def _report_shown(reply: ReportShown) -> Message:
    median = f"median {format_length(reply.median)} adjusted" if reply.median is not None else ""
    counts = [f"{reply.started} started", f"{reply.finished} finished"]
    if reply.late:
        counts.append(f"{reply.late} late")
    if median:
        counts.append(median)
    asked = [
        f"{technique_name(name)}: asked by {members}, {_stair(average)}"
        for name, members, average in reply.techniques
    ]
    if reply.picture is not None:
        stuck = f"The commonest stuck position is in the picture: {reply.stuck_count} were there."
    else:
        stuck = "No stuck position was shared by three or more, so none is shown."
    flagged = [
        f"{clean_name(name)}: {format_length(raw)}, {_FLAGS.get(reason, reason)}"
        for name, raw, reason in reply.flagged
    ]
    waiting = (
        "\n".join(
            ["Waiting for your ruling (accept, unrank or restore, with a reason):", *flagged,
             f"Example: club result {clean_name(reply.flagged[0][0])} accept seen solving it"]
        )
        if flagged
        else ""
    )  # fmt: skip
    return Message(
        text=paragraphs(
            f"Report on {format_full_date(reply.date)}: {', '.join(counts)}.",
            "\n".join(["Hints:", *asked]) if asked else "Nobody asked for a hint.",
            stuck,
            waiting,
        )
    )


_VERDICTS = {
    "ranked": "in the ranking",
    "flagged": "waiting for a ruling",
    "accepted": "accepted, and ranks",
    "unranked": "kept, but outside the ranking",
}


def _result_ruled(reply: ResultRuled) -> Message:
    rank = f" Rank: {reply.rank}." if reply.rank is not None else ""
    return Message(
        text=f"{clean_name(reply.member)}'s result of {format_date(reply.date)} is "
        f"{_VERDICTS[reply.verdict]}.{rank} The reason goes to them: "
        f"{clean_text(reply.reason, _REASON_LIMIT)}"
    )


def _result_flagged(reply: ResultFlagged) -> Message:
    name, date = clean_name(reply.name), reply.date.isoformat()
    return Message(
        text=paragraphs(
            f"{name} solved the puzzle of {format_date(reply.date)} in {format_length(reply.raw)}, "
            "which is quicker than the club takes for likely. It does not rank until you say so.",
            f"For example: club result {name} accept {date} I saw it done. "
            "Or unrank in place of accept. The reason is told to the member.",
        ),
        buttons=(Button("Report", f"club report {date}"),),
    )


def _ruling_told(reply: RulingTold) -> Message:
    return Message(
        text=f"A leader has looked at your result of {format_date(reply.date)}: it is "
        f"{_VERDICTS[reply.verdict]}. The reason: {clean_text(reply.reason, _REASON_LIMIT)}"
    )


PHRASES: Phrases = {
    ClubShown: _club_shown,
    LeadersOnly: _leaders_only,
    PauseSet: _pause_set,
    PostAsked: _post_asked,
    PuzzlePreviewed: _puzzle_previewed,
    PuzzleQueued: _puzzle_queued,
    QueueShown: _queue_shown,
    ReportShown: _report_shown,
    ResultRuled: _result_ruled,
    ResultFlagged: _result_flagged,
    RulingTold: _ruling_told,
}
