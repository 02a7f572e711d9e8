"""The words that the page's server needs, handed to it: the platform has none of its own.

`bot.wording.web` has them. What a member reads is on the page; these are for a browser that is not
shown it.
"""

from __future__ import annotations

from dataclasses import dataclass

from bot.platforms.web.names import NameWords


@dataclass(frozen=True, slots=True)
class GuideWords:
    """`back`: the link to the room. `shelf`: what the list of the guides is called."""

    back: str
    shelf: str


@dataclass(frozen=True, slots=True)
class GateWords:
    """`elsewhere`: the page was asked for under another address. `openly`: without encryption.
    `foreign`: another site asks. `busy`: too often. `too_long`, `too_slow`: what was sent.
    `failed`: something of ours."""

    elsewhere: str
    openly: str
    foreign: str
    busy: str
    too_long: str
    too_slow: str
    failed: str


@dataclass(frozen=True, slots=True)
class WebWords:
    """`names` are those that nobody else may bear. `full`: there are too many tabs. `rooms_stay`:
    to a leader who would move a club."""

    names: NameWords
    gate: GateWords
    full: str
    rooms_stay: str
    guides: GuideWords
