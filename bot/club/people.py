"""Whom a reply names: which of its fields hold people's names, and which hold what people typed.

What is told of somebody must be found again when they have it erased, so a field that names a
person stands here, and nothing that could be taken for one. A test looks for those that do not.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Set

import msgspec

from bot.club.facts import FORMER_MEMBER
from bot.club.reply import Reply

NAMES = frozenset({"finishers", "flagged", "member", "most_improved", "name", "names", "starters"})
"""The fields that hold people's names; a row in one of them begins with the name. Which replies
have any is noted as they are kept, so a field that is added here is looked for in later ones."""

WORDS = frozenset({"reason", "text", "typed"})
"""The fields that hold what people typed."""

_HOLDS_ANY = re.compile(
    rb'"(?:%s)":(?!""|null|\[\])' % b"|".join(each.encode() for each in sorted(NAMES | WORDS))
)

Rewrite = Callable[[str], str]


def people_in(reply: Reply) -> tuple[str, ...]:
    """Return the names of the people whom a reply names, each once."""
    found: dict[str, None] = {}

    def note(name: str) -> str:
        found[name] = None
        return name

    rewritten(msgspec.to_builtins(reply), NAMES, note)
    return tuple(name for name in found if name != FORMER_MEMBER)


def may_name(written: bytes) -> bool:
    """Say whether an encoded reply holds anything in a field of people's names or words."""
    return _HOLDS_ANY.search(written) is not None


def rewritten(value: object, fields: Set[str], rewrite: Rewrite, field: str = "") -> object:
    """Return plain JSON values with every text in one of the fields rewritten."""
    match value:
        case dict():
            return {key: rewritten(each, fields, rewrite, key) for key, each in value.items()}
        case [str(), *rest] if field in fields and any(not isinstance(each, str) for each in rest):
            return [rewritten(value[0], fields, rewrite, field), *rest]
        case list() | tuple():
            return [rewritten(each, fields, rewrite, field) for each in value]
        case str() if field in fields:
            return rewrite(value)
    return value
