"""The two commands find what they need, name what is missing in one line, and trust no half-made .venv."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from house_source import ROOT

NAMES = "bash cat dirname env find flock grep head ls mktemp readlink rm sed sha256sum sort tail xargs"
# A Python that passes for one without python3-venv, for a new one, or for an old one.
PYTHON = {
    "new": '#!/bin/sh\nexec "{real}" "$@"\n',
    "bare": '#!/bin/sh\ncase "$*" in *ensurepip*) exit 1 ;; esac\nexec "{real}" "$@"\n',
    "old": "#!/bin/sh\nexit 1\n",
}


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """A folder that is the whole PATH: the core tools, nobody's `id`, and whatever a test adds."""
    programs = tmp_path / "bin"
    programs.mkdir()
    for name in NAMES.split():
        found = shutil.which(name)
        assert found, name
        (programs / name).symlink_to(found)
    _program(programs, "id", "#!/bin/sh\necho 1000\n")
    return programs


def _program(programs: Path, name: str, text: str) -> None:
    path = programs / name
    path.write_text(text)
    path.chmod(0o755)


def _python(programs: Path, name: str, sort: str) -> None:
    _program(programs, name, PYTHON[sort].format(real=sys.executable))


def _bash(machine: Path, project: Path, script: str) -> subprocess.CompletedProcess[str]:
    text = f'set -euo pipefail\nROOT="{project}"\n. "{ROOT}/.ci/environment.sh"\n{script}\n'
    return subprocess.run(
        ["bash", "-c", text],
        env={"PATH": str(machine), "HOME": str(project)},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("name", ["run", "test", ".ci/run", ".ci/environment.sh"])
def test_scripts_parse(name: str) -> None:
    subprocess.run(["bash", "-n", str(ROOT / name)], check=True)


@pytest.mark.parametrize("name", ["run", "test", ".ci/run"])
def test_commands_are_executable_and_strict(name: str) -> None:
    assert os.access(ROOT / name, os.X_OK)
    assert "set -euo pipefail" in (ROOT / name).read_text()


def test_a_machine_with_everything_needs_nothing(machine: Path, tmp_path: Path) -> None:
    _python(machine, "python3", "new")
    _program(machine, "pdftoppm", "#!/bin/sh\n")
    done = _bash(machine, tmp_path, "need_packages pdftoppm=poppler-utils")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize(
    ("pythons", "names"),
    [
        ({}, "python3 python3-venv poppler-utils chromium"),
        ({"python3": "old"}, "python3 python3-venv poppler-utils chromium"),
        ({"python3": "bare"}, "python3-venv poppler-utils chromium"),
        ({"python3": "old", "python3.12": "bare"}, "python3.12-venv poppler-utils chromium"),
        ({"python3": "new"}, "poppler-utils chromium"),
    ],
)
def test_missing_packages_are_named_in_one_line(
    machine: Path, tmp_path: Path, pythons: dict[str, str], names: str
) -> None:
    for name, sort in pythons.items():
        _python(machine, name, sort)
    done = _bash(machine, tmp_path, "need_packages pdftoppm=poppler-utils chromium=chromium")
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert f"missing: {names} (as root: apt-get install {names})" in done.stderr


def test_root_installs_what_is_missing_after_one_update(machine: Path, tmp_path: Path) -> None:
    _program(machine, "id", "#!/bin/sh\necho 0\n")
    _python(machine, "python3", "new")
    log = tmp_path / "apt.log"
    install = f'printf "#!/bin/sh\\n" > "{machine}/chromium"; {shutil.which("chmod")} +x "{machine}/chromium"'
    _program(
        machine, "apt-get", f'#!/bin/sh\necho "$*" >> "{log}"\ncase "$1" in install) {install} ;; esac\n'
    )
    done = _bash(machine, tmp_path, "need_packages chromium=chromium")
    assert done.returncode == 0, done.stderr
    assert log.read_text().splitlines() == ["update", "install -y --no-install-recommends chromium"]


def test_root_without_the_package_leaves_with_two(machine: Path, tmp_path: Path) -> None:
    _program(machine, "id", "#!/bin/sh\necho 0\n")
    _python(machine, "python3", "new")
    _program(machine, "apt-get", "#!/bin/sh\necho cannot >&2\nexit 100\n")
    done = _bash(machine, tmp_path, "need_packages chromium=chromium")
    assert done.returncode == 2
    assert "missing: chromium" in done.stderr


def test_an_unknown_option_leaves_with_two() -> None:
    done = subprocess.run([str(ROOT / "test"), "--fast"], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "--quick" in done.stderr


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project in a path with spaces whose .venv passes for installed."""
    folder = tmp_path / "a b"
    programs = folder / ".venv" / "bin"
    programs.mkdir(parents=True)
    (folder / "pyproject.toml").write_text("[project]\n")
    (folder / "constraints.txt").write_text("numpy==2\n")
    (programs / "activate").write_text(f'VIRTUAL_ENV="{folder}/.venv"\n')
    for name in ("python", "ringwise"):
        _python(programs, name, "new")
    return folder


SOUND = 'venv_is_sound && is_installed "$VENV/.installed-run" && echo same || echo other'


@pytest.mark.parametrize(
    ("change", "answer"),
    [
        ("", "same"),
        (': > "$UNFINISHED"', "other"),
        ('rm "$VENV/bin/python"', "other"),
        ('rm "$VENV/bin/ringwise"', "other"),
        ('rm "$VENV/.installed-run"', "other"),
        ('echo "numpy==3" > "$ROOT/constraints.txt"', "other"),
        ('echo "# x" >> "$ROOT/pyproject.toml"', "other"),
        ('echo "VIRTUAL_ENV=/elsewhere/.venv" > "$VENV/bin/activate"', "other"),
    ],
)
def test_an_install_is_trusted_only_while_nothing_changed(
    machine: Path, project: Path, change: str, answer: str
) -> None:
    done = _bash(machine, project, f'fingerprint > "$VENV/.installed-run"\n{change}\n{SOUND}')
    assert done.stdout.strip() == answer, done.stderr


def test_an_interrupted_install_leaves_no_stamp(machine: Path, project: Path) -> None:
    _program(project / ".venv" / "bin", "python", "#!/bin/sh\necho no such wheel\nexit 1\n")
    done = _bash(machine, project, 'install_into_venv "$VENV/.installed-run" photo')
    assert done.returncode == 1
    assert "no such wheel" in done.stderr
    assert not (project / ".venv" / ".installed-run").exists()
    assert (project / ".venv" / ".unfinished").exists()


RINGWISE = """#!/bin/sh
echo "$*" >> "{log}"
case "$1" in demo) [ ! -e "{folder}/refuse" ] && {mkdir} -p "{folder}/demo-yard/photos" ;; esac
"""


@pytest.fixture
def started(machine: Path, project: Path) -> Path:
    """The project with the command ./run, a ready app and a `ringwise` that writes down its calls."""
    for name in ("run", "build_app.py", ".ci/environment.sh"):
        (project / name).parent.mkdir(exist_ok=True)
        shutil.copy(ROOT / name, project / name)
    page = project / "src" / "ringwise" / "faces" / "web" / "static" / "index.html"
    page.parent.mkdir(parents=True)
    page.write_text("app\n")
    (project / "src" / "ringwise" / "main.py").write_text("pass\n")
    text = RINGWISE.format(log=project / "log", folder=project, mkdir=shutil.which("mkdir"))
    _program(project / ".venv" / "bin", "ringwise", text)
    assert _bash(machine, project, 'fingerprint > "$VENV/.installed-run"').returncode == 0
    return project


def _calls(machine: Path, project: Path, *arguments: str) -> list[str]:
    """What `ringwise` was asked for by one ./run, without the folder."""
    (project / "log").write_text("")
    environment = {"PATH": str(machine), "HOME": str(project)}
    subprocess.run([str(project / "run"), *arguments], env=environment, capture_output=True, check=False)
    return (project / "log").read_text().replace(f" --collection {project}/demo-yard", "").splitlines()


DEMO, SERVE = "demo --no-open", "serve --open"


def test_run_makes_the_demo_once_and_serves_it_each_time(machine: Path, started: Path) -> None:
    assert _calls(machine, started) == [DEMO, SERVE]
    assert _calls(machine, started) == [SERVE]
    (started / "src" / "ringwise" / "main.py").write_text("other\n")
    assert _calls(machine, started) == [DEMO, SERVE]
    assert _calls(machine, started) == [SERVE]
    shutil.rmtree(started / "demo-yard")
    assert _calls(machine, started) == [DEMO, SERVE]


def test_run_hands_on_what_follows_it(machine: Path, started: Path) -> None:
    assert _calls(machine, started, "--seed", "7") == [f"{DEMO} --seed 7", SERVE]
    assert _calls(machine, started, "--no-open") == [f"{DEMO} --no-open"]
    assert _calls(machine, started, "--json") == [f"{DEMO} --json"]


def test_run_serves_nothing_after_a_demo_that_failed(machine: Path, started: Path) -> None:
    (started / "refuse").write_text("")
    assert _calls(machine, started) == [DEMO]
    assert _calls(machine, started) == [DEMO]


def test_run_stops_at_an_app_that_does_not_build(machine: Path, started: Path) -> None:
    (started / "src" / "ringwise" / "faces" / "web" / "static" / "index.html").unlink()
    assert _calls(machine, started) == []
