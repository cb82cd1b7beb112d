"""The app is built when its sources change, and never left out without a word."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from house_source import ROOT


def _module() -> ModuleType:
    spec = importlib.util.spec_from_file_location("build_app", ROOT / "build_app.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


APP = _module()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project with a front end of two files, in a path with a space."""
    root = tmp_path / "a project"
    for name in ("package.json", "package-lock.json", "src/main.ts"):
        file = root / "frontend" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("{}\n")
    return root


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that is the whole PATH."""
    programs = tmp_path / "bin"
    programs.mkdir()
    monkeypatch.setenv("PATH", str(programs))
    monkeypatch.delenv("RINGWISE_APP", raising=False)
    return programs


def _program(machine: Path, name: str, text: str) -> None:
    (machine / name).write_text(f"#!/bin/sh\n{text}\n")
    (machine / name).chmod(0o755)


def _node(machine: Path, version: str = "v20.19.0", npm: str = "exit 0") -> None:
    _program(machine, "node", f"echo {version}")
    _program(machine, "npm", npm)


def _builder(log: Path, page: str = "index.html") -> str:
    """An npm that writes down how it was called and makes one page in the folder named last."""
    return (
        f'echo "$*" >> "{log}"\n'
        'case "$1" in\n'
        "ci) /bin/mkdir -p node_modules ;;\n"
        f'run) for out in "$@"; do :; done; /bin/mkdir -p "$out"; echo app > "$out/{page}" ;;\n'
        "esac"
    )


def _built(project: Path) -> Path:
    """Passes for an app built from the sources as they are."""
    page = project / APP.PAGE
    page.parent.mkdir(parents=True)
    page.write_text("app\n")
    (project / APP.STAMP).write_text(APP.fingerprint(project) + "\n")
    return page


# What Vite 8 names in "engines" of its package.json: ^20.19.0 || >=22.12.0
@pytest.mark.parametrize(
    ("version", "enough"),
    [
        ("v20.19.0", True),
        ("v20.20.2\n", True),
        ("v22.12.0", True),
        ("v24.1.0", True),
        ("v20.18.3", False),
        ("v21.7.3", False),
        ("v22.11.0", False),
        ("v18.20.4", False),
        ("v9.9.9", False),
        ("", False),
        ("nonsense", False),
    ],
)
def test_versions_of_node(version: str, enough: bool) -> None:
    assert APP.is_new_enough(version) is enough


@pytest.mark.parametrize(
    ("change", "same"),
    [
        (lambda front: None, True),
        (lambda front: (front / "src/main.ts").write_text("{} \n"), False),
        (lambda front: (front / "src/main.ts").rename(front / "src/other.ts"), False),
        (lambda front: (front / ".npmrc").write_text("x"), False),
        (lambda front: (front / "src/main.ts").unlink(), False),
        (lambda front: ((front / "node_modules").mkdir(), (front / "node_modules/x").write_text("x")), True),
    ],
)
def test_the_app_is_current_only_while_its_sources_are_the_same(
    project: Path, change: object, same: bool
) -> None:
    _built(project)
    assert callable(change)
    change(project / "frontend")
    assert APP.is_current(project) is same


def test_an_app_without_stamp_or_page_is_not_current(project: Path) -> None:
    page = _built(project)
    (project / APP.STAMP).unlink()
    assert not APP.is_current(project)
    (project / APP.STAMP).write_text(APP.fingerprint(project))
    assert APP.is_current(project)
    page.unlink()
    assert not APP.is_current(project)


def test_node_is_wanted_only_where_it_is_needed_and_missing(
    project: Path, machine: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert APP.node_wanted(project) == [APP.NODE_WHEEL]
    _node(machine, "v18.20.4")
    assert APP.node_wanted(project) == [APP.NODE_WHEEL]
    monkeypatch.setenv("RINGWISE_APP", "later")
    assert APP.node_wanted(project) == []
    monkeypatch.delenv("RINGWISE_APP")
    _node(machine)
    assert APP.node_wanted(project) == []
    (machine / "npm").unlink()
    assert APP.node_wanted(project) == [APP.NODE_WHEEL]
    _built(project)
    assert APP.node_wanted(project) == []


def test_neither_app_nor_sources_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(APP.AppNotBuilt, match="missing and so is frontend"):
        APP.ensure_app(tmp_path)


def test_sources_without_node_are_an_error(project: Path, machine: Path) -> None:
    with pytest.raises(APP.AppNotBuilt, match=r"Node 20\.19 or newer .* is missing"):
        APP.ensure_app(project)


def test_an_app_that_came_ready_needs_no_node(tmp_path: Path, machine: Path) -> None:
    (tmp_path / APP.PAGE).parent.mkdir(parents=True)
    (tmp_path / APP.PAGE).write_text("app")
    assert APP.ensure_app(tmp_path) is False


def test_it_builds_once_and_installs_only_for_another_lock(
    project: Path, machine: Path, tmp_path: Path
) -> None:
    log = tmp_path / "npm.log"
    _node(machine, npm=_builder(log))
    assert APP.ensure_app(project) is True
    assert APP.ensure_app(project) is False
    (project / "frontend/src/main.ts").write_text("other\n")
    assert APP.ensure_app(project) is True
    (project / "frontend/package-lock.json").write_text("[]\n")
    assert APP.ensure_app(project) is True
    assert [line.split()[0] for line in log.read_text().splitlines()] == ["ci", "run", "run", "ci", "run"]
    assert (project / APP.PAGE).read_text() == "app\n"
    assert APP.is_current(project)


def test_the_packages_of_npm_are_fetched_for_the_tests_though_the_app_is_current(
    project: Path, machine: Path, tmp_path: Path
) -> None:
    log = tmp_path / "npm.log"
    _node(machine, npm=_builder(log))
    _built(project)
    for _turn in range(2):
        assert APP.ensure_app(project) is False
        APP.ensure_tools(project)
    assert log.read_text().splitlines() == ["ci"]


def test_what_npm_says_of_a_failure_is_passed_on_and_the_old_app_is_not_taken(
    project: Path, machine: Path
) -> None:
    _built(project)
    (project / "frontend/src/main.ts").write_text("broken\n")
    _node(
        machine, npm='[ "$1" = ci ] && exec /bin/mkdir -p node_modules; echo "main.ts:1 what is this"; exit 1'
    )
    with pytest.raises(APP.AppNotBuilt, match=r"(?s)does not build \(npm run build.*main\.ts:1 what is this"):
        APP.ensure_app(project)
    assert not APP.is_current(project)


def test_a_build_without_a_page_is_an_error(project: Path, machine: Path, tmp_path: Path) -> None:
    _node(machine, npm=_builder(tmp_path / "npm.log", page="other.html"))
    with pytest.raises(APP.AppNotBuilt, match=r"made no index\.html"):
        APP.ensure_app(project)


def test_the_command_names_the_fault_in_place_of_a_traceback(tmp_path: Path) -> None:
    (tmp_path / "build_app.py").write_bytes((ROOT / "build_app.py").read_bytes())
    done = subprocess.run(
        [sys.executable, "build_app.py"], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 1
    assert done.stderr.startswith("Ringwise: ")
    assert len(done.stderr.splitlines()) == 1


def test_versions_are_exact_and_the_lock_names_no_address() -> None:
    wanted = json.loads((ROOT / "frontend" / "package.json").read_text(encoding="utf-8"))
    lock = json.loads((ROOT / "frontend" / "package-lock.json").read_text(encoding="utf-8"))
    named = {**wanted.get("dependencies", {}), **wanted["devDependencies"]}
    assert [name for name, version in named.items() if not version[:1].isdigit()] == []
    root = lock["packages"].pop("")
    assert {**root.get("dependencies", {}), **root["devDependencies"]} == named
    assert {name.removeprefix("node_modules/") for name in lock["packages"]} >= set(named)
    assert [name for name, part in lock["packages"].items() if "resolved" in part] == []
    assert [name for name, part in lock["packages"].items() if not part.get("integrity")] == []


def test_an_install_that_leaves_the_app_to_the_commands_says_so() -> None:
    assert "RINGWISE_APP=later" in (ROOT / ".ci" / "environment.sh").read_text(encoding="utf-8")
    assert os.access(ROOT / "build_app.py", os.R_OK)
