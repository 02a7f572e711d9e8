"""How Discord is reached, as a value that needs no library."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Connection:
    """The token, which is kept out of the value's own writing; other addresses than the service's
    own, None for none; and what the library's client is told besides."""

    token: str = field(repr=False)
    api: str | None = None
    gateway: str | None = None
    client_options: dict[str, Any] = field(default_factory=dict)
