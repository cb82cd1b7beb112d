"""The chain on the demo yard through the command: weather, outlook, conflicts, mix, worksheet, why."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from command_line import Cli


def seattle() -> Path:
    import vega_datasets

    return Path(vega_datasets.__file__).parent / "_data" / "seattle-weather.csv"


COLUMNS = "date=date,tmin_degC=temp_min,tmax_degC=temp_max,rain_mm=precipitation"


# Check cases of the Menzel form on the packaged Seattle record, by an own code that reproduces the
# published R package `vegperiod` 0.4.0; Larix 2013: chill days 95, heat 259.75 >= 251.75.
@pytest.mark.parametrize(
    ("species", "days"),
    [
        ("larix_decidua", {2013: 87, 2014: 97, 2015: 96}),
        ("quercus_robur", {2013: 104, 2014: 109, 2015: 105}),
        ("fagus_sylvatica", {2013: 117, 2014: 121, 2015: 121}),
    ],
)
def test_published_stages_on_real_weather(cli: Cli, species: str, days: dict[int, int]) -> None:
    for year, day in days.items():
        words = ("calc", "stage", "--model", "menzel", "--species", species, "--weather", seattle())
        data = cli(*words, "--columns", COLUMNS, "--year", str(year), "--json").data
        assert data["day_of_year"] == day
        assert date.fromisoformat(data["date"]).timetuple().tm_yday == day
        assert {row["parameter"].rsplit(".", 1)[1] for row in data["parameters"]} >= {"a", "b"}


def test_larix_2013_sums(cli: Cli) -> None:
    words = ("calc", "stage", "--model", "menzel", "--species", "larix_decidua", "--weather", seattle())
    data = cli(*words, "--columns", COLUMNS, "--year", "2013", "--json").data
    assert data["chill_days"] == 95
    assert data["heat_degC_days"] == pytest.approx(259.75, abs=0.01)
    assert data["heat_needed_degC_days"] == pytest.approx(251.75, abs=0.01)


def test_the_same_columns_serve_the_import(cli: Cli, yard: Path) -> None:
    ran = cli("weather", "import", seattle(), "--columns", COLUMNS, "--station", "Sea", "--json", folder=yard)
    assert (ran.data["first"], ran.data["last"], ran.data["days"]) == ("2012-01-01", "2015-12-31", 1461)
    cli("tree", "add", "Larch", "--species", "larix_decidua", folder=yard)
    out = cli("outlook", "--on", "2015-02-20", "--json", folder=yard)
    (window,) = out.data["windows"]
    assert window["opens_low"] < window["opens_median"] < window["closes_median"] < window["closes_high"]
    assert "2015-02-01" < window["opens_median"] < "2015-04-30"
    assert cli("undo", folder=yard).code == 0
    assert cli("undo", folder=yard).code == 0
    assert cli("weather", "show", folder=yard).code == 2


def test_pot_volume(cli: Cli) -> None:
    """Oval 50 x 37 x 8 cm: pi/4 x 50 x 37 x 8 = 11,624 cm3; less 5 mm rim and base, x 0.92: 9.36 L."""
    oval = ("calc", "pot", "--shape", "oval", "--length", "50cm", "--width", "37cm", "--depth", "8cm")
    assert cli(*oval, "--json").data["volume_cm3"] == pytest.approx(11623.89, abs=0.01)
    filled = cli(*oval, "--rim", "5mm", "--base-drop", "5mm", "--taper", "0.92", "--json").data
    assert filled["volume_l"] == pytest.approx(9.36, abs=0.005)
    rect = (
        "calc",
        "pot",
        "--shape",
        "rect",
        "--length",
        "30cm",
        "--width",
        "20cm",
        "--height",
        "6cm",
        "--json",
    )
    assert cli(*rect).data["volume_cm3"] == pytest.approx(3600.0)


def test_demo_windows_have_bands_and_reasons(cli: Cli, built_demo: Path) -> None:
    data = cli("outlook", "--json", folder=built_demo).data
    assert {row["tree"] for row in data["windows"]} == {f"T{n:02d}" for n in range(1, 41)}
    for row in data["windows"]:
        if row["opens_low"]:
            assert row["opens_low"] <= row["opens_median"] <= row["opens_high"]
            assert row["closes_low"] <= row["closes_median"] <= row["closes_high"]
    tarn = [r for r in data["windows"] if (r["tree"], r["operation"]) == ("T21", "repot")]
    assert tarn[0]["own_seasons"] == 4


def test_a_seen_stage_moves_its_own_tree_and_undo_brings_it_back(cli: Cli, demo: Path) -> None:
    def opens(tree: str) -> str:
        return str(cli("outlook", tree, "--operation", "repot", "--json", folder=demo).data["windows"][0])

    before = {tree: opens(tree) for tree in ("T28", "T23")}
    ran = cli("log", "T28", "stage", "01", "--date", "2027-02-20", "--not-before", "2027-02-14", folder=demo)
    assert ran.code == 0, ran.err
    after = {tree: opens(tree) for tree in ("T28", "T23")}
    assert after["T28"] != before["T28"]
    assert after["T23"] == before["T23"]  # another group does not jump
    cli("undo", folder=demo)
    assert {tree: opens(tree) for tree in ("T28", "T23")} == before


def test_planted_conflicts_are_found_and_explained(cli: Cli, built_demo: Path) -> None:
    found = cli("today", "--json", folder=built_demo).data["conflicts"]
    by_tree = {row["tree"]: row for row in found}
    assert by_tree["T13"]["hard"]
    assert "chop" in by_tree["T13"]["explanation"].lower()
    assert "repot" in by_tree["T13"]["explanation"].lower()
    assert "season" in by_tree["T13"]["way_out"].lower()
    assert "repot" in by_tree["T14"]["explanation"].lower()
    assert "deadwood" in by_tree["T14"]["explanation"].lower()
    assert by_tree["T17"]["hard"]
    assert "vigour 2" in by_tree["T17"]["explanation"]
    assert "rescue" in by_tree["T17"]["way_out"].lower()
    for tree in ("T13", "T14", "T17"):
        assert by_tree[tree]["source"]
        assert by_tree[tree]["grade"]


def test_an_override_is_asked_once(cli: Cli, demo: Path) -> None:
    cli("log", "T13", "plan", "repot", "--date", "2027-03-19", "--reason", "field-vigorous", folder=demo)
    page = cli("today", "--json", folder=demo).data
    for row in page["conflicts"]:
        if row["tree"] == "T13":
            assert row["override_reason"] == ""


def test_why_goes_down_to_rows_and_sources(cli: Cli, built_demo: Path) -> None:
    for result in ("T03:repot:opens", "T03:repot:gross", "T03:repot:wire", "T21:stage:07"):
        data = cli("why", result, "--json", folder=built_demo).data
        assert max(link["depth"] for link in data["chain"]) >= 1
        assert any(link["room"].startswith("row ") for link in data["chain"])
        assert data["sources"]


def test_worksheet_carries_what_is_needed(cli: Cli, built_demo: Path) -> None:
    data = cli("worksheet", "T38", "repot", "--json", folder=built_demo).data
    assert data["people"] == 2  # a yew of 66 kg
    assert any("Yew" in caution["text"] and "deadly" in caution["text"] for caution in data["cautions"])
    assert data["cuts"]
    assert data["parts"]
    assert any(step["critical"] for step in data["steps"])


BAD_WEATHER = [
    ("date,tmin_degC,tmax_degC\n2020-01-01,5,2\n", ("row", "2020-01-01")),
    ("date,tmin_degC,tmax_degC\n2020-02-30,1,2\n", ("2020-02-30",)),
    ("day,tmin_degC,tmax_degC\n2020-01-01,1,2\n", ("date",)),
    ("date,tmin_degC,tmax_degC\n2020-01-01,one,2\n", ("one",)),
    ("date,tmin_degC,tmax_degC\n2020-01-01,-9999,2\n", ("-9999",)),
    ("date,tmin_degC,tmax_degC\n2020-01-02,1,2\n2020-01-01,1,2\n", ("2020-01-01",)),
    ("", ("bad.csv",)),
    ("\x00\x01", ("bad.csv",)),
]


@pytest.mark.parametrize(("text", "says"), BAD_WEATHER)
def test_bad_weather_is_one_line_and_stores_nothing(
    cli: Cli, yard: Path, tmp_path: Path, text: str, says: tuple[str, ...]
) -> None:
    file = tmp_path / "bad.csv"
    file.write_text(text)
    ran = cli("weather", "import", file, folder=yard)
    assert ran.code == 2
    for part in says:
        assert part in ran.one_line
    assert cli("weather", "show", folder=yard).code == 2  # there is none


def test_a_missing_mapped_column_is_named(cli: Cli, yard: Path) -> None:
    ran = cli("weather", "import", seattle(), "--columns", "date=date,tmin_degC=low", folder=yard)
    assert ran.code == 2
    assert "low" in ran.one_line
    bad = cli("weather", "import", seattle(), "--columns", "date=date,heat=temp_max", folder=yard)
    assert bad.code == 2
    assert "heat" in bad.one_line


def test_without_weather_the_rest_still_works(cli: Cli, yard: Path) -> None:
    cli("tree", "add", "Elm", "--species", "Ulmus procera", folder=yard)
    page = cli("today", "--json", folder=yard)
    assert page.code == 0
    assert "weather" in page.data["notes"][0]
    assert cli("outlook", folder=yard).code == 2
