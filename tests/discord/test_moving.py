"""A club moves to another channel of its server, also when its own is no more."""

from __future__ import annotations

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench, daily_posts
from tests.discord.test_directly import told
from tests.doubles.discord.people import Person, answer_of
from tests.doubles.discord.shown import show
from tests.doubles.discord.world import SEND_MESSAGES, Channel


def new_channel(bench: Bench, club: Channel, name: str = "corner") -> Channel:
    """Add a channel to the club's server, before the bot starts."""
    return bench.double.world.add_channel(bench.double.guild_of(club), name)


def texts(channel: Channel) -> str:
    return "\n".join(show(each).text for each in channel.messages.values())


async def leader_moves(rowan: Person, target: Channel) -> str:
    return answer_of(await rowan.command("club move", to=target.id)).text


async def test_a_club_moves_with_its_clocks_and_both_channels_are_told(
    bench: Bench, club: Channel
) -> None:
    corner = new_channel(bench, club)
    rowan = bench.double.person("Rowan", club, leads=True)
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await bench.start()
    await bench.tick()
    (old,) = daily_posts(club)
    await ada.press(old, "Start my clock")
    await ben.command("start")
    bench.later(minutes=5)
    await ben.command("hand-in", answer=EASY_SOLUTION)
    await bench.tick()
    said = await leader_moves(rowan, corner)
    assert "now meets in #corner" in said
    await bench.tick()
    assert "has moved to #corner" in texts(club)
    assert not [each for each in map(show, club.messages.values()) if each.commands]
    (new,) = daily_posts(corner)
    assert [each.label for each in new.controls] == ["Start my clock", "Hint", "Hand in"]
    assert "meets here from now on" in texts(corner)
    assert "Ben" in texts(corner)
    # A clock goes on where it was, and the old post's buttons find the club.
    bench.later(minutes=5)
    await bench.restart()
    await ada.press(old, "Hint")
    ada.channel = corner
    right = answer_of(await ada.command("hand-in", answer=EASY_SOLUTION))
    assert "Your time: 10 min" in right.text
    bench.later(days=1)
    await bench.tick()
    assert len(daily_posts(corner)) == 2
    assert len(daily_posts(club)) == 0
    assert "is closed. Results:" in texts(corner)
    ada.channel = club
    assert "Ada" in answer_of(await ada.command("leaderboard")).text


async def test_a_deleted_channels_club_moves_by_a_leaders_command_elsewhere_in_the_server(
    bench: Bench, club: Channel
) -> None:
    corner, hall = new_channel(bench, club), new_channel(bench, club, "hall")
    bench.add_club(hall, name="Another of the server's")
    rowan = bench.double.person("Rowan", corner, leads=True)
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    await ada.command("start")
    await bench.double.delete_channel(club)
    bench.later(days=2, hours=1)
    await bench.restart()
    await bench.tick()
    assert "now meets in #corner" in await leader_moves(rowan, corner)
    await bench.double.until(lambda: len(daily_posts(corner)) == 2, "both puzzles")
    await bench.tick()
    over, today = daily_posts(corner)
    assert not over.commands, "it has closed meanwhile"
    assert today.commands
    assert "Monday 23 November is closed" in texts(corner)


async def test_a_deleted_channels_club_moves_by_a_leaders_direct_message(
    bench: Bench, club: Channel
) -> None:
    corner = new_channel(bench, club)
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await rowan.command("start")
    await rowan.command("club setup")
    await bench.tick()
    await bench.double.delete_channel(club)
    await bench.tick()
    link = f"https://discord.com/channels/{bench.double.guild_of(corner).id}/{corner.id}"
    assert "/club move" in rowan.direct()[-1].text
    await rowan.write_directly(f"club move {link}")
    await bench.double.until(lambda: "now meets in #corner" in rowan.direct()[-1].text, "the move")
    await bench.double.until(lambda: len(daily_posts(corner)) == 1, "the puzzle")


async def test_a_club_moves_to_another_server_where_its_leader_leads(
    bench: Bench, club: Channel
) -> None:
    foreign = bench.double.add_club("Elm Street", "puzzles-too")
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    link = f"club move https://discord.com/channels/{foreign.guild_id}/{foreign.id}"
    await rowan.command("start")
    for roles, said in (([], "don't lead in #puzzles-too"), ([2], "now meets in #puzzles-too")):
        guild = bench.double.guild_of(foreign)
        guild.members[rowan.user.id] = [guild.roles[number].id for number in roles]
        assert said in (await told(bench, rowan, link)).text
    await bench.tick()
    assert len(daily_posts(foreign)) == 1
    assert not daily_posts(club)
    assert "has moved to #puzzles-too" in texts(club)


async def test_a_move_that_cannot_be_says_why_and_changes_nothing(
    bench: Bench, club: Channel
) -> None:
    corner, taken = new_channel(bench, club), new_channel(bench, club, "taken")
    foreign = bench.double.add_club("Elm", "foreign")
    corner.denied = SEND_MESSAGES
    bench.add_club(taken, name="Other")
    rowan = bench.double.person("Rowan", club, leads=True)
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    for channel, why in (
        (corner, "Send Messages"),
        (taken, "already meets in #taken"),
        (club, "already meets in #puzzles"),
        (foreign, "can't find"),
    ):
        assert why in await leader_moves(rowan, channel)
    assert "is for the club's leaders" in (await leader_moves_directly(bench, ada, corner))
    await bench.tick()
    assert "has moved" not in texts(club)
    assert len(daily_posts(club)) == 1


async def leader_moves_directly(bench: Bench, person: Person, target: Channel) -> str:
    await person.command("start")
    return (await told(bench, person, f"club move {target.id}")).text
