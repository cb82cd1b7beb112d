"""What the end-to-end tests share: the command run in this process, and one built demo yard."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from command_line import Cli, Ran


@pytest.fixture
def cli(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Cli:
    """Run `ringwise` in this process on a collection."""
    from ringwise.faces.start import exit_code

    monkeypatch.setenv("COLUMNS", "140")

    def run(*words: str | Path, folder: Path | None = None) -> Ran:
        capsys.readouterr()
        more = [] if folder is None else ["--collection", str(folder)]
        code = exit_code([str(word) for word in words] + more)
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return run


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    """An empty collection's folder."""
    return tmp_path / "yard"


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo yard, built once a worker; read it, or copy it with `demo`."""
    from ringwise.desk.build_demo import build_demo

    folder = tmp_path_factory.mktemp("demo") / "yard"
    build_demo(folder)
    return folder


@pytest.fixture
def demo(built_demo: Path, tmp_path: Path) -> Path:
    """A copy of the demo yard that may be changed."""
    folder = tmp_path / "demo"
    shutil.copytree(built_demo, folder)
    return folder
