"""Decisions on answers, handed in or said in the open room: scene in, reply and changes out."""

from __future__ import annotations

from bot.club import notices
from bot.club.acts import Event, HandIn, Talk
from bot.club.answers import Attempt, choose_attempt, hand_in, spoken_answer
from bot.club.deciding import Decision, is_after, no_puzzle, saving
from bot.club.refusal import RefusedError
from bot.club.replies import DayUnknown, TalkHeard
from bot.club.saying import known_days
from bot.club.showing import fresh_entry
from bot.club.state import Scene
from bot.club.wider import Wider


def days_to_answer(
    scene: Scene, event: Event, wider: Wider, act: HandIn | Talk
) -> tuple[Attempt, ...]:
    """Return the days that an answer may be for, the newest first; just the named one.

    What is said of a closed day's puzzle is talk: everybody may know it.
    """
    if isinstance(act, HandIn) and act.day is not None:
        if wider.named is None:
            raise RefusedError(DayUnknown(date=act.day))
        days = [(wider.named, wider.named_entry)]
    else:
        pairs = ((scene.today, scene.entry), (scene.earlier, scene.earlier_entry))
        days = [
            (day, entry)
            for day, entry in pairs
            if day is not None and (isinstance(act, HandIn) or event.acted_at < day.closes_at)
        ]
    return tuple(
        Attempt(day, entry or fresh_entry(day, scene.came_back), wider.results_on(day))
        for day, entry in days
    )


def spoken_in(scene: Scene, event: Event, act: Talk) -> str | None:
    """Return the answer that was said in the open room, None for plain talk."""
    if not event.in_open:
        return None
    return spoken_answer(act.text, known_days(scene), event.acted_at)


def decide_answer(scene: Scene, event: Event, act: HandIn | Talk, wider: Wider) -> Decision:
    """Judge an answer; the first right one is told to the room, without the answer."""
    club, attempts = scene.club, days_to_answer(scene, event, wider, act)
    text = spoken_in(scene, event, act) if isinstance(act, Talk) else act.text
    if text is None:
        return Decision(TalkHeard(), is_kept=False)
    if not attempts:
        raise RefusedError(no_puzzle(scene, event))
    attempt = choose_attempt(text, attempts, event.acted_at)
    handed = hand_in(
        attempt,
        text,
        event.acted_at,
        club.settings,
        name=event.name.strip() or event.user_id,
        earlier=wider.results_of(scene.member),
    )
    if handed.entry == attempt.entry:
        return Decision(handed.reply)
    changes = list(saving(scene.member, event, handed.entry))
    if attempt.entry.finished_at is not None:
        changes += notices.result_retold(
            club, attempt.day, event.user_id, wider.entries, handed.entry, wider.leaders
        )
    elif handed.result is not None:
        results = (*attempt.results, handed.result)
        by_then = [each for each in results if not is_after(each, event)]
        if not handed.result.is_late:
            changes.append(
                notices.member_solved(club, attempt.day, event.user_id, handed.result, by_then)
            )
        if len(by_then) < len(results):
            changes += notices.places_overtaken(
                club, attempt.day, wider.entries, event.user_id, handed.entry
            )
        if handed.result.verdict == "flagged":
            changes += notices.result_flagged(
                club, attempt.day, event.user_id, handed.result, wider.leaders
            )
        if attempt.day.is_closed and not handed.result.is_late:
            changes.append(notices.results_mended(club, attempt.day, results))
    return Decision(handed.reply, tuple(changes))
