"""What every platform of the list must have beside its record; what is missing is named."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from bot.wiring.platform import Platform
from bot.wiring.platforms import PLATFORMS
from tests.contract.test_room import STAGES
from tests.test_house_rules import DOORS

ROOT = Path(__file__).resolve().parents[2]
NAMES = [platform.name for platform in PLATFORMS]


@pytest.mark.parametrize("name", NAMES)
def test_the_contract_suite_runs_on_every_platform(name: str) -> None:
    assert STAGES.get(name), f"STAGES of tests/contract/test_room.py has no stage for {name}"


@pytest.mark.parametrize("name", NAMES)
def test_every_platform_has_one_door(name: str) -> None:
    assert name in DOORS, f"DOORS of tests/test_house_rules.py does not name the door of {name}"
    assert DOORS[name].startswith(f"bot/platforms/{name}/")
    assert (ROOT / DOORS[name]).is_file()


def test_platforms_are_kept_from_knowing_each_other() -> None:
    with (ROOT / "pyproject.toml").open("rb") as file:
        contracts = tomllib.load(file)["tool"]["importlinter"]["contracts"]
    (kept,) = [each["modules"] for each in contracts if each["type"] == "independence"]
    assert {f"bot.platforms.{name}" for name in NAMES} == set(kept)


def test_a_platform_has_a_folder_and_a_folder_a_platform() -> None:
    folders = {each.parent.name for each in (ROOT / "bot" / "platforms").glob("*/__init__.py")}
    assert folders == set(NAMES)
    assert len(NAMES) == len(set(NAMES))


@pytest.mark.parametrize("platform", PLATFORMS, ids=NAMES)
def test_a_memory_is_that_of_its_platform(platform: Platform[Any]) -> None:
    assert platform.memory is None or platform.memory.platform == platform.name
