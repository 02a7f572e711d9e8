"""The guides of `assets/guides` as pages of the web room.

They are Markdown that ships with the program, made pages once. A page holds no script, and a link
from one guide to another leads to its page.
"""

from __future__ import annotations

from html import escape
from pathlib import Path

from markdown_it import MarkdownIt

from bot.platforms.web.words import GuideWords

FRAME = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>{title}</title>
<link rel="icon" href="/page/leaf.svg" type="image/svg+xml">
<link rel="stylesheet" href="/page/paper.css">
<link rel="stylesheet" href="/page/guides.css">
</head>
<body class="guide">
<nav aria-label="{shelf}"><a href="/">{back}</a>
<ul>{others}</ul></nav>
<main>{text}</main>
</body>
</html>
"""


def read_guides(folder: Path, words: GuideWords) -> dict[str, str]:
    """Return the page of each guide by its name, such as `members`, in the order that they are
    listed in: that of `order.txt` beside them."""
    order = (folder / "order.txt").read_text(encoding="utf-8").split()
    texts = {name: (folder / f"{name}.md").read_text(encoding="utf-8") for name in order}
    titles = {name: text.partition("\n")[0].removeprefix("# ") for name, text in texts.items()}
    return {
        name: FRAME.format(
            title=escape(titles[name]),
            shelf=escape(words.shelf),
            back=escape(words.back),
            others="".join(_entry(each, title, here=name) for each, title in titles.items()),
            text=_page_of(text),
        )
        for name, text in texts.items()
    }


def _entry(name: str, title: str, *, here: str) -> str:
    current = ' aria-current="page"' if name == here else ""
    return f'<li><a href="/guides/{name}"{current}>{escape(title)}</a></li>'


def _page_of(text: str) -> str:
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(text)
    for token in tokens:
        for inner in token.children or ():
            target = str(inner.attrs.get("href", ""))
            if inner.type == "link_open" and target.endswith(".md"):
                inner.attrs["href"] = "/guides/" + target.removesuffix(".md")
    return str(reader.renderer.render(tokens, reader.options, {}))
