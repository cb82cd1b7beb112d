"""The worker on a bad day: a strange folder to stand in, a collection that does not read for a moment."""

from __future__ import annotations

from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest

from ringwise.desk.almanac_shelf import AlmanacShelf
from ringwise.desk.living import LivingYard
from ringwise.kit.errors import FileFormatError
from ringwise.kit.reading import Reading

HOW = Reading("en", "metric")


def test_files_of_the_folder_one_stands_in_are_no_modules(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("json", "queue", "numpy"):
        (tmp_path / f"{name}.py").write_text("raise SystemExit('not the module')\n")
    monkeypatch.chdir(tmp_path)
    with LivingYard(demo) as yard:
        assert yard.worker.loaded("almanac", ["json", "queue"], HOW) == ["json", "queue"]


def test_a_moment_in_which_nothing_reads_does_not_stop_the_almanac(demo: Path) -> None:
    """The settings file was being edited just as the almanac arrived: the next look has it made again."""
    orders: list[Future[Any]] = []
    broken = False

    def order(_how: Reading) -> Future[Any]:
        orders.append(Future())
        return orders[-1]

    with LivingYard(demo) as yard:

        def workspace() -> Any:
            if broken:
                raise FileFormatError("does not read as TOML")
            return yard.workspace()

        shelf = AlmanacShelf(order, workspace)
        now = yard.workspace()
        assert shelf.view(now, HOW).state == "making"
        broken = True
        orders[0].set_result({"key": "none", "step": 1})
        broken = False
        view = shelf.view(now, HOW)
        assert (view.state, len(orders)) == ("making", 2)
        orders[1].set_exception(FileFormatError("no"))
        assert shelf.view(now, HOW).state == "none"
