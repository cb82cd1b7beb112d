"""Chill and heat through the command: what chillR 0.77 gives in R, and how bad input is answered.

The Seattle record is that of vega_datasets 0.9.0, at 47.45 degrees north.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from command_line import Cli

COLUMNS = "date=date,tmin_degC=temp_min,tmax_degC=temp_max"


def seattle() -> Path:
    import vega_datasets

    return Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"


def of_days(command: str, first: str, last: str, *more: str) -> tuple[str | Path, ...]:
    """The words of a command over days of Seattle."""
    file = ("--weather", seattle(), "--columns", COLUMNS, "--from", first, "--to", last)
    return ("calc", command, *file, *more, "--json")


def hours_file(folder: Path, hours: list[float]) -> Path:
    file = folder / "hours.csv"
    file.write_text("temperature_degC\n" + "\n".join(repr(each) for each in hours) + "\n", encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("year", "mean_degC", "portions", "utah", "cold"),
    [
        (2013, 5.521163, 89.44943, 2192, 1756),
        (2014, 5.880069, 87.9253, 2059, 1491),
        (2015, 7.404215, 87.6518, 1929, 1147),
    ],
)
def test_a_winter_of_seattle(
    cli: Cli, year: int, mean_degC: float, portions: float, utah: int, cold: int
) -> None:
    # Source: chillR 0.77 in R.
    data = cli(*of_days("chill", f"{year - 1}-11-01", f"{year}-02-28", "--lat", "47.45")).data
    assert data["mean_temperature_degC"] == pytest.approx(mean_degC, abs=1e-3)
    assert data["chill_portions"] == pytest.approx(portions, abs=1e-3)
    assert (data["utah_units"], data["chill_hours"]) == (utah, cold)
    assert data["hours_counted"] == 120 * 24


def test_growing_degree_hours_of_a_spring(cli: Cli) -> None:
    # Source: chillR 0.77 in R; both commands give them.
    for command in ("chill", "heat"):
        data = cli(*of_days(command, "2014-03-01", "2014-04-30", "--lat", "47.45")).data
        assert data["growing_degree_hours"] == pytest.approx(6887.673, abs=1e-3)


def test_hours_alike_and_hours_from_a_file(cli: Cli, tmp_path: Path) -> None:
    # Source: chillR 0.77 in R.
    data = cli("calc", "chill", "--temperature", "-2", "--hours", "1200", "--json").data
    assert data["chill_portions"] == pytest.approx(0.30042, abs=1e-4)
    data = cli("calc", "heat", "--temperature", "30", "--json").data
    assert data["growing_degree_hours"] == pytest.approx(7.247925, abs=1e-5)
    wave = [8 + 5 * math.sin(2 * math.pi * (hour - 9) / 24) for hour in range(1440)]
    data = cli("calc", "chill", "--hourly", hours_file(tmp_path, wave), "--json").data
    assert data["chill_portions"] == pytest.approx(43.74027, abs=1e-4)
    assert data["growing_degree_hours"] == pytest.approx(4296.266, abs=1e-3)
    assert (data["utah_units"], data["chill_hours"]) == (1020, 660)
    steps = ([6.0] * 16 + [15.0] * 8) * 50
    data = cli("calc", "chill", "--hourly", hours_file(tmp_path, steps), "--json").data
    assert data["chill_portions"] == pytest.approx(35.98029, abs=1e-4)


def test_degree_days_of_a_day_and_of_a_file(cli: Cli, tmp_path: Path) -> None:
    # Source: own calculation by an independent program; base 5.
    words = ("calc", "heat", "--tmin", "-4", "--tmax", "8", "--method", "sine", "--base", "5", "--json")
    assert cli(*words).data["heat_degC_days"] == pytest.approx(0.653987, abs=1e-6)
    data = cli(*of_days("heat", "2013-01-01", "2013-04-30", "--base", "5")).data
    assert data["heat_degC_days"] == pytest.approx(356.35, abs=0.01)
    assert (data["method"], data["days"], data["growing_degree_hours"]) == ("mean", 120, None)
    # Source: own calculation by an independent program; T(J) = 10 - 12 cos(2 pi (J - 15) / 365), base 0.
    rows = [10 - 12 * math.cos(2 * math.pi * (day - 15) / 365) for day in range(1, 101)]
    file = tmp_path / "days.csv"
    days = [
        f"2013-{month:02d}-{day:02d}"
        for month, n in ((1, 31), (2, 28), (3, 31), (4, 10))
        for day in range(1, n + 1)
    ]
    file.write_text(
        "date,tmean_degC\n" + "\n".join(f"{day},{row!r}" for day, row in zip(days, rows, strict=True)) + "\n",
        encoding="utf-8",
    )
    words = ("calc", "heat", "--weather", file, "--json", "--base")
    assert cli(*words, "0").data["heat_degC_days"] == pytest.approx(206.3986, abs=1e-3)
    assert cli(*words, "5").data["heat_degC_days"] == pytest.approx(36.0940, abs=1e-3)


def test_the_end_of_a_file_is_told(cli: Cli) -> None:
    inside = cli(*of_days("chill", "2012-11-01", "2013-02-28", "--lat", "47.45")).data
    at_end = cli(*of_days("chill", "2015-11-01", "2015-12-31", "--lat", "47.45")).data
    assert not any("file ends" in line for line in inside["lines"])
    assert any("file ends" in line for line in at_end["lines"])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (of_days("chill", "2012-11-01", "2013-02-28"), "--lat"),
        (of_days("chill", "2012-11-01", "2013-02-28", "--lat", "91"), "-90 to 90"),
        (of_days("chill", "2013-11-01", "2013-02-28", "--lat", "47"), "before --from"),
        (of_days("chill", "2013-11-31", "2013-12-28", "--lat", "47"), "--from"),
        (of_days("chill", "2015-11-01", "2016-02-28", "--lat", "47"), "2016-02-28"),
        (of_days("heat", "2013-01-01", "2013-02-28", "--method", "cosine"), "sine"),
        (("calc", "chill"), "--weather"),
        (("calc", "chill", "--temperature", "4", "--hours", "0"), "--hours"),
        (("calc", "chill", "--temperature", "400"), "-90 to 60"),
        (("calc", "chill", "--temperature", "4", "--hourly", "a.csv"), "--hourly"),
        (("calc", "chill", "--hourly", "no-such-file.csv"), "no-such-file.csv"),
        (("calc", "heat", "--tmin", "4"), "--tmax"),
        (("calc", "heat", "--tmin", "14", "--tmax", "4"), "14"),
        (("calc", "heat", "--temperature", "4", "--method", "sine"), "--method"),
    ],
)
def test_bad_input_is_one_line(cli: Cli, words: tuple[str | Path, ...], told: str) -> None:
    ran = cli(*words)
    assert ran.code == 2
    assert told in ran.one_line


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "temperature_degC"),
        ("temperature_degC\n", "no hour"),
        ("temp\n4\n", "temperature_degC"),
        ("temperature_degC\n4\nx\n", "row 3"),
        ("temperature_degC\n4\n400\n", "row 3"),
        ("time,temperature_degC\n2013-01-01T00:00,4\n2013-01-01T01:00,\n", "row 3"),
        ("time,temperature_degC\n2013-01-01T00:00,4\n2013-01-01T02:00,4\n", "row 3"),
        ("time,temperature_degC\n2013-01-01T00:00,4\n2013-01-01T01:00Z,4\n", "row 3"),
        ("time,temperature_degC\n2013-01-01T00:00,4,5\n", "row 2"),
        ("time,temperature_degC\nyesterday,4\n", "row 2"),
        ("temperature_degC\n4\x00\n", "no text"),
    ],
)
def test_a_bad_file_of_hours_is_one_line(cli: Cli, tmp_path: Path, text: str, told: str) -> None:
    file = tmp_path / "hours.csv"
    file.write_text(text, encoding="utf-8")
    ran = cli("calc", "chill", "--hourly", file)
    assert ran.code == 2
    assert told in ran.one_line


def test_a_gap_names_its_day(cli: Cli, tmp_path: Path) -> None:
    file = tmp_path / "days.csv"
    rows = [f"2013-01-{day:02d},1,5" for day in range(1, 31) if not 10 <= day <= 15]
    file.write_text("date,tmin_degC,tmax_degC\n" + "\n".join(rows) + "\n", encoding="utf-8")
    ran = cli("calc", "chill", "--weather", file, "--lat", "50")
    assert ran.code == 2
    assert "2013-01-09" in ran.one_line  # its night runs towards a day that is not known
    assert cli("calc", "chill", "--weather", file, "--lat", "50", "--to", "2013-01-08").code == 0


def test_flowers_by_the_hour_need_a_latitude(cli: Cli) -> None:
    words = ("calc", "stage", "--model", "phenoflex", "--species", "prunus", "--weather", seattle())
    given = (*words, "--columns", COLUMNS, "--year", "2014")
    data = cli(*given, "--lat", "47.45", "--json").data
    assert (data["stage"], data["model"]) == ("flowering", "phenoflex")
    assert data["chill_portions"] > 40  # its rows let heat count half from there on
    assert {row["source"] for row in data["parameters"]} == {"luedeling2021"}
    ran = cli(*given)
    assert ran.code == 2
    assert "latitude" in ran.one_line
