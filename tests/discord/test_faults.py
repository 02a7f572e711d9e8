"""Each fault of the service, injected into REST and gateway: no post twice, no acknowledged answer
lost, nobody left without an answer for no logged reason.
"""

from __future__ import annotations

import asyncio
import logging
from datetime import timedelta

import pytest

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench, daily_posts
from tests.doubles.discord.people import answer_of, form_of
from tests.doubles.discord.world import Channel, Interaction
from tests.patience import PATIENCE

KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]
POSTS = r"/channels/\d+/messages"
HOOK = r"/webhooks/.*"
CALLBACK = r"/interactions/.*/callback"


@pytest.fixture(autouse=True)
def _no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the library's pauses between tries pass at once."""
    real = asyncio.sleep

    async def at_once(seconds: float, result: object = None) -> None:
        await real(0 if seconds < 60 else seconds)

    monkeypatch.setattr("discord.http.asyncio.sleep", at_once)


def posts_in(channel: Channel) -> int:
    return len(channel.messages)


async def until_posted(bench: Bench, channel: Channel) -> None:
    """Look at the club until the post is there, each time past the last back-off."""
    for _ in range(6):
        await bench.tick()
        if posts_in(channel):
            return
        bench.later(seconds=70)


@pytest.mark.parametrize(
    "how",
    [
        {"status": 429},
        {"status": 429, "via": False},
        {"status": 500, "times": 2},
        {"status": 502, "times": 2},
        {"status": 503},
        {"status": 0},
        {"status": 500, "after": True},
        {"status": 502, "after": True, "times": 3},
        {"status": 503, "after": True},
        {"status": 0, "after": True},
        {"status": 500, "after": True, "times": 5},
        {"status": 401},
    ],
    ids=str,
)
async def test_the_daily_post_goes_up_once_through_a_fault(
    bench: Bench, club: Channel, how: dict[str, int]
) -> None:
    fault = bench.double.fault(POSTS, **how)
    await bench.start()
    await until_posted(bench, club)
    assert fault.struck
    await bench.restart()
    await bench.tick()
    assert posts_in(club) == 1
    assert bench.house is not None
    (day,) = await bench.house.store.load_days((await bench.house.store.load_clubs())[0].id)
    assert day.post_ref == next(iter(club.messages))


async def test_after_a_long_outage_the_post_is_found_in_the_history(
    bench: Bench, club: Channel
) -> None:
    """The reply is lost, the bot goes down, and the nonce is forgotten before it is back."""
    bench.double.fault(POSTS, status=503, after=True)
    await bench.start()
    await bench.tick()
    assert posts_in(club) == 1
    await bench.stop()
    ada = bench.double.person("Ada", club)
    for number in range(150):
        await ada.write(f"talk {number}")
    bench.later(hours=3)
    await bench.start()
    await bench.tick()
    assert posts_in(club) == 151
    assert not bench.double.limits.remembers_nonce(next(iter(club.messages.values())))


@pytest.mark.parametrize(
    "how",
    [{"status": 429}, {"status": 0}, {"status": 0, "after": True}, {"status": 500, "after": True},
     {"status": 503, "after": True}],
    ids=str,
)  # fmt: skip
async def test_an_answer_reaches_its_member_once_through_a_fault(
    bench: Bench, club: Channel, how: dict[str, int]
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    bench.double.fault(CALLBACK, **how)
    right = await ada.command("hand-in", answer=KEY)
    assert "Right" in answer_of(right).text
    assert len(right.messages) == 1
    assert "already" in answer_of(await ada.command("hand-in", answer=KEY)).text


async def test_a_further_part_whose_reply_is_lost_is_there_once(
    bench: Bench, club: Channel
) -> None:
    await bench.start()
    await bench.tick()
    ada = bench.double.person("Ada", club)
    await ada.command("start")
    form = form_of(await ada.press(answer_of(await ada.command("hint")), "I have more on paper"))
    fault = bench.double.fault(HOOK, after=True)
    asked = await ada.submit(form, messages=2)
    await ada.command("board")
    assert (fault.struck, len(asked.messages)) == (1, 2)


async def test_an_answer_that_comes_too_late_is_logged_and_the_act_counts(
    bench: Bench, club: Channel, caplog: pytest.LogCaptureFixture
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    acted_at = bench.now
    bench.later(seconds=4)
    with caplog.at_level(logging.WARNING):
        late = await ada.start_command("hand-in", at=acted_at, answer=KEY)
        await bench.double.until(lambda: "was not answered" in caplog.text, "a logged reason")
    assert late.id in caplog.text
    assert "10062" in caplog.text
    assert late.responded is None
    assert "already" in answer_of(await ada.command("hand-in", answer=KEY)).text


async def test_a_slow_answer_is_announced_and_follows(bench: Bench, club: Channel) -> None:
    ada = bench.double.person("Ada", club)
    house = await bench.start()
    await bench.tick()
    house.rooms["discord"]._answers._defer_after = 0.0
    asked = await ada.command("today")
    hook = f"/webhooks/{bench.double.world.application_id}/{asked.token}"
    assert ("PATCH", f"{hook}/messages/@original", 200) in bench.double.rest.requests
    assert answer_of(asked).is_private
    # What fills it in may be sent twice, and is there once.
    fault = bench.double.fault(HOOK, method="PATCH", after=True)
    asked = await ada.command("today")
    assert (fault.struck, len(asked.messages)) == (1, 1)
    # A form cannot be opened any more, so a button opens it.
    offered = answer_of(await ada.command("hand-in"))
    assert "Fill in" in [each.label for each in offered.controls]


async def acted_while_away(bench: Bench, club: Channel, name: str) -> Interaction:
    ada = bench.double.person(name, club)
    return await ada.start_command("hand-in", answer=KEY)


@pytest.mark.expects_error_log
@pytest.mark.parametrize("code", [1000, 1001, 4000, 4007, 4009])
async def test_what_was_missed_after_a_close_is_answered_on_resuming(
    bench: Bench, club: Channel, code: int
) -> None:
    await bench.start()
    await bench.tick()
    gateway = bench.double.gateway
    await gateway.close(code)
    missed = await acted_while_away(bench, club, "Ada")
    await bench.double.until(lambda: missed.is_settled, "an answer after the resume")
    assert "Right" in answer_of(missed).text
    assert gateway.resumes + len(gateway.identifies) >= 2


async def test_what_was_missed_after_a_broken_line_or_a_reconnect_is_answered(
    bench: Bench, club: Channel
) -> None:
    await bench.start()
    await bench.tick()
    gateway = bench.double.gateway
    gateway.abort()
    first = await acted_while_away(bench, club, "Ada")
    await bench.double.until(lambda: first.is_settled, "an answer after the abort")
    await gateway.send_op(7)
    second = await acted_while_away(bench, club, "Ben")
    await bench.double.until(lambda: second.is_settled, "an answer after op 7")
    assert gateway.resumes >= 2
    assert len(gateway.identifies) == 1


async def test_an_invalid_session_that_may_be_resumed_is_and_what_was_missed_is_answered(
    bench: Bench, club: Channel
) -> None:
    await bench.start()
    await bench.tick()
    gateway = bench.double.gateway
    await gateway.send_op(9, True)
    missed = await acted_while_away(bench, club, "Ada")
    await bench.double.until(lambda: gateway.resumes == 1, "a resume")
    await bench.double.until(lambda: missed.is_settled, "an answer")
    assert "Right" in answer_of(missed).text
    assert len(missed.messages) == 1, "what is replayed is not answered once more"
    assert len(gateway.identifies) == 1, "the session goes on"
    await bench.tick()
    assert len(daily_posts(club)) == 1


async def test_a_session_that_is_no_more_is_begun_anew_and_nothing_is_posted_twice(
    bench: Bench, club: Channel
) -> None:
    await bench.start()
    await bench.tick()
    gateway = bench.double.gateway
    gateway.changed.clear()
    await gateway.send_op(9, False)
    while len(gateway.identifies) < 2:
        await asyncio.wait_for(gateway.changed.wait(), PATIENCE)
        gateway.changed.clear()
    ada = bench.double.person("Ada", club)
    assert "Right" in answer_of(await ada.command("hand-in", answer=KEY)).text
    await bench.tick()
    assert len(daily_posts(club)) == 1


async def test_a_slow_club_delays_no_other(bench: Bench, club: Channel) -> None:
    others = [bench.double.add_club(name) for name in ("Hazel Lane", "Otter Bank")]
    for channel in others:
        bench.add_club(channel)
    goes_on = asyncio.Event()
    slow = bench.double.fault(f"/channels/{club.id}/messages", until=goes_on)
    # No tick: the running loops themselves must come to the others past the one that hangs.
    await bench.start()
    await bench.double.until(lambda: slow.struck == 1, "the slow club's post to begin")
    await bench.double.until(lambda: all(map(posts_in, others)), "the other clubs' posts")
    for channel in others:
        ada = bench.double.person("Ada", channel)
        assert "Right" not in answer_of(await ada.command("hand-in", answer="1" * 18)).text
    assert posts_in(club) == 0
    goes_on.set()
    await bench.double.until(lambda: posts_in(club) == 1, "the slow club's post")
    assert [posts_in(channel) for channel in (club, *others)] == [1, 1, 1]


async def test_a_deleted_channel_lets_its_club_rest_and_delays_no_other(
    bench: Bench, club: Channel, caplog: pytest.LogCaptureFixture
) -> None:
    other = bench.double.add_club("Hazel Lane")
    bench.add_club(other)
    await bench.start()
    await bench.tick()
    await bench.double.delete_channel(club)
    bench.later(days=1)
    with caplog.at_level(logging.WARNING):
        await bench.tick()
        await bench.double.until(lambda: "rests" in caplog.text, "a word in the log")
    await bench.tick()
    assert len(daily_posts(other)) == 2


async def test_a_bot_thrown_out_rests_and_wakes_when_it_is_let_in_again(
    bench: Bench, club: Channel, caplog: pytest.LogCaptureFixture
) -> None:
    guild = bench.double.guild_of(club)
    await bench.start()
    await bench.tick()
    with caplog.at_level(logging.INFO):
        await bench.double.expel(guild)
        await bench.double.until(lambda: "rests" in caplog.text, "a word in the log")
        for _ in range(3):
            bench.later(days=1)
            await bench.tick()
        assert posts_in(club) == 1
        await bench.restart()
        await bench.tick()
        assert posts_in(club) == 1
        assert bench.house is not None
        (known,) = await bench.house.store.load_clubs()
        assert len(await bench.house.store.load_days(known.id)) == 1, "no puzzle is used up"
        await bench.double.invite(guild)
        await bench.double.until(lambda: "is back" in caplog.text, "a word in the log")
    await bench.tick()
    assert len(daily_posts(club)) == 2
    # It knows the server, so it does not introduce itself once more.
    assert not bench.double.world.direct_channel(guild.owner).messages


async def test_a_missing_permission_that_is_granted_wakes_the_club_at_once(
    bench: Bench, club: Channel
) -> None:
    from tests.doubles.discord.shapes import channel_json
    from tests.doubles.discord.world import SEND_MESSAGES

    club.denied = SEND_MESSAGES
    await bench.start()
    await bench.tick()
    assert not posts_in(club)
    club.denied = 0
    shape = channel_json(club, bench.double.world)
    await bench.double.gateway.dispatch("CHANNEL_UPDATE", shape, club.guild_id)
    await bench.double.until(lambda: posts_in(club) == 1, "the post")


async def test_two_shards_where_the_service_asks_for_them(bench: Bench, club: Channel) -> None:
    bench.double.gateway.shards = 2
    others = [bench.double.add_club(f"Server {number}") for number in range(4)]
    bench.now += timedelta(seconds=1)
    for channel in others:
        bench.add_club(channel)
    await bench.start()
    await bench.tick()
    assert [each["shard"] for each in bench.double.gateway.identifies] == [[0, 2], [1, 2]]
    for channel in (club, *others):
        ada = bench.double.person("Ada", channel)
        assert answer_of(await ada.command("today")).alts
        assert posts_in(channel) == 1
