"""The command line starts without the heavy parts: help must come at once, on any machine."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib

import pytest

from house_source import ROOT

HEAVY = (
    "PIL",
    "alembic",
    "llvmlite",
    "numba",
    "numpy",
    "pandas",
    "pillow_heif",
    "scipy",
    "sqlalchemy",
    "typst",
)
PROGRAM = """
import sys
from {module} import {function} as run
try:
    run({arguments})
except SystemExit as leave:
    code = leave.code or 0
sys.stderr.write("LOADED " + " ".join(sorted({{name.split(".")[0] for name in sys.modules}})))
sys.exit(code)
"""


def _program(arguments: list[str]) -> str:
    """What the installed command does, as pyproject.toml names it, with a list of what was loaded."""
    scripts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]
    module, function = scripts["ringwise"].split(":")
    return PROGRAM.format(module=module, function=function, arguments=arguments)


def _loaded(program: str) -> tuple[set[str], str]:
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, "COLUMNS": "100"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return set(done.stderr.split("LOADED ", 1)[1].split()), done.stdout


START = (["--help"], ["futures", "--help"], ["calc", "pot", "--help"], ["--version"])


@pytest.mark.parametrize("arguments", START, ids=" ".join)
def test_start_loads_nothing_heavy(arguments: list[str]) -> None:
    loaded, shown = _loaded(_program(arguments))
    assert shown.strip()
    assert loaded & set(HEAVY) == set()


def test_a_heavy_import_would_be_seen() -> None:
    loaded, _shown = _loaded("import sys, numpy" + _program(["--help"]))
    assert "numpy" in loaded & set(HEAVY)
