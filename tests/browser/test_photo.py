"""A photo of the paper at the board and in the room: chosen, read by what reads photos, taken."""

from __future__ import annotations

import pytest
from playwright.async_api import FilePayload, Locator, Route, expect

from bot.club.photos import parse_reading
from tests.bot.photo.photos import misread, photo
from tests.browser.boards import BoardClub
from tests.browser.player import Player

pytestmark = pytest.mark.browser


async def choose(player: Player, button: Locator, content: bytes) -> None:
    """Press a button that opens the camera, and take this photo."""
    async with player.page.expect_file_chooser() as opened:
        await button.click()
    chooser = await opened.value
    chosen: FilePayload = {"name": "IMG_2041.jpg", "mimeType": "image/jpeg", "buffer": content}
    await chooser.set_files(chosen)


async def refuse(route: Route) -> None:
    """Have no place for a photo just now: it is sent again."""
    await route.fulfill(status=429, headers={"Retry-After": "0.1"})


async def test_a_photo_at_the_board_is_shown_and_a_hint_from_it_is_one_tap(
    boards: BoardClub,
) -> None:
    day = await boards.day()
    shot, content = photo("printed", 1, day.puzzle.givens)
    ada = await boards.come("Ada")
    await ada.start()
    boards.tabs.forgive("status of 429")
    await ada.page.route("**/photos/**", refuse, times=1)
    await choose(ada, ada.button("Photo of my paper"), shot.content)
    await expect(ada.panel).to_contain_text("This is what I read in your photo.")
    await expect(ada.panel.get_by_role("img")).to_be_visible()
    assert (await boards.entry("Ada")).board.grid == day.puzzle.givens
    taps = ada.taps
    hint = ada.panel.get_by_role("button", name="Hint from this")
    read = parse_reading((await hint.get_attribute("data-command") or "").split()[2])
    await ada.tap(hint)
    await expect(ada.panel).to_contain_text("Where, rung 1 of 4.")
    assert ada.taps - taps == 1
    assert (await boards.entry("Ada")).board.grid == read
    assert await ada.grid_text() == read
    assert misread(read, content) <= 2


async def test_what_is_no_picture_is_told_so_in_the_room_and_can_be_tried_again(
    boards: BoardClub,
) -> None:
    bo = await boards.come("Bo", width=1200)
    await choose(bo, bo.page.get_by_role("button", name="Photo", exact=True), b"no picture")
    entry = bo.page.locator("article", has_text="I can't read this file as a picture.")
    async with bo.page.expect_file_chooser():
        await entry.get_by_role("button", name="Try again").click()


async def test_an_answer_taller_than_the_room_begins_below_the_head_of_the_page(
    boards: BoardClub,
) -> None:
    bo = await boards.come("Bo", width=1280)
    await bo.page.set_viewport_size({"width": 1280, "height": 800})
    await bo.page.get_by_role("button", name="Today", exact=True).click()
    answer = bo.page.locator("article.slip").last
    await expect(answer.get_by_role("img").first).to_be_visible()
    await expect(answer).to_be_focused()  # which comes with the scrolling
    head = await bo.page.locator(".head").bounding_box()
    told = await answer.bounding_box()
    assert head is not None
    assert told is not None
    assert told["height"] > 800 - head["height"] - 147  # what the desk leaves
    assert 0 <= told["y"] - head["height"] < 40
