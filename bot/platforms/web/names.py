"""Who may enter the web room under which name: nobody under one that people take for another's.

The room has no login, so this keeps nobody from being somebody else on purpose at the same
machine; it keeps two people of a club, and the club itself, apart on the page. Pure.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from bot.platforms.look_alikes import holds_look_of, is_mixed, look_alike, look_of
from bot.platforms.web.guard import user_id_of
from bot.platforms.web.refusals import WebProblem


@dataclass(frozen=True, slots=True)
class NameWords:
    """`bot` may not even stand inside a name; `reserved` are whole names; a name made of `offices`
    and `fillers` alone is none, and beside another they make no other name of it."""

    bot: str
    reserved: tuple[str, ...] = ()
    offices: frozenset[str] = frozenset()
    fillers: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class People:
    """Who is known to a club: its leaders by the names they lead under, its members by user id."""

    leaders: Collection[str] = ()
    members: Mapping[str, str] = field(default_factory=dict)


def find_problem(
    name: str, people: People, titles: Iterable[str], words: NameWords
) -> WebProblem | None:
    """Return why a cleaned name is not let in; None where it is.

    `titles` are what the club is called. Leaders and members come back under their own names; only
    a member whose letters are borrowed from another alphabet to read as a leader's does not.
    """
    user_id = user_id_of(name)
    own = {user_id_of(each) for each in people.leaders}
    if not user_id:
        return WebProblem.NAME
    if user_id in own:
        return None
    bare = _without_offices(name, words)
    if not bare or _is_reserved(name, bare, titles, words):
        return WebProblem.NAME_RESERVED
    is_known = user_id in people.members
    if any(look_alike(bare, each) or look_alike(name, each) for each in people.leaders):
        return None if is_known and not is_mixed(name) else WebProblem.NAME_LEADER
    if is_known:
        return None
    if is_mixed(name):
        return WebProblem.NAME_MIXED
    if any(look_alike(name, each) for each in people.members.values()):
        return WebProblem.NAME_TAKEN
    return None


def _is_reserved(name: str, bare: str, titles: Iterable[str], words: NameWords) -> bool:
    whole = (*words.reserved, *titles)
    return holds_look_of(name, words.bot) or any(
        look_alike(each, kept) for each in (name, bare) for kept in whole
    )


def _without_offices(name: str, words: NameWords) -> str:
    """Return a name less the words that only say what somebody is: `Rowan (leader)` is Rowan."""
    idle = {look_of(each) for each in words.offices | words.fillers}
    return " ".join(word for word in name.split() if look_of(word) not in idle)
