"""The menus under the club's settings: what a leader can choose by pointing instead of typing.

A menu's command is the command line up to the value. It offers the likely values; all others are
typed. Nothing is decided here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from bot.club.settings import USUAL_LEVELS
from bot.platforms.message import Choice, Menu, Picker
from bot.wording.settings import tell_value
from bot.wording.times import zone_name

ZONES = (
    "UTC", "Europe/London", "Europe/Lisbon", "Europe/Paris", "Europe/Berlin", "Europe/Athens",
    "Europe/Moscow", "Africa/Lagos", "Africa/Johannesburg", "Asia/Dubai", "Asia/Kolkata",
    "Asia/Bangkok", "Asia/Shanghai", "Asia/Tokyo", "Australia/Perth", "Australia/Sydney",
    "Pacific/Auckland", "America/Halifax", "America/New_York", "America/Chicago",
    "America/Denver", "America/Los_Angeles", "America/Sao_Paulo", "America/Mexico_City",
)  # fmt: skip
LEVELS = {
    "1,1,1,1,1,1,1": "Level 1 every day: a new club",
    "1,1,1,1,2,2,1": "Level 1, and 2 on Friday and Saturday",
    "1,1,2,2,3,3,2": "Level 1 on Monday, up to 3 on Saturday",
    "2,2,2,2,2,2,2": "Level 2 every day",
    "2,2,2,3,3,3,2": "Level 2, and 3 from Thursday to Saturday",
    "3,3,3,3,3,3,3": "Level 3 every day",
}
"""Words for each of the usual weeks."""

SEALED = {
    "no": "Open days: the post shows the puzzle",
    "yes": "Sealed days: the puzzle comes when a clock starts",
}
CHOICES_LIMIT = 25


def settings_menus(settings: Iterable[tuple[str, str]]) -> tuple[Menu, ...]:
    """Return the menus for the settings as they stand, as (name, value) pairs."""
    now = dict(settings)
    hours = {f"{hour:02}:00": f"{hour:02}:00" for hour in range(24)}
    return (
        _menu("Post time", "post-time", hours, now),
        _menu("Time zone", "zone", {zone: zone_name(zone) for zone in ZONES}, now),
        _menu("Levels of the week", "levels", {each: LEVELS[each] for each in USUAL_LEVELS}, now),
        _menu("Open or sealed days", "sealed", SEALED, now),
    )


def leader_pickers(settings: Iterable[tuple[str, str]]) -> tuple[Picker, ...]:
    """Return the lists to pick the club's leaders from, roles and people, as they stand."""
    named = dict(settings).get("leaders", "").split(",")
    roles = tuple(each for each in named if each.startswith("&"))
    people = tuple(each for each in named if each not in roles)
    return (
        Picker("Roles that lead the club", "club setup leader-roles=", roles, of_groups=True),
        Picker("People who lead the club", "club setup leader-people=", people),
    )


def _menu(label: str, name: str, offered: Mapping[str, str], now: Mapping[str, str]) -> Menu:
    """Return a menu whose first choice is the value that holds, where it is none of the usual."""
    value = now.get(name, "")
    if value and value not in offered:
        offered = {value: tell_value(name, value), **offered}
    choices = tuple(
        Choice(words, each, is_chosen=each == value)
        for each, words in list(offered.items())[:CHOICES_LIMIT]
    )
    return Menu(label, f"club setup {name}=", choices)
