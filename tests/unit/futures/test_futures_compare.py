"""Comparisons count what they say, drivers find the planted cause, the view is whole and ranks nothing."""

from __future__ import annotations

import re
from dataclasses import fields, replace

import numpy as np
import pytest
from standing_trees import maple, mulberry

from ringwise.futures.catalogue import courses_for
from ringwise.futures.compare import (
    QUANTILES,
    Comparison,
    band_by_year,
    compare,
    paired_count,
    quantile_dots,
    representatives,
)
from ringwise.futures.drivers import Drive, drivers_of, rank_correlation
from ringwise.futures.outcome import KEPT, Lives
from ringwise.futures.reasons import growth_trace
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.turning import Heading, Turning, futures_view
from ringwise.futures.turning_words import drivers_shown
from ringwise.futures.view import FuturesView, PotFront
from ringwise.growth import layout as at
from ringwise.kit.errors import RangeError, UnknownNameError


def _lives(base_mm: np.ndarray, *, seed: int = 1, key: str = "a", dead: tuple[int, ...] = ()) -> Lives:
    values = np.ones((len(base_mm), 2, KEPT))
    values[:, 1, 1] = base_mm
    values[list(dead), 1, 0] = 0.0
    return Lives(key, 0, seed, "x", values, np.zeros((len(base_mm), at.PARAMETERS)))


def test_bands_leave_out_the_dead() -> None:
    band = band_by_year(_lives(np.array([1.0, 2.0, 3.0, 99.0]), dead=(3,)), "base_mm")
    np.testing.assert_allclose(band[1], np.percentile([1.0, 2.0, 3.0], (10, 50, 90)))
    nobody = band_by_year(_lives(np.ones(2), dead=(0, 1)), "base_mm")
    assert np.isnan(nobody[1]).all()


def test_pairs_count_only_futures_alive_under_both() -> None:
    a = _lives(np.array([1.0, 2.0, 3.0, 4.0]), dead=(0,))
    b = _lives(np.array([5.0, 2.0, 1.0, 9.0]), key="b")
    pair = paired_count(a, b, "base_mm", 1)
    assert (pair.first_more, pair.second_more, pair.futures) == (1, 1, 3)
    assert pair.first_more_frac == pytest.approx(0.5)
    with pytest.raises(RangeError):
        paired_count(a, replace(b, seed=2), "base_mm", 1)


def test_fifty_dots_of_a_lognormal_stand_at_their_quantiles() -> None:
    # median 8 weeks, log spread 0.35: dots 1, 25, 26 and 50 of fifty, from normal quantiles by hand
    rng = np.random.default_rng(1)
    z = np.sort(rng.normal(size=400_000))
    dots = quantile_dots(8.0 * np.exp(0.35 * z), 50)
    assert dots[[0, 24, 25, 49]] == pytest.approx([3.544, 7.930, 8.071, 18.059], rel=0.01)
    assert (dots <= 12.0).sum() == 44


def test_representatives_stand_at_their_quantiles_and_losses_come_first() -> None:
    lives = _lives(np.arange(100.0), dead=(50, 60))
    chosen = representatives(lives, "base_mm", 1, (0.0, 0.5, 0.99))
    assert chosen[0] in (50, 60)
    assert chosen[2] == 99


def test_rank_correlation_with_ties() -> None:
    x, y = np.array([1.0, 2.0, 2.0, 3.0]), np.array([10.0, 20.0, 20.0, 15.0])
    # mean ranks 1, 2.5, 2.5, 4 and 1, 3.5, 3.5, 2: products 2.25 - 0.75, squares 4.5 and 4.5
    assert rank_correlation(x, y) == pytest.approx(1 / 3)
    assert rank_correlation(x, np.ones(4)) == 0.0


def test_the_planted_cause_comes_first_with_its_sign() -> None:
    rng = np.random.default_rng(2)
    a = _lives(np.full(200, 50.0))
    inputs = rng.normal(size=(200, at.PARAMETERS))
    values = a.values.copy()
    values[:, 1, 1] = 50.0 - 3.0 * inputs[:, at.P_UNION] + 0.3 * rng.normal(size=200)
    b = Lives("b", 0, 1, "x", values, inputs)
    drives = drivers_of(replace(a, parameters=inputs), b, "base_mm", 1)
    assert drives[0].input == "union"
    assert drives[0].correlation_ratio < -0.9
    assert drives[1].share_frac < 0.1


@pytest.fixture(scope="module")
def turning() -> Turning:
    start, life = mulberry()
    run = Run(75, 10, seed=4)
    courses = courses_for("base")
    return Turning(start, life, run, courses, {c.key: simulate(start, c, life, run) for c in courses})


HEADING = Heading(
    "T", "Morus alba", "Cure the base?", (("pot", "6.1 L"),), PotFront(420.0, 75.0), "front", "d"
)


def test_the_comparison_says_what_the_courses_say_of_themselves(turning: Turning) -> None:
    result = compare(turning.lives, measures=("base_mm", "sectors_n"), horizons=(1, 5, 10, 20))
    assert result.horizons == (1, 5, 10)
    assert result.lost["accept", 10] == int((turning.lives["accept"].alive[:, 10] == 0).sum())
    assert len(result.paired) == 3 * 2 * 3
    sectors = {key: result.bands[key, "sectors_n"][10, 1] for key in result.courses}
    assert sectors["accept"] == 8
    assert sectors["root_grafts"] > 8
    assert sum(result.hours_by_year_h["accept"]) == pytest.approx(
        float(turning.lives["accept"].of("hours_h")[:, -1].mean())
    )
    assert {"winner", "best", "score", "rank"}.isdisjoint(each.name for each in fields(result))


def test_the_view_is_whole(turning: Turning) -> None:
    view = futures_view(turning, HEADING)
    assert isinstance(view, FuturesView)
    assert view.horizons == (0, 1, 5, 10)
    for course in view.courses:
        for year in view.horizons:
            cell = view.cell(course.key, year)
            assert len(cell.trees) == (1 + len(QUANTILES) if year else 1)  # today: one
            assert all(len(each.dots) == 40 for each in cell.outcomes)
            assert cell.futures == 75
    drawn = [tree for cell in view.cells if cell.after_years == 0 for tree in cell.trees]
    assert all(tree.silhouette is not None for tree in drawn)
    assert len({id(tree) for tree in drawn}) == 1  # the same under every course
    assert drawn[0].caption.startswith("the tree now, ")
    height_mm = turning.start.tables[0].end_mm[:, 2].max()
    assert drawn[0].silhouette is not None
    assert drawn[0].silhouette.top_mm == pytest.approx(height_mm, rel=0.02)
    assert {driver.label for driver in view.drivers} & {
        "Chance that a graft takes",
        "Share of the ring that roots",
    }
    text = " ".join([*view.cautions, *(driver.direction for driver in view.drivers)])
    assert "best" not in text
    assert all(origin.source and origin.basis for origin in view.origins)
    shown = " ".join(f"{origin.label} {origin.value} {origin.source}" for origin in view.origins)
    assert not {"own", "practice"} & {origin.source for origin in view.origins}
    assert re.search(r"[a-z]\d{4}|_|mm2|cm2|class |see the table", shown) is None
    assert "0.020 mm² per cm²" in shown


def test_the_graft_view_says_how_likely_the_present_one_is() -> None:
    start, life = maple()
    run = Run(30, 5, seed=4)
    courses = tuple(
        course for course in courses_for("graft") if course.key != "other_side"
    )  # has no height yet
    lives = {c.key: simulate(start, c, life, run) for c in courses}
    view = futures_view(Turning(start, life, run, courses, lives), HEADING, drawn=False)
    assert any("present graft" in origin.label and "unlikely" in origin.value for origin in view.origins)
    assert len(view.signs) == 1


def test_a_driver_says_which_course_ends_up_with_more() -> None:
    drive = Drive("union", "a", "b", "base_mm", 5, -0.5, 0.25)
    comparison = Comparison((), (), (), {}, (), {}, 0, {}, {}, (drive,), ())
    shown = drivers_shown(comparison, {"a": "A", "b": "B"})
    assert shown[0].direction == "The more of it, the more often A ends up thicker than B."


def test_numbers_lead_back_to_rows(turning: Turning) -> None:
    trace = growth_trace(turning.life, "trunk", "95 mm")
    rows = [link for depth, link in trace.walk() if depth == 1]
    assert len(rows) > 10
    assert all(link.source for link in rows)


def test_an_unknown_measure_offers_near_names() -> None:
    with pytest.raises(UnknownNameError, match="base_mm"):
        _lives(np.ones(3)).of("base_m")
