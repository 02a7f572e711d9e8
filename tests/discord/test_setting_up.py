"""From joining a server to the first puzzle: a leader, no manual, and a bot restarted between."""

from __future__ import annotations

from dataclasses import replace

import pytest
from msgspec import structs

from bot.platforms.discord import welcome
from bot.platforms.discord.marks import FOUND_ID
from bot.wording.discord import DISCORD
from tests.bot.club.stories import easy_puzzle
from tests.discord.conftest import Bench
from tests.discord.test_directly import told
from tests.doubles.discord.people import COMPONENT, answer_of
from tests.doubles.discord.world import SEND_MESSAGES, VIEW_AUDIT_LOG, Channel


async def test_a_menu_for_the_channel_that_comes_without_one_is_answered_and_founds_nothing(
    bench: Bench,
) -> None:
    rowan = bench.double.person("Rowan", bench.double.add_club(), leads=True)
    house = await bench.start()
    for values in ({}, {"values": []}, {"values": ["1", "2"]}, {"values": ["corner"]}):
        menu = {"custom_id": FOUND_ID, "component_type": 8, **values}
        answered = await bench.answered(await rowan.craft(COMPONENT, menu))
        assert answer_of(answered).text == DISCORD.stale
    assert not await house.store.load_clubs()


async def test_a_leader_founds_a_club_by_menus_and_sees_the_first_puzzle_before_it_goes_up(
    bench: Bench,
) -> None:
    double = bench.double
    guild = double.world.add_guild("Maple Street", has_bot=False)
    channel = double.world.add_channel(guild, "puzzles")
    hall = double.world.add_channel(guild, "hall")
    rowan = double.person("Rowan", hall, leads=True)
    await bench.start()
    await double.invite(guild)
    owner_channel = double.world.direct_channel(guild.owner)
    await double.until(lambda: bool(owner_channel.messages), "a welcome")
    (welcome,) = rowan.sees(owner_channel)
    assert "/club setup" in welcome.text

    asked = answer_of(await rowan.command("club setup"))
    await bench.restart()
    page = answer_of(await rowan.choose(asked, "The club's channel", channel.id))
    assert "name: Maple Street" in page.text
    await bench.restart()
    page = answer_of(await rowan.choose(page, "Post time", "13:00"))
    page = answer_of(await rowan.choose(page, "Time zone", "Europe/London"))
    page = answer_of(await rowan.choose(page, "Levels", "2,2,2,2,2,2,2"))
    told = (
        "the day's puzzle goes up at 13:00",
        "the club's days follow London time",
        "level 2 every day",
    )
    for said in told:
        assert said in page.text
    await bench.tick()
    assert not channel.messages
    preview = answer_of(await rowan.press(page, "See the next puzzle"))
    assert preview.alts
    assert "level 2" in preview.text
    await bench.tick()
    assert not channel.messages
    await bench.restart()
    begun = answer_of(await rowan.press(preview, "Begin"))
    assert "13:00" in begun.text
    bench.later(hours=1)
    await bench.tick()
    welcome, post = rowan.sees(channel)
    assert "The first one goes up" in welcome.text
    assert "13:00" in welcome.text
    # The same givens as in the preview: the picture's description names them row by row.
    rows = [line for line in preview.alts[0].splitlines() if line.startswith("row ")]
    assert len(rows) == 9
    assert set(rows) <= set(post.alts[0].splitlines())


async def test_a_channel_where_the_bot_may_not_write_is_refused_with_what_is_missing(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    channel.denied = SEND_MESSAGES
    rowan = bench.double.person("Rowan", channel, leads=True)
    await bench.start()
    refused = answer_of(await rowan.command("club setup", channel=channel.id))
    assert "Send Messages" in refused.text
    assert bench.house is not None
    assert not await bench.house.store.load_clubs()


async def test_a_server_joined_while_the_bot_was_down_is_welcomed_once(
    bench: Bench, club: Channel
) -> None:
    new = bench.double.world.add_guild("Otter Bank")
    bench.double.world.add_channel(new, "hall")
    owners_channel = bench.double.world.direct_channel(new.owner)
    await bench.start()
    await bench.double.until(lambda: bool(owners_channel.messages), "a welcome")
    look = ("GET", f"/channels/{owners_channel.id}/messages", 200)
    for looks in (2, 3):
        # Longer than the service remembers nonces.
        bench.later(days=1)
        await bench.restart()
        await bench.double.until(
            lambda looks=looks: bench.double.rest.requests.count(look) >= looks,  # type: ignore[misc]
            "a look at what was said",
        )
    ada = bench.double.person("Ada", club)
    await ada.command("today")
    assert len(owners_channel.messages) == 1
    owner_of_club = bench.double.guild_of(club).owner
    assert not bench.double.world.direct_channel(owner_of_club).messages


async def test_a_welcome_that_was_cut_off_after_its_words_is_finished_and_not_said_again(
    bench: Bench, club: Channel
) -> None:
    new = bench.double.world.add_guild("Otter Bank")
    bench.double.world.add_channel(new, "hall")
    owners_channel = bench.double.world.direct_channel(new.owner)
    edit = rf"/channels/{owners_channel.id}/messages/\d+"
    cut = bench.double.fault(edit, method="PATCH", status=503, times=1)
    await bench.start()
    await bench.double.until(lambda: bool(cut.struck), "words alone")
    (said,) = owners_channel.messages.values()
    assert said.body["content"].startswith("Thank you for having me.")
    bench.later(days=1)
    await bench.restart()
    await bench.double.until(lambda: bool(said.edits), "the whole of it")
    assert list(owners_channel.messages) == [said.id]
    assert not said.body["content"]


async def test_owners_of_servers_joined_meanwhile_are_welcomed_one_by_one_and_not_after_long(
    bench: Bench, club: Channel, monkeypatch: pytest.MonkeyPatch
) -> None:
    world, ada = bench.double.world, bench.double.person("Ada", club)
    long_ago = world.add_guild("Heron Wharf")
    bench.later(days=8)
    new = [world.add_guild(f"Otter Bank {number}") for number in range(4)]

    def welcomed() -> list[int]:
        return [len(world.direct_channel(each.owner).messages) for each in new]

    await bench.start()
    await bench.double.until(lambda: sum(welcomed()) > 0, "a welcome")
    await ada.command("today")
    assert sum(welcomed()) == 1
    monkeypatch.setattr(welcome, "REST_SECONDS", 0.0)
    await bench.restart()
    await bench.double.until(lambda: sum(welcomed()) == len(new), "all welcomes")
    await ada.command("today")
    assert welcomed() == [1] * len(new)
    assert not world.direct_channel(long_ago.owner).messages


async def test_new_clubs_begin_their_days_at_different_minutes(bench: Bench) -> None:
    channels = [bench.double.add_club(f"Hedgerow {number}") for number in range(8)]
    await bench.start()
    assert bench.house is not None
    for channel in channels:
        rowan = bench.double.person("Rowan", channel, leads=True)
        await rowan.command("club setup", channel=channel.id)
    times = {club.settings.post_time for club in await bench.house.store.load_clubs()}
    assert len(times) > len(channels) // 2
    assert all("18:00" <= each < "18:30" for each in times)


@pytest.mark.parametrize("may_look", [True, False])
async def test_who_let_the_bot_in_is_welcomed_where_the_server_says_so_and_else_its_owner(
    bench: Bench, may_look: bool
) -> None:
    world = bench.double.world
    guild = world.add_guild("Maple Street", has_bot=False)
    channel = world.add_channel(guild, "puzzles")
    rowan = bench.double.person("Rowan", channel, leads=True)
    if may_look:
        guild.roles[1].permissions |= VIEW_AUDIT_LOG
    await bench.start()
    await bench.double.invite(guild, by=rowan.user)
    welcomed, other = (world.direct_channel(each) for each in (rowan.user, guild.owner))
    if not may_look:
        welcomed, other = other, welcomed
    await bench.double.until(lambda: bool(welcomed.messages), "a welcome")
    await bench.stop()
    assert not other.messages


async def test_a_member_founds_nothing(bench: Bench) -> None:
    channel = bench.double.add_club()
    rowan = bench.double.person("Rowan", channel, leads=True)
    ada = bench.double.person("Ada", channel)
    await bench.start()
    asked = answer_of(await rowan.command("club setup"))
    refused = answer_of(await ada.choose(asked, "The club's channel", channel.id))
    assert "manage this server" in refused.text
    assert "No club meets" in answer_of(await ada.command("hint")).text
    assert bench.house is not None
    assert not await bench.house.store.load_clubs()


async def test_a_leader_taken_out_of_the_config_leads_no_more(bench: Bench) -> None:
    channel = bench.double.add_club()
    ada, ben = (bench.double.person(name, channel) for name in ("Ada", "Ben"))
    bench.add_club(channel, leaders=(ada.user.id,))
    # As an older bot saved it: those of the config among those of the club.
    await bench.queue(channel, easy_puzzle())
    await bench.start()
    assert "post-time" in (await told(bench, ada, "club setup")).text
    take_leaders_out(bench)
    await bench.restart()
    refused = await told(bench, ada, "club setup")
    assert "post-time" not in refused.text
    assert "leaders" in refused.text
    assert "leaders" in (await told(bench, ben, "club setup")).text


async def test_whom_the_club_itself_has_named_leads_whatever_the_config_says(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    ada, ben = (bench.double.person(name, channel) for name in ("Ada", "Ben"))
    bench.add_club(channel, leaders=(ada.user.id,))
    await bench.start()
    await told(bench, ada, f"club setup leaders={ben.user.id}")
    take_leaders_out(bench)
    await bench.restart()
    assert "post-time" in (await told(bench, ben, "club setup")).text


def take_leaders_out(bench: Bench) -> None:
    (entry,) = bench.entries
    bench.entries = [replace(entry, settings=structs.replace(entry.settings, leaders=()))]


async def test_a_leader_whom_the_config_alone_names_is_told_of_a_quick_answer(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    rowan, ada = (bench.double.person(name, channel) for name in ("Rowan", "Ada"))
    bench.add_club(channel, leaders=(rowan.user.id,), quick=60)
    await bench.start()
    assert bench.house is not None
    (club,) = await bench.house.store.load_clubs()
    await bench.tick()
    (day,) = await bench.house.store.load_days(club.id, open_only=True)
    await ada.command("start")
    await ada.command("hand-in", answer=day.puzzle.solution)
    await bench.tick()
    (told,) = rowan.sees(bench.double.world.direct_channel(rowan.user))
    assert "Ada" in told.text
    assert "faster" in told.text


async def test_leaders_commands_are_hidden_from_members(bench: Bench) -> None:
    await bench.start()
    commands = {command["name"]: command for command in bench.double.world.commands}
    assert commands["club"]["default_member_permissions"] == 1 << 5
    others = [each for name, each in commands.items() if name != "club"]
    assert not any("default_member_permissions" in each for each in others)
    assert all(each["contexts"] == [0] for each in commands.values())


async def test_options_complete_cells_dates_techniques_and_zones(bench: Bench) -> None:
    channel = bench.double.add_club()
    rowan = bench.double.person("Rowan", channel, leads=True)
    await bench.start()
    assert await rowan.complete("place", "marks", "r4c5 7 r6") == [
        f"r4c5 7 r6c{column}" for column in range(1, 10)
    ]
    assert await rowan.complete("rule-out", "candidates", "r4c5") == [
        f"r4c5 {digit}" for digit in range(1, 10)
    ]
    assert (await rowan.complete("walkthrough", "date", "2026-11-2"))[:2] == [
        "2026-11-23",
        "2026-11-22",
    ]
    assert "naked-triple" in await rowan.complete("help", "topic", "naked")
    assert "naked-pair" in await rowan.complete("club setup", "theme", "pair")
    assert "Asia/Kathmandu" in await rowan.complete("club setup", "zone", "kath")
    assert "box 5" in await rowan.complete("hint", "about", "box")


async def test_commands_in_a_thread_or_elsewhere_in_the_server_are_the_clubs(
    bench: Bench,
) -> None:
    channel = bench.double.add_club()
    bench.add_club(channel)
    hall = bench.double.world.add_channel(bench.double.guild_of(channel), "hall")
    ada = bench.double.person("Ada", hall)
    await bench.start()
    await bench.tick()
    assert answer_of(await ada.command("today")).alts
    (post,) = channel.messages.values()
    ada.channel = bench.double.world.add_thread(channel, post.id, "aside")
    assert answer_of(await ada.command("today")).alts
