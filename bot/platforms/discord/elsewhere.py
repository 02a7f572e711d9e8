"""What is written to somebody directly by a process that hears no direct messages.

A press there would come to another process, which knows nothing of the club: what could be pressed
is left out, and the commands that do the same in the club's channel are named instead.
"""

from __future__ import annotations

from dataclasses import replace

from bot.platforms.discord.commands import CommandBook
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Message


def without_choices(
    message: Message, room_id: str, book: CommandBook, words: DiscordWords
) -> Message:
    """Return a message for the direct messages of a member of the club in `room_id`."""
    lines = [each.command for each in message.buttons]
    lines += [each.command for each in message.menus]
    lines += [each.command for each in message.pickers]
    lines += [message.form.command] if message.form is not None else []
    if not lines:
        return message
    names = dict.fromkeys(filter(None, map(book.name_in, lines)))
    commands = ", ".join(f"/{name}" for name in names) or "/"
    told = words.use_there.format(commands=commands, channel=f"<#{room_id}>")
    text = f"{message.text}\n\n{told}" if message.text else told
    return replace(message, text=text, buttons=(), menus=(), pickers=(), form=None)
