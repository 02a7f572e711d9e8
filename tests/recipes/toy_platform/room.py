"""The toy platform's room: it keeps in memory what the shipped fake keeps."""

from __future__ import annotations

from bot.platforms.toy.door import PLATFORM, admit

from bot.platforms.fake import FakeRoom
from bot.platforms.message import Message


class ToyRoom(FakeRoom):
    platform = PLATFORM

    async def say(self, room_id: str, name: str, text: str) -> tuple[Message, ...]:
        """Play what a person says privately; return the answers."""
        return await self.hear(admit(len(self.heard), room_id, name, text, self.now))
