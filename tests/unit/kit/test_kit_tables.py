"""Parameter tables: looked up by key and parameter, with an error that helps when a row is not there."""

from __future__ import annotations

import dataclasses
import sys
from pathlib import Path

import pytest

from ringwise.kit import tables
from ringwise.kit.errors import ParameterError, UnknownNameError
from ringwise.kit.sources import all_sources, source
from ringwise.kit.tables import COLUMNS, Parameter, Table, load_rows, load_table
from ringwise.kit.trace import Trace, trace_parameter


def _row(key: str, parameter: str, value: str, unit: str = "mm", basis: str = "measured") -> Parameter:
    return Parameter(
        key, parameter, value, unit, None, None, "none", "fixed", basis, "own", "p. 3", True, "", "", "pots"
    )


POTS = Table(
    "pots",
    (_row("oak", "depth", "50"), _row("oak", "mixes", "D|V|C", "list"), _row("any", "depth", "70")),
    "0" * 64,
)


def test_lookup_by_key_and_parameter() -> None:
    assert POTS.get("oak", "depth").number == 50.0
    assert POTS.keys() == ("oak", "any")
    assert POTS.has("oak", "depth")
    assert not POTS.has("oak", "width")
    assert set(POTS.of("oak")) == {"depth", "mixes"}
    assert len(list(POTS)) == 3


def test_missing_key_offers_near_ones_and_missing_parameter_says_so() -> None:
    with pytest.raises(UnknownNameError, match="Did you mean: oak"):
        POTS.get("oakk", "depth")
    with pytest.raises(ParameterError, match="pots has no width for oak"):
        POTS.get("oak", "width")


def test_the_first_key_that_has_the_row_wins() -> None:
    assert POTS.first(("elm", "oak", "any"), "depth").number == 50.0
    assert POTS.first(("elm", "any"), "depth").number == 70.0
    with pytest.raises(ParameterError, match="for any of elm, ash"):
        POTS.first(("elm", "ash"), "depth")


def test_text_is_no_number_and_a_list_has_parts() -> None:
    row = POTS.get("oak", "mixes")
    assert row.items == ("D", "V", "C")
    with pytest.raises(ParameterError, match="is text, not a number"):
        _ = row.number


@pytest.mark.parametrize(
    ("basis", "wide"),
    [("measured", False), ("fitted", False), ("transferred", True), ("practice", True), ("assumed", True)],
)
def test_what_is_not_measured_or_fitted_is_wide(basis: str, wide: bool) -> None:
    assert _row("a", "b", "1", basis=basis).is_wide is wide


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A package on disk with a data folder, to load planted tables from."""
    folder = tmp_path / "planted_room"
    (folder / "data").mkdir(parents=True)
    (folder / "__init__.py").write_text("")
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.delitem(sys.modules, "planted_room", raising=False)
    tables.load_table.cache_clear()
    return folder / "data"


def test_a_table_loads_with_its_fingerprint(room: Path) -> None:
    good = "oak,depth,50,mm,40,60,minmax,triangular,practice,practice,,no,pot,"
    (room / "good.csv").write_text(f"{','.join(COLUMNS)}\n{good}\n")
    table = load_table("planted_room", "good")
    row = table.get("oak", "depth")
    assert (row.low, row.high, row.read, row.table) == (40.0, 60.0, False, "good")
    (room / "good.csv").write_text(f"{','.join(COLUMNS)}\n{good.replace('50', '51')}\n")
    assert load_table("planted_room", "good") is table
    tables.load_table.cache_clear()
    assert load_table("planted_room", "good").fingerprint != table.fingerprint


BAD_ROWS = ["oak,depth,50,mm,low,60,minmax,triangular,practice,practice,,no,pot,", "oak,depth"]


@pytest.mark.parametrize("row", BAD_ROWS)
def test_a_row_that_does_not_read_is_named(room: Path, row: str) -> None:
    (room / "bad.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n")
    with pytest.raises(ParameterError, match=r"bad: row oak\.depth does not read"):
        load_table("planted_room", "bad")


def test_missing_files_are_named(room: Path) -> None:
    assert room.is_dir()
    with pytest.raises(ParameterError, match="there is no parameter table planted_room/none"):
        load_table("planted_room", "none")
    with pytest.raises(ParameterError, match="there is no data file planted_room/none"):
        load_rows("planted_room", "none")


def test_sources_are_found_by_key() -> None:
    assert source("practice") is all_sources()["practice"]
    with pytest.raises(ParameterError, match='source "nobody1900" is not listed'):
        source("nobody1900")


def test_a_chain_walks_down_to_the_row() -> None:
    leaf = trace_parameter(POTS.get("oak", "depth"), "depth of the pot")
    assert (leaf.value, leaf.room, leaf.source) == ("50 mm", "row oak.depth of pots, p. 3", "own")
    top = Trace("volume", "9.4 L", inputs=(leaf, dataclasses.replace(leaf, inputs=(leaf,))))
    assert [depth for depth, _link in top.walk()] == [0, 1, 1, 2]
    assert trace_parameter(POTS.get("oak", "mixes")).value == "D|V|C"
