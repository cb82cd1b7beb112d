"""The fingerprint of the engine: all code that makes a future's numbers changes it."""

from __future__ import annotations

import ast
from importlib import resources

import pytest

from ringwise.futures import simulate

# These hand on rows that are taken in as data, read a record before a run, refuse a course, or hold no more
# than values and words.
NO_NUMBERS = {
    *("feasible", "measure_limits", "field_words", "course_words"),
    *("calibration", "seen_growth", "base", "registry", "timing"),
}


def _taken_in(stem: str) -> bool:
    return stem.endswith(simulate._COMPILED) or stem in simulate._PLAIN


def _sources() -> dict[tuple[str, str], str]:
    return {
        (room, file.name.removesuffix(".py")): file.read_text(encoding="utf-8")
        for room in simulate._ENGINE
        for file in resources.files(f"ringwise.{room}").iterdir()
        if file.name.endswith(".py")
    }


def _imports(text: str) -> set[tuple[str, str]]:
    out: set[tuple[str, str]] = set()
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("ringwise."):
            continue
        parts = str(node.module).split(".")
        if parts[1] in simulate._ENGINE:
            out |= {(parts[1], name) for name in (parts[2:] or [each.name for each in node.names])}
    return out


@pytest.mark.parametrize("room", simulate._ENGINE)
def test_all_that_the_engine_reads_changes_its_fingerprint(room: str) -> None:
    read = {name for key, text in _sources().items() if _taken_in(key[1]) for name in _imports(text)}
    assert {name for place, name in read if place == room and not _taken_in(name)} <= NO_NUMBERS
