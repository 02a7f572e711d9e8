"""What one visitor asks and is answered, shown in their room.

A line stands in the timeline with its answers below. What is pressed in an answer changes that
answer and adds no line, so a hint climbs and settings change in one place.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from bot.platforms.message import Incoming, Message
from bot.platforms.web.door import Visitor
from bot.platforms.web.frames import EntryBody, MessageBody
from bot.platforms.web.log import LogEntry
from bot.platforms.web.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Asking:
    """What `visitor` asks; `stamp` says now as the timeline writes it."""

    timeline: Timeline
    visitor: Visitor
    stamp: Callable[[], str]

    async def show_line(self, line: Incoming, *, is_open: bool) -> Incoming:
        """Show a line to all or to its writer alone; return it with what names it in the room."""
        body = EntryBody(
            line.received_at.isoformat(), (MessageBody(line.text),), by=self.visitor.name
        )
        audience, kind = (None, "said") if is_open else (self.visitor.user_id, "asked")
        room_id, key = self.visitor.room_id, f"line:{line.event_id}"
        line_id = await self.timeline.append(room_id, audience, kind, body, key)
        return replace(line, message_id=str(line_id)) if is_open else line

    async def answer_under(self, entry_id: int) -> LogEntry | None:
        """Return the visitor's answer with this id; None where there is none of theirs."""
        room_id, user_id = self.visitor.room_id, self.visitor.user_id
        entry = await self.timeline.log.load_own(room_id, user_id, entry_id)
        return entry if entry is not None and entry.kind == "answer" else None

    async def show_answers(
        self, asked: Incoming, answers: Sequence[Message], pressed: LogEntry | None
    ) -> tuple[int, ...]:
        """Show answers below, the first in the place of the answer pressed in; return their ids."""
        told: list[int] = []
        for number, answer in enumerate(answers):
            body = EntryBody(self.stamp(), (await self.timeline.body_of(answer),))
            if pressed is not None and number == 0:
                await self.timeline.replace(pressed, body)
                told.append(pressed.id)
            else:
                to = self.visitor.room_id, self.visitor.user_id
                key = f"answer:{asked.event_id}:{number}"
                told.append(await self.timeline.append(*to, "answer", body, key))
        return tuple(told)
