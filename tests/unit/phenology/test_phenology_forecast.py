"""Forecasts of a tree and a yard: what own seasons, sightings and neighbours change, and what they do not."""

from __future__ import annotations

import math
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.kit.errors import UnknownNameError
from ringwise.phenology.choice import Luck
from ringwise.phenology.forecast import StageForecast, stage_forecast
from ringwise.phenology.lessons import Lesson, place_terms, shared_for
from ringwise.phenology.seen import SeenStage, TreeRecord, spread_of
from ringwise.phenology.species import SpeciesDays, YardWeather, species_days, yard_weather
from ringwise.phenology.yard import one_place, yard_forecast
from ringwise.records.taxa import taxon
from ringwise.weather.series import series_of
from ringwise.weather.years import members

TODAY = date(2027, 3, 7)
YEAR = GrowingYear(2027)
LUCK = Luck(11, 20)


@lru_cache(maxsize=1)
def yard() -> YardWeather:
    """Fifteen years of a smooth climate, each year a little warmer or colder than the next."""
    first = date(2011, 11, 1)
    days = [first + timedelta(days=k) for k in range((date(2027, 3, 7) - first).days + 1)]
    wave = [10 - 9 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365.25) for day in days]
    shift = [1.5 * math.sin(1.7 * GrowingYear(day.year).label + day.month / 6) for day in days]
    mean = np.array(wave) + np.array(shift)
    series = series_of(first, {"tmin_degC": mean - 4, "tmax_degC": mean + 4}, station="smooth")
    return yard_weather(series, members(series, issue=TODAY, year=YEAR))


@lru_cache(maxsize=8)
def kind(key: str) -> SpeciesDays:
    """A kind of tree in that yard."""
    return species_days(taxon(key), yard(), LUCK)


def forecast(key: str, *seen: SeenStage, today: date = TODAY, tree: int = 5) -> StageForecast:
    """A forecast of one tree that stands alone."""
    return stage_forecast(TreeRecord(tree, taxon(key), seen), kind(key), today=today)


def typical(key: str, label: int) -> date:
    """The day on which an average tree of a kind shows stage 07 in a past year."""
    clock = kind(key).spring
    days = clock.past[label] + clock.gap_days[:, clock.column("07")]
    return GrowingYear(label).day_at(float(np.mean(days)))


def sighting(
    key: str, label: int, later_days: int, *, weak: bool = False, extent: str = "first"
) -> SeenStage:
    """Stage 07 seen so many days after the average tree of its kind in a past year, visited daily."""
    day = typical(key, label) + timedelta(days=later_days)
    return SeenStage("07", GrowingYear(label), day, day - timedelta(days=1), extent=extent, weak=weak)


def test_samples_are_ordered_and_cover_weather_and_draws() -> None:
    found = forecast("acer_palmatum")
    assert found.days.shape == (yard().members.n * 20, 15)
    assert (np.diff(found.days, axis=1) >= 0).all()
    assert (found.samples("00") == YEAR.day_index(YEAR.start)).all()
    assert (found.model, found.basis, found.own_seasons) == ("thermal_time", "assumed", 0)
    assert found.weather_years == yard().members.n


def test_a_band_is_the_percentiles_as_dates() -> None:
    found = forecast("larix_decidua")
    band = found.band("07")
    assert band.low < band.median < band.high
    assert found.prob_reached("07", band.median) == pytest.approx(0.5, abs=0.06)
    assert found.prob_reached("07", YEAR.start) == 0.0
    assert found.prob_reached("07", date(2027, 10, 1)) == 1.0


def test_a_stage_that_never_comes_is_counted_as_such() -> None:
    first = date(2011, 11, 1)
    polar = series_of(first, {"tmean_degC": np.full((TODAY - first).days + 1, -5.0)})
    weather = yard_weather(polar, members(polar, issue=TODAY, year=YEAR))
    cold = species_days(taxon("acer_palmatum"), weather, LUCK)
    found = stage_forecast(TreeRecord(5, cold.taxon), cold, today=TODAY)
    assert found.prob_never("11") == 1.0
    assert found.prob_reached("11", date(2028, 12, 31)) == 0.0
    assert found.trace.inputs[0].value == "not reached"


def test_an_evergreen_has_no_leaf_fall() -> None:
    found = forecast("juniperus_chinensis")
    assert found.codes[-1] == "91"
    assert found.days.shape[1] == len(found.codes)
    with pytest.raises(UnknownNameError, match='stage of this kind of tree is "97"'):
        found.samples("97")
    with pytest.raises(UnknownNameError, match='leaf stage is "08"'):
        found.samples("08")


def test_a_late_tree_learns_a_little_from_one_season_and_much_from_six() -> None:
    key = "larix_decidua"
    plain = np.median(forecast(key).samples("07"))
    shifts = []
    for seasons in (1, 6):
        seen = [sighting(key, 2026 - k, 9) for k in range(seasons)]
        found = forecast(key, *seen)
        assert found.own_seasons == seasons
        shifts.append(float(np.median(found.samples("07")) - plain))
    assert 2 < shifts[0] < 6
    assert shifts[0] < shifts[1] < 9


def test_own_seasons_narrow_a_wide_prior() -> None:
    key = "acer_palmatum"
    seen = [sighting(key, 2026 - k, -6) for k in range(4)]
    wide, own = forecast(key), forecast(key, *seen)
    assert np.std(own.samples("07")) < 0.75 * np.std(wide.samples("07"))
    assert np.median(own.samples("07")) < np.median(wide.samples("07"))


def test_weak_seasons_and_late_branches_change_nothing() -> None:
    key = "larix_decidua"
    weak = [sighting(key, 2026 - k, 20, weak=True) for k in range(3)]
    branch = [sighting(key, 2026 - k, 20, extent="late_branch") for k in range(3)]
    np.testing.assert_array_equal(forecast(key, *weak, *branch).days, forecast(key).days)


def test_any_stage_teaches_through_the_days_between_stages() -> None:
    key = "larix_decidua"
    clock = kind(key).spring
    gap = clock.gaps[:, clock.codes.index("19")].mean() - clock.gaps[:, clock.codes.index("07")].mean()
    seen = []
    for label in (2023, 2024, 2025, 2026):
        day = typical(key, label) + timedelta(days=round(float(gap)) + 9)
        seen.append(SeenStage("19", GrowingYear(label), day, day - timedelta(days=1)))
    shift = np.median(forecast(key, *seen).samples("07")) - np.median(forecast(key).samples("07"))
    exact = [sighting(key, label, 9) for label in (2023, 2024, 2025, 2026)]
    exact_shift = np.median(forecast(key, *exact).samples("07")) - np.median(forecast(key).samples("07"))
    assert 1.5 < shift < exact_shift  # a stage far from the clock's own tells less


def test_a_stage_seen_this_year_lies_in_its_interval_and_the_next_after_it() -> None:
    today = date(2027, 4, 1)
    seen = SeenStage("03", YEAR, date(2027, 3, 25), date(2027, 3, 20))
    found = forecast("acer_palmatum", seen, today=today)
    low, high = YEAR.day_index(date(2027, 3, 20)) + 0.5, YEAR.day_index(date(2027, 3, 25)) + 0.5
    assert (found.samples("03") > low).all()
    assert (found.samples("03") <= high).all()
    assert (found.samples("07") > high).all()
    assert np.std(found.samples("11")) < 0.7 * np.std(forecast("acer_palmatum").samples("11"))


def test_not_yet_seen_moves_the_forecast_later() -> None:
    today = date(2027, 4, 1)
    before = forecast("acer_palmatum", today=today)
    seen = SeenStage("07", YEAR, None, date(2027, 3, 31))
    after = forecast("acer_palmatum", seen, today=today)
    assert (after.samples("07") > YEAR.day_index(date(2027, 3, 31))).all()
    assert np.median(after.samples("11")) > np.median(before.samples("11"))


def test_a_sighting_after_today_is_not_used() -> None:
    later = SeenStage("07", YEAR, date(2027, 3, 20))
    np.testing.assert_array_equal(forecast("acer_palmatum", later).days, forecast("acer_palmatum").days)


def test_contradictory_sightings_yield_to_the_newest() -> None:
    old = SeenStage("11", YEAR, date(2027, 3, 10), date(2027, 3, 9))
    new = SeenStage("03", YEAR, date(2027, 3, 30), date(2027, 3, 27))
    found = forecast("acer_palmatum", old, new, today=date(2027, 4, 1))
    assert (found.samples("03") > YEAR.day_index(date(2027, 3, 27))).all()
    assert (found.samples("03") <= YEAR.day_index(date(2027, 3, 30)) + 0.5).all()


def test_a_surprising_sighting_leaves_later_stages_uncertain() -> None:
    today = date(2027, 6, 20)
    seen = SeenStage("03", YEAR, date(2027, 6, 10), date(2027, 6, 9))  # two months late
    found = forecast("larix_decidua", seen, today=today)
    plain = forecast("larix_decidua", today=today)
    gaps = found.samples("H1") - found.samples("03")
    plain_gaps = plain.samples("H1") - plain.samples("03")
    assert gaps.std() > 0.6 * plain_gaps.std()
    assert abs(np.median(gaps) - np.median(plain_gaps)) < 0.5 * plain_gaps.std()


def test_the_same_seed_gives_the_same_days_and_trees_have_their_own_luck() -> None:
    np.testing.assert_array_equal(forecast("acer_palmatum").days, forecast("acer_palmatum").days)
    assert not np.array_equal(forecast("acer_palmatum").days, forecast("acer_palmatum", tree=6).days)


def test_autumn_learns_from_own_autumns_only() -> None:
    plain = forecast("acer_palmatum")
    gap = kind("acer_palmatum").autumn
    assert gap is not None
    late = []
    for label in (2023, 2024, 2025, 2026):
        day = GrowingYear(label).day_at(float(np.mean(gap.past[label]))) + timedelta(days=15)
        late.append(SeenStage("95", GrowingYear(label), day, day - timedelta(days=1)))
    taught = forecast("acer_palmatum", *late)
    assert np.median(taught.samples("95")) > np.median(plain.samples("95")) + 7
    np.testing.assert_array_equal(taught.samples("11"), plain.samples("11"))
    assert taught.own_seasons == 0


def test_the_chain_ends_in_rows_of_tables() -> None:
    key = "larix_decidua"
    found = forecast(key, sighting(key, 2026, 3), SeenStage("01", YEAR, date(2027, 3, 5)))
    chain = [link for _depth, link in found.why("07").walk()]
    text = "\n".join(f"{link.label}: {link.value} {link.room} {link.source}" for link in chain)
    assert "row larix_decidua.menzel.leaf_unfolding.a of forcing" in text
    assert "row any.swell_to_leaf of spacing" in text
    assert "row any.tree_sd of variation" in text
    assert "own offset from 1 own season:" in text
    assert "weather of smooth" in text
    assert "stage 01 this year: seen 5 Mar 2027" in text
    assert chain[0].label == "stage 07 (first green just shows at the bud tip), median"


def yard_medians(records: list[TreeRecord], today: date = TODAY) -> dict[int, float]:
    """Median day of stage 11 of each tree of a yard."""
    found = yard_forecast(records, one_place(yard()), today=today, luck=LUCK)
    return {tree: float(np.median(each.samples("11"))) for tree, each in found.items()}


def test_a_sighting_moves_its_group_a_little_and_other_groups_not_at_all() -> None:
    today = date(2027, 5, 20)
    kinds = {1: "ulmus_procera", 2: "zelkova_serrata", 3: "fagus_sylvatica"}
    plain = [TreeRecord(tree, taxon(key)) for tree, key in kinds.items()]
    day = YEAR.day_at(float(np.median(forecast("ulmus_procera").samples("07"))) + 14)
    seen = (SeenStage("07", YEAR, day, day - timedelta(days=1)),)
    told = [TreeRecord(1, taxon("ulmus_procera"), seen), *plain[1:]]
    before, after = yard_medians(plain, today), yard_medians(told, today)
    assert after[1] - before[1] > 5
    assert 0.5 < after[2] - before[2] < 3
    assert after[3] == before[3]


def late_place() -> list[TreeRecord]:
    """Nine trees of three other kinds that were six days late in each of six seasons, and a maple unseen."""
    kinds = ("larix_decidua", "fagus_sylvatica", "quercus_robur")
    return [
        TreeRecord(k, taxon(key), tuple(sighting(key, 2026 - n, 6) for n in range(6)))
        for k, key in enumerate(kinds * 3, start=1)
    ] + [TreeRecord(50, taxon("acer_japonicum"))]


@pytest.mark.parametrize("count", [3, 10, 20])
def test_the_lateness_of_a_place_is_not_taken_for_a_late_season(count: int) -> None:
    """New maples, seen just when the place lets expect them, say nothing of this season."""
    today = date(2027, 5, 20)
    records = late_place()
    maples = [TreeRecord(100 + k, taxon("acer_palmatum")) for k in range(count)]
    plain = yard_forecast([*records, *maples], one_place(yard()), today=today, luck=LUCK)
    shift = np.median(plain[50].samples("11")) - np.median(forecast("acer_japonicum", tree=50).samples("11"))
    assert 3 < shift < 6  # what the place tells
    medians = [float(np.median(plain[each.tree].samples("07"))) for each in maples]
    usual = YEAR.day_at(round(float(np.mean(medians))))
    moved = {}
    for later in (0, 8):
        day = usual + timedelta(days=later)
        seen = (SeenStage("07", YEAR, day, day - timedelta(days=1)),)
        told = [TreeRecord(each.tree, each.taxon, seen) for each in maples]
        found = yard_forecast([*records, *told], one_place(yard()), today=today, luck=LUCK)
        moved[later] = float(np.median(found[50].samples("11")) - np.median(plain[50].samples("11")))
    assert abs(moved[0]) < 0.6
    assert moved[8] > 1.0  # a season that is late beyond the place still moves the group


def test_a_late_kind_is_not_taken_for_a_late_season() -> None:
    """Past seasons of the kind count as its place does."""
    today = date(2027, 5, 20)
    past = tuple(sighting("acer_palmatum", 2026 - k, 8) for k in range(6))
    records = [TreeRecord(k, taxon("acer_palmatum"), past) for k in (1, 2, 3)]
    young = [TreeRecord(k, taxon("acer_palmatum")) for k in range(10, 20)]
    other = TreeRecord(50, taxon("acer_japonicum"))
    plain = yard_forecast([*records, *young, other], one_place(yard()), today=today, luck=LUCK)
    day = YEAR.day_at(round(float(np.mean([np.median(plain[each.tree].samples("07")) for each in young]))))
    seen = (SeenStage("07", YEAR, day, day - timedelta(days=1)),)
    told = [TreeRecord(each.tree, each.taxon, seen) for each in young]
    found = yard_forecast([*records, *told, other], one_place(yard()), today=today, luck=LUCK)
    assert abs(np.median(found[50].samples("11")) - np.median(plain[50].samples("11"))) < 0.6


def test_a_tree_without_a_past_learns_from_its_kind_and_its_place() -> None:
    past = tuple(sighting("acer_palmatum", 2026 - k, 10) for k in range(4))
    records = [
        TreeRecord(1, taxon("acer_palmatum"), past),
        TreeRecord(2, taxon("acer_palmatum")),
        TreeRecord(3, taxon("larix_decidua")),
    ]
    plain = [TreeRecord(each.tree, each.taxon) for each in records]
    before, after = yard_medians(plain), yard_medians(records)
    assert after[2] - before[2] > 5
    assert abs((after[2] - before[2]) - (after[1] - before[1])) < 3
    assert 0 < after[3] - before[3] < 2  # one kind of which the model is unsure says little of the place


def test_trees_alone_and_in_an_empty_yard_agree() -> None:
    records = [TreeRecord(5, taxon("larix_decidua"))]
    found = yard_forecast(records, one_place(yard()), today=TODAY, luck=LUCK)[5]
    np.testing.assert_array_equal(found.days, forecast("larix_decidua").days)


def test_a_borrowed_model_is_less_sure_than_an_own_one() -> None:
    own, borrowed = kind("fagus_sylvatica").spring, kind("fagus_crenata").spring
    assert {each.basis for each in own.members} == {"fitted"}
    assert {each.basis for each in borrowed.members} == {"transferred"}
    assert all(own.now[:, own.member_of == k].std(axis=1).max() == 0.0 for k in range(len(own.members)))
    assert 2.5 < borrowed.now.std(axis=1).min() < 8  # twenty draws of a spread of 5 days


def test_a_kind_tells_its_own_trees_of_the_place_once() -> None:
    larch = Lesson(1, "larix_decidua", "G5", 4, np.full(20, 6.0), 3.0, None)
    oak = Lesson(2, "quercus_robur", "G3", 4, np.full(20, 6.0), 3.0, None)
    young = Lesson(3, "larix_decidua", "G5", 0, np.zeros(20), 3.0, None)
    terms = place_terms([larch, oak, young])
    told = shared_for(young, [larch, oak, young], terms)
    # By algebra: two residuals of 6 with spread 3 each against a place's spread of 3.3.
    place_variance = spread_of("site_sd") ** 2
    assert told.site_sd_days == pytest.approx((1 / place_variance + 2 / 9) ** -0.5)
    assert np.mean(told.site_days) == pytest.approx(6.0 * (2 / 9) / (1 / place_variance + 2 / 9))
