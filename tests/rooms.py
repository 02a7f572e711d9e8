"""The house as one drawing: its rooms, which of them know which, and that every arrow goes down.

A room is a folder of `engine` or `bot`; what lies in folders of its own within a room belongs to
it, but for the platforms, which are rooms each. A module that lies loose in a package stands for
itself, and the engine's door for the package. `python -m tests.rooms` prints the drawing.
"""

from __future__ import annotations

import ast
import sys
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("bot", "engine")
PLATFORMS = "bot.platforms."
"""Its folders are rooms each, all on one floor."""

FROM_ABOVE = (
    ("bot.__main__",),
    ("bot.cli",),
    ("bot.wiring",),
    ("bot.demo", "bot.founding", "bot.live_boards", "bot.outbox_sender", "bot.stock"),
    ("bot.exchange", "bot.schedule"),
    ("bot.links", "bot.sending"),
    ("bot.commands", "bot.drawing"),
    ("bot.languages",),
    ("bot.wording",),
    ("bot.storage",),
    ("bot.platforms.*",),
    ("bot.grid_input", "bot.platforms", "bot.settings"),
    ("bot.club",),
    ("bot.photo",),
    ("bot.assets", "bot.config_tables", "bot.places", "bot.steady_clock", "bot.watchdog"),
    ("engine",),
    ("engine.making",),
    ("engine.claims", "engine.solving"),
    ("engine.techniques",),
    ("engine.inference",),
    ("engine.search",),
    ("engine.board",),
    ("engine.limits",),
    ("engine.errors",),
)
"""The written order: each knows only what is further down; those side by side are strangers."""

Arrows = Mapping[tuple[str, str], tuple[str, ...]]


def find_modules(root: Path) -> dict[str, Path]:
    """Return the modules by name; those that hold nothing but a text are left out."""
    found = {}
    for path in (path for package in PACKAGES for path in sorted((root / package).rglob("*.py"))):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if len(tree.body) > (ast.get_docstring(tree) is not None):
            parts = path.relative_to(root).with_suffix("").parts
            found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


def room_of(module: str, path: Path) -> str:
    """Return the room of a module, or the module's own name where it lies loose in a package."""
    folder = module if path.name == "__init__.py" else module.rpartition(".")[0]
    if folder in PACKAGES:
        return module
    depth = 3 if folder.startswith(PLATFORMS) else 2
    return ".".join(folder.split(".")[:depth])


def find_rooms(modules: Mapping[str, Path]) -> list[str]:
    """Return the folders with modules; loose modules and the door are none."""
    rooms = {room_of(module, path) for module, path in modules.items()}
    loose = {module for module, path in modules.items() if path.name != "__init__.py"}
    return sorted(rooms - loose - set(PACKAGES))


def find_imports(module: str, modules: Mapping[str, Path]) -> Iterator[str]:
    """Yield the modules of ours that a module imports, at its top or later.

    What the bot takes at the engine's door is the door's, whatever room it stands in.
    """
    for node in ast.walk(ast.parse(modules[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            is_at_the_door = node.module == "engine" and not module.startswith("engine")
            names = [] if is_at_the_door else [f"{node.module}.{each.name}" for each in node.names]
            yield from (name for name in (*names, node.module) if name in modules)
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in modules)


def find_arrows(modules: Mapping[str, Path]) -> Arrows:
    """Return which room knows which, with the imports that make it so.

    The door takes from behind itself, and that is no arrow: it is the engine seen from outside.
    """
    arrows: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for module, path in modules.items():
        here = room_of(module, path)
        for known in dict.fromkeys(find_imports(module, modules)):
            there = room_of(known, modules[known])
            if there not in (here, "engine" if here.startswith("engine.") else ""):
                arrows[here, there].append(f"{module} -> {known}")
    return {pair: tuple(imports) for pair, imports in sorted(arrows.items())}


def find_arrows_up(arrows: Arrows) -> list[str]:
    """Return the imports that go up or sideways by the written order, or where it is silent."""
    written = {name: floor for floor, names in enumerate(FROM_ABOVE) for name in names}
    floors = {room: written.get(name_in_order(room)) for pair in arrows for room in pair}
    return [
        each
        for (here, there), imports in arrows.items()
        if (above := floors[here]) is None or (below := floors[there]) is None or above >= below
        for each in imports
    ]


def name_in_order(room: str) -> str:
    """Return the name by which the written order has a room: every platform stands for all."""
    return f"{PLATFORMS}*" if room.startswith(PLATFORMS) else room


def find_circles(arrows: Arrows) -> list[tuple[str, ...]]:
    """Return the sets of rooms of which each knows each other, by whatever way."""
    known: dict[str, set[str]] = defaultdict(set)
    for here, there in arrows:
        known[here].add(there)
    reached = {room: _reach(room, known) for room in list(known)}
    circles = {
        tuple(sorted({here} | {there for there in reached[here] if here in reached.get(there, ())}))
        for here in reached
        if here in reached[here]
    }
    return sorted(circles)


def _reach(room: str, known: Mapping[str, set[str]]) -> set[str]:
    reached: set[str] = set()
    waiting = [room]
    while waiting:
        for there in known.get(waiting.pop(), set()) - reached:
            reached.add(there)
            waiting.append(there)
    return reached


def draw(root: Path = ROOT) -> str:
    """Draw the house from above to below: each room with those that it knows."""
    modules = find_modules(root)
    arrows, rooms = find_arrows(modules), find_rooms(modules)
    up, circles = find_arrows_up(arrows), find_circles(arrows)
    lines = []
    drawn = sorted({room_of(*each) for each in modules.items()})
    for name in (name for floor in FROM_ABOVE for name in floor):
        for room in (room for room in drawn if name_in_order(room) == name):
            below = [there.removeprefix("bot.") for here, there in arrows if here == room]
            mark = "[]" if room in rooms else "  "
            lines.append(f"{mark} {room:22} {' '.join(below)}".rstrip())
    lines.append(
        f"{len(rooms)} rooms [], {len(modules)} modules, {len(arrows)} arrows,"
        f" {len(up)} up, {len(circles)} circles"
    )
    lines += [f"up: {each}" for each in up] + [f"circle: {' '.join(each)}" for each in circles]
    return "\n".join(lines)


if __name__ == "__main__":
    sys.stdout.write(draw(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT) + "\n")
