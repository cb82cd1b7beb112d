"""Laying photos on each other: the marked places meet, and any two steps are one."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ringwise.kit.errors import RangeError
from ringwise.structure.views import Pair, Point, Similarity, alignment, in_widths, mm_per_px

PLACES = st.tuples(st.floats(-3.0, 3.0), st.floats(-3.0, 3.0))
SHARES = st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
SIMILARITIES = st.builds(
    Similarity, st.floats(0.05, 20.0), st.floats(-180.0, 180.0), st.floats(-5.0, 5.0), st.floats(-5.0, 5.0)
)
SIDES = st.integers(1, 20_000)


@st.composite
def pairs(draw: st.DrawFn) -> Pair:
    """Two places that lie apart."""
    one, other = draw(PLACES), draw(PLACES)
    assume(math.dist(one, other) > 0.01)
    return one, other


def near(one: Point, other: Point) -> bool:
    return math.dist(one, other) < 1e-6 * (1.0 + abs(one[0]) + abs(one[1]))


@given(pairs(), pairs())
def test_marked_places_meet(points: Pair, onto: Pair) -> None:
    lays = alignment(points, onto)
    assert near(lays.laid(points[0]), onto[0])
    assert near(lays.laid(points[1]), onto[1])


@given(SIMILARITIES, pairs())
def test_what_moved_a_picture_is_found_again(moved: Similarity, points: Pair) -> None:
    found = alignment(points, (moved.laid(points[0]), moved.laid(points[1])))
    assert found.scale_ratio == pytest.approx(moved.scale_ratio, rel=1e-6)
    turn = (found.angle_deg - moved.angle_deg + 180.0) % 360.0 - 180.0
    assert abs(turn) < 1e-4
    assert near(found.laid((0.0, 0.0)), (moved.shift_x_ratio, moved.shift_y_ratio))


@given(pairs(), pairs(), pairs(), PLACES)
def test_two_steps_are_one(first: Pair, second: Pair, third: Pair, place: Point) -> None:
    there, onward = alignment(first, second), alignment(second, third)
    straight = alignment(first, third)
    size = 1.0 + straight.scale_ratio + there.scale_ratio * onward.scale_ratio
    by_steps, at_once = onward.laid(there.laid(place)), straight.laid(place)
    assert math.dist(by_steps, at_once) < 1e-6 * size
    assert math.dist(there.then(onward).laid(place), by_steps) < 1e-6 * size


@given(pairs(), pairs(), PLACES)
def test_there_and_back(first: Pair, second: Pair, place: Point) -> None:
    there = alignment(first, second)
    assert near(there.inverse.laid(there.laid(place)), place)
    assert near(alignment(second, first).laid(there.laid(place)), place)


@given(SIMILARITIES, PLACES, PLACES)
def test_shapes_stay(lays: Similarity, one: Point, other: Point) -> None:
    apart = math.dist(lays.laid(one), lays.laid(other))
    assert apart == pytest.approx(lays.scale_ratio * math.dist(one, other), rel=1e-9, abs=1e-9)
    a, b, c, d, e, f = lays.matrix
    assert near((a * one[0] + c * one[1] + e, b * one[0] + d * one[1] + f), lays.laid(one))
    assert a * d - b * c > 0  # never turned over


@given(PLACES, pairs())
def test_two_marks_in_one_place_are_refused(place: Point, points: Pair) -> None:
    for one, other in (((place, place), points), (points, (place, place))):
        with pytest.raises(RangeError, match="lie apart"):
            alignment(one, other)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_no_number_is_refused(bad: float) -> None:
    with pytest.raises(RangeError):
        alignment(((bad, 0.0), (0.0, 1.0)), ((0.0, 0.0), (0.0, 1.0)))
    with pytest.raises(RangeError):
        alignment(((0.0, 0.0), (0.0, 1.0)), ((0.0, bad), (0.0, 1.0)))


@given(SHARES, SHARES, SIDES, SIDES)
def test_mirroring_twice_changes_nothing(one: Point, other: Point, width_px: int, height_px: int) -> None:
    plain = in_widths((one, other), width_px, height_px)
    turned = in_widths((one, other), width_px, height_px, mirrored=True)
    for (x, y), (mirrored_x, mirrored_y) in zip(plain, turned, strict=True):
        assert x + mirrored_x == pytest.approx(1.0)
        assert y == mirrored_y
        assert 0.0 <= x <= 1.0
        assert 0.0 <= y <= height_px / width_px


@given(SHARES, SHARES, SIDES, SIDES, st.floats(1.0, 2000.0))
def test_the_scale_gives_the_rim_back(
    one: Point, other: Point, width_px: int, height_px: int, rim_mm: float
) -> None:
    apart_px = math.hypot((one[0] - other[0]) * width_px, (one[1] - other[1]) * height_px)
    assume(apart_px > 1.0)
    scale = mm_per_px((one, other), rim_mm, width_px, height_px)
    assert scale * apart_px == pytest.approx(rim_mm)


def test_a_quarter_turn_by_hand() -> None:
    """Up becomes right: the apex over the base of one photo lies to the right of it in the other."""
    lays = alignment(((0.5, 1.0), (0.5, 0.0)), ((0.0, 0.5), (1.0, 0.5)))
    assert (lays.scale_ratio, lays.angle_deg) == pytest.approx((1.0, 90.0))  # clockwise as seen
    assert lays.laid((0.5, 0.5)) == pytest.approx((0.5, 0.5))


@pytest.mark.parametrize(
    ("rim_mm", "text"), [(0.0, "more than 0"), (-5.0, "more than 0"), (math.nan, "more")]
)
def test_a_rim_without_width_is_refused(rim_mm: float, text: str) -> None:
    with pytest.raises(RangeError, match=text):
        mm_per_px(((0.1, 0.5), (0.9, 0.5)), rim_mm, 100, 100)


def test_a_rim_in_one_place_and_a_picture_without_size_are_refused() -> None:
    with pytest.raises(RangeError, match="mark them apart"):
        mm_per_px(((0.1, 0.5), (0.1, 0.5)), 100.0, 100, 100)
    with pytest.raises(RangeError, match="at least 1 x 1"):
        in_widths(((0.0, 0.0), (1.0, 1.0)), 0, 100)
