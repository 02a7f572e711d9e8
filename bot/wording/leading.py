"""Words for leaders: settings, posting, the report, rulings, and who is told what."""

from __future__ import annotations

from datetime import date, datetime

from bot.club.replies import (
    ClockDoubted,
    ClubBegun,
    ClubShown,
    DayWithdrawn,
    LeadersOnly,
    PauseSet,
    PostAsked,
    PostWithdrawn,
    ReportShown,
    ResultFlagged,
    ResultRuled,
    RulingTold,
    WithdrawalAsked,
)
from bot.platforms.message import BUTTON_COMMAND_LIMIT, Button, Message
from bot.wording.buttons import HELP, Phrases
from bot.wording.explaining import Commands, CommandWords
from bot.wording.menus import leader_pickers, settings_menus
from bot.wording.planning import BEGIN, PLAN, QUEUE, next_post
from bot.wording.prose import (
    NAME_LIMIT,
    clean_name,
    clean_text,
    count_of,
    join_words,
    opening_name,
    paragraphs,
    sentences,
)
from bot.wording.rights import tell_lacks
from bot.wording.settings import tell_settings
from bot.wording.techniques import technique_name
from bot.wording.times import format_date, format_full_date, format_length, format_moment

MORE_SETTINGS = Button("More settings", "club setup more")

_REASON_LIMIT = 200


def _leaders_only(reply: LeadersOnly) -> Message:
    return Message(
        text=f"“{clean_text(reply.command, 40)}” is for the club's leaders. Ask one of them, or "
        "see what you can do here.",
        buttons=(HELP,),
    )


def _club_shown(reply: ClubShown) -> Message:
    changed = f"Changed: {join_words(reply.changed)}." if reply.changed else ""
    named = None if reply.shows_all else reply.changed
    waits = "The club is on a break; the next puzzle goes up once you begin."
    following = next_post(reply.next_at, reply.zone) if reply.next_at else waits
    stores = f"{reply.queued} queued, {reply.stock} more in stock."
    return Message(
        text=paragraphs(
            changed,
            tell_settings(reply.settings, named),
            sentences(following, stores),
            _ahead(reply.ahead),
            _closing_moved(reply.closing_moved, reply.zone),
            tell_lacks(reply.lacks),
            "Change one like this, or several at once: club setup post-time=18:30",
        ),
        buttons=(
            Button("See the next puzzle", "club preview 1", is_main=True),
            *((BEGIN,) if reply.next_at is None else ()),
            *_take_back_buttons(reply.ahead),
            PLAN,
            Button("Report", "club report"),
            QUEUE,
            *(() if reply.shows_all else (MORE_SETTINGS,)),
        ),
        menus=settings_menus(reply.settings),
        pickers=leader_pickers(reply.settings)
        if reply.shows_all or "leaders" in reply.changed
        else (),
    )


def _club_begun(reply: ClubBegun) -> Message:
    if reply.next_at is None:
        first = "The club is on a break, and has had no puzzle yet."
    else:
        first = (
            f"The first one goes up {format_moment(reply.next_at, reply.zone)}. Until then, press "
            "Help to see how it works."
        )
    return Message(
        text=f"Welcome to {clean_text(reply.club, NAME_LIMIT)}. A puzzle goes up here each day, "
        f"and I give hints on it, as small as you like, and check your answers. {first}",
        buttons=(HELP, Button("For leaders: settings", "club setup")),
    )


def _post_asked(reply: PostAsked) -> Message:
    day = format_date(reply.date)
    if reply.already:
        state = f"The puzzle for {day} is already up, and there is only one a day."
    elif reply.lacks.rights:
        state = f"The puzzle for {day} goes up as soon as I am allowed to put it up."
    elif reply.waiting:
        state = f"The puzzle for {day} is on its way; it goes up as soon as the room takes it."
    else:
        state = f"The puzzle for {day} goes up now."
    return Message(
        text=paragraphs(state, tell_lacks(reply.lacks), _ahead(reply.ahead)),
        buttons=_take_back_buttons(reply.ahead),
    )


def _ahead(on_date: date | None) -> str:
    """Say that a later date has its puzzle already, and what follows from it."""
    if on_date is None:
        return ""
    return (
        f"The puzzle for {format_full_date(on_date)} went up before its time, and no other goes up "
        "by itself until that day is over. You can take it back."
    )


def _closing_moved(closes_at: datetime | None, zone: str) -> str:
    if closes_at is None:
        return ""
    return f"The open puzzle now closes {format_moment(closes_at, zone)}; its post says so too."


def _take_back_buttons(on_date: date | None) -> tuple[Button, ...]:
    if on_date is None:
        return ()
    return (Button("Take it back", f"club withdraw {on_date.isoformat()}"),)


def _withdrawal_asked(reply: WithdrawalAsked) -> Message:
    have = "has" if reply.members == 1 else "have"
    command = " ".join(filter(None, ("club withdraw", reply.date.isoformat(), reply.mark, "sure")))
    return Message(
        text=f"{count_of(reply.members, 'member')} {have} started the puzzle for "
        f"{format_full_date(reply.date)}. If you take it back, their boards, times and results on "
        "it will be gone. Shall I?",
        buttons=(Button("Yes, take it back", command),),
    )


def _day_withdrawn(reply: DayWithdrawn) -> Message:
    gone = " What members had done on it is gone." if reply.members else ""
    return Message(
        text=f"The puzzle for {format_full_date(reply.date)} has been taken back, and its post "
        f"says so.{gone} It will not come up again by itself. "
        f"{next_post(reply.next_at, reply.zone)}"
    )


def _post_withdrawn(reply: PostWithdrawn) -> Message:
    return Message(
        text=f"The puzzle for {format_full_date(reply.date)} came too early, and a leader took it "
        "back. Another goes up on the day."
    )


def _clock_doubted(reply: ClockDoubted) -> Message:
    return Message(
        text=f"My clock has suddenly jumped to {format_moment(reply.at, reply.zone)}. In case that "
        "is wrong, I will wait a few minutes before I do this. Please try again then."
    )


def _pause_set(reply: PauseSet) -> Message:
    if reply.on:
        return Message(
            text="The club is on a break: no puzzle goes up until you end it. "
            "What is open now stays open until it closes.",
            buttons=(Button("End the break", "club pause off"),),
        )
    if reply.has_posted or reply.next_at is None:
        return Message(text=f"The break is over. {next_post(reply.next_at, reply.zone)}")
    first = format_moment(reply.next_at, reply.zone)
    return Message(
        text=f"The club begins. Its first puzzle goes up {first}; club preview 1 shows it to you "
        "now, and club post-now puts it up at once.",
        buttons=(Button("Settings", "club setup"),),
    )


_FLAGS = {"quick": "faster than anyone is likely to write it down"}


def _stair(average_tenths: int) -> str:
    return f"on average up to rung {average_tenths / 10:.1f} of 4"


_UNRANKED = {
    "": "",
    "flagged": ", waits for your ruling",
    "late": ", late",
    "unranked": ", outside the ranking",
}


def _who_took_part(reply: ReportShown) -> list[str]:
    """Name who finished, with their times, and who started and has not finished."""
    finished = [
        f"{clean_name(name)} ({format_length(adjusted)}{_UNRANKED[why]})"
        for name, adjusted, why in reply.finishers
    ]
    started = [clean_name(name) for name in reply.starters]
    return [
        *([f"Finished: {join_words(finished)}."] if finished else ()),
        *([f"Started, not finished: {join_words(started)}."] if started else ()),
    ]


def _practised(reply: ReportShown) -> str:
    rows = [
        f"{technique_name(name)}: {weak} of the {count} who practise it still need help"
        for name, weak, count in reply.practised
    ]
    return "\n".join(["Practice:", *rows]) if rows else ""


def _report_shown(reply: ReportShown) -> Message:
    median = f"median {format_length(reply.median)} adjusted" if reply.median is not None else ""
    counts = [f"{reply.started} started", f"{reply.finished} finished"]
    if reply.late:
        counts.append(f"{reply.late} late")
    if median:
        counts.append(median)
    asked = [
        f"{technique_name(name)}: {members} asked, {_stair(average)}"
        for name, members, average in reply.techniques
    ]
    if reply.picture is not None:
        stuck = (
            "The picture shows where most got stuck: "
            f"{reply.stuck_count} members asked for help from there."
        )
    else:
        stuck = "No stuck position was shared by three or more, so none is shown."
    flagged = [
        f"{opening_name(name)}: {format_length(raw)}, {_FLAGS.get(reason, reason)}"
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
    hints = "Nobody asked for a hint."
    if reply.is_small:
        hints = "Fewer than three took part, so I don't say which hints were asked for."
    return Message(
        text=paragraphs(
            f"Report on {format_full_date(reply.date)}: {', '.join(counts)}.",
            "\n".join(_who_took_part(reply)),
            "\n".join(["Hints:", *asked]) if asked else hints,
            stuck,
            _practised(reply),
            waiting,
        )
    )


_VERDICTS = {
    "ranked": "in the ranking",
    "flagged": "waiting for a ruling",
    "accepted": "accepted, and counts in the ranking",
    "unranked": "kept, but outside the ranking",
}


def _standing(verdict: str, *, is_late: bool) -> str:
    if is_late and verdict != "unranked":
        return "kept as a late answer, which does not rank"
    return _VERDICTS[verdict]


def _result_ruled(reply: ResultRuled) -> Message:
    rank = f" Rank: {reply.rank}." if reply.rank is not None else ""
    return Message(
        text=f"{opening_name(reply.member)}'s result for {format_date(reply.date)} is "
        f"{_standing(reply.verdict, is_late=reply.is_late)}.{rank} I will tell them your reason: "
        f"{clean_text(reply.reason, _REASON_LIMIT)}"
    )


def _result_flagged(reply: ResultFlagged) -> Message:
    name, date = opening_name(reply.name), reply.date.isoformat()
    return Message(
        text=paragraphs(
            f"{name} solved the puzzle for {format_date(reply.date)} in "
            f"{format_length(reply.raw)}, which is faster than the club expects. It does "
            "not rank until you say so.",
            f"For example: club result {name} accept {date} I saw it done. Use unrank instead of "
            "accept to keep it out of the table. I will tell the member your reason.",
        ),
        buttons=(*_ruling_buttons(reply.name, date), Button("Report", f"club report {date}")),
    )


def _ruling_buttons(name: str, date: str) -> tuple[Button, ...]:
    """Return the buttons that rule at once, where the name can stand in a command."""
    rulings = (("Accept it", "accept", "looks right"), ("Leave it out", "unrank", "too fast"))
    buttons = [
        Button(label, f"club result {name} {verdict} {date} {reason}")
        for label, verdict, reason in rulings
    ]
    fit = all(len(each.command) <= BUTTON_COMMAND_LIMIT for each in buttons)
    return tuple(buttons) if fit and name == clean_name(name) else ()


def _ruling_told(reply: RulingTold) -> Message:
    standing = _standing(reply.verdict, is_late=reply.is_late)
    return Message(
        text=f"A leader has looked at your result for {format_date(reply.date)}: it is {standing}. "
        f"The reason: {clean_text(reply.reason, _REASON_LIMIT)}"
    )


PHRASES: Phrases = {
    ClockDoubted: _clock_doubted,
    DayWithdrawn: _day_withdrawn,
    PostWithdrawn: _post_withdrawn,
    WithdrawalAsked: _withdrawal_asked,
    ClubBegun: _club_begun,
    ClubShown: _club_shown,
    LeadersOnly: _leaders_only,
    PauseSet: _pause_set,
    PostAsked: _post_asked,
    ReportShown: _report_shown,
    ResultRuled: _result_ruled,
    ResultFlagged: _result_flagged,
    RulingTold: _ruling_told,
}

COMMANDS: Commands = {
    "club post-now": CommandWords(
        purpose="Post today's puzzle before its time.",
        example="club post-now",
        help="club post-now posts today's puzzle before its time, once. If somebody deleted its "
        "post, it goes up anew.",
    ),
    "club withdraw": CommandWords(
        purpose="Take back a puzzle that went up before its time.",
        example="club withdraw 2026-11-30",
        help=(
            "club withdraw takes back a puzzle that went up before its time: because somebody "
            "posted it by hand too soon, or because the machine's clock was wrong. Its post then "
            "says so. What members have done on it will be gone, so I ask first if there is any. "
            "It will not come up again by itself; another goes up on the day. If several are up "
            "early, name the date: club withdraw 2026-11-30"
        ),
        options={"sure": "Even if members have taken part"},
    ),
    "club pause": CommandWords(
        purpose="Stop posting puzzles; off starts again.",
        example="club pause off",
        help=(
            "club pause stops the daily puzzle, for a holiday, say; club pause off starts it "
            "again. A puzzle that is open stays open until it closes."
        ),
        options={"switch": "off ends the break"},
    ),
    "club report": CommandWords(
        purpose="See who started and finished, and where the club was stuck.",
        example="club report 2026-11-24",
        help=(
            "club report tells you how a day went: who started and finished, which techniques "
            "people asked for help with and how much they took, and where most members got stuck. "
            "It never says who asked for which hint. It also names the techniques that three "
            "members or more need help with in practice. club report alone shows the last day that "
            "anyone took part in; name a day for another. Example: club report 2026-11-24"
        ),
    ),
    "club result": CommandWords(
        purpose="Accept, unrank or restore a member's result, and tell them why.",
        example="club result Anna accept Solved it on paper at the meeting",
        help=(
            "club result rules on a result: accept one that was held for being very fast, unrank "
            "one, or restore it. The member is told your reason. Example: club result Robin "
            "accept Solved it at our meeting"
        ),
        options={
            "member": "Whose result",
            "verdict": "What becomes of it",
            "reason": "Told to the member, such as Solved it on paper",
        },
    ),
}
