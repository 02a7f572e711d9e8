"""The page has words for whatever the web room does not take."""

from __future__ import annotations

import re
from pathlib import Path

from bot.platforms.links import LinkProblem
from bot.platforms.web.refusals import WebProblem

WORDS = Path(__file__).resolve().parents[3] / "assets" / "web" / "words.js"


def test_the_page_has_words_for_every_problem_and_for_no_other() -> None:
    text = WORDS.read_text(encoding="utf-8")
    told = text.partition("export const refusals = {\n")[2].partition("\n};")[0]
    keys = re.findall(r'^  "?([a-z-]+)"?: \(', told, flags=re.MULTILINE)
    assert sorted(keys) == sorted((*WebProblem, *LinkProblem))
