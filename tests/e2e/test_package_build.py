"""A package made from a clean copy carries its app, and a copy whose app does not build makes no package."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LONG = bool(int(os.environ.get("RINGWISE_LONG", "0")))
STATIC = "ringwise/faces/web/static"
CORE = "bash cat dirname env git ls mkdir readlink rm sh uname"


@pytest.fixture(scope="session")
def tracked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project as git knows it, with the changes of the working tree."""
    folder = tmp_path_factory.mktemp("tracked") / "project"
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    for name in filter(None, listed.split("\0")):
        if name.split("/")[0] in {"tests", "bench"} or not (ROOT / name).is_file():
            continue
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, folder / name)
    return folder


@pytest.fixture
def copy(tracked: Path, tmp_path: Path) -> Path:
    """A copy of its own for one test, with the packages of npm linked in so that nothing is fetched."""
    folder = tmp_path / "project"
    shutil.copytree(tracked, folder)
    modules = ROOT / "frontend" / "node_modules"
    assert (modules / ".installed-from").is_file(), "run ./test, or build_app.py, once before this test"
    shutil.copytree(modules, folder / "frontend" / "node_modules", symlinks=True, copy_function=os.link)
    return folder


def _pip(folder: Path, *words: str, path: str | None = None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pip", "--disable-pip-version-check", "wheel", "--no-deps", *words]
    environment = {name: value for name, value in os.environ.items() if name != "RINGWISE_APP"}
    return subprocess.run(
        command,
        cwd=folder,
        env={**environment, "PATH": path or os.environ["PATH"]},
        capture_output=True,
        text=True,
        check=False,
    )


def _names(wheel: Path) -> list[str]:
    with zipfile.ZipFile(wheel) as archive:
        return archive.namelist()


def _carries_app(wheel: Path) -> None:
    names = _names(wheel)
    with zipfile.ZipFile(wheel) as archive:
        page = archive.read(f"{STATIC}/index.html").decode()
    script = page.split('src="/', 1)[1].split('"', 1)[0]
    assert f"{STATIC}/{script}" in names
    assert f"{STATIC}/assets/barlow-licence.txt" in names
    assert any(name.endswith("/LC_MESSAGES/ringwise.mo") for name in names)
    assert any(name.endswith(".dist-info/licenses/NOTICE") for name in names)
    assert not any("frontend" in name or "node_modules" in name for name in names)


def test_a_wheel_carries_the_app_and_the_catalogues(copy: Path, tmp_path: Path) -> None:
    done = _pip(copy, "--no-build-isolation", "-w", str(tmp_path), ".")
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    _carries_app(wheel)


def test_an_archive_of_the_sources_becomes_a_wheel_without_node(copy: Path, tmp_path: Path) -> None:
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "sdist", "-d", str(tmp_path)],
        cwd=copy,
        capture_output=True,
        check=True,
    )
    (archive,) = tmp_path.glob("*.tar.gz")
    with tarfile.open(archive) as packed:
        packed.extractall(tmp_path / "unpacked", filter="data")
    (folder,) = (tmp_path / "unpacked").iterdir()
    assert (folder / "frontend" / "src" / "main.ts").is_file()
    assert not (folder / "frontend" / "node_modules").exists()
    done = _pip(folder, "--no-build-isolation", "-w", str(tmp_path), ".", path=_without_node(tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    _carries_app(wheel)
    # The same archive with one source changed is no longer what its app was built from.
    (folder / "frontend" / "src" / "main.ts").write_text("export {};\n")
    done = _pip(folder, "--no-build-isolation", "-w", str(tmp_path), ".", path=_without_node(tmp_path))
    assert done.returncode != 0
    assert "Node 20.19 or newer" in done.stdout + done.stderr


def test_a_broken_front_end_breaks_the_build(copy: Path, tmp_path: Path) -> None:
    app = copy / "frontend" / "src" / "App.svelte"
    app.unlink()
    app.write_text("{#if broken\n<p>never closed</p>\n")
    done = _pip(copy, "--no-build-isolation", "-w", str(tmp_path), ".")
    assert done.returncode != 0
    assert "the front end does not build" in done.stdout + done.stderr
    assert "App.svelte" in done.stdout + done.stderr
    assert list(tmp_path.glob("*.whl")) == []


def test_a_wheel_without_any_app_is_not_made(copy: Path, tmp_path: Path) -> None:
    shutil.rmtree(copy / "frontend")
    done = _pip(copy, "--no-build-isolation", "-w", str(tmp_path), ".")
    assert done.returncode != 0
    assert "index.html is missing and so is frontend/" in done.stdout + done.stderr
    assert list(tmp_path.glob("*.whl")) == []


def _without_node(tmp_path: Path) -> str:
    """A PATH that holds the core tools and no Node."""
    programs = tmp_path / "bin"
    programs.mkdir(exist_ok=True)
    for name in CORE.split():
        found = shutil.which(name)
        assert found, name
        if not (programs / name).exists():
            (programs / name).symlink_to(found)
    assert shutil.which("node", path=str(programs)) is None
    return str(programs)


if LONG:  # fetches Node and the packages of npm, so it is not for every run

    def test_a_machine_without_node_builds_the_app(tracked: Path, tmp_path: Path) -> None:
        folder = tmp_path / "project"
        shutil.copytree(tracked, folder)
        done = _pip(folder, "-w", str(tmp_path), ".", path=_without_node(tmp_path))
        assert done.returncode == 0, done.stdout + done.stderr
        (wheel,) = tmp_path.glob("*.whl")
        _carries_app(wheel)
