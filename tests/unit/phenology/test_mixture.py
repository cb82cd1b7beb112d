"""Several models time one spring: how they share the draws, where each is hung, and who is left out."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import Luck
from ringwise.phenology.clock import Shared, clock_samples
from ringwise.phenology.forecast import StageForecast, alone, spring_spread, stage_forecast
from ringwise.phenology.mixture import GUESTS, SPRING_FORMS, Member, autumn_members, shared_out
from ringwise.phenology.models import MODELS
from ringwise.phenology.seen import SeenStage, TreeRecord, spread_of
from ringwise.phenology.spacing import spacing
from ringwise.phenology.species import Clock, SpeciesDays, YardWeather, species_days, yard_weather
from ringwise.phenology.yard import _judged
from ringwise.records.taxa import taxon
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

TODAY, YEAR, LUCK = date(2027, 3, 7), GrowingYear(2027), Luck(11, 20)
BEECH = "fagus_sylvatica"


@lru_cache(maxsize=4)
def series(first: date = date(2006, 8, 1), level_degC: float = 9.0) -> WeatherSeries:
    """Years that differ in their winters and in their springs."""
    days = np.arange((TODAY - first).days + 1)
    wave = -9.0 * np.cos(2 * np.pi * (days - 150) / 365.25)
    slow = 2.5 * np.sin(days / 97.0) + 1.5 * np.sin(days / 41.0)
    mean = level_degC + wave + slow + np.random.default_rng(3).normal(0, 2.5, days.size)
    return series_of(first, {"tmin_degC": mean - 4, "tmax_degC": mean + 4})


def yard(
    *, latitude_deg: float | None = 48.0, first: date = date(2006, 8, 1), level_degC: float = 9.0
) -> YardWeather:
    told = series(first, level_degC)
    return yard_weather(told, members(told, issue=TODAY, year=YEAR), latitude_deg=latitude_deg)


@lru_cache(maxsize=8)
def kind(key: str, *, guests: bool = False) -> SpeciesDays:
    return species_days(taxon(key), yard(), LUCK, guests=guests)


def names(clock: Clock) -> list[str]:
    return [each.name for each in clock.members]


def forecast(key: str, *seen: SeenStage) -> StageForecast:
    return stage_forecast(TreeRecord(4, taxon(key), seen), kind(key), today=TODAY)


def test_the_forms_are_models_of_the_registry() -> None:
    assert set(SPRING_FORMS) | set(GUESTS) <= set(MODELS)
    assert not set(SPRING_FORMS) & set(GUESTS)


def test_all_models_of_the_closest_key_share_the_draws_alike_when_nothing_is_known() -> None:
    clock = kind(BEECH).spring
    assert names(clock) == ["menzel", "uniforc", "unichill_threshold", "photoperiod_chill"]
    assert [each.draws for each in clock.members] == [5, 5, 5, 5]
    found = clock_samples(clock, [], YEAR, spring_spread(alone()), key=(11, 4), shared=Shared(0.0, 3.3))
    assert found.shares.tolist() == [0.25] * 4
    middles = [np.median(clock.now[:, clock.member_of == k]) for k in range(4)]
    assert min(middles) < np.median(forecast(BEECH).samples("11")) < max(middles)


def test_each_draw_is_hung_on_the_stage_that_its_model_times() -> None:
    clock = kind("quercus_robur").spring
    assert [each.code for each in clock.members] == ["11", "01"]
    chosen = np.arange(LUCK.draws)
    days = clock.now.ravel()[:, None] + clock.hung(chosen)
    for place, code in enumerate(("11", "01")):
        mine = np.tile(clock.member_of == place, clock.now.shape[0])
        np.testing.assert_allclose(days[mine, clock.column(code)], clock.now.ravel()[mine])
    # Chosen draws take their own stage with them, wherever they now stand.
    turned = chosen[::-1].copy()
    again = clock.now[:, turned].ravel()[:, None] + clock.hung(turned)
    swell = np.tile(clock.member_of[turned] == 1, clock.now.shape[0])
    np.testing.assert_allclose(again[swell, 0], clock.now[:, turned].ravel()[swell])


def test_flowers_time_leaves_through_the_days_between_them() -> None:
    clock = kind("prunus_persica").spring
    assert (clock.members[0].label, clock.members[0].code) == ("uniforc.flowering", "61")
    between = clock.gap_days[clock.member_of == 0][:, clock.column("11")]
    assert between == pytest.approx(spacing().get("prunus_persica", "flower_to_leaf").number, abs=1.0)


def test_a_guest_stays_out_until_own_seasons_can_judge_it() -> None:
    assert names(kind("malus").spring) == ["thermal_time"]
    tree = taxon("malus")
    label = YEAR.label
    for seasons, joins in ((7, False), (8, True)):
        years = [GrowingYear(label - k, YEAR.south) for k in range(1, seasons + 1)]
        seen = tuple(
            SeenStage("11", year, date(year.label, 4, 20), date(year.label, 4, 18)) for year in years
        )
        assert _judged([TreeRecord(4, tree, seen)], YEAR, TODAY) is joins
    later = SeenStage("11", YEAR, TODAY, TODAY - timedelta(days=2))
    assert not _judged([TreeRecord(4, tree, (later,))], YEAR, TODAY)


@pytest.mark.parametrize(("code", "month", "joins"), [("93", 10, False), ("95", 11, False), ("19", 5, True)])
def test_only_springs_judge_a_guest_of_spring(code: str, month: int, joins: bool) -> None:
    years = [GrowingYear(YEAR.label - k) for k in range(1, 10)]
    seen = tuple(SeenStage(code, year, date(year.label, month, 20)) for year in years)
    assert _judged([TreeRecord(4, taxon("malus"), seen)], YEAR, TODAY) is joins


def test_a_guest_has_little_to_say() -> None:
    clock = kind("malus", guests=True).spring
    assert names(clock) == ["thermal_time", "phenoflex"]
    assert clock.members[1].weight_frac == pytest.approx(spread_of("guest_weight"))
    assert clock.members[1].draws == 2
    pair = clock.now[:, clock.member_of == 1]
    plain = species_days(
        taxon("malus"), yard(), Luck(11, 1), guests=True
    ).spring  # one draw: the leading model alone
    assert names(plain) == ["thermal_time"]
    assert (pair[:, 0] - pair[:, 1]).std() == pytest.approx(0.0)  # a mirrored pair of what is lent
    assert abs(pair[0, 0] - pair[0, 1]) > 1


def test_without_latitude_the_model_of_daylength_is_left_out_and_named() -> None:
    clock = species_days(taxon(BEECH), yard(latitude_deg=None), LUCK).spring
    assert "photoperiod_chill" not in names(clock)
    assert sum(each.weight_frac for each in clock.members) == pytest.approx(1.0)
    (out,) = clock.left_out
    assert out.label == "photoperiod_chill.leaf_unfolding"
    assert "latitude" in out.why
    dark = species_days(taxon(BEECH), yard(latitude_deg=None), LUCK)
    told = stage_forecast(TreeRecord(4, dark.taxon), dark, today=TODAY).why("11")
    text = [f"{link.label}: {link.value}" for _depth, link in told.walk()]
    assert any("photoperiod_chill, leaf_unfolding left out" in line and "latitude" in line for line in text)
    assert any(line.startswith("menzel, 35 % of the draws") for line in text)


def test_weather_that_does_not_reach_back_leaves_out_what_counts_from_there() -> None:
    told = series(date(2025, 11, 1))
    short = yard_weather(told, members(told, issue=TODAY, year=YEAR), latitude_deg=48.0)
    clock = species_days(taxon(BEECH), short, LUCK).spring
    assert names(clock)[:2] == ["menzel", "uniforc"]
    assert np.isfinite(clock.now).all()
    # Cut off at its own first day the growing year has nothing for models that count from before it.
    late = replace(
        short, now=replace(short.now, tmean_degC=blinded(short.now.tmean_degC, short)), runs={}, kept_now={}
    )
    kept = species_days(taxon(BEECH), late, LUCK).spring
    assert names(kept) == ["menzel", "uniforc"]
    assert [each.label for each in kept.left_out] == [
        "unichill_threshold.leaf_unfolding",
        "photoperiod_chill.leaf_unfolding",
    ]
    assert np.isfinite(kept.now).all()


def blinded(values: FloatArray, weather: YardWeather) -> FloatArray:
    """The same days, those before the growing year missing."""
    before = weather.now.days_index < weather.now.start_index
    return np.where(before, np.nan, values)


def test_where_a_chill_is_never_met_the_next_key_times_the_leaves() -> None:
    fir = species_days(taxon("abies_alba"), yard(level_degC=22.0), LUCK).spring
    assert [each.choice.key for each in fir.members if each.choice] == ["G6"]
    assert [each.label for each in fir.left_out] == ["unichill.leaf_unfolding"]
    cold = species_days(taxon("abies_alba"), yard(), LUCK).spring
    assert [each.choice.key for each in cold.members if each.choice] == ["abies_alba"]


def seen_by(clock: Clock, member: int, seasons: int) -> list[SeenStage]:
    """Leaves on the very day that one model gives, in so many past seasons."""
    found = []
    for label in sorted(clock.past)[-seasons:]:
        year = GrowingYear(label)
        day = year.day_at(float(clock.past[label][clock.member_of == member][0]))
        found.append(SeenStage("11", year, day, day - timedelta(days=1)))
    return found


@pytest.mark.parametrize("right", [0, 1, 2, 3])
def test_the_share_of_wrong_models_falls_with_seasons(right: int) -> None:
    clock = kind(BEECH).spring
    share = []
    for seasons in (0, 1, 4, 7, 18):
        told = seen_by(clock, right, seasons) if seasons else []
        found = clock_samples(
            clock, told, YEAR, spring_spread(alone()), key=(11, 4), shared=Shared(0.0, spread_of("site_sd"))
        )
        share.append(float(found.shares[right]))
    assert share[0] == 0.25
    assert share[1] <= 0.45  # one season changes little
    assert share[-1] > share[0]
    assert share[-1] >= max(share[:4]) - 0.05


def test_a_long_record_rules() -> None:
    """A model that is out by a week, now to this side and now to that, hardly speaks after a long record."""
    clock = kind(BEECH).spring
    wrong = {
        label: np.where(clock.member_of == 0, days, days[0] + (9.0 if label % 2 else -9.0))
        for label, days in clock.past.items()
    }
    odd = replace(clock, past=wrong)
    shares = []
    for seasons in (1, 18):
        told = seen_by(odd, 0, seasons)
        found = clock_samples(odd, told, YEAR, spring_spread(alone()), key=(11, 4), shared=Shared(0.0, 3.3))
        shares.append(float(found.shares[0]))
    assert shares[0] < 0.6
    assert shares[1] > 0.95


def test_a_wide_interval_teaches_less_than_a_narrow_one() -> None:
    plain = float(np.median(forecast("larix_decidua").samples("11")))
    shifts = []
    for width in (1, 20):
        told = []
        for seen in seen_by(kind("larix_decidua").spring, 0, 4):
            assert seen.latest is not None
            late = seen.latest + timedelta(days=12 + width // 2)
            told.append(SeenStage("11", seen.year, late, late - timedelta(days=width)))
        shifts.append(float(np.median(forecast("larix_decidua", *told).samples("11"))) - plain)
    assert 0.5 < shifts[1] < shifts[0] - 0.5


def test_draws_are_shared_out_to_the_last_one() -> None:
    three = [Member(None, "11", weight) for weight in (0.6, 0.39, 0.01)]
    assert [each.draws for each in shared_out(three, 10)] == [6, 3, 1]
    assert [each.draws for each in shared_out(three, 2)] == [1, 1]
    assert [each.draws for each in shared_out(autumn_members(), 1)] == [1]
    for draws in range(1, 40):
        assert sum(each.draws for each in shared_out(three, draws)) == draws
