"""What the tests of the server share: its app over a copy of the demo yard, asked as the browser asks."""

from __future__ import annotations

import gzip
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


@pytest.fixture
def static(tmp_path: Path) -> Path:
    """A built app of three files, two of them packed as well."""
    folder = tmp_path / "static"
    (folder / "assets").mkdir(parents=True)
    for name, text in (("index.html", "<!doctype html>app"), ("assets/app-1a2b3c4d.js", "let a = 1;" * 300)):
        (folder / name).write_text(text)
        (folder / (name + ".gz")).write_bytes(gzip.compress(text.encode()))
        (folder / (name + ".br")).write_bytes(b"br of " + name.encode())
    (folder / "ringwise.svg").write_text("<svg/>")
    (tmp_path / "secret.js").write_text("secret")
    return folder


@pytest.fixture
def client(living: LivingYard, static: Path) -> TestClient:
    """The app's server, asked from this machine."""
    return TestClient(create_app(living, static=static), base_url=HERE, raise_server_exceptions=False)
