"""JSON from strangers: what a homeserver passes on parses whatever an event in it holds.

Python's reader gives up on deep nesting and on long numbers, and so on all that comes beside them;
half of a surrogate pair parses, and then cannot be stored. Neither stops anything here.
"""

from __future__ import annotations

import json
import re
from typing import Any

LONGEST_NUMBER = 30
DEEPEST = 100
"""Levels of nesting that are looked into; events of use have five."""


def as_json(thing: object) -> bytes:
    """Return JSON that every reader takes: half of a surrogate pair becomes a question mark."""
    return json.dumps(thing, ensure_ascii=False).encode("utf-8", "replace")


def clean(text: str) -> str:
    """Return a text that can be stored and sent on: no half of a surrogate pair."""
    return text.encode("utf-8", "replace").decode()


def parse_json(raw: bytes) -> Any:
    """Parse what a homeserver answers, however deep or long its numbers are; {} for no JSON."""
    text = raw.decode("utf-8", "replace")
    try:
        return _LENIENT.decode(text)
    except RecursionError:
        text = _shallow(text)
    except ValueError:
        return {}
    try:
        return _LENIENT.decode(text)
    except (ValueError, RecursionError):
        return {}


def _number_of(digits: str) -> int:
    """Return a number; one that no calendar, level or count reaches is as good as any larger."""
    return int(digits[:LONGEST_NUMBER])


_LENIENT = json.JSONDecoder(strict=False, parse_int=_number_of, parse_constant=lambda _: None)
_SPAN = re.compile(r'"(?:[^"\\]|\\.)*"|[\[\]{}]', re.DOTALL)


def _shallow(text: str) -> str:
    """Put null where JSON goes deeper than anything that is meant for a reader."""
    kept: list[str] = []
    depth, begun = 0, 0
    for mark in _SPAN.finditer(text):
        if mark[0] in ("[", "{"):
            if depth == DEEPEST:
                kept.append(text[begun : mark.start()])
            depth += 1
        elif mark[0] in ("]", "}"):
            depth -= 1
            if depth == DEEPEST:
                kept.append("null")
                begun = mark.end()
    return "".join((*kept, text[begun:]))
