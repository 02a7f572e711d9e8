"""Plain text made fit for Discord: nothing in it is markup, and no piece is longer than allowed.

Every letter that could begin markup, a mention or a link gets a backslash, which Discord does not
show. Lengths are counted as Discord counts them: in characters, backslashes included.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

TEXT_LIMIT = 2000
_MARKUP = re.compile(r"[\\*_~`|<>\[\]()#@:]|^([^\S\n]*)([-+]|[0-9]+[.)])(?=\s)", re.MULTILINE)
_BREAKS = ("\n\n", "\n", ". ", " ")


def _escaped(found: re.Match[str]) -> str:
    space, bullet = found[1], found[2]
    if bullet is None:
        return f"\\{found[0]}"
    # A list's mark: `- ` or `1. `; the sign gets the backslash, never a digit.
    return f"{space}{bullet[:-1]}\\{bullet[-1]}"


def escape(text: str) -> str:
    """Return a text that Discord shows letter for letter."""
    return _MARKUP.sub(_escaped, text)


def clip(text: str, limit: int) -> str:
    """Shorten a text to `limit` characters, ending in an ellipsis where it was longer."""
    return text if len(text) <= limit else text[: limit - 1].rstrip() + "…"


def split_text(text: str, limit: int = TEXT_LIMIT) -> tuple[str, ...]:
    """Return a text, escaped, in pieces of at most `limit`, broken where a reader would pause."""
    return tuple(_pieces(text, limit)) if text.strip() else ()


def _pieces(text: str, limit: int) -> Iterator[str]:
    rest = text
    while len(rest) > limit or len(escape(rest)) > limit:
        end = _break_before(rest, _fitting(rest, limit))
        yield escape(rest[:end].rstrip())
        rest = rest[end:].lstrip("\n ")
    yield escape(rest)


def _fitting(text: str, limit: int) -> int:
    """Return how many characters of the text fit when escaped: each mark takes one more."""
    added = 0
    for found in _MARKUP.finditer(text, 0, limit):
        if found.end() + added + 1 > limit:
            return max(1, min(found.start(), limit - added))
        added += 1
    return min(len(text), limit - added)


def _break_before(text: str, end: int) -> int:
    for mark in _BREAKS:
        found = text.rfind(mark, end // 2, end)
        if found > 0:
            return found + len(mark)
    return end


def code_block(text: str) -> str:
    """Return a block of equal-width letters; what would end it early is taken apart."""
    return "```\n" + text.replace("```", "`\u200b``") + "\n```"
