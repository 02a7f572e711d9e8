"""The Matrix room on a real homeserver, with members who have clients of their own.

The suite's short names stand for the ids that the homeserver gives: the stage translates both ways.
"""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from contextlib import AsyncExitStack
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bot.platforms.clubs import Clubs
from bot.platforms.matrix.journal import Draft
from bot.platforms.matrix.room import MatrixRoom
from bot.platforms.matrix.settings import MatrixSettings
from bot.platforms.message import Answerer, Incoming, Message, Room
from bot.storage import open_store
from bot.storage.matrix import SqliteMatrixJournal
from bot.wording.matrix import MATRIX
from tests.contract.stages import OTHER_ROOM, ROOM, Seen
from tests.doubles.matrix.club_house import new_account, new_room, sign_in_bot
from tests.doubles.matrix.homeserver import Account, shared_homeserver
from tests.doubles.matrix.member import Member, first_paragraph
from tests.patience import PATIENCE

GREETING, *_ = MATRIX.greeting.partition("{}")
"""How the bot greets in a chat that somebody opens, which is about no act of the club's."""

ELSEWHERE = tuple(each.partition("{}")[2] for each in (MATRIX.invited, MATRIX.invited_many))
"""How the line ends that says where an answer is."""

NAMES = ("Ada", "Bo")


class WatchedJournal(SqliteMatrixJournal):
    """Tells when an event needs nothing more, and when nothing is left to send."""

    def __init__(self, *arguments: Any) -> None:
        super().__init__(*arguments)
        self.finished: dict[str, asyncio.Event] = {}
        self._sent = asyncio.Condition()

    def event_of(self, event_id: str) -> asyncio.Event:
        return self.finished.setdefault(event_id, asyncio.Event())

    async def finish(self, event_id: str) -> None:
        await super().finish(event_id)
        self.event_of(event_id).set()

    async def mark_sent(self, draft: Draft, event_id: str) -> None:
        await super().mark_sent(draft, event_id)
        async with self._sent:
            self._sent.notify_all()

    async def until_all_sent(self) -> None:
        async with asyncio.timeout(PATIENCE), self._sent:
            while await self.load_unsent():
                await self._sent.wait()


class _Translated:
    """The room under test, spoken to in the suite's short names."""

    def __init__(self, room: MatrixRoom, ids: Mapping[str, str], stage: MatrixStage) -> None:
        self._room = room
        self._ids = ids
        self._stage = stage
        self.platform = room.platform

    async def start(self, answer: Answerer) -> None:
        names = {value: key for key, value in self._ids.items()}

        async def hear(act: Incoming) -> tuple[Message, ...]:
            known = {"room_id": names[act.room_id], "user_id": names[act.user_id]}
            return await answer(replace(act, **known))

        await self._room.start(hear)

    async def stop(self) -> None:
        await self._room.stop()

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        return await self._room.post(await self._id(room_id), message, key=key)

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        return await self._room.stamp_of(await self._id(room_id), reference)

    async def find_post(self, room_id: str, key: str) -> str | None:
        return await self._room.find_post(await self._id(room_id), key)

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        return await self._room.edit(await self._id(room_id), reference, message, key=key)

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        return await self._room.post_thread(
            await self._id(room_id), reference, title, messages, key=key
        )

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        own_id = await self._id(room_id)
        return await self._room.post_under(own_id, reference, title, message, key=key)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        user_id = self._ids.get(user_id, user_id)
        return await self._room.tell(await self._id(room_id), user_id, message, key=key)

    async def remove(self, room_id: str, message_id: str) -> bool:
        return await self._room.remove(await self._id(room_id), message_id)

    async def _id(self, name: str) -> str:
        return await self._stage.id_of(name)


class MatrixStage:
    room: Room
    stamp: datetime | None = None

    def __init__(self, folder: Path, *, is_encrypted: bool) -> None:
        self._folder = folder
        self._is_encrypted = is_encrypted
        self._server = shared_homeserver()
        self._members: dict[str, Member] = {}
        self._ids: dict[str, str] = {}
        self._rooms: list[str] = []
        self._places: dict[str, asyncio.Event] = {}
        self._has_begun = False
        self._stack = AsyncExitStack()

    async def prepare(self) -> None:
        """Make the bot, the people and the rooms."""
        server = self._server
        bot = await sign_in_bot(server, self._folder / "matrix", encrypt=self._is_encrypted)
        people: list[Account] = [await new_account(server, name.lower()) for name in NAMES]
        for name, account in zip(NAMES, people, strict=True):
            store = self._folder / name if self._is_encrypted else None
            self._members[name] = Member(server, account, store)
            self._ids[name.lower()] = account.user_id
        self._accounts = (people, bot)
        self._bot = bot.user_id
        await self.id_of(ROOM)
        store = await self._stack.enter_async_context(open_store(self._folder / "club.db"))
        self._journal = WatchedJournal(store.database)
        self.room = _Translated(
            MatrixRoom(
                MatrixSettings(
                    self._server.url,
                    bot.user_id,
                    inviters=tuple(account.user_id for account in people),
                    encrypt=self._is_encrypted,
                ),
                self._folder / "matrix",
                Clubs(self._rooms, place_changed=self._place_changed),
                journal=self._journal,
                words=MATRIX,
                now=lambda: datetime.now(UTC),
            ),
            self._ids,
            self,
        )

    async def id_of(self, name: str) -> str:
        """Return the homeserver's id of a room of the suite, made when it is first named."""
        if name not in self._ids and name in (ROOM, OTHER_ROOM):
            people, bot = self._accounts
            room_id = await new_room(
                self._server,
                people[0],
                members=people[1:],
                bot=bot,
                is_encrypted=self._is_encrypted,
                # A sync that brings the bot's coming in must find the room among the club's.
                made_known=self._rooms.append,
            )
            self._ids[name] = room_id
            if self._has_begun:
                await self._until_there(room_id)
        return self._ids.get(name, name)

    async def _until_there(self, room_id: str) -> None:
        """Wait until the bot has heard of a room that was made while it runs."""
        there = self._places.setdefault(room_id, asyncio.Event())
        await asyncio.wait_for(there.wait(), PATIENCE)

    async def open(self, answer: Answerer) -> None:
        for member in self._members.values():
            await member.sync()
        await self.room.start(answer)
        self._has_begun = True

    def _place_changed(self, room_id: str, is_there: bool) -> None:
        if is_there:
            self._places.setdefault(room_id, asyncio.Event()).set()

    async def close(self) -> None:
        await self.room.stop()
        for member in self._members.values():
            await member.close()
        await self._stack.aclose()

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
        member = self._members[name]
        filled = "".join(f"\n{field}:\n{value}" for field, value in (fields or {}).items())
        room_id = self._ids[ROOM] if in_open else await self._private_room(member)
        sending = f"{name}{act_id}"
        if photo:
            event_id = await member.send_picture(
                room_id, photo, text, is_sealed=self._is_encrypted, transaction_id=sending
            )
        else:
            event_id = await member.say(room_id, text + filled, transaction_id=sending)
        await asyncio.wait_for(self._journal.event_of(event_id).wait(), PATIENCE)

    async def _private_room(self, member: Member) -> str:
        """Return the member's private room, which they open themselves where there is none."""
        direct = await self._journal.load_direct(self._ids[ROOM], member.user_id)
        if direct is not None and direct.target is not None:
            return direct.target
        wish = {"is_direct": True, "invite": [self._bot], "preset": "private_chat"}
        room_id = str((await member.call("POST", "createRoom", wish))["room_id"])

        def has_bot() -> bool:
            room = member.client.rooms.get(room_id)
            return (
                room is not None
                and room.users.get(self._bot, None) is not None
                and not (room.users[self._bot].invited)
            )

        await member.until(has_bot)
        return room_id

    async def sees(self, name: str, room_id: str = ROOM) -> tuple[Seen, ...]:
        member = self._members[name]
        place_id = await self.id_of(room_id)
        direct = await self._journal.load_direct(place_id, member.user_id)
        places = [(place_id, False)]
        if direct is not None and direct.target is not None:
            places.append((direct.target, True))
        # What is private comes with keys that are sent beside it, maybe a moment later.
        for place, _ in places:
            await member.until(lambda place=place: place in member.client.rooms)
        # A post's text and its reactions follow it.
        await self._journal.until_all_sent()
        await member.sync()
        found: list[tuple[int, Seen]] = []
        for place, is_private in places:
            found += _seen_in(member.sources(place), self._bot, is_private=is_private)
        return tuple(seen for _, seen in sorted(found, key=lambda each: each[0]))


def _seen_in(
    sources: list[dict[str, Any]], bot: str, *, is_private: bool
) -> list[tuple[int, Seen]]:
    """Return what a client shows of a room: edits and threads in their places, redacted gone."""
    shown: dict[str, tuple[int, Seen]] = {}
    threads: dict[str, str] = {}
    for source in sources:
        content, stamp = source.get("content", {}), int(source["origin_server_ts"])
        if source["type"] != "m.room.message" or not content:
            continue
        is_own = source["sender"] == bot
        if (is_private and not is_own) or (is_own and content["body"].endswith(ELSEWHERE)):
            continue
        relation = content.get("m.relates_to", {})
        root = relation.get("event_id", "")
        words = first_paragraph(source) if is_own else content["body"]
        if relation.get("rel_type") == "m.replace":
            new = {"content": content["m.new_content"]}
            at, seen = shown[root]
            commands = _commands_in(content["m.new_content"]["body"])
            shown[root] = at, replace(seen, texts=(first_paragraph(new),), commands=commands)
        elif relation.get("rel_type") == "m.thread":
            if MATRIX.picture in content["body"]:
                at, post = shown[root]
                alt = content["body"].split(MATRIX.picture)[1].strip()
                shown[root] = at, replace(post, alt=alt)
            else:
                _add_to_thread(shown, threads, root, source["event_id"], stamp, words)
        elif is_own and content["body"].startswith(GREETING):
            continue
        else:
            shown[source["event_id"]] = (
                stamp,
                Seen(
                    reference=source["event_id"],
                    kind="message",
                    texts=(words,),
                    is_private=is_private,
                    alt=content["body"].partition(MATRIX.picture)[2].strip() if is_own else "",
                    commands=_commands_in(content["body"]),
                    files=(content["filename"],) if content["msgtype"] == "m.file" else (),
                ),
            )
    return list(shown.values())


def _add_to_thread(
    shown: dict[str, tuple[int, Seen]],
    threads: dict[str, str],
    root: str,
    event_id: str,
    stamp: int,
    words: str,
) -> None:
    if root not in threads:
        threads[root] = event_id
        seen = Seen(reference=event_id, kind="thread", texts=(), under=root, title=words)
        shown[event_id] = stamp, seen
        return
    at, thread = shown[threads[root]]
    shown[threads[root]] = at, replace(thread, texts=(*thread.texts, words))


def _commands_in(body: str) -> tuple[str, ...]:
    lines = [line for line in body.split("\n") if "\u20e3" in line]
    return tuple(line.rsplit(": ", 1)[1].removeprefix("!") for line in lines)
