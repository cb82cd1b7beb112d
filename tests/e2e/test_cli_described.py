"""A newcomer without a weather file: place, climate and first tree through the command, and windows."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-03-07")


@pytest.fixture
def placed(cli: Cli, yard: Path) -> Path:
    yard.mkdir()
    (yard / "collection.toml").write_text("latitude_deg = 52.4\n")
    ran = cli("weather", "describe", "--coldest", "1 C", "--warmest", "19 C", *ON, folder=yard)
    assert ran.code == 0, ran.err
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    return yard


def test_a_window_without_a_weather_file(cli: Cli, placed: Path) -> None:
    ran = cli("outlook", "T01", "--json", *ON, folder=placed)
    (window,) = ran.data["windows"]
    assert window["opens_low"] < window["opens_median"] < window["opens_high"]
    assert any(note.startswith("No weather is stored yet") for note in ran.data["notes"])


def test_the_same_day_gives_the_same_answer(cli: Cli, placed: Path) -> None:
    one, other = (cli("outlook", "--json", *ON, folder=placed).out for _again in range(2))
    assert one == other


def test_without_anything_the_errors_tell_the_way_out(cli: Cli, yard: Path) -> None:
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", folder=yard).code == 0
    ran = cli("outlook", "T01", *ON, folder=yard)
    assert ran.code == 2
    assert "ringwise weather describe" in ran.one_line
    ran = cli("weather", "describe", "--coldest", "1 C", "--warmest", "19 C", folder=yard)
    assert ran.code == 2
    assert "latitude_deg = 52.4" in ran.one_line


def test_bare_describe_shows_where_to_start(cli: Cli, yard: Path) -> None:
    yard.mkdir()
    (yard / "collection.toml").write_text("latitude_deg = -33.9\n")
    shown = cli("weather", "describe", folder=yard).out
    assert "Typical for this latitude" in shown
    assert "correct it" in shown


def test_describing_half_is_refused(cli: Cli, placed: Path) -> None:
    ran = cli("weather", "describe", "--coldest", "1 C", folder=placed)
    assert ran.code == 2
    assert "warmest month is blank" in ran.one_line


@pytest.mark.parametrize("option", ["--last-frost", "--first-frost"])
def test_a_frost_day_that_is_none_is_refused(cli: Cli, placed: Path, option: str) -> None:
    for means in ((), ("--coldest", "1 C", "--warmest", "19 C")):
        ran = cli("weather", "describe", *means, option, "31 Feb", folder=placed)
        assert ran.code == 2
        assert 'frost is "31 Feb", which is no day of the year' in ran.one_line
        assert "such as 10 Apr" in ran.one_line


def test_it_is_shown_and_taken_back(cli: Cli, placed: Path) -> None:
    shown = cli("weather", "show", "--json", *ON, folder=placed).data
    assert (shown["source"], shown["age_days"], shown["invented"]) == ("described", None, False)
    assert cli("undo", folder=placed).code == 0
    assert cli("undo", folder=placed).code == 0
    assert cli("weather", "show", folder=placed).code == 2


def test_an_imported_file_takes_over(cli: Cli, placed: Path, tmp_path: Path) -> None:
    from datetime import date, timedelta

    days = [date(2024, 9, 1) + timedelta(days=k) for k in range(917)]
    rows = "".join(f"{day},{2 + day.month % 7},{9 + day.month % 7}\n" for day in days)
    file = tmp_path / "roof.csv"
    file.write_text("date,tmin_degC,tmax_degC\n" + rows)
    assert cli("weather", "import", file, "--station", "roof", *ON, folder=placed).code == 0
    notes = cli("outlook", "T01", "--json", *ON, folder=placed).data["notes"]
    assert not any("description" in note for note in notes)
    assert cli("weather", "show", "--json", *ON, folder=placed).data["source"] == "roof.csv"


def test_why_reaches_the_description(cli: Cli, placed: Path) -> None:
    shown = cli("why", "yard:climate", *ON, folder=placed).out
    assert "not measured" in shown
    assert "read in print" in shown
