"""What the tests of the server share: its app over a copy of the demo yard, asked as the browser asks."""

from __future__ import annotations

import gzip
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from served import HERE
from starlette.testclient import TestClient

from ringwise.desk.living import LivingYard
from ringwise.faces.web.app import create_app


@pytest.fixture
def living(demo: Path) -> Iterator[LivingYard]:
    """A living yard over a demo yard that may be changed."""
    with LivingYard(demo) as yard:
        yield yard


def _built_app(within: Path) -> Path:
    folder = within / "static"
    (folder / "assets").mkdir(parents=True)
    for name, text in (("index.html", "<!doctype html>app"), ("assets/app-1a2b3c4d.js", "let a = 1;" * 300)):
        (folder / name).write_text(text)
        (folder / (name + ".gz")).write_bytes(gzip.compress(text.encode()))
        (folder / (name + ".br")).write_bytes(b"br of " + name.encode())
    (folder / "ringwise.svg").write_text("<svg/>")
    (within / "secret.js").write_text("secret")
    return folder


@pytest.fixture
def static(tmp_path: Path) -> Path:
    """A built app of three files, two of them packed as well."""
    return _built_app(tmp_path)


@pytest.fixture(scope="session")
def untouched(built_demo: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[LivingYard]:
    """A living yard for all tests of what must change nothing."""
    folder = tmp_path_factory.mktemp("untouched") / "demo"
    shutil.copytree(built_demo, folder)
    with LivingYard(folder) as yard:
        yield yard


@pytest.fixture(scope="session")
def refusing(untouched: LivingYard, tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    """The server over it."""
    app = create_app(untouched, static=_built_app(tmp_path_factory.mktemp("app")))
    return TestClient(app, base_url=HERE, raise_server_exceptions=False)


@pytest.fixture
def client(living: LivingYard, static: Path) -> TestClient:
    """The app's server, asked from this machine."""
    return TestClient(create_app(living, static=static), base_url=HERE, raise_server_exceptions=False)
