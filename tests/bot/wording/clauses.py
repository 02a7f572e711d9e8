"""What a told reason names, read back from its words so that a test can hold it to the position."""

from __future__ import annotations

import re

_OF_A_KIND = re.compile(r"(row|column|box|diagonal)s? ([0-9](?:(?:, | and )[0-9])*)")


def lines_named(text: str) -> tuple[str, ...]:
    """Return the names in `rows 2 and 7, column 3 and box 5`, each by itself."""
    return tuple(
        f"{kind} {number}"
        for kind, numbers in _OF_A_KIND.findall(text)
        for number in re.findall("[0-9]", numbers)
    )
