"""A Room in memory, for tests of whatever speaks to a room: it keeps all, and can be made to fail.

`hear` plays a person's act; `visible` is what one person sees, oldest first. It keeps the promises
of `bot.platforms.message.Room`, which the contract suite checks on it as on every real one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from bot.platforms.message import (
    Answerer,
    Incoming,
    Lacking,
    Message,
    Place,
    RoomError,
    RoomGoneError,
    RoomUnreachableError,
)


@dataclass(frozen=True, slots=True)
class Shown:
    """One thing that was shown. `kind` is `post`, `thread`, `told`, `answer` or `said`.

    `user_id` None: for everyone. `under`: the post that a thread hangs under. `edits` counts how
    often it was replaced.
    """

    reference: str
    room_id: str
    kind: str
    key: str
    messages: tuple[Message, ...]
    user_id: str | None = None
    by: str = ""
    under: str = ""
    title: str = ""
    edits: int = 0
    at: datetime | None = None


class FakeRoom:
    """`unreachable` further calls fail as unreachable; rooms in `gone` fail as gone. `now` stamps
    what is shown."""

    offers_themes = False

    def __init__(self, room_ids: Iterable[str], *, platform: str = "fake") -> None:
        self.platform = platform
        self.room_ids = set(room_ids)
        self.unreachable = 0
        self.gone: set[str] = set()
        self.lacks = Lacking()
        self.may_remove = True
        self.now = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)  # not a size
        self.heard: list[Incoming] = []
        self._answer: Answerer | None = None
        self._shown: dict[str, Shown] = {}
        self._keys: dict[tuple[str, str], str] = {}

    async def start(self, answer: Answerer) -> None:
        """Begin to hand acts to `answer`; nothing is connected."""
        self._answer = answer

    async def stop(self) -> None:
        """Hand no more acts over; what was shown stays to be looked at."""
        self._answer = None

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        """Show a post to everyone, once per key.

        Raises RoomError as `unreachable` and `gone` say.
        """
        self._require(room_id)
        return self._show(room_id, "post", f"post:{key}", (message,))

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Return the reference of the post with this key, None where there is none."""
        self._require(room_id)
        return self._keys.get((room_id, f"post:{key}"))

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Return what `now` was when a post was shown. Raises RoomError for an unknown one."""
        return self._load(room_id, reference).at

    async def is_up(self, room_id: str, reference: str) -> bool:
        """Tell whether a post is shown."""
        self._require(room_id)
        return reference in self._shown

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        """Replace a post, and count it in its `edits`. Raises RoomError for an unknown one."""
        post = self._load(room_id, reference)
        self._shown[reference] = replace(post, messages=(message,), edits=post.edits + 1)
        return reference

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Show a thread under a post, once per key. Raises RoomError for an unknown post."""
        self._load(room_id, reference)
        own_key = f"thread:{key}"
        return self._show(room_id, "thread", own_key, messages, under=reference, title=title)

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        """Show a message in a thread under a post, once per key. Raises RoomError for an unknown
        post."""
        self._load(room_id, reference)
        said = (message,)
        return self._show(room_id, "post", f"post:{key}", said, under=reference, title=title)

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Show something to one person, once per key."""
        self._require(room_id)
        return self._show(room_id, "told", f"tell:{user_id}:{key}", (message,), user_id=user_id)

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Take away what a person said; False for a post of ours, and where `may_remove` is
        False."""
        self._require(room_id)
        there = self._shown.get(message_id)
        if not self.may_remove or there is None or there.room_id != room_id or there.kind != "said":
            return False
        del self._shown[message_id]
        return True

    def lacking(self, room_id: str) -> Lacking | None:
        """Return `lacks`."""
        return self.lacks

    def server_of(self, room_id: str) -> str:
        """Return that there is nothing around a room."""
        return ""

    async def find_place(self, room_id: str, named: str, user_id: str) -> Place:
        """Return the room of this id, led by everybody; none where it is unknown or gone."""
        is_there = named in self.room_ids and named not in self.gone
        return Place(named if is_there else "", named, True, self.lacks)

    def in_charge(self, room_id: str) -> tuple[str, ...]:
        """Know of nobody."""
        return ()

    # --- the people's side ---

    async def hear(self, act: Incoming) -> tuple[Message, ...]:
        """Play an act: show it if it is in the open, have it answered, show the answers."""
        assert self._answer is not None, "a room hears nothing before its start"
        if act.in_open:
            said = (Message(act.text),)
            line_key = f"line:{act.event_id}"
            line_id = self._show(act.room_id, "said", line_key, said, by=act.name)
            act = replace(act, message_id=line_id)
        self.heard.append(act)
        answers = await self._answer(act)
        for number, answer in enumerate(answers):
            key = f"answer:{act.event_id}:{number}"
            self._show(act.room_id, "answer", key, (answer,), user_id=act.user_id)
        return answers

    def visible(self, room_id: str, user_id: str) -> tuple[Shown, ...]:
        """Return what this person sees of the room, oldest first."""
        return tuple(
            shown
            for shown in self._shown.values()
            if shown.room_id == room_id and shown.user_id in (None, user_id)
        )

    def _show(
        self,
        room_id: str,
        kind: str,
        key: str,
        messages: tuple[Message, ...],
        *,
        user_id: str | None = None,
        by: str = "",
        under: str = "",
        title: str = "",
    ) -> str:
        if (room_id, key) in self._keys:
            return self._keys[room_id, key]
        reference = f"fake-{len(self._keys) + 1}"
        self._keys[room_id, key] = reference
        self._shown[reference] = Shown(
            reference, room_id, kind, key, messages, user_id, by, under, title, at=self.now
        )
        return reference

    def _require(self, room_id: str) -> None:
        if self.unreachable > 0:
            self.unreachable -= 1
            raise RoomUnreachableError("made unreachable by a test")
        if room_id not in self.room_ids or room_id in self.gone:
            raise RoomGoneError(f"no room {room_id!r}")

    def _load(self, room_id: str, reference: str) -> Shown:
        self._require(room_id)
        post = self._shown.get(reference)
        if post is None or post.room_id != room_id or post.kind != "post":
            raise RoomError(f"room {room_id!r} has no post {reference!r}")
        return post
