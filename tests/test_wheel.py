"""The wheel carries all that it needs: unpacked and run from another folder, everything works."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
CROOK = ".395........8...7.....1.9.41..4....3...........7...86...67.82...1..9...5.....1..8"


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel and unpack it, as an installation without `-e` would."""
    folder = tmp_path_factory.mktemp("wheel")
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert built.returncode == 0, built.stdout + built.stderr
    target = folder / "site"
    with zipfile.ZipFile(next(folder.glob("ninebark-*.whl"))) as wheel:
        wheel.extractall(target)
    return target


def run_elsewhere(installed: Path, folder: Path, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-P", "-c", "import sys; from bot.cli.main import main; sys.exit(main())",
         *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_the_wheel_holds_packages_and_assets_and_nothing_else(installed: Path) -> None:
    found = {path.name.split("-")[0] for path in installed.iterdir()}
    assert found == {"bot", "engine", "ninebark"}
    assets = {path.name for path in (installed / "bot" / "assets").iterdir()}
    assert assets == {path.name for path in (ROOT / "assets").iterdir()}


def test_it_runs_from_another_folder_with_its_own_files(installed: Path, tmp_path: Path) -> None:
    script = "import bot; print(bot.__file__)"
    found = subprocess.run(
        [sys.executable, "-P", "-c", script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert str(installed) in found.stdout
    run_elsewhere(installed, tmp_path, "picture", CROOK, "--out", "crook.png", "--hint", "why")
    assert (tmp_path / "crook.png").read_bytes().startswith(b"\x89PNG")
    config = tmp_path / "config.toml"
    config.write_text('[[club]]\nplatform = "web"\nroom = "main"\nname = "Elsewhere"\n')
    assert "fine" in run_elsewhere(installed, tmp_path, "check", "--config", "config.toml")
    assert "Where" in run_elsewhere(installed, tmp_path, "hint", CROOK)
