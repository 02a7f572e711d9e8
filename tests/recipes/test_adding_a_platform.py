"""The recipe for a platform, tried on a copy: its own modules and one line in one list.

The toy platform is a folder with the shipped fake's behaviour. The config takes it, its club is
served, and the completeness tests name what is missing; with that added, the contract suite runs on
it.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.recipes.tree import Tree

TOY = Path(__file__).parent / "toy_platform"
LIST = "bot/wiring/platforms.py"
OWN = {
    "door.py": "bot/platforms/toy/door.py",
    "room.py": "bot/platforms/toy/room.py",
    "wiring.py": "bot/wiring/toy.py",
}
CONFIG = """
[toy]
shelf = "low"
[[club]]
platform = "toy"
room = "shelf"
name = "Maple Street Solvers"
post_time = "00:00"
"""
LACKING = (
    "tests/contract/test_every_platform.py",
    "tests/test_documents.py::test_the_example_config_explains_every_setting_and_no_other",
    "tests/test_house_rules.py::test_what_comes_in_becomes_an_act_in_one_place_a_platform",
)
NO_OTHER_STAGE = "not fake_stage and not web_stage and not discord_stage and not matrix_stage"
STAGE = """@asynccontextmanager
async def toy_stage(folder):
    from tests.contract.toy_stage import ToyStage

    yield ToyStage()


"""


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Tree:
    """The copy with the toy platform."""
    made = Tree(tmp_path_factory.mktemp("tree"))
    (made.folder / "bot" / "platforms" / "toy").mkdir()
    for name, own in OWN.items():
        shutil.copy(TOY / name, made.folder / own)
    (made.folder / "bot" / "platforms" / "toy" / "__init__.py").touch()
    made.add(LIST, "from bot.wiring.toy import TOY\n", before="from bot.wiring.web")
    made.add(LIST, ", TOY", before=")\n\nBY_NAME")
    return made


def test_a_platform_is_its_own_modules_and_one_list(tree: Tree) -> None:
    own = [*OWN.values(), "bot/platforms/toy/__init__.py"]
    assert tree.touched() == sorted([*own, LIST])
    config = tree.folder / "config.toml"
    config.write_text(CONFIG, encoding="utf-8")
    served = tree.run("-m", "tests.recipes.toy_platform.serve", str(config))
    assert served.returncode == 0, served.stderr[-2000:]
    seen = json.loads(served.stdout)
    assert seen["place"] == str(tree.folder / "bot"), "the copy was run"
    assert seen["announced"] == ["The toys are on the low shelf"]
    assert any("Today's puzzle is up." in post for post in seen["posts"])
    assert "hand-in" in seen["answer"]


def test_what_is_wrong_with_its_table_is_told(tree: Tree) -> None:
    config = tree.folder / "wrong.toml"
    config.write_text(CONFIG.replace("shelf =", "shlef ="), encoding="utf-8")
    refused = tree.run("-m", "bot", "check", "--config", str(config))
    assert refused.returncode == 2
    assert "`shlef` in [toy]" in refused.stderr
    assert 'shelf = "top"' in refused.stderr


@pytest.mark.long
def test_what_it_lacks_is_named_and_then_the_contract_suite_runs_on_it(tree: Tree) -> None:
    told = tree.test(*LACKING).stdout
    for missing in (
        "has no stage for toy",
        "does not name the door of toy",
        "bot.platforms.toy",
        "[toy]",
    ):
        assert missing in told, told[-3000:]
    shutil.copy(TOY / "stage.py", tree.folder / "tests" / "contract" / "toy_stage.py")
    tree.add("tests/contract/test_room.py", STAGE, before="STAGES = {")
    tree.add("tests/contract/test_room.py", '    "toy": (toy_stage,),\n', before='    "web": (')
    door = '    "toy": "bot/platforms/toy/door.py",\n'
    tree.add("tests/test_house_rules.py", door, before='    "web": "bot/')
    tree.add(
        "pyproject.toml",
        ', "bot.platforms.toy"',
        before="]\n\n[[tool.importlinter.contracts]]\nname = \"The engine's rooms",
    )
    tree.add(
        "config.example.toml",
        '# Clubs with toys, as platform "toy".\n# [toy]\n# Where they are.\n# shelf = "top"\n\n',
        before="# One table for each club.",
    )
    done = tree.test(*LACKING, "tests/contract/test_room.py", "-k", NO_OTHER_STAGE)
    assert done.returncode == 0, done.stdout[-3000:]
    assert "[toy_stage] PASSED" in done.stdout
