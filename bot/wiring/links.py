"""The links by which people come to a page of ours, put together: where they lead, and whom to."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime

from bot.links import PersonalLinks
from bot.storage import SqliteStore
from bot.wiring.platform import Access
from bot.wiring.platforms import BY_NAME


def links_of(
    store: SqliteStore, now: Callable[[], datetime], accesses: Iterable[Access]
) -> PersonalLinks:
    """Return the links of a store, which lead to the page that one of the platforms is, if any."""
    home = next((each for each in accesses if each.origin), None)
    return PersonalLinks(
        store,
        now,
        origin="" if home is None else home.origin,
        home="" if home is None else home.platform,
        id_of={name: platform.leader_id for name, platform in BY_NAME.items()},
        problem_of={name: platform.name_problem for name, platform in BY_NAME.items()},
    )
