"""Where the shipped files are: fonts, starting puzzles, lessons, the web page.

A wheel carries them inside this package; a checkout has them at its top. Nothing is ever written
here.
"""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).resolve().parent
_FOLDERS = (_HERE / "assets", _HERE.parent / "assets")


def path(*parts: str) -> Path:
    """Return the path of a shipped file or folder, such as `path("lessons", "pointing.md")`.

    Raises FileNotFoundError where the installation lacks it.
    """
    for folder in _FOLDERS:
        found = folder.joinpath(*parts)
        if found.exists():
            return found
    raise FileNotFoundError(f"the installation lacks assets/{'/'.join(parts)}")
