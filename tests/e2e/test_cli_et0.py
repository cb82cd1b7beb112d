"""Sun and evapotranspiration on the command line: one day, a whole file, and what is refused."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest
from command_line import Cli

UCCLE = (
    *("calc", "et0", "--date", "2015-07-06", "--lat", "50.8", "--elevation", "100", "--tmin", "12.3"),
    *("--tmax", "21.5", "--rh-min", "63", "--rh-max", "84", "--wind", "10 km/h", "--wind-height", "10"),
    *("--sunshine", "9.25"),
)
BARE = ("calc", "et0", "--date", "2015-07-06", "--lat", "50.8", "--tmin", "12.3", "--tmax", "21.5")


def test_a_worked_example_with_its_steps(cli: Cli) -> None:
    # Source: FAO-56 example 18, printed 3.9 mm, 16.1 h, wind 2.078 m/s, 22.07 MJ/m2.
    told = cli(*UCCLE, "--json").data
    assert told["et0_mm_day"] == pytest.approx(3.88026, abs=1e-4)
    assert told["daylength_h"] == pytest.approx(16.1, abs=0.05)
    assert told["wind_2m_m_s"] == pytest.approx(2.078, abs=5e-4)
    assert told["radiation_mj_m2"] == pytest.approx(22.07, abs=5e-3)
    assert (told["date"], told["day_of_year"]) == ("2015-07-06", 187)
    assert (told["route"], told["humidity_route"], told["radiation_from"]) == (
        "penman_monteith",
        "rh_min_max",
        "sunshine",
    )
    assert told["assumed"] == []
    assert told["clamped"] is False


def test_the_text_says_route_assumptions_and_steps(cli: Cli) -> None:
    shown = cli(*BARE, "--radiation", "31").out
    assert "Penman-Monteith after FAO-56" in shown
    assert "assumed: wind of 2 m/s" in shown
    assert "assumed: the place lies at sea level" in shown
    assert "brought into its limits" in shown  # 31 MJ/m2 is more than a clear sky at sea level lets through
    assert "net long-wave loss" in shown


def test_without_radiation_hargreaves_is_said_to_be_coarse(cli: Cli) -> None:
    told = cli(*BARE, "--json").data
    assert told["route"] == "hargreaves"
    assert told["net_mj_m2"] is None
    assert "coarse" in cli(*BARE).out


def test_a_dry_south_wind_of_units(cli: Cli) -> None:
    # The same day in other units and by another latitude's spelling is the same day.
    metric = ("--tmin", "10", "--tmax", "25", "--wind", "5", "--radiation", "20", "--dew-point", "5")
    other = (
        "--tmin",
        "50 F",
        "--tmax",
        "77 F",
        "--wind",
        "18 km/h",
        "--radiation",
        "231.48148148148147 W/m2",
    )
    where = ("calc", "et0", "--date", "2016-12-31", "--elevation", "30", "--json")
    one = cli(*where, "--lat", "-33.9", *metric).data
    two = cli(*where, "--lat", "33.9 S", *other, "--dew-point", "41 F").data
    assert one["day_of_year"] == 366
    assert one["et0_mm_day"] == pytest.approx(two["et0_mm_day"], abs=1e-9)


@pytest.mark.parametrize(
    ("definition", "hours"), [("fao56", 15.4248), ("forsythe", 15.6183)], ids=lambda each: str(each)
)
def test_daylength(cli: Cli, definition: str, hours: float) -> None:
    # Source: the forms of FAO-56 and of Forsythe et al. 1995 in an independent program: 45 north, 21 June.
    told = cli(
        "calc", "daylength", "--date", "2015-06-21", "--lat", "45", "--definition", definition, "--json"
    ).data
    assert told["daylength_h"] == pytest.approx(hours, abs=6e-5)
    assert told["definition"] == definition


def test_a_whole_file(cli: Cli) -> None:
    # Source: pyet 1.5.0, hargreaves on the Seattle record: 794.18 mm in 2012.
    file = resources.files("vega_datasets") / "_data" / "seattle-weather.csv"
    where = ("--weather", str(file), "--columns", "date=date,tmin_degC=temp_min,tmax_degC=temp_max")
    told = cli("calc", "et0", *where, "--lat", "47.45", "--json").data
    assert told["by_year"][0]["calendar_year"] == 2012
    assert told["by_year"][0]["et0_mm"] == pytest.approx(794.18, abs=0.01)
    assert (told["penman_days"], told["hargreaves_days"], told["without_days"]) == (0, 1461, 0)
    assert len(told["each_day"]) == 1461
    assert "2012: 794 mm in 366 days" in cli("calc", "et0", *where, "--lat", "47.45").out


def test_each_day_of_a_file_says_its_route(cli: Cli, tmp_path: Path) -> None:
    file = tmp_path / "days.csv"
    file.write_text(
        "date,tmin_degC,tmax_degC,rh_min_pct,rh_max_pct,wind_2m_m_s,sunshine_h\n"
        "2015-07-05,12.3,21.5,63,84,2.078,9.25\n"
        "2015-07-06,12.3,21.5,63,84,2.078,9.25\n"
    )
    told = cli("calc", "et0", "--weather", file, "--lat", "50.8", "--elevation", "100", "--json").data
    assert [day["route"] for day in told["each_day"]] == ["penman_monteith", "penman_monteith"]
    assert told["each_day"][1]["et0_mm_day"] == pytest.approx(3.880, abs=1e-3)  # FAO-56 example 18


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ((*BARE[:6], "--tmin", "12"), "--tmin and --tmax"),
        ((*BARE[:6], "--tmin", "22", "--tmax", "12"), "tmax_degC 12 is below tmin_degC 22"),
        ((*BARE, "--rh-min", "130", "--rh-max", "140"), "accepted: 0 to 100"),
        ((*BARE, "--radiation", "2000"), "accepted: 0 to 50"),
        ((*BARE, "--wind", "3", "--wind-height", "0"), "height of the wind instrument"),
        ((*BARE, "--sunshine", "25"), "accepted: 0 to 24"),
        ((*BARE, "--vapour-pressure", "-1"), "accepted: 0 to 20 kPa"),
        ((*BARE, "--vapour-pressure", "nan"), "accepted: 0 to 20 kPa"),
        ((*BARE, "--elevation", "20000"), "-450 to 9000 m"),
        ((*BARE[:4], "--lat", "95", *BARE[6:]), "-90 to 90 degrees"),
        ((*BARE, "--weather", "x.csv"), "--date, --tmin, --tmax belongs to one day"),
        (("calc", "daylength", "--date", "2015-06-31", "--lat", "45"), "--date"),
        (("calc", "daylength", "--date", "2015-06-30", "--lat", "45", "--definition", "fao"), "fao56"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(cli: Cli, words: tuple[str, ...], line: str) -> None:
    ran = cli(*words)
    assert ran.code == 2
    assert line in ran.one_line
