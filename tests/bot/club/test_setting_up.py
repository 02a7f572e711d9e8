"""The club's settings: every name is read and written back, all or nothing."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.club.notations import read_time
from bot.club.plan import plan_of_weekday
from bot.club.refusal import RefusedError
from bot.club.replies import InputRefused
from bot.club.setting_up import change_settings, written_settings
from bot.club.settings import SETTINGS, Setting
from bot.club.state import ClubSettings, Penalties
from bot.club.zones import likely_zones, read_zone, zones
from bot.wording import phrase
from bot.wording.settings import tell_fitting, tell_setting
from bot.wording.times import zone_name

PLAIN = ClubSettings("Maple Street Solvers")
NAMES = {setting.name for setting in SETTINGS}


def test_every_setting_is_read() -> None:
    changes = {
        "name": "  The   Slow Club ",
        "zone": "Europe/London",
        "post-time": "7:05",
        "sealed": "Yes",
        "uniqueness": "off",
        "levels": "1,1,2,2,3,3,2",
        "theme": "Naked Triple",
        "look": "dark",
        "quick": "0.5",
        "leaders": "ada, ben,ada",
        "rungs": "1,2,3,4",
        "mistakes": "0,1,2",
        "check": "5",
        "wrong": "90",
    }
    assert set(changes) <= NAMES
    settings, changed = change_settings(PLAIN, tuple(changes.items()))
    assert settings == ClubSettings(
        name="The Slow Club",
        zone="Europe/London",
        post_time="07:05",
        sealed=True,
        uniqueness=False,
        levels=(1, 1, 2, 2, 3, 3, 2),
        theme="naked-triple",
        look="dark",
        quick=0.5,
        leaders=("ada", "ben"),
        penalties=Penalties(rungs=(1, 2, 3, 4), mistakes=(0, 1, 2), check=5, wrong=90),
    )
    assert set(changed) == set(changes) - {"levels"}


def test_what_is_written_reads_back_as_the_same_settings() -> None:
    odd = ClubSettings("Odd", theme="naked-triple", leaders=("a", "b"), quick=2.25, sealed=True)
    for settings in (PLAIN, odd):
        again, changed = change_settings(settings, written_settings(settings))
        assert again == settings
        assert changed == ()


def test_settings_that_were_once_taken_and_are_refused_now_are_kept_and_shown() -> None:
    kept = b'{"name":"%s","theme":"last-digit","zone":"posix/Europe/London"}' % (b"x" * 300)
    old = msgspec.json.decode(kept, type=ClubSettings)
    settings, changed = change_settings(old, (("look", "dark"),))
    assert changed == ("look",)
    assert (settings.name, settings.theme, settings.zone) == (old.name, old.theme, old.zone)
    shown = dict(written_settings(settings))
    assert (shown["theme"], shown["zone"]) == ("last-digit", "posix/Europe/London")
    assert plan_of_weekday(0, settings).theme == "last-digit"


def test_no_change_shows_the_settings_as_they_are() -> None:
    assert change_settings(PLAIN, ()) == (PLAIN, ())


def test_theme_and_leaders_can_be_taken_back() -> None:
    settings = ClubSettings("Maple", theme="naked-pair", leaders=("ada",))
    plain, _ = change_settings(settings, (("theme", "none"), ("leaders", "none")))
    assert (plain.theme, plain.leaders) == (None, ())


@pytest.mark.parametrize(
    ("name", "fits", "beyond"),
    [
        ("levels", "1,1,2,2,3,3,6", "1,1,2,2,3,3,7"),
        ("levels", "1,1,2,2,3,3,1", "1,1,2,2,3,3,0"),
        ("rungs", "0,30,60,3600", "0,30,60,3601"),
        ("mistakes", "0,0,3600", "0,0,-1"),
        ("check", "3600", "3601"),
        ("wrong", "0", "-1"),
        ("quick", "60", "60.5"),
        ("quick", "0", "-0.5"),
        ("name", "x" * 60, "x" * 61),
    ],
)
def test_a_value_fits_up_to_its_bounds_and_not_beyond(name: str, fits: str, beyond: str) -> None:
    settings, _ = change_settings(PLAIN, ((name, fits),))
    assert dict(written_settings(settings))[name].replace(" ", "") == fits
    with pytest.raises(RefusedError):
        change_settings(PLAIN, ((name, beyond),))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("name", ""),
        ("name", "x" * 61),
        ("zone", "Boston"),
        ("zone", "Etc"),
        ("zone", "GMT+1"),
        ("zone", "Europe/Nowhere"),
        ("zone", "../../etc/passwd"),
        ("zone", "/etc/localtime"),
        ("zone", ""),
        ("post-time", "6"),
        ("post-time", "12"),
        ("post-time", "13pm"),
        ("post-time", "0am"),
        ("post-time", "18:60"),
        ("post-time", "evening"),
        ("post-time", "24:00"),
        ("sealed", "maybe"),
        ("levels", "1,1,2"),
        ("levels", "1,1,2,2,3,3,7"),
        ("levels", "a,1,2,2,3,3,2"),
        ("theme", "guessing"),
        ("look", "purple"),
        ("quick", "-1"),
        ("quick", "nan"),
        ("quick", "fast"),
        ("rungs", "15,30,60"),
        ("wrong", "-60"),
        ("wrong", "10000000"),
        ("check", ""),
    ],
)
def test_a_value_that_does_not_fit_is_named_and_nothing_changes(name: str, text: str) -> None:
    with pytest.raises(RefusedError) as caught:
        change_settings(PLAIN, (("name", "Good"), (name, text)))
    assert caught.value.reply == InputRefused(
        command="club setup", problem="value", text=f"{name}={text}"
    )


@pytest.mark.parametrize(
    ("name", "text", "kept"),
    [
        *(("post-time", text, "18:00") for text in ("6pm", "6 pm", "6 P.M.", "18", "18h", "18.00")),
        ("post-time", "18.30", "18:30"),
        ("post-time", "6:30 pm", "18:30"),
        ("post-time", "7.05am", "07:05"),
        ("post-time", "12am", "00:00"),
        ("post-time", "12pm", "12:00"),
        ("post-time", "noon", "12:00"),
        ("post-time", "Midnight", "00:00"),
        ("post-time", "9:15", "09:15"),
        ("zone", "london", "Europe/London"),
        ("zone", "New York", "America/New_York"),
        ("zone", "new_york", "America/New_York"),
        ("zone", "europe/paris", "Europe/Paris"),
        ("zone", "port au prince", "America/Port-au-Prince"),
        ("zone", "utc", "UTC"),
        ("levels", "3", "3,3,3,3,3,3,3"),
        ("levels", "1 1 2 2 3 3 2", "1,1,2,2,3,3,2"),
        ("levels", "1, 1, 2, 2, 3, 3, 2", "1,1,2,2,3,3,2"),
        ("rungs", "15 30 60 120", "15,30,60,120"),
    ],
)
def test_a_value_is_read_as_people_write_it(name: str, text: str, kept: str) -> None:
    settings, _ = change_settings(PLAIN, ((name, text),))
    assert dict(written_settings(settings))[name] == kept


@given(st.times(), st.sampled_from(("{0:%H:%M}", "{0:%H.%M}", "{0:%I:%M %p}", "{0:%I.%M%p}")))
def test_a_time_is_read_in_every_clock(moment: time, form: str) -> None:
    minute = moment.replace(second=0, microsecond=0)
    assert read_time(form.format(minute)) == minute


def test_a_zone_is_found_by_each_name_it_has_and_none_is_guessed() -> None:
    for zone in zones():
        assert read_zone(zone) == zone
        if zone.partition("/")[0] in ("Europe", "America", "Asia", "Africa"):
            city = zone.rpartition("/")[2].replace("_", " ")
            offsets = {hours_of(each) for each in (read_zone(city.upper()), zone)}
            assert len(offsets) == 1
    assert likely_zones("eastern") == ("Canada/Eastern", "US/Eastern")
    assert likely_zones("Lonndon") == ("Europe/London",)
    assert likely_zones("boston") == ()


def hours_of(zone: str) -> tuple[object, ...]:
    moments = (datetime(2026, month, 3, tzinfo=UTC) for month in range(1, 13))
    return tuple(moment.astimezone(ZoneInfo(zone)).utcoffset() for moment in moments)


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: setting.name)
def test_each_refusal_says_what_fits_and_an_example(setting: Setting) -> None:
    wrong = InputRefused(command="club setup", problem="value", text=f"{setting.name}=~")
    told = phrase(wrong).text
    assert tell_fitting(setting) in told
    assert tell_fitting(setting)
    assert f"club setup {setting.name}=" in told


def test_settings_are_told_in_words() -> None:
    told = {name: tell_setting(name, value) for name, value in written_settings(PLAIN)}
    assert set(told) == NAMES
    assert told["wrong"] == "wrong: a wrong answer adds 60 seconds"
    assert told["post-time"] == "post-time: the day's puzzle goes up at 18:00"
    assert told["zone"] == "zone: the club's days follow UTC"
    assert told.pop("name") == f"name: {PLAIN.name}"
    for line in told.values():
        assert len(line.split()) > 3, line
    assert tell_setting("quick", "0") == "quick: no answer is too fast to count"


def test_every_zone_has_a_name_that_people_know() -> None:
    for zone in zones():
        name = zone_name(zone)
        assert "_" not in name or "/" not in zone
        if name.startswith(("UTC+", "UTC-")):
            assert hours_of(zone)[0] == timedelta(hours=int(name[3:]))
    named = {zone: zone_name(zone) for zone in ("Etc/UTC", "America/New_York", "US/Eastern")}
    assert list(named.values()) == ["UTC", "New York", "US/Eastern"]


def test_a_zone_that_is_none_is_told_with_the_likely_ones() -> None:
    wrong = InputRefused(command="club setup", problem="value", text="zone=eastern")
    assert "Did you mean Canada/Eastern or US/Eastern?" in phrase(wrong).text


def test_an_unknown_setting_is_named() -> None:
    with pytest.raises(RefusedError) as caught:
        change_settings(PLAIN, (("colour", "red"),))
    assert caught.value.reply == InputRefused(
        command="club setup", problem="setting", text="colour"
    )


def test_a_puzzle_calls_groups_and_everybody_and_never_single_people() -> None:
    calling, changed = change_settings(PLAIN, (("ping", "&77, room"),))
    assert calling.ping == ("&77", "room")
    assert changed == ("ping",)
    assert change_settings(calling, (("ping", "none"),))[0].ping == ()
    with pytest.raises(RefusedError) as refused:
        change_settings(PLAIN, (("ping", "ada"),))
    assert "a role, written as a mention" in phrase(refused.value.reply).text
