"""Rules that machines keep: who imports whom, types, style, sizes, and where async may be."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from bot.wiring.platforms import PLATFORMS

ROOT = Path(__file__).resolve().parent.parent
LONGEST_MODULE = 400
ASYNC_PLACES = (
    "bot/club/service.py", "bot/club/ports.py", "bot/club/fake_results.py",
    "bot/club/fake_store.py", "bot/schedule.py",
    "bot/sending.py", "bot/stock/workshop.py", "bot/stock/stocker.py", "bot/stock/photos.py",
    "bot/founding.py", "bot/links.py",
    "bot/cli/adding.py", "bot/cli/destination.py", "bot/cli/puzzles.py", "bot/cli/host.py",
    "bot/cli/inviting.py",
    "bot/watchdog.py", "bot/club/loading.py", "bot/club/club_lock.py",
    "bot/outbox_sender.py", "bot/live_boards.py", "bot/places.py",
    "bot/club/studies.py", "bot/exchange.py", "bot/demo.py", "bot/storage/", "bot/platforms/",
    "bot/wiring/",
)  # fmt: skip
FORBIDDEN_WORDS = (
    "utils", "helpers", "helper", "manager", "handler", "data", "info", "misc", "do", "process",
)  # fmt: skip


DOORS = {
    "discord": "bot/platforms/discord/door.py",
    "matrix": "bot/platforms/matrix/door.py",
    "web": "bot/platforms/web/door.py",
}
"""Where each platform lets acts in: nothing else makes one."""

BEHIND_THE_DOOR = {
    "bot/platforms/discord/": {
        "reading.py": {"data", "content"},
        "door.py": {"guild_permissions", "manage_guild", "webhook_id"},
    },
    "bot/platforms/matrix/": {
        "inbound.py": {"admit_event"},
        "guard.py": {
            "admit_opened",
            "decrypt_event",
            "parse_encrypted_event",
            "handle_to_device_event",
            "KeysQueryResponse",
            "KeysClaimResponse",
            "MatrixRoom",
        },
    },
    "bot/platforms/web/": {
        "gate.py": {"is_own_origin", "place_of", "believes"},
        "door.py": {"clean_text", "find_problem"},
    },
}
"""Of each platform's modules, what only the one named may ask of what came in."""


def modules() -> Iterator[Path]:
    for package in ("engine", "bot"):
        yield from sorted((ROOT / package).rglob("*.py"))


@cache
def tree_of(module: Path) -> ast.Module:
    return ast.parse(module.read_text(encoding="utf-8"))


def run_tool(*command: str) -> None:
    done = subprocess.run(
        [sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_imports_point_one_way() -> None:
    run_tool("-c", "from importlinter.cli import lint_imports_command as run; run()", "--no-cache")


def test_the_code_keeps_to_its_style() -> None:
    run_tool("-m", "ruff", "check", "--no-cache", ".")


def test_both_packages_are_strictly_typed() -> None:
    pytest.importorskip("nio", reason="matrix-nio, whose types are checked too, is not installed")
    run_tool("-m", "mypy")


@pytest.mark.parametrize("module", tuple(modules()), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_is_short_and_opens_with_what_it_is(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    if text.strip():
        assert ast.get_docstring(tree_of(module)), "a module opens with what it is"


def test_async_stays_where_waiting_belongs() -> None:
    strays = []
    for module in modules():
        name = module.relative_to(ROOT).as_posix()
        if name.startswith(ASYNC_PLACES):
            continue
        strays += [
            f"{name}:{node.lineno} {node.name}"
            for node in ast.walk(tree_of(module))
            if isinstance(node, ast.AsyncFunctionDef) and not is_loading(name, node.name)
        ]
    assert not strays


def is_loading(module: str, function: str) -> bool:
    """Say whether a function only loads what a decision beside it needs; decisions never wait."""
    return module.startswith("bot/club/") and function.lstrip("_").startswith("load_")


def test_names_say_what_things_are() -> None:
    strays = []
    for module in modules():
        names = [module.stem] + [
            node.name
            for node in ast.walk(tree_of(module))
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        ]
        strays += [
            f"{module.relative_to(ROOT)}: {name}"
            for name in names
            if set(name.lower().strip("_").split("_")) & set(FORBIDDEN_WORDS)
        ]
    assert not strays


def calls_of(module: Path, name: str) -> Iterator[ast.Call]:
    for node in ast.walk(tree_of(module)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
            yield node


def test_what_comes_in_becomes_an_act_in_one_place_a_platform() -> None:
    makers = [
        module.relative_to(ROOT).as_posix()
        for module in modules()
        if "Incoming(" in module.read_text(encoding="utf-8") and any(calls_of(module, "Incoming"))
    ]
    assert makers == sorted(DOORS.values())


def test_who_acts_and_where_is_changed_by_nobody_behind_the_door() -> None:
    vouched_for = {"event_id", "platform", "room_id", "user_id", "leads", "acted_at"}
    rooms = [ROOT / "bot" / "exchange.py", ROOT / "bot" / "founding.py"]
    rooms += sorted((ROOT / "bot" / "platforms").rglob("*.py"))
    strays = [
        f"{module.name}:{call.lineno} {keyword.arg}"
        for module in rooms
        for call in calls_of(module, "replace")
        for keyword in call.keywords
        if keyword.arg in vouched_for
    ]
    assert not strays


def test_what_people_sent_is_looked_into_in_one_place_a_platform() -> None:
    strays = []
    for prefix, places in BEHIND_THE_DOOR.items():
        for module in modules():
            name = module.relative_to(ROOT).as_posix()
            if not name.startswith(prefix):
                continue
            nodes = list(ast.walk(tree_of(module)))
            asked = {node.attr for node in nodes if isinstance(node, ast.Attribute)}
            asked |= {node.id for node in nodes if isinstance(node, ast.Name)}
            strays += [
                f"{name}: {attribute}"
                for place, own in places.items()
                if module.name != place
                for attribute in sorted(own & asked)
            ]
    assert not strays


MOST_PARTS = 8
"""So many values a constructor takes at most: what belongs together comes as one."""


def test_a_constructor_takes_few_values_and_what_it_makes_is_complete() -> None:
    strays = []
    for module in modules():
        for node in ast.walk(tree_of(module)):
            if isinstance(node, ast.FunctionDef) and node.name == "__init__":
                taken = len(node.args.args) + len(node.args.kwonlyargs) - 1
                if taken > MOST_PARTS:
                    strays.append(f"{module.relative_to(ROOT)}:{node.lineno} takes {taken}")
            if isinstance(node, ast.Call) and ast.unparse(node).startswith("hasattr(self"):
                strays.append(f"{module.relative_to(ROOT)}:{node.lineno} asks what it has")
    assert not strays


ROOMS_OF_A_PLATFORM = ("wiring", "wording", "storage")
"""Where a platform may have a module, or a folder, of its own name."""

NAMED_ELSEWHERE = {
    (
        "bot/storage/migrations.py",
        "matrix",
    ): "the SQL of old steps names tables, and stays",
    ("bot/platforms/matrix/browser.py", "web"): "the module of aiohttp's server has that name",
    ("bot/platforms/matrix/connection.py", "web"): "a path of the homeserver's has that word",
    ("bot/wiring/demo.py", "web"): "the demo is held in the web room, which needs no account",
}
"""Modules that may name a platform, and why; besides its own, and the one list of them all."""


def words_of(text: str) -> set[str]:
    """Return the words of a name, a path or a sentence, in small letters."""
    words = re.findall(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])", text.replace("WebSocket", "Websocket"))
    return {word.lower() for word in words}


def names_and_strings(module: Path) -> Iterator[tuple[int, str]]:
    """Yield whatever a module says, docstrings excepted, with its line."""
    tree = tree_of(module)
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        line = getattr(node, "lineno", 0)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield line, node.value
        for field in ("id", "attr", "name", "asname", "arg", "module"):
            if isinstance(said := getattr(node, field, None), str):
                yield line, said


def test_a_platform_is_named_by_its_own_modules_and_one_list_alone() -> None:
    names = {each.name for each in PLATFORMS}
    strays = set()
    used = set()
    for module in sorted((ROOT / "bot").rglob("*.py")):
        path = module.relative_to(ROOT).as_posix()
        text = module.read_text(encoding="utf-8").lower()
        if path == "bot/wiring/platforms.py" or not any(name in text for name in names):
            continue
        for line, said in names_and_strings(module):
            for name in words_of(said) & names:
                own = (
                    f"bot/platforms/{name}/",
                    *(f"bot/{room}/{name}{end}" for room in ROOMS_OF_A_PLATFORM for end in "./"),
                )
                if (path, name) in NAMED_ELSEWHERE:
                    used.add((path, name))
                elif not path.startswith(own):
                    strays.add(f"{path}:{line} names {name}")
    assert not sorted(strays)
    assert used == set(NAMED_ELSEWHERE), "an exception that nothing needs"
