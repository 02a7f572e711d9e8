"""Who may do what from where: the one place that lets an act from Discord in.

The service vouches for the envelope of an act: who, in which server and channel, with which
rights. An id that came inside it (in a button, a menu, a form, an option) was sent by somebody's
client and counts only if it fits that envelope: the channel is one of the same server and in the
sender's sight, and their rights are asked of that server. In a direct message there is no server,
so the club's own is asked about the sender. Only this module makes an `Incoming` here.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import discord

from bot.platforms.clubs import Clubs
from bot.platforms.discord import reading
from bot.platforms.discord.marks import ROLE_MARK, is_snowflake
from bot.platforms.look_alikes import tell_apart
from bot.platforms.message import Incoming

PLATFORM = "discord"

ANSWERED_WITHIN = timedelta(minutes=15)
"""How long an answer to a command can be edited, and so lives."""

REMEMBERED = 2000
MOST_ASKED = 5
"""So many clubs of one person are asked about; who has two must say which one all the same."""

SPOKEN = (discord.MessageType.default, discord.MessageType.reply)


class ForeignError(Exception):
    """An act names what is not in its sender's reach. The text is for the log."""


class Door:
    """Lets acts in, for the clubs that there are at the moment."""

    def __init__(self, clubs: Clubs, now: Callable[[], datetime]) -> None:
        self._clubs = clubs
        self._rooms = clubs.room_ids
        self._now = now
        self._let_through: dict[tuple[int, int], datetime] = {}

    # --- interactions ---

    async def room_around(self, interaction: discord.Interaction, *, is_move: bool) -> str:
        """Return the club's room that a command was given in or under, or the only one that the
        sender can see in the server; for who leads there, where there is no other, or first where
        a club is to move, one of a channel that is no more. Else the place itself."""
        around = _around(interaction.channel)
        for room_id in map(self._clubs.present, around):
            if room_id in self._rooms:
                return room_id
        guild = interaction.guild
        clubs = [
            str(channel.id)
            for channel in (guild.channels if guild else ())
            if str(channel.id) in self._rooms and _may_see(channel, interaction.user)
        ]
        if guild and (is_move or not clubs) and self.leads(interaction):
            ours = await self._clubs.clubs_in(str(guild.id))
            lost = [each for each in ours if interaction.client.get_channel(int(each)) is None]
            clubs = lost[:1] or clubs
        return clubs[0] if len(clubs) == 1 else around[0]

    async def require_place(self, interaction: discord.Interaction, room_id: str) -> None:
        """Raise ForeignError unless a room is of the server that an interaction came from."""
        if interaction.application_id != interaction.client.application_id:
            raise ForeignError(f"it is for application {interaction.application_id}")
        if interaction.guild_id is None or not is_snowflake(room_id):
            raise ForeignError("it comes from no channel of a server")
        if not isinstance(interaction.user, discord.Member):
            raise ForeignError("no member of the server sent it")
        channel = interaction.client.get_channel(int(room_id))
        if channel is None:
            # Perhaps a server whose channels are not told at the moment; its own place counts, and
            # to who leads there a channel of it that is no more.
            is_here = room_id in _around(interaction.channel)
            if not is_here and not await self._has_lost(interaction, room_id):
                raise ForeignError(f"room {room_id} is not in sight")
        elif not isinstance(channel, discord.abc.GuildChannel):
            raise ForeignError(f"room {room_id} is no channel of a server")
        elif channel.guild.id != interaction.guild_id:
            raise ForeignError(f"room {room_id} is of server {channel.guild.id}")
        elif not _may_see(channel, interaction.user):
            raise ForeignError(f"room {room_id} is closed to them")

    async def _has_lost(self, interaction: discord.Interaction, room_id: str) -> bool:
        server = await self._clubs.server_of(room_id) if self.leads(interaction) else ""
        return server == str(interaction.guild_id)

    def leads(self, interaction: discord.Interaction) -> bool:
        """Tell whether the sender may lead clubs in the server that they are in."""
        if interaction.guild_id is None:
            return False
        is_let = self._is_let(interaction.guild_id, interaction.user.id, interaction.created_at)
        return interaction.permissions.manage_guild or is_let

    async def leads_in(self, channel: discord.TextChannel, user_id: int) -> bool | None:
        """Tell whether somebody may lead a club in a channel; None where it is closed to them.
        Raises HTTPException and errors of the network."""
        member = await _member_in(channel.guild, user_id)
        if member is None or not _may_see(channel, member):
            return None
        is_let = self._is_let(channel.guild.id, user_id, self._now())
        return member.guild_permissions.manage_guild or is_let

    def _is_let(self, guild_id: int, user_id: int, at: datetime) -> bool:
        let_through = self._let_through.get((guild_id, user_id))
        return let_through is not None and at - let_through < ANSWERED_WITHIN

    def note_let_through(self, interaction: discord.Interaction) -> None:
        """Note that the service let somebody give a command of leaders, where one was given: a role
        may be allowed that by the server's settings, whatever its other rights. What they press
        under the answer counts likewise, as long as an answer lives."""
        is_command = interaction.type is discord.InteractionType.application_command
        if is_command and interaction.guild_id is not None:
            self._let_through.pop(who := (interaction.guild_id, interaction.user.id), None)
            self._let_through[who] = interaction.created_at
            if len(self._let_through) > REMEMBERED:
                self._let_through.pop(next(iter(self._let_through)))

    async def channel_for_club(
        self, interaction: discord.Interaction, room_id: str
    ) -> discord.TextChannel:
        """Return the channel where a leader wants a club. Raises ForeignError."""
        await self.require_place(interaction, room_id)
        channel = interaction.client.get_channel(int(room_id))
        if not isinstance(channel, discord.TextChannel):
            raise ForeignError(f"room {room_id} is no channel for a club")
        return channel

    async def admit(
        self,
        interaction: discord.Interaction,
        room_id: str,
        asked: reading.Wish,
    ) -> Incoming:
        """Return an interaction as an act in a room. Raises ForeignError; in a direct message the
        service is asked, so HTTPException and errors of the network as well."""
        if interaction.guild_id is None:
            member = await self._member_from_afar(interaction, room_id)
            leads = member.guild_permissions.manage_guild
        else:
            await self.require_place(interaction, room_id)
            leads = self.leads(interaction)
        person = interaction.user if interaction.guild_id is not None else member
        return self._incoming(
            interaction, interaction.created_at, room_id, person, leads, asked.line,
            fields=asked.fields, photo=asked.photo,
        )  # fmt: skip

    async def _member_from_afar(
        self, interaction: discord.Interaction, room_id: str
    ) -> discord.Member:
        if not isinstance(interaction.channel, discord.DMChannel):
            raise ForeignError("it comes from neither a server nor a direct message")
        if interaction.context.private_channel:
            raise ForeignError("it comes from a conversation that the bot is not in")
        member = await self._fetch_member(interaction.client, interaction.user.id, room_id)
        if member is None:
            raise ForeignError(f"they are not in the server of room {room_id}")
        return member

    # --- messages ---

    def room_written_in(self, message: discord.Message) -> str | None:
        """Return the club's room that a person's message was written in, or in a thread of."""
        if message.guild is None or not isinstance(message.author, discord.Member):
            return None
        for room_id in map(self._clubs.present, _around(message.channel)):
            if room_id in self._rooms:
                channel = message.guild.get_channel(int(room_id))
                return room_id if channel is not None else None
        return None

    def is_direct(self, message: discord.Message) -> bool:
        """Tell whether a message is written to the bot alone."""
        return isinstance(message.channel, discord.DMChannel)

    def admit_open(self, message: discord.Message, room_id: str, said: reading.Said) -> Incoming:
        """Return a message in a club's room, found by `room_written_in`, as an act."""
        author = message.author
        leads = isinstance(author, discord.Member) and author.guild_permissions.manage_guild
        return self._incoming(
            message, message.edited_at or message.created_at, room_id, author, leads, said.text,
            in_open=True, called=said.called, message_id=f"{message.channel.id}/{message.id}",
            is_shown_only=message.edited_at is not None,
        )  # fmt: skip

    async def admit_direct(
        self, client: discord.Client, message: discord.Message, text: str
    ) -> list[Incoming]:
        """Return a direct message as an act in each club that its writer took part in and can
        still see; where there is one club only, in that one.

        Raises HTTPException and errors of the network.
        """
        known = set(await self._clubs.clubs_of(str(message.author.id))) & set(self._rooms)
        if not known and len(self._rooms) == 1:
            known = set(self._rooms)
        found: list[Incoming] = []
        for room_id in sorted(filter(is_snowflake, known))[:MOST_ASKED]:
            member = await self._fetch_member(client, message.author.id, room_id)
            if member is not None:
                leads = member.guild_permissions.manage_guild
                act = self._incoming(
                    message, message.created_at, room_id, member, leads, text,
                    photo=reading.photo_in(message),
                )  # fmt: skip
                found.append(act)
        return found

    async def _fetch_member(
        self, client: discord.Client, user_id: int, room_id: str
    ) -> discord.Member | None:
        """Ask the service for a person in the server of a club's room; None: not there, or the room
        is closed to them. One that is no more is open to who leads in the server."""
        channel = client.get_channel(int(room_id))
        if isinstance(channel, discord.abc.GuildChannel):
            member = await _member_in(channel.guild, user_id)
            return member if member is not None and _may_see(channel, member) else None
        server = await self._clubs.server_of(room_id)
        guild = client.get_guild(int(server)) if is_snowflake(server) else None
        member = None if guild is None else await _member_in(guild, user_id)
        return member if member is not None and member.guild_permissions.manage_guild else None

    def _incoming(
        self,
        act: discord.Interaction | discord.Message,
        acted_at: datetime,
        room_id: str,
        person: discord.User | discord.Member,
        leads: bool,
        text: str,
        **more: Any,
    ) -> Incoming:
        # The id holds the moment when the person acted, whatever the lag.
        told = reading.act_id(act) if isinstance(act, discord.Message) else act.id
        return Incoming(
            event_id=f"{PLATFORM}:{told}",
            platform=PLATFORM,
            room_id=room_id,
            user_id=str(person.id),
            name=_name_of(person),
            leads=leads,
            acted_at=acted_at,
            received_at=self._now(),
            text=text,
            groups=_groups_of(person),
            **more,
        )


def is_of_a_person(message: discord.Message) -> bool:
    """Tell whether somebody wrote a message themselves: no bot, no webhook, no notice."""
    return not message.author.bot and message.webhook_id is None and message.type in SPOKEN


async def _member_in(guild: discord.Guild, user_id: int) -> discord.Member | None:
    """Ask the service for a person in a server; None: not there."""
    try:
        return await guild.fetch_member(user_id)
    except (discord.NotFound, discord.Forbidden):
        return None


def _name_of(person: discord.User | discord.Member) -> str:
    """Return how a person is called, told apart from the bot where they took its name."""
    us = person.guild.me if isinstance(person, discord.Member) else None
    own = () if us is None else (us.display_name, us.name)
    return tell_apart(person.display_name, f"@{person.name}", own)


def _groups_of(person: discord.User | discord.Member) -> tuple[str, ...]:
    roles = person.roles if isinstance(person, discord.Member) else []
    return tuple(f"{ROLE_MARK}{role.id}" for role in roles if not role.is_default())


def _may_see(channel: discord.abc.GuildChannel, person: discord.User | discord.Member) -> bool:
    return isinstance(person, discord.Member) and channel.permissions_for(person).view_channel


def _around(channel: object) -> tuple[str, str]:
    """Return the ids of a channel and, where it is a thread, of what it hangs under."""
    return str(getattr(channel, "id", "")), str(getattr(channel, "parent_id", ""))
