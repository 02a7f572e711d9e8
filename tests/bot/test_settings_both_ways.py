"""A club's setting means the same wherever it is set: in the config file and by `club setup`."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from bot.club.refusal import RefusedError
from bot.club.setting_up import change_settings
from bot.club.settings import SETTINGS, ClubSettings, Setting
from bot.settings import CLUB_KEYS, PENALTY_KEYS, ConfigError
from bot.wiring.platforms import read_settings

PLAIN = ClubSettings("Maple Street Solvers")
REFUSED = "refused"


def by_config(folder: Path, line: str) -> ClubSettings | str:
    """Return the club's settings with a line of the config, `refused` where it does not fit."""
    name = "" if line.startswith("name") else f'name = "{PLAIN.name}"\n'
    path = folder / "config.toml"
    path.write_text(f'[[club]]\nplatform = "web"\nroom = "main"\n{name}{line}\n', encoding="utf-8")
    try:
        (club,) = read_settings(path).clubs
    except ConfigError as error:
        return REFUSED if error.problem in ("value", "never-needed") else error.problem
    return club.settings


def by_setup(change: str) -> ClubSettings | str:
    """Return the settings after a change in the room, `refused` where it does not fit."""
    name, _, text = change.partition("=")
    try:
        return change_settings(PLAIN, ((name, text),))[0]
    except RefusedError:
        return REFUSED


each_setting = pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: setting.name)


def config_line(setting: Setting, value: str) -> str:
    table = "[club.penalties]\n" if setting.is_penalty else ""
    return f"{table}{setting.key} = {value}"


@each_setting
def test_the_example_of_a_setting_works_in_config_and_room_alike(
    tmp_path: Path, setting: Setting
) -> None:
    keys = PENALTY_KEYS if setting.is_penalty else CLUB_KEYS
    line = config_line(setting, keys[setting.key][1].partition(" = ")[2])
    text = setting.notation.format(setting.example)
    by_room = by_setup(f"{setting.name}={text}")
    assert isinstance(by_room, ClubSettings)
    assert setting.of(by_room) == setting.example
    assert by_config(tmp_path, line) == by_room


@each_setting
def test_no_setting_takes_what_is_of_another_kind(tmp_path: Path, setting: Setting) -> None:
    assert by_config(tmp_path, config_line(setting, "{ odd = 1 }")) == REFUSED
    assert by_config(tmp_path, config_line(setting, "2026-11-24")) == REFUSED


@each_setting
def test_settings_stored_before_there_was_this_one_are_read(setting: Setting) -> None:
    kept = msgspec.json.decode(msgspec.json.encode(PLAIN), type=dict)
    (kept["penalties"] if setting.is_penalty else kept).pop(setting.key)
    kept.setdefault("name", PLAIN.name)
    assert msgspec.json.decode(msgspec.json.encode(kept), type=ClubSettings) == PLAIN


@pytest.mark.parametrize(
    ("line", "change"),
    [
        ('theme = "naked-triple"', "theme=naked-triple"),
        ('zone = "london"', "zone=london"),
        ('post_time = "6 pm"', "post-time=6 pm"),
        ("levels = 3", "levels=3"),
        ("levels = [3]", "levels=3"),
        ('theme = "Naked Triples"', "theme=Naked Triples"),
        ('theme = "none"', "theme=none"),
        ('theme = "last-digit"', "theme=last-digit"),
        ('theme = "locked-three"', "theme=locked-three"),
        ('name = "  The   Slow Club "', "name=  The   Slow Club "),
        (f'name = "{"x" * 60}"', f"name={'x' * 60}"),
        (f'name = "{"x" * 300}"', f"name={'x' * 300}"),
        ('name = " "', "name= "),
        ('zone = "Europe/London"', "zone=Europe/London"),
        ('zone = " Europe/London "', "zone= Europe/London "),
        ('zone = "../../etc/passwd"', "zone=../../etc/passwd"),
        ('zone = "posix/Europe/London"', "zone=posix/Europe/London"),
        ('zone = "right/Europe/London"', "zone=right/Europe/London"),
        ('post_time = "07:05"', "post-time=07:05"),
        ('post_time = "7:05"', "post-time=7:05"),
        ('post_time = "24:00"', "post-time=24:00"),
        ("sealed = true", "sealed=yes"),
        ("sealed = 2", "sealed=2"),
        ("uniqueness = false", "uniqueness=no"),
        ("levels = [1, 2, 3, 4, 5, 6, 6]", "levels=1,2,3,4,5,6,6"),
        ("levels = [1, 2, 3, 4, 5, 6, 7]", "levels=1,2,3,4,5,6,7"),
        ("levels = [1, 2, 3]", "levels=1,2,3"),
        ('look = "dark"', "look=dark"),
        ('look = "Dark"', "look=Dark"),
        ('look = "purple"', "look=purple"),
        ("quick = 2", "quick=2"),
        ("quick = 0.25", "quick=0.25"),
        ("quick = 60.5", "quick=60.5"),
        ("quick = nan", "quick=nan"),
        ("quick = true", "quick=true"),
        ('leaders = ["Rowan", " Hazel", "Rowan"]', "leaders=Rowan, Hazel,Rowan"),
        ('leaders = ["none"]', "leaders=none"),
        ("leaders = []", "leaders="),
        ("[club.penalties]\nrungs = [0, 0, 0, 3600]", "rungs=0,0,0,3600"),
        ("[club.penalties]\nrungs = [0, 0, 0, 3601]", "rungs=0,0,0,3601"),
        ("[club.penalties]\nmistakes = [1, 2, 3]", "mistakes=1,2,3"),
        ("[club.penalties]\ncheck = -1", "check=-1"),
        ("[club.penalties]\nwrong = 0", "wrong=0"),
    ],
)
def test_config_and_room_take_the_same_values_and_refuse_the_same(
    tmp_path: Path, line: str, change: str
) -> None:
    assert by_config(tmp_path, line) == by_setup(change)
