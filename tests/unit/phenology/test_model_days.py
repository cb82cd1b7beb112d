"""Models: hand-counted days, missing days, never reached, draws."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import MissingFieldError, UnknownNameError
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import (
    Luck,
    drawn_parameters,
    forcing,
    mirrored,
    named_choice,
    rows_for,
)
from ringwise.phenology.mixture import spring_choice
from ringwise.phenology.model_chill_heat import menzel
from ringwise.phenology.models import MODELS, cool_run, model, thermal_time
from ringwise.phenology.sums import DailyMeans, daily_means
from ringwise.records.taxa import all_taxa, lookup_keys

YEAR = GrowingYear(2013)


def one(value: float) -> FloatArray:
    """A single parameter."""
    return np.array([value])


def season(*parts: tuple[int, float], first_index: int = -60) -> DailyMeans:
    """Stretches of (days, mean temperature)."""
    means = np.concatenate([np.full(days, value) for days, value in parts])
    return daily_means(means, first_index=first_index, year=YEAR)


def test_menzel_counts_chill_to_the_day_itself_and_heat_from_the_heat_start() -> None:
    # 92 cold days before day 32, then 3 degree days a day at 6: all days are cold ones (<= 7).
    days = season((400, 6.0))
    parameters = {"chill_base": one(7), "heat_base": one(3), "a": one(500.0), "b": one(-100.0)}
    reached = next(n for n in range(1, 200) if 3 * n >= 500 - 100 * np.log(92 + n))
    assert menzel(parameters, days)[0, 0] == 31 + reached


def test_menzel_without_chill_needs_a_alone() -> None:
    days = season((400, 10.0))
    parameters = {"chill_base": one(7), "heat_base": one(5), "a": one(51.0), "b": one(-100.0)}
    assert menzel(parameters, days)[0, 0] == 31 + 11


def test_heat_before_the_start_does_not_count() -> None:
    days = season((61, 30.0), (340, 6.0))  # the warm stretch ends on the eve of day 1
    parameters = {"start_day": one(1), "base": one(5), "heat": one(10.0)}
    assert thermal_time(parameters, days)[0, 0] == 10


def test_each_draw_has_its_own_need() -> None:
    days = season((400, 6.0))
    parameters = {"start_day": one(1), "base": one(5), "heat": np.array([10.0, 20.0, 1e9])}
    found = thermal_time(parameters, days)[0]
    assert found[:2].tolist() == [10.0, 20.0]
    assert np.isnan(found[2])


def test_a_missing_day_hides_all_later_ones() -> None:
    means = np.full(400, 6.0)
    means[70] = np.nan  # day index 10
    days = daily_means(means, first_index=-60, year=YEAR)
    early = {"start_day": one(1), "base": one(5), "heat": one(9.0)}
    late = {"start_day": one(1), "base": one(5), "heat": one(12.0)}
    assert thermal_time(early, days)[0, 0] == 9
    assert np.isnan(thermal_time(late, days)[0, 0])
    cold = {"chill_base": one(7), "heat_base": one(3), "a": one(500.0), "b": one(-100.0)}
    assert np.isnan(menzel(cold, days)[0, 0])


def test_weather_that_starts_too_late_is_an_error() -> None:
    days = season((100, 6.0), first_index=40)
    with pytest.raises(MissingFieldError, match="starts 39 days after"):
        thermal_time({"start_day": one(1), "base": one(5), "heat": one(9.0)}, days)
    with pytest.raises(MissingFieldError, match="starts 100 days after"):
        menzel({"chill_base": one(7), "heat_base": one(3), "a": one(1.0), "b": one(0.0)}, days)


def test_cool_run_needs_consecutive_days_of_the_running_mean() -> None:
    parameters = {"start_day": one(1), "window": one(1), "run": one(3), "threshold": one(10.0)}
    days = season((2, 5.0), (1, 15.0), (3, 5.0), (9, 15.0), first_index=1)
    assert cool_run(parameters, days)[0, 0] == 6
    assert np.isnan(cool_run(parameters, season((30, 10.0), first_index=1))[0, 0])


def test_cool_run_starts_no_earlier_than_its_day() -> None:
    parameters = {"start_day": one(5), "window": one(1), "run": one(3), "threshold": one(10.0)}
    assert cool_run(parameters, season((30, 5.0), first_index=1))[0, 0] == 7


def test_unknown_models_and_species_offer_near_names() -> None:
    with pytest.raises(UnknownNameError, match="thermal_time"):
        model("thermaltime")
    with pytest.raises(UnknownNameError, match="larix_decidua"):
        named_choice("menzel", "larix_deciduas")
    with pytest.raises(UnknownNameError, match="leaf_unfolding"):
        named_choice("menzel", "larix_decidua", "bud_swelling")


def test_every_row_belongs_to_a_complete_model_or_says_why_not() -> None:
    for row in forcing():
        name, event, parameter = row.parameter.split(".")
        assert parameter in MODELS[name].needs
        complete = rows_for(row.key, name, event) is not None
        assert complete or "was not printed" in row.note, f"{row.key}.{row.parameter}"


def test_every_taxon_gets_a_model_and_evergreens_do_not_borrow_from_deciduous_kin() -> None:
    for key, taxon in all_taxa().items():
        choice = spring_choice(lookup_keys(key), leaf_habit=taxon.leaf_habit)
        assert choice.key in lookup_keys(key)
    assert spring_choice(lookup_keys("quercus_ilex"), leaf_habit="E").key == "G3"
    assert spring_choice(lookup_keys("quercus_rubra"), leaf_habit="D").key == "quercus"
    assert spring_choice(lookup_keys("larix_decidua"), leaf_habit="DC").basis == "fitted"
    assert spring_choice(lookup_keys("larix_kaempferi"), leaf_habit="DC").basis == "transferred"
    assert spring_choice(lookup_keys("celtis_sinensis"), leaf_habit="D").basis == "assumed"


def test_draws_spread_as_their_row_says_and_keep_its_value_as_middle() -> None:
    choice = spring_choice(("G1",))
    heat = drawn_parameters(choice, Luck(7, 2000))["heat"]
    assert np.median(heat) == pytest.approx(320, rel=1e-3)
    assert np.percentile(heat, [5, 95]) == pytest.approx([200.5, 510.8], rel=0.06)  # 90 % range of the row
    assert drawn_parameters(spring_choice(("larix_decidua",)), Luck(7, 20))["a"].tolist() == [1372.0]


def test_draws_are_the_same_for_the_same_seed_and_mirrored() -> None:
    a, b = mirrored(Luck(7, 21), "x"), mirrored(Luck(7, 21), "x")
    np.testing.assert_array_equal(a, b)
    assert a[10] == 0.0
    np.testing.assert_array_equal(a[:10], -a[11:])
    assert not np.array_equal(a, mirrored(Luck(8, 21), "x"))
