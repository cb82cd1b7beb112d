"""What every registered phenology model keeps: shapes, missing days, needs, leap years, mirrors, draws."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import EVENTS, forcing, rows_for
from ringwise.phenology.form import Parameters
from ringwise.phenology.models import MODELS, model
from ringwise.phenology.sums import DailyMeans, daily_means

EVERY = sorted(MODELS)
BEFORE = 70  # days of weather before the growing year begins: some models count from there
LATITUDE = 47.0


def published(name: str) -> dict[str, float]:
    """The first complete set of rows that the tables hold for a model."""
    for key in forcing().keys():  # noqa: SIM118 - a Table iterates over rows
        for event in EVENTS:
            rows = rows_for(key, name, event)
            if rows is not None:
                return {parameter: row.number for parameter, row in rows.items()}
    raise AssertionError(f"{name} has no complete set of rows")


def draws(values: dict[str, float], count: int = 1, **other: FloatArray) -> Parameters:
    """Parameters as arrays, one value or one a draw."""
    return {name: np.full(count, value) for name, value in values.items()} | other


def year_of(
    label: int = 2013, *, south: bool = False, seeds: tuple[int, ...] = (1, 2, 3), level_degC: float = 9.0
) -> DailyMeans:
    """A rough wave of a year, coldest 76 days after the start of the growing year; one row a seed."""
    year = GrowingYear(label, south)
    count = BEFORE + year.length_days + 90
    wave = level_degC - 11 * np.cos(2 * np.pi * (np.arange(count) - BEFORE - 76) / 365.25)
    means = np.stack([wave + np.random.default_rng(seed).normal(0, 2.5, count) for seed in seeds])
    return placed(means, label, south=south)


def placed(
    means: FloatArray, label: int, *, south: bool = False, latitude: float | None = None
) -> DailyMeans:
    """Daily means that begin `BEFORE` days before a growing year."""
    year = GrowingYear(label, south)
    first = year.day_index(year.start) - BEFORE
    where = latitude if latitude is not None else (-LATITUDE if south else LATITUDE)
    return daily_means(
        means,
        first_index=first,
        year=year,
        latitude_deg=where,
        tmin_degC=means - 4.0,
        tmax_degC=means + 4.0,
    )


def with_means(days: DailyMeans, means: FloatArray) -> DailyMeans:
    """The same days with other weather."""
    south = days.latitude_deg is not None and days.latitude_deg < 0
    label = days.year_start.year
    return placed(means, label, south=south)


@pytest.mark.parametrize("name", EVERY)
def test_the_form_names_its_own_parameters(name: str) -> None:
    form = model(name)
    assert set(form.drawn) <= set(form.needs)
    assert form.need in form.needs
    assert len(set(form.needs)) == len(form.needs)
    assert form.instead is None or form.instead in MODELS


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("count", [1, 5])
def test_members_by_draws_of_whole_days_within_the_weather(name: str, count: int) -> None:
    days = year_of()
    found = model(name).run(draws(published(name), count), days)
    assert found.shape == (3, count)
    assert np.isfinite(found).all(), "the wave of a temperate year reaches every published need"
    np.testing.assert_array_equal(found, np.round(found))
    assert (found >= days.first_index).all()
    assert (found <= days.days_index[-1]).all()
    assert np.unique(found[:, 0]).size > 1, "three weathers give more than one day"


@pytest.mark.parametrize("name", EVERY)
def test_never_reached_is_missing(name: str) -> None:
    form, values = model(name), published(name)
    need = -1e12 if form.falls else 1e12
    found = form.run(draws(values | {form.need: need}), year_of())
    assert np.isnan(found).all()


@pytest.mark.parametrize("name", EVERY)
def test_a_larger_need_is_never_reached_earlier(name: str) -> None:
    form, values = model(name), published(name)
    middle = values[form.need]
    needs = middle + (abs(middle) or 100.0) * np.linspace(-0.7, 0.5, 25)
    found = form.run(draws(values, 25, **{form.need: needs}), year_of())
    order = found[:, ::-1] if form.falls else found
    reached = np.where(np.isnan(order), np.inf, order)
    assert (np.diff(reached, axis=1)[np.isfinite(reached[:, 1:])] >= 0).all()
    assert all(np.unique(row[np.isfinite(row)]).size > 3 for row in found)


@pytest.mark.parametrize("name", EVERY)
def test_one_draw_at_a_time_gives_the_same(name: str) -> None:
    form, values, days = model(name), published(name), year_of()
    spread = np.array([0.9, 1.0, 1.08, 1.2])
    # Every parameter differs between draws, apart from counts of days that shape the computation.
    whole = {"window", "run"}
    many = {p: np.full(4, v) if p in whole else v * spread for p, v in values.items()}
    together = form.run(many, days)
    for k in range(4):
        alone = form.run({p: v[k : k + 1] for p, v in many.items()}, days)
        np.testing.assert_array_equal(alone[:, 0], together[:, k])


@pytest.mark.parametrize("name", EVERY)
def test_one_value_for_all_draws_is_that_value_in_every_draw(name: str) -> None:
    form, values, days = model(name), published(name), year_of()
    needs = values[form.need] * np.array([0.8, 1.0, 1.1])
    shared = form.run(draws(values) | {form.need: needs}, days)
    spelled = form.run(draws(values, 3) | {form.need: needs}, days)
    np.testing.assert_array_equal(shared, spelled)


@pytest.mark.parametrize("name", EVERY)
def test_one_member_at_a_time_gives_the_same(name: str) -> None:
    form, values, days = model(name), draws(published(name)), year_of()
    together = form.run(values, days)
    for k in range(3):
        alone = form.run(values, with_means(days, days.tmean_degC[[k]]))
        np.testing.assert_array_equal(alone[0], together[k])


@pytest.mark.parametrize("name", EVERY)
def test_a_missing_day_hides_the_stage_only_where_it_was_needed(name: str) -> None:
    form, values, days = model(name), draws(published(name)), year_of(seeds=(1,))
    reached = float(form.run(values, days)[0, 0])
    for hole, hides in ((reached - 3, True), (reached + 1, False), (days.first_index, False)):
        means = days.tmean_degC.copy()
        means[0, int(hole) - days.first_index] = np.nan
        found = form.run(values, with_means(days, means))[0, 0]
        # An autumn rule on runs of days may find a later run; it never finds the same one or an earlier.
        assert (np.isnan(found) or found > reached) if hides else found == reached


@pytest.mark.parametrize("name", EVERY)
def test_days_after_the_stage_and_weather_that_ends_there_change_nothing(name: str) -> None:
    form, values, days = model(name), draws(published(name)), year_of(seeds=(4,))
    reached = float(form.run(values, days)[0, 0])
    cut = days.tmean_degC[:, : int(reached) - days.first_index + 1]
    assert form.run(values, with_means(days, cut))[0, 0] == reached
    assert np.isnan(form.run(values, with_means(days, cut[:, :-1]))[0, 0])


@pytest.mark.parametrize("name", EVERY)
def test_weather_that_starts_after_the_count_is_an_error(name: str) -> None:
    form, values = model(name), published(name)
    begins = (
        values["start_day"] if form.counts_from_start_day else GrowingYear(2013).day_index(date(2012, 11, 1))
    )
    late = daily_means(
        np.full((1, 400), 8.0), first_index=int(begins) + 20, year=GrowingYear(2013), latitude_deg=LATITUDE
    )
    with pytest.raises(MissingFieldError, match="days after the day"):
        form.run(draws(values), late)


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("label", [2011, 2012, 2013, 2100])
def test_leap_years_count_their_day(name: str, label: int) -> None:
    # The wave is laid by day index, so a leap day shifts the calendar and not the index, save for what the
    # daylength of the calendar moves.
    form, values = model(name), draws(published(name))
    index = form.run(values, year_of(label))
    plain = form.run(values, year_of(2013))
    assert np.abs(index - plain).max() <= (1.0 if form.daylength else 0.0)
    year = GrowingYear(label)
    assert [year.day_index(year.day_at(k)) for k in index[:, 0]] == index[:, 0].tolist()
    days_in = (date(label, 12, 31) - date(label, 1, 1)).days + 1
    assert days_in == (366 if label == 2012 else 365)


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("south", [False, True])
def test_the_count_runs_across_new_year(name: str, south: bool) -> None:
    days = year_of(2016, south=south)
    found = model(name).run(draws(published(name)), days)
    year = GrowingYear(2016, south)
    crosses = date(2016, 1, 1) if not south else date(2017, 1, 1)
    assert year.day_at(days.first_index) < crosses < year.day_at(float(days.days_index[-1]))
    assert (np.array([year.day_at(k) - year.start for k in found[:, 0]]) > timedelta(0)).all()


@pytest.mark.parametrize("name", EVERY)
@pytest.mark.parametrize("label", [2012, 2013])
def test_the_same_weather_half_a_year_on_south_of_the_equator(name: str, label: int) -> None:
    # Day indices count from 1 January or 1 July. Temperature alone mirrors exactly; the sun's year is no
    # perfect mirror of itself (181 days lie on one side, and its tilt is a sine of the calendar), so a
    # model of daylength may differ by a day.
    form, values = model(name), draws(published(name))
    north = form.run(values, year_of(label))
    south = form.run(values, year_of(label, south=True))
    assert np.abs(north - south).max() <= (1.0 if form.daylength else 0.0)


@pytest.mark.parametrize("name", EVERY)
def test_the_latitude_matters_where_the_model_reads_the_daylength_and_nowhere_else(name: str) -> None:
    form, values, days = model(name), draws(published(name)), year_of()
    nowhere = daily_means(days.tmean_degC, first_index=days.first_index, year=GrowingYear(2013))
    if form.daylength is None:
        np.testing.assert_array_equal(form.run(values, nowhere), form.run(values, days))
        return
    with pytest.raises(MissingFieldError, match="latitude"):
        form.run(values, nowhere)
    far = placed(days.tmean_degC, 2013, latitude=60.0)
    assert (form.run(values, far) != form.run(values, days)).any()


@pytest.mark.parametrize("name", EVERY)
def test_the_weather_is_left_as_it_was(name: str) -> None:
    days = year_of()
    before = days.tmean_degC.copy()
    values = draws(published(name))
    kept = {p: v.copy() for p, v in values.items()}
    model(name).run(values, days)
    np.testing.assert_array_equal(days.tmean_degC, before)
    assert all((values[p] == kept[p]).all() for p in kept)


@pytest.mark.parametrize("name", [name for name in EVERY if MODELS[name].sums])
def test_the_sums_that_explain_a_day_reach_the_need_on_it(name: str) -> None:
    form, values, days = model(name), published(name), year_of()
    assert form.sums is not None
    found = form.run(draws(values), days)[:, 0]
    sums = form.sums(draws(values), days)
    needed = sums.pop("needed", None)
    total = next(each for key, each in sums.items() if key != "chill_days")[0]
    needs = np.full_like(total, values[form.need]) if needed is None else needed[0]
    for row, need, index in zip(total, needs, found, strict=True):
        at = int(index) - days.first_index
        assert row[at] >= need[at]
        assert need[at - 1] > row[at - 1]
