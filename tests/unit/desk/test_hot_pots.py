"""Heat and frost of pots as told: the words of the record count, places shade, hot days are announced."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.hot_pots import heat_notes
from ringwise.desk.pot_cores import core_over_years
from ringwise.desk.pot_sheet import show_pot
from ringwise.desk.pot_skins import recorded_heat
from ringwise.desk.pots import NewPot, add_pot
from ringwise.desk.trees import NewTree, action, add_tree
from ringwise.desk.weather import rows_of
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.desk.yard_forecast import yard_forecast
from ringwise.records.model import Pot
from ringwise.rootzone.skin import pot_tone
from ringwise.weather.series import series_of

JUNE, MARCH = "2027-06-20", "2027-03-07"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Five years of a warm yard with its sun measured, and three pots of one size."""
    made = tmp_path / "yard"
    made.mkdir()
    (made / "collection.toml").write_text("latitude_deg = 45.0\n")
    first = date(2021, 11, 1)
    days = np.arange((date(2027, 6, 19) - first).days)
    season = -np.cos(2 * np.pi * (days + 300 - 15) / 365.25)
    low, high = 8 + 8 * season, 19 + 12 * season
    series = series_of(
        first,
        {
            "tmin_degC": low,
            "tmax_degC": high,
            "radiation_mj_m2": 14 + 11 * season,
            "wind_2m_m_s": np.full(days.size, 1.5),
        },
        station="roof",
        source="roof.csv",
    )
    workspace = open_workspace(made, on=JUNE)
    workspace.store.weather_put(action(workspace, None, "weather import"), rows_of(series))
    for n, (colour, material) in enumerate(
        [("black", "plastic"), ("", ""), ("cream", "glazed stoneware")], 1
    ):
        add_tree(workspace, NewTree(f"Tree {n}", "Ulmus procera"))
        pot = NewPot(f"P-{n}", "rectangle", "30x22x8 cm", colour=colour, material=material, tree=f"T0{n}")
        add_pot(workspace, pot)
    return made


def opened(folder: Path, on: str = JUNE) -> Workspace:
    return open_workspace(folder, on=on)


@pytest.mark.parametrize(
    ("colour", "material", "told"),
    [
        ("dark red", "", ("dark", True, False)),
        ("red-brown", "clay", ("mid", True, True)),
        ("hellgrau", "", ("light", True, False)),
        ("", "terracotta", ("terracotta", True, True)),
        ("", "unglazed stoneware", ("mid", False, False)),
        ("", "glazed clay", ("mid", False, False)),
        ("", "black plastic", ("dark", True, False)),
        ("", "", ("mid", False, False)),
    ],
)
def test_the_words_of_the_record(colour: str, material: str, told: tuple[str, bool, bool]) -> None:
    assert pot_tone(colour, material) == told


def test_a_pot_tells_what_is_assumed_of_it(folder: Path) -> None:
    workspace = opened(folder)
    black, unknown = (show_pot(workspace, name) for name in ("P-1", "P-2"))
    assert black["heat"]["tone"] == "dark"
    assert black["heat"]["hot_day"]["wall_degC"] > unknown["heat"]["hot_day"]["wall_degC"]
    assert (black["heat"]["tone_told"], unknown["heat"]["tone_told"]) == (True, False)
    assert any("assumed: the pot's colour" in line for line in unknown["lines"])
    assert any("Never spray cold water on a hot pot" in line for line in black["lines"])
    assert any("hottest in the west" in line for line in black["lines"])  # the sun of the afternoon
    covers = {each["cover"]: each["wall_degC"] for each in black["heat"]["hot_day"]["covers"]}
    assert covers["board"] < covers["cloth"] < black["heat"]["hot_day"]["wall_degC"]
    night = black["heat"]["frost_night"]
    assert night["core_degC"] < night["air_degC"] < night["held_degC"] <= 0.0


def test_a_pot_without_measures_is_not_told(folder: Path) -> None:
    workspace = opened(folder)
    workspace.store.save(action(workspace, None, "pot add"), [Pot("P-9", "ground", None, None, None)])
    assert show_pot(opened(folder), "P-9")["heat"] is None


def test_hot_walls_are_announced_and_the_hottest_named_first(folder: Path) -> None:
    workspace = opened(folder)
    notes = heat_notes(workspace, yard_forecast(workspace))
    assert len(notes) == 1
    assert "pots pass 42 °C (T01" in notes[0]
    assert "water in the morning" in notes[0]


def test_nothing_is_announced_in_a_cool_week(folder: Path) -> None:
    workspace = opened(folder, MARCH)
    assert heat_notes(workspace, yard_forecast(workspace)) == []


def test_the_place_shades_the_pot_and_shelters_it_from_the_sky(folder: Path) -> None:
    workspace = opened(folder)
    yard = yard_forecast(workspace)
    facts = workspace.facts_of("T01")
    pot = recorded_heat(facts.pot)
    assert pot is not None
    bench, shade = (core_over_years(workspace, yard, facts, pot, kind=k) for k in ("open_bench", "shade"))
    june = slice(*(yard.members.column(date(2027, 6, 20) + timedelta(days=k)) for k in (0, 10)))
    assert (shade.wall_high_degC[:, june] < bench.wall_high_degC[:, june] - 5).all()
    assert (shade.low_degC[:, june] > bench.low_degC[:, june]).all()


def test_sun_is_taken_as_measured_where_it_was(folder: Path) -> None:
    from ringwise.weather.sun_years import sun_years

    workspace = opened(folder)
    yard = yard_forecast(workspace)
    told = sun_years(yard.members, yard.series, latitude_deg=45.0)
    june = yard.members.column(date(2027, 6, 25))
    assert not told.coarse[:, june].any()
    past = [yard.series.day(date(year, 6, 25))["radiation_mj_m2"] for year in range(2022, 2027)]
    assert told.radiation_mj_m2[:, june] == pytest.approx(past)
    guessed = sun_years(yard.members, None, latitude_deg=45.0)
    assert guessed.coarse[:, june].all()
