"""What is said about Discord: by the room to its people, and by the command line to the host.

The room has no words of its own; it is given DISCORD.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bot.platforms.discord.look import ChannelFound, DiscordLook
from bot.platforms.discord.refusals import DiscordRefusedError, TokenFault
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Refusal
from bot.wording.prose import clean_text, count_of, join_words

TITLE = "Discord"
LEADERS = "anyone who can manage the server"

READY = "The clubs in Discord are open  (Ctrl-C ends it)"

REFUSALS = {
    Refusal.TOKEN: (
        "Discord refuses the bot's token. Get a new one: Developer Portal, your application, Bot, "
        "Reset Token. Then set it. Example: export NINEBARK_DISCORD_TOKEN=…"
    ),
    Refusal.INTENTS: (
        "Discord refuses the intents that the bot asks for. It asks only for servers and their "
        "messages, and neither is privileged. See whether your application was limited, in the "
        "Developer Portal under Bot."
    ),
    Refusal.SHARDS: (
        "Discord refuses the number of connections. Restart the bot: it will ask again."
    ),
    Refusal.VERSION: (
        "Discord no longer speaks the version of its interface that this Ninebark uses. "
        "Install a newer Ninebark."
    ),
    Refusal.CLOSED: (
        "The connection to Discord has ended and cannot be opened again. Restart the bot."
    ),
}


DISCORD = DiscordWords(
    no_club="No club meets in this channel. Try it in the channel where the day's puzzle goes up.",
    no_club_leader="No club meets in this channel. To found one, use /club setup.",
    choose_channel="Which channel should the club meet in? The day's puzzle, the results and the "
    "walkthroughs go up there. Nothing is posted until you begin.",
    channel_menu="The club's channel",
    group_purpose="For the club's leaders: settings, puzzles, reports.",
    stale="This button is from an older version of me. Type / to see what I can do now.",
    failed="That went wrong on my side, and was written down. Please try once more.",
    foreign="That belongs to a club that you can't reach from here. Go to the "
    "club's own channel and use the command there, such as /today.",
    private_refused="I answer privately, and you take no direct messages from this server. Use a "
    "command instead: type / and pick one of mine. Nobody else sees its answer.",
    fill_in="Fill in",
    welcome="Thank you for having me. I run a Sudoku club: one puzzle a day, hints that give away "
    "as little as will help, fair times and the week's table.\n\n"
    "To found your club, use /club setup in your server. It asks for the channel, then for the "
    "time, the zone and the levels, and shows you the first puzzle before it goes up.\n\n"
    "Only people who can manage the server are shown the commands under /club. I see commands, "
    "buttons, and messages that mention me or are written to me alone, and nothing else that "
    "anyone writes.",
    missing="I cannot work in that channel yet. I still need: {}. Allow it in the channel's "
    "settings under Permissions, then use /club setup again.",
    give_rights="To allow it, open the settings of the club's channel, go to Permissions, and "
    "switch it on for my role.",
    channel_gone="If I was removed from the server, invite me again. If the channel is hidden from "
    "me, let me see it. If it was deleted, use /club move in any other channel of the server, and "
    "pick where the club will meet.",
    name_place="Use /club move and pick a text channel. Here, send its link, such as: club move "
    "https://discord.com/channels/1234567890/1234567891",
    no_club_direct="I don't know you from any club yet. Use one of my commands in your club's "
    "channel once: type / and pick one. After that you can write to me here.",
    which_club="You are in more than one of my clubs. Which of them do you mean when you write to "
    "me here?",
    chosen="From now on, what you write to me here is for {}: try start, hint or help. To change "
    "it, write clubs.",
    elsewhere="I can't see your club from this chat. Use my commands in its channel instead: type "
    "/ and pick one. Only you see the answer.",
    use_there="I can't hear you in this chat. To go on, use {commands} in {channel}: only you see "
    "the answer.",
    leaders_only="That is for people who can manage this server. Ask one of them to use /club "
    "setup.",
)


def token_missing(fault: TokenFault, path: Path | None, reason: str) -> str:
    """Say why there is no token, and the two places where it can be."""
    why = {
        TokenFault.NONE: "There is no token.",
        TokenFault.UNREADABLE: f"The token file {path} cannot be read: {reason}.",
        TokenFault.NO_TEXT: f"The token file {path} is not a text file.",
        TokenFault.NO_TOKEN: f"The token file {path} does not hold a token.",
    }[fault]
    return (
        f"{why} Put the bot's token in the environment, or name a file that holds nothing else. "
        'Example: export NINEBARK_DISCORD_TOKEN=…, or token_file = "discord-token" under [discord]'
    )


def refused(error: DiscordRefusedError) -> str:
    """Say why Discord refuses the bot, and what to do, with Discord's own code."""
    return f"{REFUSALS[error.problem]} (Code {error.code}.)"


def tell_look(found: DiscordLook) -> list[str]:
    """Say what `ninebark check` found, a line each."""
    return [
        f"Discord: the token works; the bot is {clean_text(found.bot_name, 40)}, in "
        f"{count_of(found.servers, 'server')}.",
        f"To invite it, with only the permissions that it needs: {found.invitation}",
        *(_place(place) for place in found.places),
    ]


def _place(place: ChannelFound) -> str:
    if not place.is_there:
        return (
            f"Channel {place.room_id}: not there, or the bot may not see it. Invite the bot to its "
            "server, and allow View Channel there."
        )
    where = f"#{clean_text(place.channel, 60)} in {clean_text(place.server, 60)}"
    said = f"missing: {_titles(place.missing)}" if place.missing else "all permissions are there"
    wish = (
        f"; without {_titles(place.wishes)}, answers given in the open stay there"
        if place.wishes
        else ""
    )
    return f"{where}: {said}{wish}."


def _titles(titles: Sequence[str]) -> str:
    return join_words(titles)
