"""One model on one series by name: overrides, missing days, both hemispheres."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ringwise.kit.errors import MissingFieldError, UnknownNameError
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.series import WeatherSeries, series_of


def steady(first: date, days: int, value: float = 6.0) -> WeatherSeries:
    """The same mean every day."""
    return series_of(first, {"tmean_degC": np.full(days, value)}, station="steady")


def test_overrides_are_used_and_shown_as_given_by_hand() -> None:
    series = steady(date(2013, 1, 1), 120)
    ask = StageAsk("thermal_time", "any", 2013, overrides={"start_day": 1, "base": 5, "heat": 10})
    found = stage_day(series, ask)
    assert found.when == date(2013, 1, 10)
    assert (found.heat_degC_days, found.heat_needed_degC_days) == (10.0, 10.0)
    assert {(row.parameter.split(".")[-1], row.basis, row.note) for row in found.rows} == {
        ("start_day", "assumed", "given by hand"),
        ("base", "assumed", "given by hand"),
        ("heat", "assumed", "given by hand"),
    }


def test_unknown_overrides_stages_and_species_are_refused() -> None:
    series = steady(date(2013, 1, 1), 120)
    with pytest.raises(UnknownNameError, match="chill_base"):
        stage_day(series, StageAsk("menzel", "larix_decidua", 2013, overrides={"chillbase": 3}))
    with pytest.raises(UnknownNameError, match="leaf_unfolding"):
        stage_day(series, StageAsk("menzel", "larix_decidua", 2013, stage="leaf_fall"))
    with pytest.raises(UnknownNameError, match="larix_decidua"):
        stage_day(series, StageAsk("menzel", "Larix decidva", 2013))


def test_names_and_codes_are_read_as_typed_by_people() -> None:
    series = steady(date(2012, 11, 1), 300)
    plain = stage_day(series, StageAsk("menzel", "quercus_robur", 2013, stage="bud_swelling"))
    typed = stage_day(series, StageAsk("menzel", "Quercus robur", 2013, stage="01"))
    assert plain == typed
    assert plain.stage == "bud_swelling"


def test_a_series_that_ends_early_is_not_reached() -> None:
    found = stage_day(steady(date(2012, 11, 1), 120), StageAsk("menzel", "larix_decidua", 2013))
    assert found.when is None
    assert found.day_of_year is None
    assert found.chill_days is None


def test_a_series_that_starts_late_or_has_a_gap_is_an_error() -> None:
    with pytest.raises(MissingFieldError, match="lacks days"):
        stage_day(steady(date(2012, 12, 1), 250), StageAsk("menzel", "larix_decidua", 2013))
    mean = np.full(300, 6.0)
    mean[60:70] = np.nan
    holed = series_of(date(2012, 11, 1), {"tmean_degC": mean})
    with pytest.raises(MissingFieldError, match="the first 60 days after"):
        stage_day(holed, StageAsk("menzel", "larix_decidua", 2013))


def test_the_calendar_day_in_the_south() -> None:
    # 31 days from year_start to the heat start, then 51 days (worked by hand in the north's doctest).
    south = stage_day(steady(date(2013, 5, 1), 300), StageAsk("menzel", "larix_decidua", 2013, south=True))
    assert south.when == date(2013, 9, 20)
    assert south.day_of_year == 263
