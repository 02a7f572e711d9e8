"""Words for platforms that show commands before they are typed, and for rooms that speak for
themselves: purposes of options, and the Discord room's own sentences.
"""

from __future__ import annotations

from bot.platforms.discord.words import DiscordWords

_PURPOSES = {
    "as": "Read it out as text",
    "grid": "A grid: 81 characters, a dot for an open cell",
    "marks": "Cells and digits",
    "row": "The row's number and its nine digits, a dot for an open cell",
    "candidates": "A cell and the digits to strike",
    "way": "Where you stand; leave it out to be asked",
    "about": "Narrow it to a house or a digit",
    "answer": "The digits of the two marked lines; leave it out for a form or your full board",
    "date": "The puzzle's date",
    "period": "Which table",
    "wish": "Show, export or erase",
    "topic": "A command or a technique",
    "credit": "Whose puzzle it is",
    "day": "The week, or one weekday; leave it out for the week",
    "days": "How many days, or one date",
    "level": "A level, or two with a dash between",
    "pattern": "The symmetry of the givens",
    "effort": "Does the effort rise through the week?",
    "switch": "off ends the break",
    "sure": "Also where members have taken part",
    "member": "Whose result",
    "verdict": "What becomes of it",
    "reason": "Told to the member",
    "name": "The club's name",
    "zone": "The time zone that days and the post time follow",
    "post-time": "When the day's puzzle goes up, local time",
    "sealed": "Sealed days: the puzzle comes when a clock starts",
    "uniqueness": "Whether hints may take one solution for granted",
    "levels": "Levels from Monday to Sunday",
    "theme": "A technique that puzzles should turn on, or none",
    "look": "The theme of the pictures",
    "quick": "Seconds per open cell under which an answer waits for a leader",
    "leaders": "Ids of members who lead besides those who may manage the server",
    "rungs": "Seconds added for the four rungs of a hint",
    "mistakes": "Seconds added for the three rungs of help with a mistake",
    "check": "Seconds added for a check",
    "wrong": "Seconds added for a wrong answer",
    "channel": "Where a club is to meet: a new one is founded there",
}


def option_purpose(name: str, example: str) -> str:
    """Say what an option is for, with an example where there is one."""
    purpose = _PURPOSES.get(name, name.replace("-", " ").capitalize())
    return f"{purpose}, such as {example}" if example else purpose


DISCORD = DiscordWords(
    no_club="No club meets in this channel. Try it in the channel where the day's puzzle goes up.",
    no_club_leader="No club meets in this channel. To found one, use /club setup.",
    choose_channel="In which channel shall the club meet? The day's puzzle, the results and the "
    "walkthroughs go up there. Nothing is posted until you begin.",
    channel_menu="The club's channel",
    group_purpose="For the club's leaders: settings, puzzles, reports.",
    stale="This button is from an older version of me. Type / to see what I can do now.",
    failed="That went wrong on my side, and was written down. Please try once more.",
    foreign="I can't do that from here: it belongs to a club that you can't reach from this place. "
    "Go to the club's own channel and use the command there, such as /today.",
    private_refused="I answer privately, and you take no direct messages from this server. Use a "
    "command instead: type / and pick one of mine. Nobody else sees its answer.",
    fill_in="Fill in",
    welcome="Thank you for having me. I run a Sudoku club: one puzzle a day, hints that give away "
    "as little as will help, fair times and the week's table.\n\n"
    "To found your club, use /club setup in your server. It asks for the channel, then for the "
    "time, the zone and the levels, and shows you the first puzzle before it goes up.\n\n"
    "Commands under /club are shown to those who may manage the server. I see commands, buttons "
    "and messages that mention me or are written to me alone, and nothing else that is written.",
    missing="I cannot work in that channel yet. There I lack: {}. Grant it in the channel's "
    "settings under Permissions, then use /club setup again.",
    no_club_direct="I know you from no club yet. Use one of my commands in your club's channel "
    "once: type / and pick one. After that you can write to me here.",
    which_club="You belong to more than one club, and here I cannot tell which one you mean. Use "
    "the command in that club's channel: only you see the answer.",
    leaders_only="That is for those who may manage this server. Ask one of them to use "
    "/club setup.",
)
