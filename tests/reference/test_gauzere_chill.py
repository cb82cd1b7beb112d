"""Chill, forcing and daylength of beech and fir by the parameters attributed to Gauzere et al. (2017)."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from ringwise.kit.errors import MissingFieldError
from ringwise.phenology.calc import StageAsk, stage_day
from ringwise.weather.reading import read_csv
from ringwise.weather.series import WeatherSeries, series_of

GOETTINGEN_NORTH_DEG = 51.5


def goettingen() -> WeatherSeries:
    """Daily means 2001 to 2010 (Deutscher Wetterdienst)."""
    text = (Path(__file__).parent / "data" / "goe.csv").read_text(encoding="utf-8")
    return read_csv(text, file="goe.csv")


def test_photoperiod_and_chill_at_goettingen() -> None:
    # Source: parameters read in a public model repository; days by an independent program, at 51.5 N.
    series = goettingen()
    days = [
        stage_day(
            series,
            StageAsk("photoperiod_chill", "fagus_sylvatica", year, latitude_deg=GOETTINGEN_NORTH_DEG),
        ).day_of_year
        for year in range(2002, 2011)
    ]
    assert days == [128, 120, 123, 123, 122, 120, 119, 119, 118]


def test_photoperiod_needs_the_latitude() -> None:
    with pytest.raises(MissingFieldError, match="latitude"):
        stage_day(goettingen(), StageAsk("photoperiod_chill", "fagus_sylvatica", 2003))


def test_threshold_form_is_taken_where_a_species_has_its_rows() -> None:
    # Source: algebra. 70 days at 0 degrees from index -61 on make 70 of 73.7 chill days; at 13 degrees no
    # day is colder than 13. Then 3 more days at 0 never complete it; 4 do, and forcing at 13 is a half a day.
    for cold, forced in ((3, False), (4, True)):
        means = np.r_[np.full(70 + cold, 0.0), np.full(200, 13.0)]
        series = series_of(date(2012, 10, 31), {"tmean_degC": means})
        found = stage_day(series, StageAsk("unichill", "fagus_sylvatica", 2013))
        assert found.model == "unichill_threshold"
        if not forced:
            assert found.when is None
            continue
        # 37.3 less the forcing of the last cold day, 1 / (1 + exp(0.08 * 13)), in halves, rounded up
        halves = int(np.ceil((37.3 - 1 / (1 + np.exp(0.08 * 13))) * 2))
        assert found.when == date.fromordinal(date(2012, 10, 31).toordinal() + 73 + halves)
        assert found.chill_days == 74


def test_whole_form_by_a_plain_loop() -> None:
    # Source: the formula of Chuine (2000), day by day, written out here.
    series = goettingen()
    for year in range(2003, 2011):
        found = stage_day(series, StageAsk("unichill", "abies_alba", year))
        chill = force = 0.0
        when = date(year - 1, 10, 26)  # printed as day -67, where -1 is 31 December
        while True:
            warmth = float(series.tmean_degC[(when - series.first).days])
            beyond = warmth + 4.95
            chill += 1 / (1 + np.exp(min(1.61 * beyond**2 - 27.1 * beyond, 700.0)))
            if chill >= 144.6:
                force += 1 / (1 + np.exp(-0.24 * (warmth - 15.2)))
            if force >= 9:
                break
            when = date.fromordinal(when.toordinal() + 1)
        assert found.when == when
