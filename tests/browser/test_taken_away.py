"""The page of a walkthrough in a browser that runs no script: it asks first, and prints all."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.async_api import Browser, expect

from bot.cli.main import main
from tests.bot.paper import read_pages

pytestmark = pytest.mark.browser

PAIR = "23..7.....8..56.215....8.7.....14.....75.34.....68.....2.1....965.83..1.....4..86"


async def test_what_follows_is_shown_when_opened_and_always_on_paper(
    browser: Browser, tmp_path: Path
) -> None:
    assert main(["walkthrough", PAIR, "--pages", str(tmp_path)]) == 0
    context = await browser.new_context(java_script_enabled=False)
    try:
        page = await context.new_page()
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        await page.goto((tmp_path / "walkthrough.html").as_uri())
        told = page.get_by_text("Naked pair:")
        await expect(page.get_by_text("What follows here?")).to_be_visible()
        await expect(told).to_be_hidden()
        printed = read_pages(await page.pdf(format="A4"))
        words = " ".join(each.words for each in printed)
        assert "What follows here?" in words
        assert "Naked pair:" in words
        assert words.count("Notes") == await page.locator("section").count()
        assert "Show what follows" not in words
        await page.get_by_text("Show what follows").click()
        await expect(told).to_be_visible()
        assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    finally:
        await context.close()
