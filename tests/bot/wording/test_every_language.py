"""Every language that a club can choose has words for all that the club says."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from bot.club.replies import TalkHeard, reply_kinds
from bot.club.settings import LANGUAGES
from bot.languages import language_of
from tests.bot.wording.samples import SAMPLES

BOT = Path(__file__).resolve().parents[3] / "bot"
each_language = pytest.mark.parametrize("code", LANGUAGES)


@each_language
def test_every_kind_of_reply_has_words_in_the_language(code: str) -> None:
    words = language_of(code)
    assert {type(reply) for reply in SAMPLES} == set(reply_kinds())
    for reply in SAMPLES:
        messages = words.phrase_all(reply)
        assert messages or isinstance(reply, TalkHeard), type(reply).__name__
        for each in messages:
            assert each.message.text or each.picture is not None, type(reply).__name__
            assert each.picture is None or words.describe(each.picture), type(reply).__name__


@each_language
def test_a_language_has_words_of_its_own_and_takes_no_other_languages(code: str) -> None:
    folder = BOT / ("wording" if code == LANGUAGES[0] else f"wording_{code}")
    others = {
        f"{path.name}:{node.lineno} {node.module}"
        for path in sorted(folder.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom)
        and re.match(r"bot\.wording", node.module or "")
        and (node.module or "").split(".")[1] != folder.name
    }
    assert others == set()


def test_a_language_that_is_gone_is_spoken_in_english() -> None:
    assert language_of("no-such") is language_of(LANGUAGES[0])
