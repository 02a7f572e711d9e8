"""A copy of this tree, to try a recipe of DEVELOPERS.md on and count the files that it touches."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COPIED = (
    "assets/guides", "bot", "engine", "tests", "config.example.toml", "README.md", "pyproject.toml",
)  # fmt: skip
LINKED = sorted(folder.name for folder in (ROOT / "assets").iterdir() if folder.name != "guides")
"""Folders of the assets: read, and never changed by a recipe that is tried here."""

LEFT_OUT = shutil.ignore_patterns("corpus", "crash", "browser", "kept")


class Tree:
    """The copy. Commands run in it see its packages, not those that are installed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                shutil.copytree(source, folder / name, ignore=LEFT_OUT)
            else:
                shutil.copy(source, folder / name)
        for name in LINKED:
            (folder / "assets" / name).symlink_to(ROOT / "assets" / name)

    def add(self, name: str, text: str, *, before: str) -> None:
        """Put a text into a file of the tree, before the one place that reads so."""
        path = self.folder / name
        found = path.read_text(encoding="utf-8")
        assert found.count(before) == 1, f"{name} has {found.count(before)} times {before!r}"
        path.write_text(found.replace(before, text + before), encoding="utf-8")

    def write(self, name: str, text: str) -> None:
        """Write a new file of the tree."""
        path = self.folder / name
        assert not path.exists(), f"{name} is there already"
        path.write_text(text, encoding="utf-8")

    def touched(self) -> list[str]:
        """Return the files of the copy that differ from this tree's or are new, in order."""
        files = (path.relative_to(self.folder) for name in COPIED for path in self._files(name))
        return sorted(
            str(name)
            for name in files
            if not (ROOT / name).exists()
            or (ROOT / name).read_bytes() != (self.folder / name).read_bytes()
        )

    def _files(self, name: str) -> list[Path]:
        path = self.folder / name
        return [path] if path.is_file() else [
            each for each in path.rglob("*") if each.is_file() and each.suffix != ".pyc"
        ]  # fmt: skip

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run Python in the copy."""
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=self.folder,
            capture_output=True,
            text=True,
            check=False,
        )

    def test(self, *tests: str) -> subprocess.CompletedProcess[str]:
        """Run some tests of the copy."""
        options = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--tb=short", "-vv")
        return self.run("-m", "pytest", *options, *tests)
