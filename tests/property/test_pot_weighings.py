"""Laws of the update by weighings: a choice of draws, blind to order, that narrows on average."""

from __future__ import annotations

from functools import cache

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.rootzone.ageing import aged, ageing_of
from ringwise.rootzone.blend import Blend, blend
from ringwise.rootzone.calibrate import (
    DAY,
    DRY,
    LEVEL,
    TEN_MIN,
    TILTED,
    Measured,
    PotPrior,
    Weighing,
    calibrate,
)
from ringwise.rootzone.drain_trend import alike, drain_trend
from ringwise.rootzone.mix import recipe
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.rootzone.soil_air import wet_soil_frac

TRAY = pot_shape("rectangle", PotLengths(300, 200, 60))
DRAWS = 400


@cache
def _mixed(broken_frac: float) -> Blend:
    return blend(recipe("D"), draws=DRAWS, seed=5, broken_frac=broken_frac)


@cache
def _prior() -> PotPrior:
    return PotPrior(TRAY, aged(_mixed, ageing_of(3.0, draws=DRAWS, seed=5)))


LOSSES = st.floats(5.0, 1500.0)
SESSIONS = st.integers(0, 3)


@st.composite
def weighings(draw: st.DrawFn) -> tuple[Weighing, ...]:
    found = [Weighing(draw(st.sampled_from([LEVEL, TEN_MIN])), 6500.0, session=0)]
    for _each in range(draw(st.integers(1, 5))):
        moment = draw(st.sampled_from([TILTED, DAY, DRY, TEN_MIN, LEVEL]))
        tilt = draw(st.sampled_from([20.0, 30.0, 45.0])) if moment == TILTED else 0.0
        found.append(Weighing(moment, 6500.0 - draw(LOSSES), tilt, draw(SESSIONS)))
    return tuple(found)


@settings(max_examples=30, deadline=None)
@given(weighings(), st.randoms(use_true_random=False))
def test_the_update_is_blind_to_order_and_picks_from_the_draws(some, luck) -> None:  # type: ignore[no-untyped-def]
    shuffled = list(some)
    luck.shuffle(shuffled)
    one = calibrate(_prior(), Measured(some), seed=5)
    other = calibrate(_prior(), Measured(tuple(shuffled)), seed=5)
    assert one.picked.tolist() == other.picked.tolist()
    assert one.picked.size == 200
    assert one.picked.min() >= 0
    assert one.picked.max() < DRAWS
    assert 0.0 <= one.fit_prob <= 1.0
    assert 0.0 < one.trusted_frac <= 1.0
    assert one.counting_frac <= 1 + 1e-9


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_on_average_what_was_measured_is_known_better(start: int) -> None:
    """Over truths drawn from the mix itself, as its draws foretell the loss by tilting."""
    from ringwise.rootzone.calibrate import _foretold

    rng = np.random.default_rng(start)
    pair = (Weighing(LEVEL, 6500.0), Weighing(TILTED, 6000.0, 30.0))
    foretold = _foretold(_prior(), pair, Measured(pair), 5)
    lost = foretold[:, 0] - foretold[:, 1]
    ratios = []
    for i in rng.integers(DRAWS, size=8):
        seen = (Weighing(LEVEL, 6500.0), Weighing(TILTED, 6500.0 - float(lost[i]), 30.0))
        fit = calibrate(_prior(), Measured(seen), seed=5)
        ratios.append(np.var(lost[fit.picked]) / np.var(lost))
    assert np.mean(ratios) < 1.0


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 15.0), st.floats(0.0, 15.0), st.integers(0, 50))
def test_an_older_soil_is_more_broken_and_more_rooted(a: float, b: float, seed: int) -> None:
    young, old = (ageing_of(years, draws=20, seed=seed) for years in sorted((a, b)))
    assert np.all(young.broken_frac <= old.broken_frac)
    assert np.all(young.root_frac <= old.root_frac)
    assert np.all(old.broken_frac < 1.0)


@settings(max_examples=10, deadline=None)
@given(st.floats(6.0, 60.0))
def test_tilting_never_leaves_more_soil_without_air(tilt_deg: float) -> None:
    curve = _prior().blend.curve
    level = wet_soil_frac(TRAY, curve)
    assert np.all(wet_soil_frac(TRAY, curve, tilt_deg=tilt_deg) <= level + 0.02)


@given(st.floats(1.0, 5000.0), st.floats(1.0, 5000.0), st.floats(10.0, 5000.0), st.floats(10.0, 5000.0))
def test_a_trend_turned_round_is_its_own_inverse(
    first: float, now: float, poured: float, again: float
) -> None:
    one = drain_trend(first, now, first_cm3=poured, now_cm3=again)
    other = drain_trend(now, first, first_cm3=again, now_cm3=poured)
    assert one.ratio * other.ratio == np.float64(1.0) or abs(one.ratio * other.ratio - 1.0) < 1e-9
    assert alike(poured, again) == alike(again, poured)
