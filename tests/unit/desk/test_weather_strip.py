"""The strip shows what was measured behind and the spread of past years ahead, each number with its why."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from living_yards import NOW, small_yard

from ringwise.desk.climate import ClimateGiven, describe_climate
from ringwise.desk.living import LivingYard
from ringwise.desk.pots import NewPot, add_pot
from ringwise.desk.strip_core import _pot_of, core_of_days, usual_pot
from ringwise.desk.trees import NewTree, action, add_tree
from ringwise.desk.weather import rows_of
from ringwise.desk.weather_strip import YardSky, weather_strip
from ringwise.desk.why import why
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import InputError, MissingFieldError, RangeError, UnknownNameError
from ringwise.kit.reading import Reading, reading
from ringwise.records.model import Pot
from ringwise.records.store import open_store
from ringwise.rootzone.core import CoreDays
from ringwise.rootzone.heat import PlaceHeat, pot_days
from ringwise.rootzone.skin import PotHeat
from ringwise.weather.series import series_of

TODAY = date(2027, 3, 7)
YEARS = 10


def opened(folder: Path) -> Workspace:
    return open_workspace(folder, on=TODAY.isoformat())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Ten past years that are level at year's last digit degrees, then this winter up to yesterday."""
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    first = date(2016, 11, 1)
    days = [first + timedelta(days=k) for k in range((TODAY - first).days)]
    low = np.array([float(day.year - 2020) for day in days])  # 2017: -3 ... 2026: 6
    rain = np.zeros(len(days))
    low[-3] = np.nan  # 4 March: bridged
    high = low + 8
    low[-2] = -1.5  # 5 March: a frost
    rain[-1] = 12.4
    series = series_of(
        first,
        {"tmin_degC": low, "tmax_degC": high, "rain_mm": rain},
        station="roof",
        source="roof.csv",
    )
    workspace = opened(made)
    workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(series))
    return made


def by_day(strip: dict[str, object]) -> dict[str, dict[str, object]]:
    return {day["day"]: day for day in strip["days"]}  # type: ignore[attr-defined]


def test_days_behind_are_told_as_measured(folder: Path) -> None:
    strip = weather_strip(opened(folder))
    days = by_day(strip)
    assert (strip["station"], strip["state"], len(days)) == ("roof", "measured", 7 + 1 + 14)
    assert days["2027-03-06"]["state"] == "measured"
    assert days["2027-03-06"]["rain_mm"] == {
        "value": 12.4,
        "shown": "12 mm",
        "why": "yard:weather:2027-03-06:rain",
    }
    assert days["2027-03-04"]["state"] == "bridged"
    assert (days["2027-03-05"]["frost"], days["2027-03-06"]["frost"]) == (True, False)
    assert days["2027-03-07"]["state"] == "missing"  # today, not yet measured


def test_days_ahead_are_the_spread_of_past_years(folder: Path) -> None:
    day = by_day(weather_strip(opened(folder)))["2027-03-10"]
    lows = np.arange(-3.0, 7.0)  # 2017 to 2026, each year's own level
    assert day["state"] == "ahead"
    assert day["tmin_degC"]["value"] == pytest.approx(np.median(lows))  # type: ignore[index]
    assert day["tmin_low_degC"] == pytest.approx(-2.1)  # tenth percentile of ten equal steps: -3 + 0.9
    assert day["tmax_high_degC"] == pytest.approx(13.1)
    assert day["rain_mm"] == {"value": None, "shown": "", "why": None}


def test_frost_ahead_counts_years(folder: Path) -> None:
    # Below nought stand 2017, 2018 and 2019.
    assert weather_strip(opened(folder))["sentence"] == (
        "Frost in 3 of 10 years within 14 days: the spread of past years, not a forecast."
    )


def test_every_number_has_a_why_that_agrees(folder: Path) -> None:
    for day in weather_strip(opened(folder))["days"]:
        for name in ("tmin_degC", "tmax_degC", "rain_mm"):
            told = day[name]
            assert (told["why"] is None) == (told["value"] is None)
            if told["why"]:
                assert why(opened(folder), told["why"])["chain"][0]["value"].startswith(told["shown"])


def test_a_why_names_station_file_and_filling(folder: Path) -> None:
    text = " ".join(why(opened(folder), "yard:weather:2027-03-06:tmin")["lines"])
    assert "roof.csv" in text
    assert "as stored" in text
    bridged = why(opened(folder), "yard:weather:2027-03-04:tmin")["chain"][0]
    assert "straight line" in bridged["formula"]
    assert bridged["basis"] == "assumed"
    ahead = why(opened(folder), "yard:weather:2027-03-10:tmin")["chain"]
    assert [link["label"] for link in ahead if link["depth"] == 2] == [str(y) for y in range(2017, 2027)]


@pytest.mark.parametrize(
    ("name", "error"),
    [
        ("yard:weather:2027-03-06:wind", UnknownNameError),
        ("yard:weather:yesterday:tmin", InputError),
        ("yard:weather:1990-01-01:tmin", MissingFieldError),
        ("yard:weather:2027-03-10:rain", MissingFieldError),
        ("yard:weather:2027-03-06", InputError),
        ("yard:climate", MissingFieldError),
    ],
)
def test_a_why_of_nothing_is_one_line(folder: Path, name: str, error: type[Exception]) -> None:
    with pytest.raises(error):
        why(opened(folder), name)


@pytest.mark.parametrize("days", [(-1, 0), (0, -1), (1000, 0), (0, 1000)])
def test_days_out_of_range_are_refused(folder: Path, days: tuple[int, int]) -> None:
    with pytest.raises(RangeError, match="days"):
        weather_strip(opened(folder), *days)


def test_nothing_known_is_said(tmp_path: Path) -> None:
    strip = weather_strip(opened(tmp_path / "bare"))
    assert (strip["state"], strip["days"]) == ("none", [])
    assert "cannot be told" in strip["sentence"]


def test_a_described_strip_is_marked_day_by_day(tmp_path: Path) -> None:
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    describe_climate(opened(made), ClimateGiven("1 C", "66.2 F"))
    strip = weather_strip(opened(made))
    assert strip["state"] == "described"
    assert {day["state"] for day in strip["days"][:8]} == {"described"}
    assert {day["state"] for day in strip["days"][8:]} == {"ahead"}
    assert "from your description, not a forecast" in strip["sentence"]
    chain = why(opened(made), "yard:weather:2027-03-01:tmin")["chain"]
    assert chain[0]["basis"] == "assumed"
    assert any("none of it measured" in link["value"] for link in chain)
    text = " ".join(why(opened(made), "yard:climate")["lines"])
    assert '"66.2 F"' in text
    assert "not measured" in text


def test_the_first_days_of_a_growing_year_are_told_too(tmp_path: Path) -> None:
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 52.4\n")
    workspace = open_workspace(made, on="2027-11-03")
    describe_climate(workspace, ClimateGiven("1 C", "19 C"))
    states = [day["state"] for day in weather_strip(open_workspace(made, on="2027-11-03"))["days"]]
    assert states == ["described"] * 8 + ["ahead"] * 14


def potted(folder: Path) -> Workspace:
    """The same yard with three trees in pots of a litre, six and sixty litres, and one in the ground."""
    workspace = opened(folder)
    sizes = {"P-1": "10x10x10 cm", "P-2": "30x20x10 cm", "P-3": "60x50x20 cm"}
    for n, (pot, size) in enumerate(sizes.items(), 1):
        add_tree(workspace, NewTree(f"Tree {n}", "Ulmus procera"))
        add_pot(workspace, NewPot(pot, "rectangle", size, tree=f"T0{n}"))
    add_tree(workspace, NewTree("In the ground", "Ulmus procera"))
    return opened(folder)


def test_the_usual_pot_is_the_middle_one_of_those_measured(folder: Path) -> None:
    pot = usual_pot(potted(folder))
    assert pot is not None
    assert pot.words.startswith("P-2")


def test_without_a_measured_pot_nothing_is_told_of_a_core(folder: Path) -> None:
    strip = weather_strip(opened(folder))
    day = by_day(strip)["2027-03-10"]
    assert (day["core_frost_prob"], day["core_low_degC"]) == (None, {"value": None, "shown": "", "why": None})
    assert not any("pot" in line for line in strip["lines"])


def test_chances_are_shares_of_years_ahead_and_certain_behind(folder: Path) -> None:
    days = by_day(weather_strip(potted(folder)))
    assert days["2027-03-05"]["bench_frost_prob"] == 1.0  # -1.5 degrees was measured
    assert days["2027-03-06"]["bench_frost_prob"] == 0.0
    assert days["2027-03-10"]["bench_frost_prob"] == 0.3  # 2017, 2018 and 2019 of ten years
    assert days["2027-03-10"]["bench_heat_prob"] == 0.0
    assert days["2027-03-07"]["bench_frost_prob"] is None  # today, not measured


def test_a_core_follows_the_air_and_a_clear_night_cools_it_further(folder: Path) -> None:
    for day in weather_strip(potted(folder))["days"]:
        if day["state"] != "ahead":  # years of one level each: no colder day before
            continue
        # Level ground loses at most some 100 W/m2 to a clear sky, half of that counts, over 15 W/m2K.
        below_degC = day["tmin_degC"]["value"] - day["core_low_degC"]["value"]
        assert 0.0 < below_degC < 100 / 15
        assert day["core_high_degC"]["value"] > day["core_low_degC"]["value"]


def test_a_large_pot_is_slower_than_a_small_one(folder: Path) -> None:
    workspace = potted(folder)
    sky = YardSky(workspace)
    small, large = (_pot_of(workspace.facts_of(tree)) for tree in ("T01", "T03"))
    assert small is not None
    assert large is not None
    days = [date(2027, 3, 9), date(2027, 3, 10)]
    low = [core_of_days(sky, days, pot.core).low_degC for pot in (small, large)]
    assert bool((low[1] > low[0]).all())


def test_the_marks_are_summed_up_in_lines(folder: Path) -> None:
    lines = weather_strip(potted(folder))["lines"]
    assert lines[0] == "Frost at the bench on 7 of the next 7 nights in at least 1 year of 5."
    assert lines[1].startswith("The core of a usual pot (P-2, rectangle 30 × 20 × 10 cm)")


def test_a_core_has_a_why_that_names_pot_and_air(folder: Path) -> None:
    workspace = potted(folder)
    day = by_day(weather_strip(workspace))["2027-03-10"]
    told = why(workspace, day["core_low_degC"]["why"])  # type: ignore[index]
    assert told["value"] == day["core_low_degC"]["shown"]  # type: ignore[index]
    labels = [link["label"] for link in told["chain"]]
    assert "lag of the pot's core behind the air" in labels
    assert any(link["value"].startswith("P-2") for link in told["chain"])
    with pytest.raises(MissingFieldError, match="no pot was measured"):
        why(opened(folder.parent / "other"), "yard:weather:2027-03-10:core_low")


def test_all_days_of_a_strip_are_reckoned_in_one_go(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pot's heat day by day would start afresh for each of them, and take as many times longer."""
    workspace = potted(folder)
    asked: list[int] = []

    def counted(place: PlaceHeat, pot: PotHeat) -> CoreDays:
        asked.append(place.air_degC.shape[-1])
        return pot_days(place, pot)

    monkeypatch.setattr("ringwise.rootzone.heat.pot_days", counted)
    shown = weather_strip(workspace)["days"]
    assert len(asked) == 1
    assert asked[0] >= len(shown) > 10


def test_the_usual_pot_is_told_in_the_language_of_each_reader(tmp_path: Path) -> None:
    folder = small_yard(tmp_path / "yard")
    with open_store(folder) as store:
        store.save(NOW, [Pot(f"PT{n}", "rectangle", 400.0, 300.0, 70.0, tree=f"T{n}") for n in range(1, 5)])
    with LivingYard(folder) as yard:
        pot = usual_pot(yard.workspace())
        assert pot is not None
        assert "rectangle" in pot.words
        with reading(Reading("de")):
            german = usual_pot(yard.workspace())
            assert german is not None
            assert "rechteckig" in german.words
