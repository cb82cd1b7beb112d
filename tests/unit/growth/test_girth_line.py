"""The line of girth: through its measures, growing only while trees grow, honest about what it fills in."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.growth.girth_line import GROWTH_STAGES, GirthPoint, girth_line, growth_curve

CURVE = growth_curve()
MEASURES = st.lists(
    st.builds(GirthPoint, st.floats(2000, 2026).map(lambda t: round(t, 3)), st.floats(1, 900)), max_size=12
)


def test_nothing_known_is_no_line() -> None:
    assert girth_line([], began_years=None, now_years=2027.3, curve=CURVE) is None


def test_only_a_beginning_gives_equal_rings_out_of_scale() -> None:
    line = girth_line([], began_years=2023.0, now_years=2026.999, curve=CURVE)
    assert line is not None
    assert not line.scaled
    widths = [ring.end_mm - ring.start_mm for ring in line.rings]
    assert widths == pytest.approx([widths[0]] * 4)


def test_growth_rests_in_winter() -> None:
    line = girth_line([GirthPoint(2026.0, 50.0)], began_years=2021.0, now_years=2027.0, curve=CURVE)
    assert line is not None
    first_leaf, leaf_fall = CURVE[1, 0], CURVE[-2, 0]
    assert line.at(2024 + first_leaf) == pytest.approx(line.at(2024))
    assert line.at(2024 + leaf_fall) == pytest.approx(line.at(2025))
    assert line.at(2024.7) > line.at(2024.0)


def test_without_a_beginning_the_line_starts_at_the_first_measure() -> None:
    points = [GirthPoint(2024.0, 80.0), GirthPoint(2026.0, 90.0)]
    line = girth_line(points, began_years=None, now_years=2026.5, curve=CURVE)
    assert line is not None
    assert math.isnan(line.at(2023.9))
    assert line.girths_mm[0] == 80.0
    assert [ring.basis for ring in line.rings] == ["measured", "between", "measured"]


def test_after_the_last_measure_the_late_rate_goes_on() -> None:
    points = [GirthPoint(2010.0, 10.0), GirthPoint(2020.0, 110.0), GirthPoint(2025.0, 120.0)]
    line = girth_line(points, began_years=2005.0, now_years=2026.9999, curve=CURVE)
    assert line is not None
    assert line.at(2026.9999) == pytest.approx(124.0, abs=0.1)  # 10 mm in 5 years: 2 mm a year for 2 years


def test_a_smaller_later_girth_is_drawn_flat_and_said() -> None:
    points = [GirthPoint(2024.0, 100.0), GirthPoint(2026.0, 80.0)]
    line = girth_line(points, began_years=2004.0, now_years=2026.2, curve=CURVE)
    assert line is not None
    assert line.shrunk
    assert line.at(2026.0) == pytest.approx(100.0)


def test_a_curve_out_of_order_falls_back_to_the_usual_one() -> None:
    wrong = dict.fromkeys(GROWTH_STAGES, 0.5)
    assert np.array_equal(growth_curve(wrong), growth_curve())
    early = growth_curve({"10": 0.3})
    assert early[1].tolist() == [0.3, 0.0]


@given(MEASURES, st.one_of(st.none(), st.floats(1960, 2026.9)))
def test_any_line_never_falls_and_passes_its_rising_measures(
    points: list[GirthPoint], began: float | None
) -> None:
    line = girth_line(points, began_years=began, now_years=2027.0, curve=CURVE)
    if line is None:
        assert not points
        assert began is None
        return
    assert (np.diff(line.girths_mm) >= -1e-9).all()
    assert (np.diff(line.times_years) >= 0).all()
    assert not np.isnan(line.girths_mm).any()
    assert [ring.label for ring in line.rings] == sorted({ring.label for ring in line.rings})
    most = 0.0
    by_day: dict[float, list[float]] = {}
    for point in points:
        by_day.setdefault(point.time_years, []).append(point.girth_mm)
    for time, girths in sorted(by_day.items()):
        most = max(most, sum(girths) / len(girths))
        assert line.at(time) == pytest.approx(most, rel=1e-6)
