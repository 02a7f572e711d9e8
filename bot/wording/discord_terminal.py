"""What the command line says about Discord: what is wrong, what was expected, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from bot.platforms.discord.findings import Findings, PlaceFound
from bot.platforms.message import PlatformRefusedError, RoomError
from bot.wording.prose import clean_text, count_of, join_words

READY = "The clubs in Discord are open  (Ctrl-C ends it)"

_REFUSALS = {
    "token": "Discord refuses the bot's token. Copy it anew: Developer Portal, your application, "
    "Bot, Reset Token. Then set it. Example: export NINEBARK_DISCORD_TOKEN=…",
    "intents": "Discord refuses the intents that the bot asks for. It asks for servers and their "
    "messages only, none of which is privileged: see whether your application was limited, in the "
    "Developer Portal under Bot.",
    "shards": "Discord refuses the number of connections. Restart the bot: it asks anew.",
    "version": "Discord no longer speaks the version of its interface that this Ninebark uses. "
    "Install a newer Ninebark.",
    "closed": "The connection to Discord has ended and cannot be opened again. Restart the bot.",
}


def token_missing(path: Path | None, reason: str) -> str:
    """Say that there is no token, and the two places where it can be."""
    where = f"The token file {path} cannot be used: {reason}." if path else "There is no token."
    return (
        f"{where} Put the bot's token in the environment, or name a file that holds nothing else. "
        'Example: export NINEBARK_DISCORD_TOKEN=…, or token_file = "discord-token" under [discord]'
    )


def refused(error: PlatformRefusedError) -> str:
    return f"{_REFUSALS[error.problem]} (Code {error.code}.)"


def out_of_reach(error: RoomError) -> str:
    return f"Discord could not be asked just now: {error}. Try again in a while."


def findings(found: Findings) -> list[str]:
    """Say what `ninebark check` found, a line each."""
    return [
        f"Discord: the token works; the bot is {clean_text(found.bot_name, 40)}, in "
        f"{count_of(found.servers, 'server')}.",
        f"To invite it, with the least permissions that it needs: {found.invitation}",
        *(_place(place) for place in found.places),
    ]


def _place(place: PlaceFound) -> str:
    if not place.is_there:
        return (
            f"Channel {place.room_id}: not there, or the bot may not see it. Invite the bot to its "
            "server, and allow View Channel there."
        )
    where = f"#{clean_text(place.channel, 60)} in {clean_text(place.server, 60)}"
    said = f"missing: {_titles(place.missing)}" if place.missing else "all permissions are there"
    wish = (
        f"; without {_titles(place.wishes)} answers said in the open stay" if place.wishes else ""
    )
    return f"{where}: {said}{wish}."


def _titles(titles: Sequence[str]) -> str:
    return join_words(titles)
