"""The script that checks outside files, on a stand-in of the same layout; no real file is kept here."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from scipy.io import savemat

SCRIPT = Path(__file__).parents[3] / "bench" / "check_outside_trees.py"


def stand_in(folder: Path, *, height_m: float = 20.0, told_height_m: float | None = None) -> None:
    """A stem of ten cylinders with a branch, and a cloud with twigs above it and roots below."""
    folder.mkdir()
    foot = np.array([22.2, 112.2, -10.0])
    step = height_m / 10.0
    start = np.vstack([[[0.0, 0.0, step * n] for n in range(10)], [[0.05, 0.0, 5.0]]]) + foot
    axis = np.array([[0.0, 0.0, 1.0]] * 10 + [[0.8, 0.0, 0.6]])
    length = np.array([step] * 10 + [3.0])
    radius = np.append(np.linspace(0.0765, 0.01, 10), 0.02)
    cylinder = {
        "start": start,
        "axis": axis,
        "length": length[:, None],
        "radius": radius[:, None],
        "parent": np.array([0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 3])[:, None],
        "BranchOrder": np.array([0] * 10 + [1])[:, None],
    }
    treedata = {
        "TreeHeight": height_m if told_height_m is None else told_height_m,
        "DBHqsm": 0.153,
        "DBHcyl": 0.1525,
    }
    savemat(folder / "tree_1_qsm.mat", {"qsm": {"cylinder": cylinder, "treedata": treedata}})
    rng = np.random.default_rng(3)
    turn, heights = rng.uniform(0, 2 * np.pi, 20_000), rng.uniform(-0.6, height_m, 20_000)
    wide = 0.0765 + rng.normal(0.0, 0.004, 20_000)
    stem = np.column_stack([wide * np.cos(turn), wide * np.sin(turn), heights]) + foot
    twigs = foot + np.column_stack(
        [rng.normal(0, 1, 500), rng.normal(0, 1, 500), rng.uniform(0.9, 1.06, 500) * height_m]
    )
    np.savetxt(folder / "tree_1_pc.txt", np.vstack([stem, twigs]), fmt="%.5f")


def run(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(SCRIPT), str(folder)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_stand_in_passes_and_tells_the_gap(tmp_path: Path) -> None:
    stand_in(tmp_path / "trees")
    ran = run(tmp_path / "trees")
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert "11 cylinders" in ran.stdout
    assert ran.stdout.count("  ok ") == 4
    assert "told height of the cloud" in ran.stdout
    above, below = (float(line.split(" m ")[0].split()[-1]) for line in _gap(ran.stdout))
    assert above == pytest.approx(1.2, abs=0.1)
    assert below == pytest.approx(0.6, abs=0.05)


def _gap(told: str) -> list[str]:
    line = next(line for line in told.splitlines() if "above the model's top" in line)
    return line.split(",")


def test_figure_that_is_off_ends_with_1(tmp_path: Path) -> None:
    stand_in(tmp_path / "trees", told_height_m=20.3)
    ran = run(tmp_path / "trees")
    assert ran.returncode == 1
    assert "OFF  height as the file tells it" in ran.stdout


def test_folder_without_models_is_named(tmp_path: Path) -> None:
    ran = run(tmp_path)
    assert ran.returncode == 1
    assert "holds no cylinder model" in ran.stderr
