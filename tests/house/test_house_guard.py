"""The guards around the tests work: no skips, no missing tests, no way out to the network."""

from __future__ import annotations

import importlib.util
import os
import socket
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

TESTS = Path(__file__).resolve().parents[1]


def _guard() -> Any:
    """The conftest.py at the top of the tests; its name alone may find another."""
    spec = importlib.util.spec_from_file_location("guard_of_all_tests", TESTS / "conftest.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


GUARD = _guard()


def _run(folder: Path, text: str, **environment: str) -> subprocess.CompletedProcess[str]:
    (folder / "conftest.py").write_text((TESTS / "conftest.py").read_text(encoding="utf-8"))
    (folder / "house").mkdir()
    (folder / "house" / "floor.txt").write_text("other 2\n")
    (folder / "test_planted.py").write_text(text)
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "test_planted.py"],
        cwd=folder,
        env={**clean, "RINGWISE_FLOOR": "", **environment},
        capture_output=True,
        text=True,
        check=False,
    )


TWO = "def test_a():\n    pass\n\n\ndef test_b():\n    pass\n"


def test_two_sound_tests_pass(tmp_path: Path) -> None:
    done = _run(tmp_path, TWO, RINGWISE_FLOOR="tests")
    assert done.returncode == 0, done.stdout


def test_a_missing_test_turns_the_run_red(tmp_path: Path) -> None:
    done = _run(tmp_path, "def test_a():\n    pass\n", RINGWISE_FLOOR="tests")
    assert done.returncode == 1
    assert "other: 1 passed, 2 are recorded" in done.stdout


@pytest.mark.parametrize("mark", ["skip", "xfail"])
def test_a_skipped_test_turns_the_run_red(tmp_path: Path, mark: str) -> None:
    done = _run(tmp_path, f"import pytest\n\n\n@pytest.mark.{mark}\ndef test_a():\n    assert 0\n")
    assert done.returncode == 1
    assert "a missing part fails, it never skips" in done.stdout


def test_floor_is_kept_by_kind() -> None:
    floor = GUARD.read_floor("# text\nhouse 5\nunit 10 # comment\nbrowser 3\n")
    assert floor == {"house": 5, "unit": 10, "browser": 3}
    passed = Counter({"unit": 10, "house": 4})
    assert GUARD.below_floor(passed, floor, which="tests") == []
    assert len(GUARD.below_floor(passed, floor, which="browser")) == 1
    assert len(GUARD.below_floor(passed, floor, which="house")) == 1
    assert len(GUARD.below_floor(passed, {"unit": 11}, which="tests")) == 1


def test_kind_of_a_test_is_its_folder_or_its_mark() -> None:
    assert GUARD.kind_of_test("tests/reference/test_x.py::test_a[b/c]", {}) == "reference"
    assert GUARD.kind_of_test("tests/e2e/test_x.py::test_a", {"browser": 1}) == "browser"
    assert GUARD.kind_of_test("src/ringwise/kit/days.py::ringwise.kit.days.parse_date", {}) == "other"


@pytest.mark.parametrize("address", [("192.0.2.1", 80), ("2001:db8::1", 80, 0, 0), ("example.org", 443)])
def test_nothing_leaves_this_machine(address: tuple[object, ...]) -> None:
    family = socket.AF_INET6 if len(address) == 4 else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as plug, pytest.raises(AssertionError, match="reach"):
        plug.connect(address)


def test_loopback_is_open() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        socket.create_connection(server.getsockname(), timeout=5).close()
