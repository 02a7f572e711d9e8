"""Tabs of one browser, each a browser of its own as far as a page can tell, lent test by test.

A new one costs more than a whole visit in it, so a plain tab is lent again, emptied. A test that
changes what a page cannot (a route, a script that runs first, its clock) asks for `is_own`: such a
tab is closed after it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from playwright.async_api import Browser, BrowserContext, ConsoleMessage, Page

from tests.patience import PATIENCE

# The page's own way of keeping something while it is left comes first.
FORGET = """addEventListener("pagehide", () => {
  localStorage.clear();
  sessionStorage.clear();
})"""


@dataclass(frozen=True, slots=True)
class _Lent:
    page: Page
    has_touch: bool
    is_own: bool


class Tabs:
    """What is lent of `browser`. `rest` is the address of an empty page on the same machine: on the
    way there a tab keeps its process, unlike on the way to `about:blank`.
    """

    def __init__(self, browser: Browser, rest: str) -> None:
        self._browser = browser
        self._rest = rest
        self._lent: list[_Lent] = []
        self._idle: dict[bool, list[Page]] = {False: [], True: []}
        self._problems: list[str] = []
        self._forgiven: tuple[str, ...] = ()

    async def lend(
        self,
        *,
        width: int,
        height: int,
        dark: bool = False,
        has_touch: bool = False,
        is_own: bool = False,
        **more: Any,
    ) -> Page:
        """Return an empty tab; `more` is as for a new browser context."""
        size = {"width": width, "height": height}
        scheme = "dark" if dark else "light"
        is_own = is_own or bool(more)
        if self._idle[has_touch] and not is_own:
            page = self._idle[has_touch].pop()
            await page.set_viewport_size(size)
            await page.emulate_media(color_scheme=scheme)
        else:
            context = await self._browser.new_context(
                viewport=size, color_scheme=scheme, has_touch=has_touch, **more
            )
            context.set_default_timeout(1000 * PATIENCE)
            self._listen(context)
            page = await context.new_page()
        self._lent.append(_Lent(page, has_touch, is_own))
        return page

    def _listen(self, context: BrowserContext) -> None:
        context.on("weberror", lambda error: self._problems.append(str(error.error)))
        context.on("console", self._note)

    def _note(self, said: ConsoleMessage) -> None:
        # That nobody is there, or goes, is what a test did to the room, no error of the page's.
        left = "ERR_CONNECTION_REFUSED", "ERR_CONNECTION_RESET"
        if said.type == "error" and not any(each in said.text for each in left):
            self._problems.append(said.text)

    def forgive(self, *parts: str) -> None:
        """Leave out errors with one of these in them, until the tabs are taken back: a browser
        reports what a test has refused it."""
        self._forgiven = parts

    async def take_back(self) -> None:
        """Take all that was lent; raises AssertionError where a page reported an error."""
        lent, self._lent = self._lent, []
        for tab in lent:
            if tab.is_own or tab.page.context.pages != [tab.page]:
                await tab.page.context.close()
            else:
                await tab.page.evaluate(FORGET)
                await tab.page.goto(self._rest)
                self._idle[tab.has_touch].append(tab.page)
        found, forgiven = self._problems, self._forgiven
        self._problems, self._forgiven = [], ()
        problems = [each for each in found if not any(part in each for part in forgiven)]
        assert not problems, f"the page reported errors: {problems}"
