"""Stores for the tests of the records, with each engine that this machine has."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from record_samples import ENGINES, action, tree

from ringwise.records.store import Store, open_store


@pytest.fixture(params=ENGINES)
def engine(request: pytest.FixtureRequest) -> str:
    """Each engine in turn; "auto" is the newer one where its wheel exists."""
    return str(request.param)


@pytest.fixture
def store(tmp_path: Path, engine: str) -> Iterator[Store]:
    """An empty collection with three trees."""
    with open_store(tmp_path / "my yard", engine=engine) as opened:
        opened.save(action("tree add"), [tree(1), tree(2, "Wren"), tree(3, "Old Ferry")])
        yield opened
