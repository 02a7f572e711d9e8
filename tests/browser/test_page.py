"""The web room's page in a real browser, with a stand-in club behind it."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import pytest
from playwright.async_api import expect

from bot.platforms.message import Attachment, Message
from bot.platforms.web.log import FakeRoomLog
from bot.platforms.web.room import WebRoom
from tests.browser.conftest import ROOM, Come, stub_room
from tests.browser.stub_club import DAY, GRID, PICTURE, StubClub
from tests.browser.visitor import Visitor

pytestmark = pytest.mark.browser

HOSTILE = '<img src=x onerror="window.broken=1"><script>window.broken=1</script> &amp; **bold**'


async def test_two_tabs_are_two_members_and_private_answers_stay_private(
    come: Come, club: StubClub
) -> None:
    ada, bo = await come("Ada"), await come("Bo")
    answer = await ada.ask("hint")
    await expect(answer.get_by_text("Only you see this")).to_be_visible()
    await ada.say("good morning")
    await expect(bo.said).to_contain_text(["good morning"])
    assert await bo.answers.count() == 0
    assert [act.name for act in club.heard] == ["Ada", "Ada"]


async def test_another_tab_of_the_same_browser_can_be_another_member(come: Come) -> None:
    ada = await come("Ada")
    second = Visitor(await ada.page.context.new_page(), ada.page.url, "Bo")
    await second.enter()
    await second.ask("today")
    assert await ada.answers.count() == 0
    await ada.page.reload()
    await ada.wait_until_ready()


async def test_the_same_name_sees_its_private_answers_again(come: Come) -> None:
    ada = await come("Ada")
    await ada.ask("where am I")
    again = await come("ada")
    await expect(again.answers).to_contain_text(["Ada typed: where am I"])


async def test_a_name_can_be_changed(come: Come) -> None:
    visitor = await come("Ada")
    await visitor.page.get_by_role("button", name="Change name").click()
    await expect(visitor.page.get_by_label("Your name")).to_be_focused()
    await expect(visitor.page.get_by_label("Your name")).to_have_value("Ada")
    visitor.name = "Odile"
    await visitor.page.get_by_label("Your name").fill("Odile")
    await visitor.page.keyboard.press("Enter")
    await visitor.wait_until_ready()
    await expect(visitor.page.get_by_text("You are Odile, a leader")).to_be_visible()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("...", "at least one letter"),
        ("Ninebark", "the club's own"),
        ("Od\u0456le", "looks like a leader's"),
        ("Gr\u0430ce", "letters of two alphabets"),
        ("A d a", "looks the same"),
    ],
)
async def test_a_name_that_is_not_let_in_is_refused_in_words(
    come: Come, name: str, said: str
) -> None:
    await come("Ada")
    visitor = await come("Bo")
    await visitor.page.get_by_role("button", name="Change name").click()
    await visitor.page.get_by_label("Your name").fill(name)
    await visitor.page.keyboard.press("Enter")
    await expect(visitor.page.get_by_role("alert").first).to_contain_text(said)
    await expect(visitor.page.get_by_role("alert").first).to_contain_text(
        "up to 32" if name == "..." else "Robin"
    )


async def test_hostile_text_and_names_are_shown_as_text(come: Come, room: WebRoom) -> None:
    ada = await come("<b>Ada</b>")
    await room.post(ROOM, Message(HOSTILE, code=HOSTILE), key="hostile")
    await ada.say(HOSTILE)
    await expect(ada.said).to_contain_text([HOSTILE])
    await expect(ada.posts.locator("pre")).to_have_text(HOSTILE)
    await expect(ada.said.get_by_role("heading", name="<b>Ada</b>")).to_be_visible()
    assert await ada.log.locator("img, script, b").count() == 0
    assert await ada.page.evaluate("window.broken") is None


async def test_the_whole_way_to_a_hint_works_by_keyboard_alone(come: Come, room: WebRoom) -> None:
    await room.post(ROOM, DAY, key="day")
    ada = await come("Ada")
    keys = ada.page.keyboard
    await expect(ada.line).to_be_focused()
    await keys.type("hint")
    await keys.press("Enter")
    await expect(ada.answers).to_have_count(1)
    await ada.press("I have more")
    grid = ada.page.get_by_label("Your grid, nine lines")
    await expect(grid).to_be_focused()
    await expect(grid).to_have_value(GRID)
    await keys.press("Control+A")
    await keys.type("1........")
    await keys.press("Tab")
    await keys.press("Tab")
    await expect(ada.page.get_by_role("button", name="Hint from here")).to_be_focused()
    await keys.press("Enter")
    await expect(ada.answers.last.locator("pre")).to_have_text("1........")
    await expect(ada.answers.last).to_be_focused()


async def test_an_answer_never_takes_the_focus_from_someone_typing(
    come: Come, room: WebRoom
) -> None:
    ada = await come("Ada")
    await ada.page.keyboard.type("place r4")
    await room.tell(ROOM, "ada", Message("a notice"), key="n")
    await room.post(ROOM, DAY, key="day")
    await expect(ada.posts).to_have_count(1)
    await ada.page.get_by_role("button", name="Help").dispatch_event("click")
    await expect(ada.answers).to_have_count(2)
    await ada.page.keyboard.type("c5 7")
    await expect(ada.line).to_have_value("place r4c5 7")


async def test_enter_sends_and_shift_enter_writes_another_line(come: Come, club: StubClub) -> None:
    ada = await come("Ada")
    await ada.page.keyboard.type("paste 53..7....")
    await ada.page.keyboard.press("Shift+Enter")
    await ada.page.keyboard.type("6..195...")
    await ada.page.keyboard.press("Enter")
    await expect(ada.answers).to_have_count(1)
    assert club.heard[0].text == "paste 53..7....\n6..195..."
    await expect(ada.line).to_have_value("")
    await expect(ada.line).to_be_focused()


async def test_the_page_has_the_clock_of_the_bots_own_words(come: Come) -> None:
    ada = await come("Ada")
    await ada.ask("hint")
    await expect(ada.page.locator("time").last).to_have_text(re.compile(r"[0-2][0-9]:[0-5][0-9]$"))


async def test_a_menu_sends_its_line_with_the_choice_when_it_is_taken(
    come: Come, club: StubClub
) -> None:
    ada = await come("Ada", width=360)
    answer = await ada.ask("club setup")
    await expect(answer.get_by_label("Time zone", exact=True)).to_have_value("Europe/London")
    await answer.get_by_label("Time zone", exact=True).select_option("Kathmandu")
    await ada.press("Take this: Time zone")
    assert [act.text for act in club.heard] == ["club setup", "club setup zone=Asia/Kathmandu"]
    assert not await ada.has_sideways_scroll()


async def test_a_button_pressed_twice_asks_once(come: Come, room: WebRoom, club: StubClub) -> None:
    await room.post(ROOM, DAY, key="day")
    ada = await come("Ada")
    button = ada.posts.get_by_role("button", name="Hint")
    await button.dblclick()
    await expect(ada.answers).to_have_count(1)
    club.may_answer.clear()
    await button.press("Enter")
    await expect(button).to_have_attribute("aria-disabled", "true")
    await button.press("Enter")
    club.may_answer.set()
    await expect(ada.answers).to_have_count(2)
    await expect(button).not_to_have_attribute("aria-disabled", "true")
    await ada.ask("board")
    assert [act.text for act in club.heard] == ["hint", "hint", "board"]


async def test_an_answer_taller_than_the_window_is_shown_from_its_top(come: Come) -> None:
    ada = await come("Ada", width=360)
    for _ in range(3):
        answer = await ada.ask("today")
    await answer.get_by_text("As text, to copy").click()
    await expect(answer.locator("pre")).to_have_text(GRID)
    tall = await ada.ask("\n".join(map(str, range(40))))
    await expect(tall.get_by_text("Only you see this")).to_be_in_viewport()


async def test_an_edited_post_is_replaced_and_keeps_the_focus_of_its_button(
    come: Come, room: WebRoom
) -> None:
    post = await room.post(ROOM, DAY, key="day")
    ada = await come("Ada")
    await ada.posts.get_by_role("button", name="Hand in").focus()
    mended = Message("Closed.", picture=PICTURE, buttons=DAY.buttons)
    await room.edit(ROOM, post, mended, key="day")
    await expect(ada.posts).to_contain_text(["Closed."])
    await expect(ada.posts.get_by_role("button", name="Hand in")).to_be_focused()


async def test_a_removed_line_disappears_for_everyone(
    come: Come, room: WebRoom, club: StubClub
) -> None:
    ada, bo = await come("Ada"), await come("Bo")
    await ada.say("534678912 672195348")
    await expect(bo.said).to_have_count(1)
    message_id = club.heard[0].message_id
    assert message_id is not None
    await room.remove(ROOM, message_id)
    for visitor in (ada, bo):
        await expect(visitor.said).to_have_count(0)


async def test_a_thread_opens_under_its_post(come: Come, room: WebRoom) -> None:
    post = await room.post(ROOM, DAY, key="day")
    ada = await come("Ada")
    steps = (Message("First, box 5.", picture=PICTURE), Message("Then row 2."))
    await room.post_thread(ROOM, post, "How it goes", steps, key="walk")
    summary = ada.posts.get_by_text("How it goes (2 parts)")
    await expect(summary).to_be_visible()
    await expect(ada.posts.get_by_text("Then row 2.")).to_be_hidden()
    await summary.press("Enter")
    await expect(ada.posts.get_by_text("Then row 2.")).to_be_visible()
    await room.edit(ROOM, post, Message("Closed."), key="day")
    await expect(ada.posts.get_by_text("How it goes (2 parts)")).to_be_visible()


async def test_a_picture_follows_device_and_switch_and_can_be_read_as_words(
    come: Come, room: WebRoom
) -> None:
    await room.post(ROOM, DAY, key="day")
    ada = await come("Ada", dark=True)
    image = ada.posts.get_by_role("img", name=PICTURE.alt)
    await expect(image).to_be_visible()
    dark = await image.evaluate("image => image.decode().then(() => image.currentSrc)")
    await ada.page.get_by_label("Paper").select_option("light")
    await ada.page.wait_for_function(
        "([image, dark]) => image.currentSrc !== dark", arg=[await image.element_handle(), dark]
    )
    await ada.posts.get_by_text("The picture in words").click()
    await expect(ada.posts.get_by_text(PICTURE.alt)).to_be_visible()
    await ada.page.reload()
    await ada.wait_until_ready()
    await expect(ada.page.get_by_label("Paper")).to_have_value("light")


async def test_a_file_is_saved_under_its_name_as_it_is(come: Come, room: WebRoom) -> None:
    ada = await come("Ada")
    file = Attachment("week.pdf", bytes(range(256)), "application/pdf")
    await room.tell(ROOM, ada.name.casefold(), Message("All of it.", file=file), key="export")
    async with ada.page.expect_download() as coming:
        await ada.page.get_by_role("link", name="Save week.pdf").click()
    download = await coming.value
    assert download.suggested_filename == "week.pdf"
    assert await asyncio.to_thread(Path(await download.path()).read_bytes) == file.raw


@pytest.mark.parametrize("dark", [False, True])
async def test_a_phone_of_360_pixels_never_scrolls_sideways(
    come: Come, room: WebRoom, dark: bool
) -> None:
    post = await room.post(ROOM, DAY, key="day")
    long = "x" * 300
    await room.post(ROOM, Message(long, code=f"{long}\n{GRID}"), key="long")
    await room.post_thread(ROOM, post, long, (Message(long),), key="walk")
    ada = await come("W" * 32, width=360, dark=dark)
    assert not await ada.has_sideways_scroll()
    await ada.ask("hint paper")
    await ada.posts.locator("summary").last.click()
    assert not await ada.has_sideways_scroll()


async def test_everything_to_press_is_large_enough_and_has_a_name(
    come: Come, room: WebRoom
) -> None:
    await room.post(ROOM, DAY, key="day")
    ada = await come("Ada", width=360)
    await ada.ask("hint paper")
    pressable = ada.page.locator("button:visible, select:visible, summary:visible, input:visible")
    assert await pressable.count() >= 14
    for each in await pressable.all():
        box = await each.bounding_box()
        assert box is not None
        assert box["height"] >= 44, await each.inner_text()
        assert box["width"] >= 44, await each.inner_text()
    snapshot = await ada.page.locator("body").aria_snapshot()
    for unnamed in ("- button\n", "- textbox\n", "- combobox\n", "- form\n", "- img\n"):
        assert unnamed not in snapshot


async def test_the_page_has_landmarks_a_log_and_a_way_past_it(come: Come) -> None:
    ada = await come("Ada")
    for role in ("banner", "main", "contentinfo", "log"):
        await expect(ada.page.get_by_role(role)).to_have_count(1)
    await expect(ada.log).to_have_attribute("aria-live", "polite")
    await ada.page.locator("body").press("Home")
    skip = ada.page.get_by_role("link", name="Skip to the line to type in")
    await skip.focus()
    await expect(skip).to_be_in_viewport()
    await ada.page.keyboard.press("Enter")
    await expect(ada.line).to_be_focused()


async def test_what_gets_the_focus_does_not_hide_behind_the_desk(come: Come, room: WebRoom) -> None:
    for number in range(6):
        await room.post(ROOM, DAY, key=f"day:{number}")
    ada = await come("Ada", width=360)
    desk_top = "document.getElementById('desk').getBoundingClientRect().top"
    for button in await ada.posts.get_by_role("button", name="Hand in").all():
        await button.focus()
        box = await button.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= await ada.page.evaluate(desk_top)


async def test_a_line_written_while_the_room_is_away_is_sent_later_and_answered_once(
    come: Come, room: WebRoom, club: StubClub
) -> None:
    ada = await come("Ada")
    port = int(room.url.rsplit(":", 1)[1].rstrip("/"))
    await room.stop()
    await expect(ada.page.get_by_text("The room is out of reach.")).to_be_visible()
    await ada.line.fill("hint")
    await ada.page.keyboard.press("Enter")
    await expect(ada.page.get_by_role("list", name="Not sent yet")).to_contain_text("hint")
    back = stub_room(port=port, log=FakeRoomLog(), epoch="second")
    await back.start(club.answer)
    try:
        await expect(ada.answers).to_contain_text(["Where are you?"])
        await expect(ada.page.get_by_role("list", name="Not sent yet")).to_be_hidden()
        assert len({act.event_id for act in club.heard}) == 1
    finally:
        await back.stop()


async def test_a_restart_keeps_what_is_shown_and_what_is_half_written(
    come: Come, room: WebRoom, club: StubClub, log: FakeRoomLog
) -> None:
    for number in range(4):
        await room.post(ROOM, DAY, key=f"day:{number}")
    ada = await come("Ada")
    await ada.ask("hint paper")
    note = ada.page.get_by_label("A note for yourself")
    await note.fill("box 5 is")
    port = int(room.url.rsplit(":", 1)[1].rstrip("/"))
    await room.stop()
    await expect(ada.page.get_by_text("The room is out of reach.")).to_be_visible()
    back = stub_room(port=port, log=log, epoch="second")
    await back.post(ROOM, Message("while you were away"), key="away")
    await back.start(club.answer)
    try:
        await expect(ada.posts).to_have_count(5)
        await expect(ada.posts.last).to_contain_text("while you were away")
        await expect(note).to_be_focused()
        await ada.page.keyboard.type(" done")
        await expect(note).to_have_value("box 5 is done")
        await expect(note).to_be_in_viewport()
    finally:
        await back.stop()


async def test_a_line_sent_too_fast_comes_back_to_be_sent_again(come: Come, club: StubClub) -> None:
    ada = await come("Ada")
    for number in range(13):
        await ada.line.fill(f"say {number}")
        await ada.page.keyboard.press("Enter")
    await expect(ada.page.get_by_role("alert").last).to_contain_text("too fast")
    await expect(ada.line).to_have_value("say 12")
    assert [act.text for act in club.heard] == [f"say {number}" for number in range(12)]


async def test_a_line_refused_while_another_is_typed_is_shown_beside_it(come: Come) -> None:
    ada = await come("Ada")
    for number in range(12):
        await ada.ask(f"say {number}")
    await ada.line.fill("the next")
    await ada.page.get_by_role("button", name="Table").dispatch_event("click")
    await expect(ada.page.get_by_role("alert").last).to_contain_text("leaderboard week")
    await expect(ada.line).to_have_value("the next")
