"""Days between stages, intervals between visits, conditioned normals."""

from __future__ import annotations

import math
from datetime import date

import numpy as np
import pytest

from ringwise.kit.days import GrowingYear
from ringwise.phenology.offsets import inside, resampled
from ringwise.phenology.seen import SeenStage, conditions, interval, known_by
from ringwise.phenology.spacing import (
    AUTUMN_PHASES,
    SPRING_PHASES,
    paced_steps,
    phase_days,
    spacing_rows,
    spring_gaps,
)
from ringwise.phenology.stages import SPRING
from ringwise.records.taxa import lookup_keys

YEAR = GrowingYear(2027)


def test_phases_have_the_mean_and_spread_of_their_rows() -> None:
    rows = spacing_rows(lookup_keys("acer_rubrum"))
    steps = paced_steps(3, 20_000, len(rows), 5, year=2027)
    days = phase_days(rows, steps)
    burst = days[:, 1]
    assert rows[1].basis == "measured"
    assert burst.mean() == pytest.approx(28.4, abs=0.2)
    assert burst.std() == pytest.approx(5.8, abs=0.2)
    hard = days[:, 2]
    assert np.median(hard) == pytest.approx(14, abs=0.2)
    assert len(rows) == len(SPRING_PHASES) + len(AUTUMN_PHASES)


def test_green_to_full_size_takes_three_to_five_weeks_and_hardening_one_to_three_more() -> None:
    # Harvard Forest durations for 13 species: 22 to 39 days; practice: one to three weeks.
    rows = spacing_rows(("any",))[: len(SPRING_PHASES)]
    gaps = spring_gaps(phase_days(rows, paced_steps(3, 5000, 4, 5, year=2027)))
    at = {code: gaps[:, k] for k, code in enumerate(SPRING)}
    assert 21 <= np.median(at["19"] - at["09"]) <= 35
    assert 7 <= np.median(at["H1"] - at["19"]) <= 21
    assert (np.diff(gaps, axis=1) >= 0).all()


def test_a_visit_interval_is_centred_and_half_of_the_buds_come_later_than_the_first() -> None:
    first = interval(SeenStage("07", YEAR, date(2027, 3, 20), date(2027, 3, 14)))
    assert (first.low_index, first.high_index) == (73.5, 79.5)
    assert first.variance == pytest.approx(3.0)
    most = interval(SeenStage("07", YEAR, date(2027, 3, 20), date(2027, 3, 14), extent="most"))
    assert most.high_index == 79.5
    assert most.middle_index < first.middle_index
    assert most.variance > first.variance
    no_visit = interval(SeenStage("07", YEAR, date(2027, 3, 20)))
    assert no_visit.high_index - no_visit.low_index == 4.0


def test_not_yet_is_open_to_the_right() -> None:
    told = interval(SeenStage("07", YEAR, None, date(2027, 3, 14)))
    assert (told.low_index, told.high_index) == (73.5, math.inf)
    assert not SeenStage("07", YEAR, None, date(2027, 3, 14)).teaches


def test_weak_trees_and_late_branches_do_not_teach() -> None:
    assert not SeenStage("07", YEAR, date(2027, 3, 20), weak=True).teaches
    assert not SeenStage("07", YEAR, date(2027, 3, 20), extent="late_branch").teaches
    assert conditions([SeenStage("07", YEAR, date(2027, 3, 20), extent="late_branch")], SPRING) == ()


def test_a_stage_seen_says_that_the_next_is_not_there_yet() -> None:
    told = conditions([SeenStage("03", YEAR, date(2027, 3, 5), date(2027, 3, 1))], SPRING)
    assert [(each.code, each.low_index) for each in told] == [("03", 60.5), ("07", 64.5)]
    assert conditions([SeenStage("91", YEAR, date(2027, 8, 5))], SPRING)[-1].code == "91"


def test_what_is_seen_later_than_today_is_not_known() -> None:
    seen = [SeenStage("03", YEAR, date(2027, 3, 5)), SeenStage("07", YEAR, None, date(2027, 3, 9))]
    assert known_by(seen, date(2027, 3, 8)) == (seen[0],)


def test_bare_in_early_winter_ends_the_year_before() -> None:
    bare = SeenStage("97", YEAR, date(2026, 11, 20), date(2026, 11, 10))
    (settled,) = known_by([bare], date(2027, 3, 1))
    assert settled.year == GrowingYear(2026)
    assert interval(settled).high_index == GrowingYear(2026).day_index(date(2026, 11, 20)) + 0.5
    south = SeenStage("97", GrowingYear(2027, south=True), date(2027, 5, 20))
    assert known_by([south], date(2027, 9, 1))[0].year == GrowingYear(2026, south=True)
    swelling = SeenStage("01", YEAR, date(2027, 1, 25))
    assert known_by([swelling], date(2027, 3, 1)) == (swelling,)


def test_a_cut_normal_has_the_right_weight_and_mean() -> None:
    middle = np.zeros(4000)
    ends = {"one sided": (1.0, np.inf), "narrow": (0.5, 1.5), "far": (4.0, np.inf)}
    uniform = (np.arange(4000) + 0.5) / 4000
    for low, high in ends.values():
        cut = inside(middle, 2.0, np.full(4000, low), np.full(4000, high), uniform)
        a, b = low / 2.0, high / 2.0
        mass = 0.5 * (math.erf(b / math.sqrt(2)) - math.erf(a / math.sqrt(2)))
        density = [
            math.exp(-0.5 * x * x) / math.sqrt(2 * math.pi) if math.isfinite(x) else 0.0 for x in (a, b)
        ]
        assert np.exp(cut.weight_log[0]) == pytest.approx(mass, rel=0.01)
        assert cut.days.mean() == pytest.approx(2.0 * (density[0] - density[1]) / mass, rel=0.01)
        assert (cut.days > low).all()
        assert (cut.days <= high).all()


def test_an_interval_far_off_the_forecast_is_still_believed() -> None:
    cut = inside(np.array([0.0]), 1.0, np.array([40.0]), np.array([44.0]), np.array([0.5]))
    assert np.isfinite(cut.weight_log[0])
    assert 40 <= cut.days[0] <= 44
    assert cut.weight_log[0] < -700


def test_an_empty_interval_weighs_nothing() -> None:
    cut = inside(np.array([0.0, np.nan]), 1.0, np.array([2.0, 0.0]), np.array([1.0, 1.0]), np.full(2, 0.5))
    assert (cut.weight_log == -np.inf).all()
    assert np.isnan(cut.days).all()


def test_resampling_is_even_and_skips_weight_zero() -> None:
    assert resampled(np.zeros(5), 5).tolist() == [0, 1, 2, 3, 4]
    assert resampled(np.array([-np.inf, 0.0, -np.inf, 0.0]), 4).tolist() == [1, 1, 3, 3]
    assert resampled(np.array([-1e5, -1e5 + 800.0]), 3).tolist() == [1, 1, 1]
