"""Sends what goes out, once: saved with a transaction id first, then sent, then noted.

After a crash the same transaction id is sent again, and the homeserver answers with the event that
it has already. Limits are waited out here; an outage is passed on to the caller. Parts of one
message keep their order.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections import defaultdict
from collections.abc import Sequence
from functools import partial
from hashlib import sha256
from typing import Any

from bot.platforms.matrix.errors import UnencryptedError
from bot.platforms.matrix.journal import Draft, Journal
from bot.platforms.matrix.layout import Piece, relation_of
from bot.platforms.matrix.patience import Patience, Urgency
from bot.platforms.matrix.server import Server
from bot.platforms.message import RoomError, RoomUnreachableError

_LOG = logging.getLogger("ninebark.matrix")


class Outbox:
    """Sends for all clubs; what goes to one room goes in turn."""

    def __init__(self, server: Server, journal: Journal, patience: Patience) -> None:
        self._server = server
        self._journal = journal
        self._patience = patience
        self._unkept: dict[str, dict[str, Any]] = {}
        self._in_turn: defaultdict[str, asyncio.Lock] = defaultdict(asyncio.Lock)

    async def find(self, room_id: str, key: str) -> str | None:
        """Return the first event of a key, where that is out; the rest follows by itself."""
        drafts = await self._journal.load_drafts(room_id, key)
        return drafts[0].event_id if drafts else None

    async def deliver(
        self,
        room_id: str,
        key: str,
        target: str,
        pieces: Sequence[Piece],
        *,
        at_most: int = 1000,
        in_clear: bool = False,
    ) -> str:
        """Send the pieces to `target`, once per key of a club's room; return the first's event id.

        `at_most` so many now, and the others by `finish`. `in_clear`: also to an encrypted room
        where we cannot encrypt. Raises RoomError; what was not sent then is sent by another call.
        """
        drafts: tuple[Draft, ...] = ()
        if any(piece.file is not None for piece in pieces):
            # What is saved already is uploaded already; without files, saving finds it, too.
            drafts = await self._journal.load_drafts(room_id, key)
        if not drafts:
            drafts = await self._journal.save_drafts(
                [
                    await self._draft(room_id, key, target, part, piece, in_clear=in_clear)
                    for part, piece in enumerate(pieces)
                ]
            )
        for draft, piece in zip(drafts, pieces, strict=False):
            if piece.unkept is not None and not draft.event_id:
                self._unkept[draft.transaction_id] = piece.unkept
        return await self._send_all(drafts[:at_most], in_clear=in_clear)

    async def deliver_newest(self, room_id: str, name: str, piece: Piece, said: str) -> None:
        """Send what takes the place of what went out under a name before, unless that `said` the
        same; what was said earlier may be said again. Raises RoomError."""
        prefix, digest = f"{name}:", sha256(said.encode()).hexdigest()[:20]
        before = await self._journal.find_newest(room_id, prefix)
        number, _, newest = (before or "").removeprefix(prefix).rpartition(":")
        key = before if before and newest == digest else f"{prefix}{int(number or 0) + 1}:{digest}"
        await self.deliver(room_id, key, room_id, (piece,))
        if before and key != before:
            await self._journal.drop_drafts(room_id, before)

    async def remove(self, target: str, event_id: str, transaction_id: str) -> None:
        """Redact somebody's message, before all else that waits for a limit. Raises RoomError."""
        ask = partial(self._server.redact, target, event_id, transaction_id)
        await self._patience.within_limits(ask, urgency=Urgency.REMOVAL)

    async def finish(self, room_id: str, key: str) -> None:
        """Send what is saved of a key and not out. Raises RoomUnreachableError."""
        try:
            await self._send_all(await self._journal.load_drafts(room_id, key))
        except RoomUnreachableError:
            raise
        except RoomError as problem:
            _LOG.warning("what was left of %s is dropped: %s", key, problem)
            await self._journal.drop_drafts(room_id, key)

    async def resume(self) -> None:
        """Send what an earlier run saved and did not see out."""
        keys = dict.fromkeys(
            (draft.room_id, draft.key) for draft in await self._journal.load_unsent()
        )
        for room_id, key in keys:
            await self.finish(room_id, key)

    async def _draft(
        self, room_id: str, key: str, target: str, part: int, piece: Piece, *, in_clear: bool
    ) -> Draft:
        if not self._server.can_read(target) and not in_clear:
            raise UnencryptedError(target)
        content = dict(piece.content)
        if piece.file is not None:
            file = piece.file
            uploaded = await self._patience.within_limits(lambda: self._server.upload(target, file))
            content |= uploaded
            if "m.new_content" in content:
                content["m.new_content"] = {**content["m.new_content"], **uploaded}
        return Draft(
            room_id=room_id,
            key=key,
            part=part,
            target=target,
            transaction_id=sha256(f"{room_id}\n{key}\n{part}".encode()).hexdigest()[:40],
            kind=piece.kind,
            content=json.dumps(content).encode(),
            relation=piece.relation,
            commands=piece.commands,
        )

    async def _send_all(self, drafts: Sequence[Draft], *, in_clear: bool = False) -> str:
        first = ""
        async with self._in_turn[drafts[0].target]:
            for draft in drafts:
                try:
                    event_id = draft.event_id or await self._send(draft, first, in_clear)
                except RoomUnreachableError:
                    raise
                except RoomError as problem:
                    if draft.kind != "m.reaction":
                        raise
                    # A room where we may not react is served without.
                    _LOG.info("a reaction was refused: %s", problem)
                    await self._journal.drop_drafts(draft.room_id, draft.key)
                    break
                first = first or event_id
        return first

    async def _send(self, draft: Draft, first: str, in_clear: bool) -> str:
        content = self._unkept.get(draft.transaction_id) or json.loads(draft.content)
        if draft.relation:
            content["m.relates_to"] = relation_of(draft.relation, first)
        event_id = await self._patience.within_limits(
            lambda: self._server.send(
                draft.target, draft.kind, content, draft.transaction_id, in_clear=in_clear
            )
        )
        await self._journal.mark_sent(draft, event_id)
        self._unkept.pop(draft.transaction_id, None)
        return event_id
