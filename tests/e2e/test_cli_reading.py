"""Language and units of a collection, through the command: words change, values do not."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from command_line import Cli

from ringwise.desk.settings import write_settings
from ringwise.kit.reading import current_reading

TODAY = {"today": date(2027, 3, 20)}


@pytest.fixture
def pots(cli: Cli, yard: Path) -> Path:
    write_settings(yard, TODAY)
    for words in (
        ("pot", "add", "P-1", "--shape", "oval", "--size", "42x31x7.5 cm"),
        ("tree", "add", "Hollow Lane", "--species", "Morus alba", "--id", "T01"),
        ("log", "T01", "girth", "25.4 cm", "--date", "2027-03-14"),
    ):
        assert cli(*words, folder=yard).code == 0
    return yard


def test_settings_of_a_collection_choose_language_and_units(cli: Cli, pots: Path) -> None:
    plain = cli("pot", "show", "P-1", folder=pots).out
    assert "oval 42 × 31 × 7.5 cm" in plain
    write_settings(pots, TODAY | {"language": "de", "units": "inch"})
    told = cli("pot", "show", "P-1", folder=pots)
    assert "oval 16 1/2 × 12 1/4 × 3 in" in told.out  # 420, 310 and 75 mm at 25.4 mm an inch
    assert "Baum: leer" in told.out
    assert current_reading().language == "en"  # the next wish of this process is not touched


def test_json_stays_metric_in_every_reading(cli: Cli, pots: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    metric = cli("pot", "show", "P-1", "--json", folder=pots).data
    monkeypatch.setenv("RINGWISE_UNITS", "inch")
    monkeypatch.setenv("RINGWISE_LANGUAGE", "de")
    inch = cli("pot", "show", "P-1", "--json", folder=pots).data
    assert inch["lines"] != metric["lines"]
    for answer in (metric, inch):
        del answer["lines"]
    assert inch == metric


def test_an_error_is_said_in_the_language_of_the_collection(cli: Cli, pots: Path) -> None:
    write_settings(pots, TODAY | {"language": "de"})
    ran = cli("tree", "show", "T99", folder=pots)
    assert ran.code == 2
    assert ran.one_line.startswith("ringwise: es gibt keinen Baum „T99“.")


def test_a_typed_size_is_read_in_either_unit_whatever_is_shown(cli: Cli, pots: Path) -> None:
    write_settings(pots, TODAY | {"units": "inch"})
    assert cli("log", "T01", "trunk", "2 in", "--date", "2027-03-14", folder=pots).code == 0
    assert "trunk 2 in" in cli("tree", "show", "T01", folder=pots).out
    assert "girth 10 in" in cli("tree", "show", "T01", folder=pots).out


def test_a_wrong_setting_is_one_line_with_the_way_out(cli: Cli, pots: Path) -> None:
    (pots / "collection.toml").write_text('units = "feet"\n', encoding="utf-8")
    ran = cli("pot", "list", folder=pots)
    assert ran.code == 2
    assert "setting units" in ran.one_line
    assert "metric" in ran.one_line
