"""The floor plan is kept by import-linter; planted imports against it are caught, each by its contract."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from house_source import PACKAGE, ROOT, SCIENCE


@pytest.fixture
def skeleton(tmp_path: Path) -> Path:
    """The package's folders with empty modules, and the contracts."""
    for path in PACKAGE.rglob("__init__.py"):
        copy = tmp_path / path.relative_to(PACKAGE.parent)
        copy.parent.mkdir(parents=True, exist_ok=True)
        copy.write_text("")
    shutil.copy(ROOT / ".importlinter", tmp_path)
    return tmp_path


def _lint(folder: Path) -> subprocess.CompletedProcess[str]:
    lint = Path(sys.executable).parent / "lint-imports"
    return subprocess.run(
        [str(lint), "--no-cache"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_skeleton_keeps_every_contract(skeleton: Path) -> None:
    done = _lint(skeleton)
    assert done.returncode == 0, done.stdout
    assert "5 kept, 0 broken" in done.stdout


@pytest.mark.parametrize(
    ("where", "text", "contract"),
    [
        ("rootzone/planted.py", "import ringwise.growth\n", "Floors"),
        ("kit/planted.py", "from ringwise import records\n", "Floors"),
        ("faces/web/planted.py", "import ringwise.faces.cli\n", "Faces"),
        ("growth/planted.py", "import sqlite3\n", "Science rooms"),
        ("season/planted.py", "import logging\n", "Science rooms"),
        ("faces/cli/planted.py", "import ringwise.records.store\n", "Only the desk"),
    ],
)
def test_planted_import_is_caught(skeleton: Path, where: str, text: str, contract: str) -> None:
    (skeleton / "ringwise" / where).write_text(text)
    done = _lint(skeleton)
    assert done.returncode != 0, done.stdout
    broken = [line for line in done.stdout.splitlines() if "BROKEN" in line]
    assert any(contract in line for line in broken), done.stdout


def test_planted_circle_is_caught(skeleton: Path) -> None:
    room = skeleton / "ringwise" / "weather"
    (room / "first.py").write_text("import ringwise.weather.second\n")
    (room / "second.py").write_text("import ringwise.weather.first\n")
    done = _lint(skeleton)
    assert done.returncode != 0
    assert "No circles" in "".join(line for line in done.stdout.splitlines() if "BROKEN" in line)


def test_planted_room_is_caught(skeleton: Path) -> None:
    attic = skeleton / "ringwise" / "attic"
    attic.mkdir()
    (attic / "__init__.py").write_text("")
    assert _lint(skeleton).returncode != 0


def test_the_contracts_and_the_checks_mean_the_same_rooms() -> None:
    text = (ROOT / ".importlinter").read_text(encoding="utf-8")
    pure = text.split("[importlinter:contract:pure]")[1].split("forbidden_modules")[0]
    assert {f"ringwise.{room}" for room in SCIENCE} == {w for w in pure.split() if w.startswith("ringwise.")}
