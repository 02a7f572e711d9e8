"""Finds words for people that stand outside `bot/wording`, by what a literal looks like and where.

A literal reads as words where it looks like a sentence or a title (several words, a capital first
or a full stop last), or where it is handed to something that shows it. What only programmers and
logs see is left out: docstrings, log calls, assertions, errors that are raised, and SQL.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass

SHOWN_BY = {
    "print", "say", "complain", "announce", "write", "Message", "Button", "Menu", "Choice", "Field",
    "Form", "Response", "add_parser", "ArgumentTypeError", "getpass", "input", "error",
}  # fmt: skip
"""Functions and classes whose texts people read."""

SHOWN_AS = {
    "help", "description", "epilog", "text", "label", "title", "alt", "placeholder", "send_label",
    "purpose", "caption", "prompt",
}  # fmt: skip
"""Keywords whose texts people read, whatever they are handed to."""

RAISED_FOR_PEOPLE = {"ArgumentTypeError"}

_LOGGED_BY = {"debug", "info", "warning", "error", "exception", "critical", "log"}
_SQL = re.compile(
    r"\s*(?:SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER|DROP|PRAGMA|WITH|AND|OR|ON|WHERE|FROM|JOIN"
    r"|ORDER|UNION|VALUES|BEGIN|COMMIT|ROLLBACK|DO|SET|RETURNING)\b|[^?]* <?=? \?"
)
_WORD = re.compile(r"[A-Za-z]+(?:'[a-z]+)?")
_GAP = "\0"
"""Stands for what is filled into a literal."""


@dataclass(frozen=True, slots=True)
class Stray:
    """A literal that reads as words for people, and the line it begins on."""

    line: int
    text: str


def find_strays(tree: ast.Module) -> Iterator[Stray]:
    """Yield every literal of a module that reads as words for people."""
    nodes = list(ast.walk(tree))
    hidden = {id(part) for node in nodes for part in _unseen(node)}
    hidden |= {
        id(part) for node in nodes if isinstance(node, ast.JoinedStr) for part in node.values
    }
    shown = {id(part) for node in nodes for part in _shown(node)}
    for node in nodes:
        text = None if id(node) in hidden else _text_of(node)
        if text is None or _SQL.match(text):
            continue
        if _is_sentence(text) or (id(node) in shown and len(_words(text)) > 1):
            yield Stray(node.lineno, text.replace(_GAP, "…"))  # type: ignore[attr-defined]


def _text_of(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(
            str(part.value) if isinstance(part, ast.Constant) else _GAP for part in node.values
        )
    return None


def _words(text: str) -> list[str]:
    return _WORD.findall(text) if " " in text.strip() else []


def _is_sentence(text: str) -> bool:
    text = text.strip()
    begins = re.match(r"[A-Z](?:[a-z']|\s)", text)
    ends = text.endswith((".", "!", "?")) or ". " in text
    return len(_words(text)) > (1 if begins else 2) and bool(begins or ends)


def _name(node: ast.expr) -> str:
    return node.id if isinstance(node, ast.Name) else getattr(node, "attr", "")


def _unseen(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what in a node only programmers and logs see."""
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        yield node.value
    elif isinstance(node, ast.Assert) and node.msg is not None:
        yield from ast.walk(node.msg)
    elif isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
        if _name(node.exc.func) not in RAISED_FOR_PEOPLE:
            yield from ast.walk(node.exc)
    elif isinstance(node, ast.Call) and _is_for_logs(node.func):
        yield from ast.walk(node)


def _is_for_logs(func: ast.expr) -> bool:
    if not isinstance(func, ast.Attribute):
        return False
    if func.attr == "__init__":
        return isinstance(func.value, ast.Call) and _name(func.value.func) == "super"
    return func.attr in _LOGGED_BY and _name(func.value).strip("_").lower() in ("log", "logging")


def _shown(node: ast.AST) -> Iterator[ast.AST]:
    """Yield the literals of a call that are handed to something that shows them."""
    if not isinstance(node, ast.Call):
        return
    given = [keyword.value for keyword in node.keywords if keyword.arg in SHOWN_AS]
    if _name(node.func) in SHOWN_BY:
        given += [*node.args, *(keyword.value for keyword in node.keywords)]
    yield from given
