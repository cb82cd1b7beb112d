"""Whatever was seen, samples stay in stage order, inside the year, and agree with what was seen."""

from __future__ import annotations

from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.days import GrowingYear
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import stage_forecast
from ringwise.phenology.offsets import Prior, inside, offset
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import SpeciesDays, species_days, yard_weather
from ringwise.phenology.stages import ORDER, SPRING
from ringwise.records.taxa import taxon
from ringwise.weather.series import series_of
from ringwise.weather.years import members

YEAR = GrowingYear(2027)
TODAY = date(2027, 5, 1)


@lru_cache(maxsize=4)
def kind(key: str) -> SpeciesDays:
    """A kind of tree under six rough years."""
    rough = np.random.default_rng(5).normal(0, 2, 2100)
    wave = 9 - 10 * np.cos(2 * np.pi * (np.arange(2100) - 76) / 365.25) + rough
    series = series_of(date(2021, 11, 1), {"tmean_degC": wave})
    return species_days(taxon(key), yard_weather(series, members(series, issue=TODAY, year=YEAR)), Luck(3, 5))


@st.composite
def sightings(draw: st.DrawFn) -> SeenStage:
    """Any stage in any of five years, at almost any day."""
    year = GrowingYear(draw(st.integers(2023, 2027)))
    day = year.start + timedelta(days=draw(st.integers(20, 400)))
    before = draw(st.none() | st.integers(1, 30))
    latest = draw(st.sampled_from([day, day, None]))
    earliest = day - timedelta(days=before) if before else (None if latest else day)
    extent = draw(st.sampled_from(["first", "most", "late_branch"]))
    return SeenStage(draw(st.sampled_from(ORDER)), year, latest, earliest, extent, draw(st.booleans()))


@given(
    st.sampled_from(["larix_decidua", "acer_palmatum", "juniperus_chinensis", "fagus_crenata"]),
    st.lists(sightings(), max_size=6),
)
def test_samples_are_ordered_and_bounded(key: str, seen: list[SeenStage]) -> None:
    found = stage_forecast(TreeRecord(3, taxon(key), tuple(seen)), kind(key), today=TODAY)
    assert np.isfinite(found.days).all()
    assert (np.diff(found.days, axis=1) >= 0).all()
    assert (found.days >= YEAR.day_index(YEAR.start)).all()
    assert (found.days <= found.horizon_index).all()
    probs = [found.prob_reached("11", YEAR.start + timedelta(days=k)) for k in range(0, 420, 20)]
    assert (np.diff(probs) >= 0).all()


@given(st.sampled_from(SPRING[:-1]), st.integers(60, 120), st.integers(1, 10))
def test_one_sighting_holds_in_every_sample(code: str, index: int, width: int) -> None:
    seen = SeenStage(code, YEAR, YEAR.day_at(index), YEAR.day_at(index - width))
    found = stage_forecast(TreeRecord(3, taxon("acer_palmatum"), (seen,)), kind("acer_palmatum"), today=TODAY)
    assert (found.samples(code) > index - width).all()
    assert (found.samples(code) <= index + 0.5).all()


@given(
    st.lists(st.floats(-30, 30), min_size=1, max_size=12),
    st.floats(0.5, 8),
    st.floats(0.5, 8),
    st.floats(-5, 5),
)
def test_an_offset_lies_between_its_prior_and_its_residuals(
    residuals: list[float], season_sd_days: float, tree_sd_days: float, prior_days: float
) -> None:
    variances = np.full(len(residuals), season_sd_days**2)
    learned = offset(np.array(residuals)[:, None], variances, Prior(prior_days, tree_sd_days))
    mean = float(np.mean(residuals))
    assert min(mean, prior_days) - 1e-9 <= learned.mean[0] <= max(mean, prior_days) + 1e-9
    assert learned.sd_days < min(tree_sd_days, season_sd_days / len(residuals) ** 0.5) + 1e-9


@given(
    st.floats(-50, 50), st.floats(0.2, 10), st.floats(-60, 60), st.floats(0.01, 30), st.floats(0.001, 0.999)
)
def test_a_cut_normal_stays_inside(
    middle: float, sd_days: float, low: float, width: float, luck: float
) -> None:
    cut = inside(np.array([middle]), sd_days, np.array([low]), np.array([low + width]), np.array([luck]))
    assert low - 1e-9 <= cut.days[0] <= low + width + 1e-9
    assert cut.weight_log[0] <= 1e-2
