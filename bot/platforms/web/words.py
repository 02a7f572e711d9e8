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
class WebWords:
    """`names` are those that nobody else may bear. `elsewhere`: the page was asked for under
    another address. `foreign`: another site asks. `full`: there are too many tabs."""

    names: NameWords
    elsewhere: str
    foreign: str
    full: str
    guides: GuideWords
