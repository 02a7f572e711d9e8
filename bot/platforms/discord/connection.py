"""How Discord is reached, as a value that needs no library."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from bot.platforms.discord.shards import Shards


@dataclass(frozen=True, slots=True)
class Connection:
    """The token, which is kept out of the value's own writing; other addresses than the service's
    own, None for none; the shards of this process, None for all that there are; and what the
    library's client is told besides."""

    token: str = field(repr=False)
    api: str | None = None
    gateway: str | None = None
    client_options: dict[str, Any] = field(default_factory=dict)
    shards: Shards | None = None

    @property
    def options(self) -> dict[str, Any]:
        """Return what the library's client is told, its shards among it."""
        if self.shards is None:
            return self.client_options
        own = {"shard_ids": self.shards.ids, "shard_count": self.shards.of}
        return {**self.client_options, **own}

    @property
    def share(self) -> float:
        """How much of the bot's limits is for this process."""
        return 1.0 if self.shards is None else self.shards.share

    @property
    def hears_directly(self) -> bool:
        """Whether direct messages come to this process."""
        return self.shards is None or self.shards.hear_directly
