"""Words for a member's own page."""

from __future__ import annotations

from bot.club.facts import SkillFacts
from bot.club.replies import PersonalPage
from bot.platforms.message import Message
from bot.wording.buttons import PRACTICE, TODAY, Phrases, table_this_week
from bot.wording.explaining import Commands, CommandWords
from bot.wording.prose import capitalise, count_of, join_words, opening_name, paragraphs, sentences
from bot.wording.techniques import technique_name
from bot.wording.times import format_date, format_full_date, format_length


def _trend(reply: PersonalPage) -> str:
    if reply.average_before is None or reply.average_now is None:
        return ""
    before, now = format_length(reply.average_before), format_length(reply.average_now)
    if reply.average_now < reply.average_before:
        return (
            f"Your last three took {now} on average, the five before them {before}: getting faster."
        )
    return f"Your last three took {now} on average, the five before them {before}."


_MARKS = {
    "late": ", late",
    "flagged": ", waiting for a leader to look at it",
    "unranked": ", outside the ranking",
}


def _count(reply: PersonalPage) -> str:
    """Say how many puzzles are solved: those that rank, and what there is besides."""
    besides = [
        (reply.late, f"{reply.late} late"),
        (
            reply.held,
            f"{reply.held} waiting for a leader to look at {'it' if reply.held == 1 else 'them'}",
        ),
        (reply.unranked, f"{reply.unranked} outside the ranking"),
    ]
    told = [words for count, words in besides if count]
    solved = f"{opening_name(reply.name)}: {count_of(reply.solved, 'puzzle')} solved"
    return f"{solved} in time, {join_words(told)}." if told else f"{solved}."


def _practice(reply: PersonalPage) -> str:
    """Say how each technique goes: what was met, found alone, needed help, and is due."""
    told = [_skill(each) for each in reply.skills]
    due = [technique_name(each.technique) for each in reply.skills if each.is_due]
    weakest = join_words(map(technique_name, reply.weakest))
    most = f"Practise most: {weakest}." if weakest else ""
    more = sentences(most, f"Due now: {join_words(due)}." if due else "")
    return "\n".join(filter(None, ["Practice:", *told, more])) if told else ""


def _skill(skill: SkillFacts) -> str:
    name = capitalise(technique_name(skill.technique))
    return f"{name}: met {skill.met}, found alone {skill.alone}, needed help {skill.helped}"


def _personal_page(reply: PersonalPage) -> Message:
    if not (reply.recent or reply.solved or reply.late or reply.skills):
        return Message(
            text=f"{opening_name(reply.name)}, your page is still empty. "
            "Your first right answer starts it.",
            buttons=(TODAY,),
        )
    streak = reply.best_streak and (
        f"{count_of(reply.streak, 'day')} in a row now; your best run is "
        f"{count_of(reply.best_streak, 'day')}."
    )
    bests = [
        f"Level {level}: best {format_length(seconds)}, on {format_full_date(day)}"
        for level, seconds, day in reply.bests
    ]
    marks = dict(reply.marks)
    recent = [
        f"{format_date(day)}, level {level}: {format_length(seconds)}, "
        + (count_of(hints, "hint") if hints else "no hints")
        + _MARKS.get(marks.get(day, ""), "")
        for day, level, seconds, hints in reply.recent
    ]
    asked = [f"{technique_name(name)} ({times})" for name, times in reply.asked]
    return Message(
        text=paragraphs(
            sentences(
                _count(reply),
                streak or "",
                _trend(reply),
            ),
            "\n".join(bests),
            "\n".join(["Lately:", *recent]) if recent else "",
            _practice(reply),
            f"Hints you asked for: {', '.join(asked)}. A lesson: help {reply.asked[0][0]}"
            if asked
            else "",
        ),
        buttons=(table_this_week(reply.asked_on), PRACTICE),
    )


PHRASES: Phrases = {PersonalPage: _personal_page}

COMMANDS: Commands = {
    "me": CommandWords(
        purpose="Show your own page.",
        example="me",
        help="me is your own page: streaks, bests, recent results, which hints you asked for.",
        overview=("me", "your own page"),
    ),
}
