"""The same weather half a year later, south of the equator, gives the same stages half a year later.

The shift is from `year_start` to `year_start` of one label: 1 January to 1 July, 181 days, 182 in a leap
year. Both growing years then begin 61 days before it and sum heat from day index 32, so day indices agree
exactly. Past years are laid over by calendar day; a past spring with a 29 February is pulled by one day
against its mirror in the other half, so the property over members uses years without one.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import stage_forecast
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import species_days, yard_weather
from ringwise.records.taxa import taxon
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

MODELS = (
    ("menzel", "larix_decidua"),
    ("menzel", "fagus_sylvatica"),
    ("uniforc", "fagus_sylvatica"),
    ("thermal_time", "G1"),
    ("chill_exponential", "salix_viminalis"),
)


def weather(seed: int, days: int, level_degC: float) -> FloatArray:
    """A wave of a year with some roughness, coldest 76 days after its start."""
    rough = np.random.default_rng(seed).normal(0, 2.5, days)
    wave = level_degC - 10 * np.cos(2 * np.pi * (np.arange(days) - 76) / 365.25)
    return wave + rough


def placed(values: FloatArray, label: int, *, south: bool) -> WeatherSeries:
    """The values from the start of a growing year on."""
    return series_of(GrowingYear(label, south).start, {"tmean_degC": values})


@given(
    st.integers(0, 10_000),
    st.integers(1990, 2050),
    st.floats(4, 16),
    st.sampled_from(MODELS),
)
def test_a_model_day_is_mirrored(seed: int, label: int, level_degC: float, named: tuple[str, str]) -> None:
    values = weather(seed, 330, level_degC)
    north = stage_day(placed(values, label, south=False), StageAsk(*named, label))
    south = stage_day(placed(values, label, south=True), StageAsk(*named, label, south=True))
    shift = date(label, 7, 1) - date(label, 1, 1)
    assert shift.days == (182 if label % 4 == 0 else 181)
    assert (south.chill_days, south.heat_degC_days) == (north.chill_days, north.heat_degC_days)
    if north.when is None:
        assert south.when is None
    else:
        assert south.when is not None
        assert south.when - north.when == shift


def forecast_days(seed: int, *, south: bool, key: str) -> FloatArray:
    """Samples of the stages of one tree: two past years without leap day, one sighting, one past season."""
    label = 2027
    year = GrowingYear(label, south)
    first = GrowingYear(label - 2, south)
    parts = [weather(seed + k, GrowingYear(first.label + k, south).length_days, 9.0) for k in range(2)]
    parts.append(weather(seed + 2, 127, 9.0))
    series = series_of(first.start, {"tmean_degC": np.concatenate(parts)})
    today = year.day_at(66)
    yard = yard_weather(series, members(series, issue=today, year=year, tail_days=0))
    kind = species_days(taxon(key), yard, Luck(seed, 6))
    seen = (
        SeenStage("07", GrowingYear(label - 1, south), GrowingYear(label - 1, south).day_at(84)),
        SeenStage("01", year, year.day_at(64), year.day_at(60)),
    )
    return stage_forecast(TreeRecord(3, kind.taxon, seen), kind, today=today).days


@given(st.integers(0, 10_000), st.sampled_from(["larix_decidua", "acer_palmatum", "fagus_crenata"]))
def test_a_forecast_is_mirrored(seed: int, key: str) -> None:
    north, south = (forecast_days(seed, south=side, key=key) for side in (False, True))
    spring = slice(0, 9)  # the stages before the calendar days of the two half-years stop to agree
    np.testing.assert_allclose(north[:, spring], south[:, spring], atol=1e-9)
    assert np.ptp(north[:, 3]) > 0


def test_the_shift_in_days() -> None:
    assert GrowingYear(2027, south=True).year_start - GrowingYear(2027).year_start == timedelta(days=181)
