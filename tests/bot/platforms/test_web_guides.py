"""The guides as pages of the web room."""

from __future__ import annotations

import re

import pytest

from tests.bot.platforms.conftest import WEB_PAGE, Client

GUIDES = sorted(file.stem for file in (WEB_PAGE.parent / "guides").glob("*.md"))


@pytest.mark.parametrize("name", GUIDES)
async def test_each_guide_is_a_page_without_a_script_that_leads_on(
    client: Client, name: str
) -> None:
    async with client.session.get(f"{client.room.url}guides/{name}") as answer:
        assert (answer.status, answer.content_type) == (200, "text/html")
        page = await answer.text()
    assert page.count("<h1>") == 1
    assert "<script" not in page
    assert page.count('aria-current="page"') == 1
    leads = re.findall(r'href="(/[^"]*)"', page)
    assert {f"/guides/{each}" for each in GUIDES} | {"/"} <= set(leads)
    for target in set(leads):
        async with client.session.get(client.room.url.rstrip("/") + target) as answer:
            assert answer.status == 200, target


async def test_the_guides_are_listed_in_the_order_of_the_readme(client: Client) -> None:
    readme = (WEB_PAGE.parents[1] / "README.md").read_text(encoding="utf-8")
    async with client.session.get(f"{client.room.url}guides/members") as answer:
        listed = re.findall(r'<li><a href="/guides/([^"]*)"', await answer.text())
    assert listed == re.findall(r"\]\(assets/guides/([^)]+)\.md\)", readme)


async def test_there_is_no_guide_of_another_name(client: Client) -> None:
    async with client.session.get(f"{client.room.url}guides/..%2f..%2fREADME") as answer:
        assert answer.status == 404
