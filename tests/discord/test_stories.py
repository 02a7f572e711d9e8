"""The club's day in Discord, through the real client: two members and a leader, the bot restarted
between every two steps. Buttons and forms from before a restart go on working.
"""

from __future__ import annotations

import json

from tests.bot.club.stories import EASY_SOLUTION
from tests.discord.conftest import Bench, daily_posts
from tests.discord.test_directly import told
from tests.doubles.discord.limits import SILENT
from tests.doubles.discord.people import answer_of, form_of
from tests.doubles.discord.world import PUBLIC_THREAD, Channel

# The marked lines of the encyclopaedia example by the rule (fewest givens; ties: rows, then lower
# numbers), counted by hand: columns 3 and 7 have one given each.
KEY = EASY_SOLUTION[2::9] + EASY_SOLUTION[6::9]


async def test_the_daily_puzzle_goes_up_once_with_picture_text_and_choices(
    bench: Bench, club: Channel
) -> None:
    ada = bench.double.person("Ada", club)
    await bench.start()
    await bench.tick()
    await bench.restart()
    await bench.tick()
    (post,) = ada.sees()
    assert [each.label for each in post.controls] == ["Start my clock", "Hint", "Hand in"]
    assert post.alts[0].startswith("Today's puzzle") or "row 1" in post.alts[0]
    assert "Level 1" in post.text or "level 1" in post.text
    await bench.restart()
    started = answer_of(await ada.press(post, "Start my clock"))
    assert started.is_private
    assert started.code.startswith("53.|.7.|...")
    assert started.alts


async def test_a_member_climbs_a_hint_from_their_own_paper(bench: Bench, club: Channel) -> None:
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await bench.start()
    await bench.tick()
    (post,) = ada.sees()
    await bench.restart()
    await ada.press(post, "Start my clock")
    bench.later(minutes=5)
    await bench.restart()
    offered = answer_of(await ada.press(post, "Hint"))
    await bench.restart()
    form = form_of(await ada.press(offered, "I have more on paper"))
    lines = form.fields["grid"].splitlines()
    assert lines[4] == "4..8.3..1"
    assert form.labels[1:] == ["Or a photo of your paper"]
    # On paper r5c5 is 5; on a phone one letter is typed over.
    lines[4] = "4..853..1"
    await bench.restart()
    where = answer_of(await ada.submit(form, grid="\n".join(lines), messages=2))
    await bench.restart()
    what = answer_of(await ada.press(where, "More: What"))
    await bench.restart()
    which = answer_of(await ada.press(what, "More: Which"))
    await bench.restart()
    why = answer_of(await ada.press(which, "More: Why"))
    await bench.restart()
    assert which.alts
    assert len({each.text for each in (where, what, which, why)}) == 4
    board = answer_of(await ada.command("board"))
    assert board.alts
    assert len(ben.sees()) == 1, "private answers are for one person"


async def test_handing_in_by_the_form_is_right_once_and_told_without_the_answer(
    bench: Bench, club: Channel
) -> None:
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    await bench.start()
    await bench.tick()
    (post,) = ada.sees()
    await bench.restart()
    await ada.press(post, "Start my clock")
    bench.later(minutes=10)
    await bench.restart()
    form = form_of(await ada.press(post, "Hand in"))
    await bench.restart()
    wrong = answer_of(await ada.submit(form, answer="1" * 18))
    assert "Not yet" in wrong.text
    await bench.restart()
    again = form_of(await ada.press(wrong, "Hand in"))
    await bench.restart()
    right = answer_of(await ada.submit(again, answer=f"{KEY[:9]} {KEY[9:]}"))
    assert "10:00" in right.text or "10 min" in right.text
    await bench.restart()
    await bench.tick()
    line = ben.sees()[-1]
    assert "Ada" in line.text
    assert KEY[:9] not in line.text
    await bench.restart()
    later = answer_of(await ada.command("hand-in", answer=KEY))
    assert "already" in later.text


async def test_twenty_who_solve_it_make_one_line_that_grows_without_a_sound(
    bench: Bench, club: Channel
) -> None:
    people = [bench.double.person(f"Friend {number}", club) for number in range(1, 21)]
    await bench.start()
    await bench.tick()
    rowan = bench.double.person("Rowan", club)
    (post,) = rowan.sees()
    await people[0].command("hand-in", answer=KEY)
    await bench.tick()
    flags = {message.id: message.flags for message in club.messages.values()}
    for friend in people[1:]:
        bench.later(seconds=10)
        await friend.command("hand-in", answer=KEY)
        await bench.tick()
    bench.later(minutes=1)
    await bench.tick()
    _, line = rowan.sees()
    assert "20 members have solved" in line.text
    assert "Friend 20, Friend 19" in line.text
    assert KEY[:9] not in line.text
    assert flags[line.id] & SILENT
    assert not flags[post.id] & SILENT
    # Ten seconds lie between two of them, and a minute between two edits.
    (edits,) = [each.edits for each in club.messages.values() if each.id == line.id]
    assert 3 <= edits <= 5


async def test_the_week_has_a_table_results_and_a_walkthrough(bench: Bench, club: Channel) -> None:
    ada, ben = bench.double.person("Ada", club), bench.double.person("Ben", club)
    rowan = bench.double.person("Rowan", club, leads=True)
    await bench.start()
    await bench.tick()
    (post,) = ada.sees()
    for who, minutes in ((ada, 4), (ben, 3)):
        await bench.restart()
        await who.press(post, "Start my clock")
        bench.later(minutes=minutes)
        await bench.restart()
        await who.command("hand-in", answer=KEY)
    await bench.restart()
    bench.later(days=1)
    await bench.tick()
    await bench.restart()
    await bench.tick()
    table = answer_of(await ada.command("leaderboard", period="week"))
    assert table.alts[0].index("Ben") < table.alts[0].index("Ada")
    assert len(daily_posts(club)) == 2
    (open_post,) = [each for each in ada.sees() if "Start my clock" in str(each.controls)]
    assert open_post.id != post.id
    pushed = bench.double.rest.pushes
    assert pushed[0].startswith("Today's puzzle is up. Monday 23 November"), "nobody opens nothing"
    assert sorted(text.split(".")[0] for text in pushed[1:]) == [
        "The puzzle for Monday 23 November is closed", "Today's puzzle is up"
    ], "two lanes, in whatever order"  # fmt: skip
    assert not any(EASY_SOLUTION[:9] in text or KEY[:9] in text for text in pushed)
    (thread,) = [
        each for each in bench.double.world.channels.values() if each.kind == PUBLIC_THREAD
    ]
    assert thread.id == post.id
    export = answer_of(await ada.command("privacy", wish="export"))
    (kept,) = [json.loads(content) for content in export.files.values()]
    assert list(export.files) == ["ninebark-export.json"]
    assert [entry["date"] for entry in kept["entries"]] == ["2026-11-23"]
    assert len(ada.sees(thread)) >= 2
    await bench.restart()
    report = answer_of(await rowan.command("club report", date="2026-11-23"))
    assert "2 started" in report.text
    await bench.restart()
    refused = await told(bench, ada, "club report 2026-11-23")
    assert "leaders" in refused.text
