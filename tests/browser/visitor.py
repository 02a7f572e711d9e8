"""One person at the web room in a real browser tab, in the words of the job.

Finds everything as a person would: by role, label and text. It waits for what must come and never
for time to pass.
"""

from __future__ import annotations

from collections.abc import Awaitable, Mapping

from playwright.async_api import Locator, Page, expect


class Visitor:
    """A tab. `name` is the name chosen at the door."""

    def __init__(self, page: Page, url: str, name: str) -> None:
        self.page = page
        self.name = name
        self._url = url

    async def enter(self) -> None:
        """Come in by the door, and wait until all that was there before is shown."""
        await self.page.goto(self._url)
        await self.page.get_by_label("Your name").fill(self.name)
        await self.page.get_by_role("button", name="Enter the room").click()
        await self.wait_until_ready()

    async def wait_until_ready(self) -> None:
        await expect(self.log).to_have_attribute("data-ready", "yes")
        await expect(self.page.get_by_text(f"You are {self.name}")).to_be_visible()

    @property
    def log(self) -> Locator:
        return self.page.get_by_role("log")

    @property
    def line(self) -> Locator:
        return self.page.get_by_role("textbox", name="Your line")

    @property
    def posts(self) -> Locator:
        """What the club posted for everyone, oldest first."""
        return self.log.locator('article[data-kind="post"]')

    @property
    def said(self) -> Locator:
        """What people said in the open, oldest first."""
        return self.log.locator('article[data-kind="said"]')

    @property
    def answers(self) -> Locator:
        """The private answers and notices to this person, oldest first."""
        return self.log.locator('article[data-kind="answer"], article[data-kind="told"]')

    async def ask(self, line: str) -> Locator:
        """Type a line to the club alone; return the private answer."""
        before = await self.answers.count()
        await self.line.fill(line)
        await self.page.get_by_role("button", name="Ask Ninebark").click()
        return await self._answer_after(before)

    async def say(self, line: str) -> None:
        """Say a line to everyone; what comes of it is for the test to expect."""
        await self.line.fill(line)
        await self.page.get_by_role("button", name="Say to the room").click()

    async def press(self, label: str, *, within: Locator | None = None) -> Locator:
        """Press a button, the newest of this label, by keyboard; return the private answer."""
        place = self.log if within is None else within
        button = place.get_by_role("button", name=label, exact=True).last
        return await self._changed_by(button, button.press("Enter"))

    async def send_form(self, fields: Mapping[str, str], *, send: str) -> Locator:
        """Fill the newest form's fields by their labels and send it; return the answer."""
        form = self.log.get_by_role("form").last
        for label, text in fields.items():
            await form.get_by_label(label).fill(text)
        button = form.get_by_role("button", name=send)
        return await self._changed_by(button, button.click())

    async def last_answer(self) -> str:
        return await self.answers.last.inner_text()

    async def room_texts(self) -> list[str]:
        """The words of everything that is for everyone, oldest first."""
        return await self.log.locator(
            'article[data-kind="post"], article[data-kind="said"]'
        ).all_inner_texts()

    async def has_sideways_scroll(self) -> bool:
        wider = "document.scrollingElement.scrollWidth > document.scrollingElement.clientWidth"
        return bool(await self.page.evaluate(wider))

    async def _changed_by(self, button: Locator, press: Awaitable[None]) -> Locator:
        """Wait for the answer to a press: an answer changes in its place, anything else gets a new
        one below."""
        before = await self.answers.count()
        entry = button.locator("xpath=ancestor::article[1]")
        number = await entry.get_attribute("data-id")
        if await entry.get_attribute("data-kind") != "answer":
            await press
            return await self._answer_after(before)
        await entry.evaluate("entry => { entry.dataset.before = true; }")
        await press
        answer = self.log.locator(f"#entry-{number}:not([data-before])")
        await expect(answer).to_be_visible()
        return answer

    async def _answer_after(self, before: int) -> Locator:
        answer = self.answers.nth(before)
        await expect(answer).to_be_visible()
        return answer
