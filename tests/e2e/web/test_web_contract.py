"""What the app is built from is what the server says: the contract, its name, what a yard answers."""

from __future__ import annotations

import importlib.util
import json
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

API = Path(__file__).parents[3] / "frontend" / "src" / "api"


def _script(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, API / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def test_the_contract_of_the_app_is_that_of_the_server() -> None:
    script = _script("write_contract")
    again = "run: python frontend/src/api/write_contract.py, then npm run make:api in frontend"
    assert script.FILE.read_text(encoding="utf-8") == script.contract_text(), again
    assert script.NAME_FILE.read_text(encoding="utf-8") == script.name_text(), again


def test_the_snapshots_are_what_the_server_answers(demo: Path) -> None:
    script = _script("write_snapshots")
    kept = {file.name: file.read_text(encoding="utf-8") for file in script.FOLDER.glob("*.json")}
    made = script.snapshots(demo)
    stale = sorted(name for name in kept.keys() | made.keys() if kept.get(name) != made.get(name))
    assert stale == [], "run: python frontend/src/api/write_snapshots.py"


@pytest.mark.parametrize(
    ("value", "settled"),
    [
        ({"folder": "/somewhere/yard", "a": [1.23456789]}, {"folder": "demo-yard", "a": [1.23457]}),
        ("made 2027-03-07T12:34:56.789+01:00", "made 2027-03-07T12:00:00"),
        ({"figure": "T01~608d90f4b6ea.de"}, {"figure": "T01~000000000000.de"}),
        ({"day": "2027-03-07", "n": 3, "none": None}, {"day": "2027-03-07", "n": 3, "none": None}),
    ],
)
def test_only_what_passes_is_left_out_of_snapshots(value: Any, settled: Any) -> None:
    assert _script("write_snapshots").settled(value) == settled


def test_every_shape_that_is_answered_has_a_snapshot() -> None:
    script = _script("write_snapshots")
    document = json.loads((API / "openapi.json").read_text(encoding="utf-8"))
    answered = set()
    for methods in document["paths"].values():
        content = methods.get("get", {}).get("responses", {}).get("200", {}).get("content", {})
        reference = content.get("application/json", {}).get("schema", {}).get("$ref", "")
        answered |= {reference.rsplit("/", 1)[-1]} if reference else set()
    kept = {file.stem for file in script.FOLDER.glob("*.json")}
    # The demo yard has no long work under way, no turn of photos, and no run of courses.
    assert answered - kept == {"Job", "TurnRun", "TurnOverlay", "TurningResult", "TurningDrawings"}
