"""Faults to inject into REST: what goes wrong, for which requests, how often, and when.

`after` faults strike when the effect has taken place, so that only the reply is lost.
"""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass, field


@dataclass
class Fault:
    """`status` answers with that status; 0 drops the connection. `via`: a real 429 has it."""

    path: str
    method: str = "POST"
    status: int = 0
    times: int = 1
    after: bool = False
    via: bool = True
    retry_after: float = 0.01
    code: int = 0
    until: asyncio.Event | None = None
    """The request hangs until this is set, and then takes place: a slow service, no error."""
    struck: int = 0

    def matches(self, method: str, path: str) -> bool:
        return self.times > 0 and self.method == method and bool(re.fullmatch(self.path, path))


@dataclass
class Faults:
    waiting: list[Fault] = field(default_factory=list)

    def add(self, fault: Fault) -> Fault:
        self.waiting.append(fault)
        return fault

    def take(self, method: str, path: str, *, after: bool) -> Fault | None:
        """Return the fault that strikes this request, and count it."""
        for fault in self.waiting:
            if fault.after == after and fault.matches(method, path):
                fault.times -= 1
                fault.struck += 1
                return fault
        return None
