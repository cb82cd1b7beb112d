"""Several models side by side: mirrored half a year on, never without a day, the same for the same seed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import StageForecast, stage_forecast
from ringwise.phenology.mixture import Member, shared_out
from ringwise.phenology.seen import SeenStage, TreeRecord
from ringwise.phenology.species import SpeciesDays, YardWeather, species_days, yard_weather
from ringwise.phenology.stages import SPRING
from ringwise.phenology.yard import one_place, yard_forecast
from ringwise.records.taxa import all_taxa, taxon
from ringwise.weather.series import WeatherSeries, series_of
from ringwise.weather.years import members

KINDS = ("fagus_sylvatica", "quercus_robur", "prunus_yedoensis", "prunus_mume", "malus", "abies_alba")
LEAD = 80  # days of weather before the first growing year
LABEL = 2027  # it and the two before it have no leap day in the half-years that are compared


def weather(seed: int, first: date, days: int, level_degC: float, peak: int) -> WeatherSeries:
    """A wave with rough days and drifting seasons; day `peak` after the first is the coldest."""
    rng = np.random.default_rng(seed)
    wave = level_degC - 9.0 * np.cos(2 * np.pi * (np.arange(days) - peak) / 365.0)
    mean = wave + rng.normal(0, 2.5, days) + 2.0 * np.sin(np.arange(days) / 83.0 + seed)
    return series_of(first, {"tmin_degC": mean - 4.0, "tmax_degC": mean + 5.0})


@dataclass(frozen=True)
class Place:
    """The weather of a yard, and its growing year."""

    yard: YardWeather
    year: GrowingYear

    def kind(self, key: str, luck: Luck) -> SpeciesDays:
        return species_days(taxon(key), self.yard, luck)

    def forecast(self, key: str, luck: Luck, *seen: SeenStage) -> StageForecast:
        kind = self.kind(key, luck)
        return stage_forecast(TreeRecord(3, kind.taxon, seen), kind, today=self.year.day_at(66))


def placed(seed: int, *, south: bool, latitude_deg: float | None, level_degC: float = 9.0) -> Place:
    """The same days in either half of the earth, from before the growing year two years back."""
    year = GrowingYear(LABEL, south)
    start = GrowingYear(LABEL - 2, south).start
    days = LEAD + (year.start - start).days + 130
    series = weather(seed, start - timedelta(days=LEAD), days, level_degC, LEAD + 75)
    ahead = members(series, issue=year.day_at(66), year=year, tail_days=0)
    at = None if latitude_deg is None else (-latitude_deg if south else latitude_deg)
    return Place(yard_weather(series, ahead, latitude_deg=at), year)


def spring_of(found: StageForecast) -> FloatArray:
    """Samples up to full leaves: later ones run into the calendar of the half-years."""
    return found.days[:, 1 : SPRING.index("19") + 1]


@given(st.integers(0, 10_000), st.sampled_from(KINDS))
def test_a_mixture_is_mirrored(seed: int, key: str) -> None:
    luck = Luck(seed, 10)
    north, south = (placed(seed, south=side, latitude_deg=None) for side in (False, True))
    told = [
        (
            SeenStage(
                "07",
                GrowingYear(LABEL - 1, each.year.south),
                GrowingYear(LABEL - 1, each.year.south).day_at(92),
            ),
            SeenStage("01", each.year, each.year.day_at(64), each.year.day_at(60)),
        )
        for each in (north, south)
    ]
    first, second = (
        spring_of(each.forecast(key, luck, *seen)) for each, seen in zip((north, south), told, strict=True)
    )
    assert [m.label for m in north.kind(key, luck).spring.members] == [
        m.label for m in south.kind(key, luck).spring.members
    ]
    np.testing.assert_allclose(first, second, atol=1e-9)
    assert np.ptp(first) > 0


@given(st.integers(0, 10_000), st.sampled_from(["fagus_sylvatica", "malus"]))
def test_models_that_read_the_sun_are_mirrored_to_a_day_or_two(seed: int, key: str) -> None:
    """The half-years are of 181 and 184 days: the sun is not quite the same on the mirrored day."""
    luck = Luck(seed, 10)
    medians = [
        np.median(spring_of(placed(seed, south=side, latitude_deg=47.0).forecast(key, luck)), axis=0)
        for side in (False, True)
    ]
    np.testing.assert_allclose(medians[0], medians[1], atol=2.0)


@given(
    st.integers(0, 10_000),
    st.sampled_from(KINDS),
    st.sampled_from([-3.0, 4.0, 9.0, 16.0, 24.0]),
    st.sampled_from([None, -38.0, 1.0, 47.0, 69.0]),
)
def test_another_model_never_takes_a_day_away(
    seed: int, key: str, level_degC: float, latitude_deg: float | None
) -> None:
    """Where the best member of a clock has a day, so have the others; a past season has all or none."""
    place = placed(seed, south=False, latitude_deg=latitude_deg, level_degC=level_degC)
    kind = place.kind(key, Luck(seed, 10))
    for clock in (kind.spring, kind.autumn):
        if clock is None:
            continue
        reached = [np.isfinite(clock.now[:, clock.member_of == k]) for k in range(len(clock.members))]
        best = max((each.all(axis=1) for each in reached), key=lambda years: int(years.sum()))
        for each, member in zip(reached, clock.members, strict=True):
            if not _is_drawn(member):  # a drawn need may be met in one draw and not in another
                assert each[best].all()
        for past in clock.past.values():
            assert np.isfinite(past).all() or np.isnan(past).all() or any(map(_is_drawn, clock.members))


def _is_drawn(member: Member) -> bool:
    return member.choice is not None and any(row.spread == "lognormal" for row in member.choice.rows.values())


@given(st.integers(0, 10_000))
def test_the_same_seed_gives_the_same_yard(seed: int) -> None:
    where = placed(seed, south=False, latitude_deg=47.0)
    days = [SeenStage("11", GrowingYear(LABEL - 1), GrowingYear(LABEL - 1).day_at(101))]
    trees = [TreeRecord(k, taxon(key), tuple(days)) for k, key in enumerate(KINDS)]
    made = []
    for order in (trees, trees[::-1]):
        again = placed(seed, south=False, latitude_deg=47.0)
        found = yard_forecast(order, one_place(again.yard), today=where.year.day_at(66), luck=Luck(seed, 8))
        made.append({tree: each.days for tree, each in found.items()})
    for tree, first in made[0].items():
        np.testing.assert_allclose(first, made[1][tree], atol=1e-9)


@given(st.lists(st.floats(0.001, 1.0), min_size=1, max_size=9), st.integers(1, 120))
def test_every_draw_is_given_and_every_member_heard(shares: list[float], draws: int) -> None:
    total = sum(shares)
    given_out = shared_out([Member(None, "11", share / total) for share in shares], draws)
    assert sum(each.draws for each in given_out) == draws
    assert min(each.draws for each in given_out) >= 1
    assert len(given_out) == min(len(shares), draws)
    if draws >= 10 * len(shares):
        for each in given_out:
            assert abs(each.draws - each.weight_frac * draws) < len(shares)


@pytest.mark.parametrize("key", sorted(key for key, each in all_taxa().items() if not each.is_genus)[::7])
def test_every_kind_has_a_spring(key: str) -> None:
    kind = placed(5, south=False, latitude_deg=47.0).kind(key, Luck(5, 10))
    assert np.isfinite(kind.spring.now).all()
    assert sum(each.draws for each in kind.spring.members) == 10
