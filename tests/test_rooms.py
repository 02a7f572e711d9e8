"""The house fits one look: few rooms, every arrow down, nothing that goes round."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests import rooms

MOST_ROOMS = 20


def test_the_house_has_few_rooms_and_every_arrow_goes_down() -> None:
    sys.stdout.write(rooms.draw())
    modules = rooms.find_modules(rooms.ROOT)
    arrows = rooms.find_arrows(modules)
    assert len(rooms.find_rooms(modules)) <= MOST_ROOMS
    assert rooms.find_arrows_up(arrows) == []
    assert rooms.find_circles(arrows) == []


def test_the_written_order_names_what_is_there_and_nothing_else() -> None:
    modules = rooms.find_modules(rooms.ROOT)
    written = [room for floor in rooms.FROM_ABOVE for room in floor]
    there = {rooms.name_in_order(rooms.room_of(*each)) for each in modules.items()}
    assert sorted(written) == sorted(there)


@pytest.mark.parametrize(
    ("planted", "up", "circles"),
    [
        ({"bot/club/a.py": "import bot.storage.b", "bot/storage/b.py": "X = 1"}, 1, 0),
        ({"bot/club/a.py": "from bot.storage import b", "bot/storage/b.py": "X = 1"}, 1, 0),
        ({"bot/platforms/web/a.py": "from bot.platforms.matrix.b import X",
          "bot/platforms/matrix/b.py": "X = 1"}, 1, 0),
        ({"bot/new/a.py": "from bot.club.b import X", "bot/club/b.py": "X = 1"}, 1, 0),
        ({"bot/wording/a.py": "from bot.club.b import X",
          "bot/club/b.py": "def f():\n    from bot.wording.a import X"}, 1, 1),
        ({"bot/wording/steps/a.py": "from bot.wording.b import X", "bot/wording/b.py": "X = 1"},
         0, 0),
        ({"engine/__init__.py": "from engine.board.a import X", "engine/board/a.py": "X = 1",
          "bot/club/b.py": "from engine import board"}, 0, 0),
    ],
)  # fmt: skip
def test_what_points_up_or_round_is_found(
    tmp_path: Path, planted: Mapping[str, str], up: int, circles: int
) -> None:
    for name, text in planted.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    arrows = rooms.find_arrows(rooms.find_modules(tmp_path))
    assert len(rooms.find_arrows_up(arrows)) == up
    assert len(rooms.find_circles(arrows)) == circles
    assert f"{up} up, {circles} circles" in rooms.draw(tmp_path)
