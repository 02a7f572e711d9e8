"""The recipe for a technique, tried on a copy: five files, and everything else picks it up.

The toy is the last pair: of the two digits that a house still lacks, one has a single place there.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("assets", "bot", "engine", "tests", "README.md", "pyproject.toml")
LEFT_OUT = shutil.ignore_patterns("__pycache__", "browser", "crash", "doubles", "kept")
MOST_FILES = 5
ID = "last-pair"

FINDER = '''"""Last pair: of two digits that a house lacks, one has a single place left there."""

from __future__ import annotations

from collections.abc import Iterator

from engine.board.grid import Grid
from engine.board.step import Step
from engine.inference.evidence import house_has_one


def find_last_pairs(grid: Grid) -> Iterator[Step]:
    """Yield each such digit, house by house."""
    layout = grid.layout
    for house in layout.houses:
        if (house.mask & grid.open_cells).bit_count() != 2:
            continue
        for digit in layout.digits:
            places = layout.cells_in(grid.plane(digit) & house.mask)
            if len(places) == 1:
                yield Step(
                    "last-pair",
                    1,
                    (house.index,),
                    places,
                    (digit,),
                    layout.bit(places[0], digit),
                    places=((places[0], digit),),
                    constraints=(house_has_one(house.index, digit),),
                )
'''
SENTENCE = '''"""The reason of a last pair."""

from __future__ import annotations

from engine import Grid, Step


def tell_last_pair(step: Step, grid: Grid) -> str:
    """Say which of the two cells bars the digit."""
    house = step.houses_in(grid.layout)[0]
    return f"Two cells of {house.name} are open, and only one of them can be {step.digits[0]}."
'''
REMINDER = (
    "Two cells of a house are open, and one of the two digits that are missing can go into just "
    "one of them."
)
LESSON = f"""# Last pair

{REMINDER}

## How to spot it

Look for houses with two gaps, and ask what each gap sees.

## By eye

Two gaps are seen without marks.

## A worked position

```
12|34
34|..
--+--
21|43
43|.1
```

Last pair: 1 in r2c3 (row 2). So r2c3 is 1.

## A common slip

Taking the one for the other.

## Exercises

```
12343...21434321
1234341221..43.1
123434..214343.1
```
"""
WORDS = (
    "tests/bot/wording/test_steps.py"
    "::test_every_technique_of_the_ladder_has_a_reason_and_nothing_else_has",
    "tests/bot/wording/test_lessons.py::test_there_is_a_lesson_for_every_technique_and_no_other",
    f"tests/bot/wording/test_lessons.py::test_a_lesson_has_its_title_and_parts[{ID}]",
    "tests/bot/wording/test_lessons.py"
    f"::test_the_worked_position_has_the_technique_and_the_lesson_says_what_it_does[{ID}]",
)
ENGINE = (
    "tests/engine/techniques/test_ladder.py::test_the_ladder_stands_in_teaching_order",
    "tests/engine/claims/test_finds.py::test_every_technique_of_the_ladder_can_be_checked",
)


class Copy:
    """A copy of this tree. Commands run in it see its packages, not those that are installed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.touched: set[str] = set()
        for name in COPIED:
            if (ROOT / name).is_dir():
                shutil.copytree(ROOT / name, folder / name, ignore=LEFT_OUT)
            else:
                shutil.copy(ROOT / name, folder / name)

    def write(self, name: str, text: str) -> None:
        assert not (self.folder / name).exists()
        (self.folder / name).write_text(text, encoding="utf-8")
        self.touched.add(name)

    def add(self, name: str, text: str, *, before: str) -> None:
        """Put a text into a file of the tree, before the one place that reads so."""
        found = (self.folder / name).read_text(encoding="utf-8")
        assert found.count(before) == 1, f"{name} has {found.count(before)} times {before!r}"
        (self.folder / name).write_text(found.replace(before, text + before), encoding="utf-8")
        self.touched.add(name)

    def run(self, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *arguments],
            cwd=self.folder,
            env={**os.environ, "PYTHONPATH": str(self.folder), "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            text=True,
            check=False,
        )

    def test(self, *tests: str) -> str:
        """Run some tests of the copy, and return what is said of those that fail."""
        options = ("-q", "-n", "0", "-p", "no:cacheprovider", "--tb=short", "-vv")
        said = self.run("-m", "pytest", *options, *tests).stdout
        assert re.search(r"\d+ (passed|failed)", said), said[-2000:]
        return said


def find_failed(said: str) -> list[str]:
    """Return the names of the tests that failed, with their files' names."""
    failed = re.findall(r"^FAILED (\S+)", said, flags=re.MULTILINE)
    return [name.rpartition("/")[2] for name in failed]


@pytest.fixture
def copy(tmp_path: Path) -> Copy:
    return Copy(tmp_path)


def add_to_the_engine(copy: Copy) -> None:
    copy.write("engine/techniques/last_pair.py", FINDER)
    ladder = "engine/techniques/__init__.py"
    copy.add(
        ladder,
        "from engine.techniques.last_pair import find_last_pairs\n",
        before="from engine.techniques.last_three import",
    )
    copy.add(
        ladder,
        f'    Technique("{ID}", 1, find_last_pairs, is_shortcut=True),\n',
        before='    Technique("last-three"',
    )


def add_words(copy: Copy) -> None:
    copy.write("bot/wording/steps/last_pair.py", SENTENCE)
    reasons = "bot/wording/steps/__init__.py"
    copy.add(
        reasons,
        "from bot.wording.steps.last_pair import tell_last_pair\n",
        before="from bot.wording.steps.plain import",
    )
    copy.add(reasons, f'    "{ID}": _after_strikes(tell_last_pair),\n', before='    "last-three": ')
    copy.write(f"assets/lessons/{ID}.md", LESSON)


@pytest.mark.long
def test_what_is_missing_of_a_technique_is_named(copy: Copy) -> None:
    add_to_the_engine(copy)
    said = copy.test(*WORDS, *ENGINE)
    assert find_failed(said) == [each.rpartition("/")[2] for each in (*WORDS, *ENGINE)]
    assert said.count(f"'{ID}'") >= 4
    assert f"lacks assets/lessons/{ID}.md" in said


def test_a_technique_by_the_recipe_is_picked_up_everywhere(copy: Copy) -> None:
    add_to_the_engine(copy)
    add_words(copy)
    assert len(copy.touched) <= MOST_FILES
    options = ("--technique", ID, "--json")
    asked = copy.run("-m", "bot", "steps", "1234 34.. 2143 43.1", *options)
    assert asked.returncode == 0, asked.stderr
    steps = json.loads(asked.stdout)["steps"]
    assert [(step["technique"], step["places"]) for step in steps] == [(ID, [["r2c3", 1]])] * 3
    assert steps[0]["rungs"] == {
        "where": "Have a good look at row 2.",
        "what": f"Last pair. {REMINDER}",
        "which": "Last pair: 1 in r2c3 (row 2).",
        "why": "Last pair: Two cells of row 2 are open, and only one of them can be 1. "
        "So r2c3 is 1.",
    }
    # What is left is no file of the recipe: the place in teaching order, and how a find is checked.
    assert find_failed(copy.test(*WORDS, *ENGINE)) == [each.rpartition("/")[2] for each in ENGINE]


def test_the_recipe_of_the_documents_names_the_same_files(copy: Copy) -> None:
    add_to_the_engine(copy)
    add_words(copy)
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    recipe = text.partition("## Adding a technique\n")[2].partition("\n## ")[0]
    named = re.findall(r"`((?:engine|bot|assets)/[^`]+)`", recipe)
    written = {name.replace("last_pair", "<idea>").replace(ID, "<id>") for name in copy.touched}
    assert sorted(written) == sorted(named)
