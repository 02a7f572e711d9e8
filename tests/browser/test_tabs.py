"""A tab that is lent again: nobody's test finds in it what another's left."""

from __future__ import annotations

import pytest

from bot.platforms.web.room import WebRoom
from tests.browser.tabs import Tabs

pytestmark = pytest.mark.browser

WHAT_IS_THERE = """() => [
  localStorage.length, sessionStorage.length, document.cookie, innerWidth, window.left ?? null,
  matchMedia("(prefers-color-scheme: dark)").matches,
]"""
LEAVE_THINGS = """() => {
  localStorage.left = sessionStorage.left = window.left = "there";
  addEventListener("pagehide", () => { localStorage.late = "there"; });
}"""


async def test_a_tab_lent_again_is_as_empty_as_a_new_one(tabs: Tabs, room: WebRoom) -> None:
    first = await tabs.lend(width=360, height=700, dark=True)
    await first.goto(room.url)
    await first.evaluate(LEAVE_THINGS)
    await tabs.take_back()
    again = await tabs.lend(width=1000, height=800)
    assert again is first
    await again.goto(room.url)
    assert await again.evaluate(WHAT_IS_THERE) == [0, 0, "", 1000, None, False]
    await tabs.take_back()


async def test_a_tab_of_ones_own_and_one_with_company_are_not_lent_again(
    tabs: Tabs, room: WebRoom
) -> None:
    own = await tabs.lend(width=360, height=700, is_own=True)
    forced = await tabs.lend(width=360, height=700, forced_colors="active")
    shared = await tabs.lend(width=360, height=700)
    await shared.context.new_page()
    await tabs.take_back()
    assert all(page.is_closed() for page in (own, forced, shared))


async def test_an_error_that_a_page_reports_fails_the_test_that_lent_it(
    tabs: Tabs, room: WebRoom
) -> None:
    page = await tabs.lend(width=360, height=700)
    await page.goto(room.url)
    await page.evaluate("console.error('a thorn')")
    with pytest.raises(AssertionError, match="a thorn"):
        await tabs.take_back()
    await tabs.take_back()
