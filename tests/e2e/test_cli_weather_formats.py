"""Weather files of services through the command: preview, import, mapping with unit, and bad files."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli

DATA = Path(__file__).parents[1] / "unit" / "weather" / "data"
ON = ("--on", "2026-01-01")


def test_a_preview_and_then_the_import(cli: Cli, yard: Path) -> None:
    told = cli("weather", "import", DATA / "dwd_kl.txt", "--preview", *ON, folder=yard)
    assert told.code == 0, told.err
    assert "read as: DWD" in told.out
    assert "tmin_degC from TNK in degC: 3 values" in told.out
    assert "nothing is stored" in told.out
    assert cli("weather", "show", *ON, folder=yard).code == 2
    ran = cli("weather", "import", DATA / "dwd_kl.txt", "--json", *ON, folder=yard)
    assert (ran.data["format"], ran.data["stored"], ran.data["new_days"]) == ("dwd_daily_kl", True, 3)
    assert cli("weather", "show", "--json", *ON, folder=yard).data["days"] == 3


def test_a_mapping_with_unit_and_mark(cli: Cli, yard: Path, tmp_path: Path) -> None:
    (tmp_path / "own.csv").write_text("Day;Low;High\n01.03.2024;32;50\n02.03.2024;-99;50\n")
    columns = "date=Day:DD.MM.YYYY,tmin_degC=Low:degF:missing=-99,tmax_degC=High:degF"
    ran = cli("weather", "import", tmp_path / "own.csv", "--columns", columns, "--json", *ON, folder=yard)
    assert [(each["ours"], each["unit"], each["values"]) for each in ran.data["understood"]] == [
        ("tmin_degC", "degF", 1),
        ("tmax_degC", "degF", 2),
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("It rained.\n", "bad.csv: is none of the formats that are known"),
        ("STATION,DATE,TMAX,TMIN\nX,2024-01-01,30,18\n", "bad.csv: the file names no unit"),
        ("STATIONS_ID;MESS_DATUM;TMK;eor\n1;20240301;x;eor\n", "bad.csv, row 2, column TMK"),
    ],
)
def test_a_bad_file_is_one_line_and_stores_nothing(
    cli: Cli, yard: Path, tmp_path: Path, text: str, words: str
) -> None:
    (tmp_path / "bad.csv").write_text(text)
    ran = cli("weather", "import", tmp_path / "bad.csv", *ON, folder=yard)
    assert ran.code == 2
    assert words in ran.one_line
    assert cli("weather", "show", *ON, folder=yard).code == 2
