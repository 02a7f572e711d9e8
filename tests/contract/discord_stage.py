"""The stage for Discord: the real room and library, connected to the double over loopback.

The suite speaks of rooms and people by name; on the service they have numbers, so the room under
test is wrapped in one that translates, and nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import datetime

from bot.platforms.clubs import Clubs
from bot.platforms.discord.connection import Connection
from bot.platforms.discord.room import DiscordRoom
from bot.platforms.discord.words import DiscordWords
from bot.platforms.message import Answerer, Incoming, Message, Room
from bot.platforms.sketch import CommandSketch
from tests.contract.stages import OTHER_ROOM, ROOM, STAMP, Seen
from tests.doubles.discord import TOKEN, DiscordDouble, Person
from tests.doubles.discord.people import SUBMIT
from tests.doubles.discord.shown import Shown, show
from tests.doubles.discord.world import PUBLIC_THREAD, Channel
from tests.doubles.discord.world import Message as WrittenMessage

WORDS = DiscordWords(**{each.name: f"words: {each.name}" for each in fields(DiscordWords)})
FAST = {"guild_ready_timeout": 0.01}


class NamedRoom:
    """A Room that is spoken to with names, on one that has numbers."""

    platform = DiscordRoom.platform

    def __init__(self, stage: DiscordStage) -> None:
        self._stage = stage

    async def start(self, answer: Answerer) -> None:
        await self._stage.open(answer)

    async def stop(self) -> None:
        await self._stage.close()

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        return await self._stage.inner.post(self._stage.number(room_id), message, key=key)

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        return await self._stage.inner.stamp_of(self._stage.number(room_id), reference)

    async def find_post(self, room_id: str, key: str) -> str | None:
        return await self._stage.inner.find_post(self._stage.number(room_id), key)

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        return await self._stage.inner.edit(
            self._stage.number(room_id), reference, message, key=key
        )

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        room = self._stage.number(room_id)
        return await self._stage.inner.post_thread(room, reference, title, messages, key=key)

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        room = self._stage.number(room_id)
        return await self._stage.inner.post_under(room, reference, title, message, key=key)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        user = self._stage.person(user_id.capitalize()).user.id
        return await self._stage.inner.tell(self._stage.number(room_id), user, message, key=key)

    async def remove(self, room_id: str, message_id: str) -> bool:
        return await self._stage.inner.remove(self._stage.number(room_id), message_id)


class DiscordStage:
    stamp: datetime | None = STAMP

    def __init__(self) -> None:
        self.double = DiscordDouble(lambda: STAMP)
        guild = self.double.world.add_guild("Hazel Lane")
        self._channels = {
            name: self.double.world.add_channel(guild, name) for name in (ROOM, OTHER_ROOM)
        }
        self._people: dict[str, Person] = {}
        self._sent: dict[tuple[str, str], str] = {}
        self._said: dict[str, WrittenMessage] = {}
        self.room: Room = NamedRoom(self)

    def number(self, room_id: str) -> str:
        channel = self._channels.get(room_id)
        return channel.id if channel is not None else "999"

    def person(self, name: str) -> Person:
        if name not in self._people:
            self._people[name] = self.double.person(name, self._channels[ROOM])
        return self._people[name]

    async def open(self, answer: Answerer) -> None:
        await self.double.start()
        numbers = {channel.id: name for name, channel in self._channels.items()}

        async def answer_by_name(act: Incoming) -> tuple[Message, ...]:
            return await answer(
                replace(act, room_id=numbers[act.room_id], user_id=act.name.casefold())
            )

        self.inner = DiscordRoom(
            Connection(TOKEN, self.double.api, self.double.gateway.url, FAST),
            Clubs(numbers),
            commands=[CommandSketch("help", "Explain the club.")],
            words=WORDS,
            now=lambda: STAMP,
        )
        await self.inner.start(answer_by_name)

    async def close(self) -> None:
        await self.inner.stop()
        await self.double.stop()
        assert not self.double.problems
        assert not self.double.pings

    async def send(
        self,
        name: str,
        text: str,
        *,
        act_id: str,
        in_open: bool = False,
        fields: Mapping[str, str] | None = None,
        photo: bytes = b"",
    ) -> None:
        person, world = self.person(name), self.double.world
        if in_open:
            await self._say(person, text, act_id)
            return
        files = [self.double.world.keep_file(photo)] if photo else []
        typed = {
            "custom_id": f"nb:{person.channel.id}:{text}",
            "components": [
                {"type": 18, "id": 1, "component": {
                    "type": 4, "id": 2, "custom_id": field, "value": value}}
                for field, value in (fields or {}).items()
            ] + [
                {"type": 18, "id": 3, "component": {
                    "type": 19, "id": 4, "custom_id": "photo", "values": [each["id"]]}}
                for each in files
            ],
            "resolved": {"attachments": {each["id"]: each for each in files}},
        }  # fmt: skip
        known = self._sent.get((name, act_id))
        interaction = (
            world.interactions[known]
            if known
            else world.add_interaction(SUBMIT, person.user, person.channel.id, None)
        )
        self._sent[name, act_id] = interaction.id
        await self.double.deliver_interaction(interaction, person.payload(interaction, typed))
        await self.double.until(lambda: interaction.is_settled, "an answer")

    async def _say(self, person: Person, text: str, act_id: str) -> None:
        known = self._sent.get((person.user.id, act_id))
        if known is not None:
            # Delivered once more, though it may be gone from the channel by now.
            message = self._said[known]
            await self.double.deliver(message, sees_content=True)
            # It is answered once; another act, answered later, shows that it was looked at.
            await self.send(person.user.name, "after", act_id=f"after {act_id}")
            return
        there = len(person.direct())
        message = await person.write(f"<@{self.double.world.bot.id}> {text}")
        self._sent[person.user.id, act_id] = message.id
        self._said[message.id] = message
        await self.double.until(lambda: len(person.direct()) > there, "a direct answer")

    async def sees(self, name: str, room_id: str = ROOM) -> tuple[Seen, ...]:
        person, channel = self.person(name), self._channels[room_id]
        found = person.sees(channel) + (person.direct() if room_id == ROOM else [])
        seen = [self._seen(each, person) for each in sorted(found, key=lambda each: int(each.id))]
        return (*seen, *self._threads(channel))

    def _seen(self, shown: Shown, person: Person) -> Seen:
        is_direct = self.double.world.channels[shown.channel_id].recipient is person.user
        spoken_to = f"<@{self.double.world.bot.id}> "
        return Seen(
            reference=shown.id,
            kind="said" if shown.author != "Ninebark" else "post",
            texts=(shown.text.removeprefix(spoken_to),),
            is_private=shown.is_private or is_direct,
            alt=shown.alts[0] if shown.alts else "",
            commands=shown.commands,
            files=tuple(shown.files),
        )

    def _threads(self, parent: Channel) -> list[Seen]:
        return [
            Seen(
                reference=thread.id,
                kind="thread",
                texts=tuple(show(each).text for each in thread.messages.values()),
                under=thread.id,
                title=thread.name,
            )
            for thread in self.double.world.channels.values()
            if thread.kind == PUBLIC_THREAD and thread.parent_id == parent.id
        ]
