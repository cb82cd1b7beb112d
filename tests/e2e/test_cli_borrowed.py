"""Through the command: a second station is stored beside the yard's own, and lends it years."""

from __future__ import annotations

from datetime import date, timedelta
from math import cos, pi
from pathlib import Path

import pytest
from command_line import Cli

ON = ("--on", "2027-03-07")


def weather_file(path: Path, first: date, last: date, *, warmer_degC: float) -> Path:
    """A wave with a ripple, so that no two years are alike."""
    rows = []
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        level = 9.5 - 8.5 * cos(2 * pi * (day - date(2001, 1, 20)).days / 365.25)
        level += 1.5 * cos(2 * pi * (day - date(2001, 1, 1)).days / 37.0) + warmer_degC
        rows.append(f"{day},{level - 4:.1f},{level + 4:.1f}\n")
    path.write_text("date,tmin_degC,tmax_degC\n" + "".join(rows), encoding="utf-8")
    return path


@pytest.fixture
def placed(cli: Cli, yard: Path, tmp_path: Path) -> Path:
    yard.mkdir()
    (yard / "collection.toml").write_text('latitude_deg = 52.4\nborrowed_station = "town"\n')
    town = weather_file(tmp_path / "town.csv", date(2005, 9, 1), date(2027, 3, 6), warmer_degC=2.0)
    roof = weather_file(tmp_path / "roof.csv", date(2025, 6, 1), date(2027, 3, 6), warmer_degC=0.0)
    assert cli("weather", "import", town, "--station", "town", *ON, folder=yard).code == 0
    assert cli("weather", "import", roof, "--station", "roof", *ON, folder=yard).code == 0
    assert cli("tree", "add", "Old Elm", "--species", "Ulmus procera", *ON, folder=yard).code == 0
    return yard


def test_the_outlook_says_what_is_lent(cli: Cli, placed: Path) -> None:
    answer = cli("outlook", "T01", "--json", *ON, folder=placed).data
    assert answer["windows"]
    (said,) = [note for note in answer["notes"] if "lent by town" in note]
    assert said.startswith("19 of 20 weather years are lent by town and made 2.0 °C colder in winter")


def test_show_tells_it_in_words_and_numbers(cli: Cli, placed: Path) -> None:
    assert "19 of 20 weather years are lent by town" in cli("weather", "show", *ON, folder=placed).out
    told = cli("weather", "show", "--json", *ON, folder=placed).data["borrowed"]
    assert told["kind"] == "seasonal"
    for each in told["shifts"]:
        assert each["winter_degC"] == pytest.approx(-2.0, abs=0.05)


def test_a_warmer_town_does_not_make_an_earlier_spring(cli: Cli, placed: Path) -> None:
    """Unshifted, two degrees move the window by weeks; shifted, it stays where the roof's own year has it."""
    lent = cli("outlook", "T01", "--json", *ON, folder=placed).data["windows"][0]["opens_median"]
    (placed / "collection.toml").write_text('latitude_deg = 52.4\nstation = "roof"\n')
    own = cli("outlook", "T01", "--json", *ON, folder=placed).data["windows"][0]["opens_median"]
    (placed / "collection.toml").write_text('latitude_deg = 52.4\nstation = "town"\n')
    plain = cli("outlook", "T01", "--json", *ON, folder=placed).data["windows"][0]["opens_median"]
    assert abs((date.fromisoformat(lent) - date.fromisoformat(own)).days) <= 4
    assert (date.fromisoformat(own) - date.fromisoformat(plain)).days >= 6


def test_an_unknown_station_is_one_line(cli: Cli, placed: Path) -> None:
    (placed / "collection.toml").write_text(
        'latitude_deg = 52.4\nstation = "roof"\nborrowed_station = "hill"\n'
    )
    ran = cli("outlook", "T01", *ON, folder=placed)
    assert ran.code == 2
    assert 'there is no weather series "hill"; there are: roof, town' in ran.one_line


@pytest.mark.parametrize("value", ['"high"', "9000", "nan"])
def test_a_bad_elevation_is_one_line(cli: Cli, placed: Path, value: str) -> None:
    (placed / "collection.toml").write_text(f"yard_above_borrowed_m = {value}\n")
    ran = cli("weather", "show", *ON, folder=placed)
    assert ran.code == 2
    assert "yard_above_borrowed_m" in ran.one_line
    assert "-5000 to 5000" in ran.one_line
