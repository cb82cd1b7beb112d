"""Laws of weighing: dominance is an order, regret is never negative, only ratios of weights matter."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from ringwise.futures.aims import Aims, Wish, aims_met
from ringwise.futures.dominance import FIRST, SECOND, dominates
from ringwise.futures.flips import tilted, turning_value, worth_of_weights
from ringwise.futures.learning import perfect_information
from ringwise.futures.outcome import FAULTS, KEPT, TIPS, Lives
from ringwise.futures.weighing import rank_shares, regrets, weight_draws

WHOLE = st.integers(0, 12).map(float)
LOTS = st.lists(WHOLE, min_size=1, max_size=6).map(np.array)
SCORES = arrays(np.float64, st.tuples(st.integers(1, 20), st.integers(1, 5)), elements=WHOLE)


@given(LOTS, LOTS, LOTS, st.sampled_from([FIRST, SECOND]))
def test_dominance_is_transitive_and_goes_one_way(
    a: np.ndarray, b: np.ndarray, c: np.ndarray, order: str
) -> None:
    if dominates(a, b, order) and dominates(b, c, order):
        assert dominates(a, c, order)
    assert not (dominates(a, b, order) and dominates(b, a, order))
    assert not dominates(a, a, order)


@given(LOTS, LOTS)
def test_first_order_implies_second_and_second_no_lower_mean(a: np.ndarray, b: np.ndarray) -> None:
    if dominates(a, b, FIRST):
        assert dominates(a, b, SECOND)
    if dominates(a, b, SECOND):
        assert a.mean() >= b.mean() - 1e-9


@given(LOTS)
def test_adding_to_every_outcome_dominates_and_spreading_them_is_dominated(a: np.ndarray) -> None:
    assert dominates(a + 1.0, a, FIRST)
    assert dominates(a, np.concatenate([a - 1.0, a + 1.0]), SECOND)


@given(SCORES)
def test_regret_is_never_negative_and_someone_has_none(scores: np.ndarray) -> None:
    found = regrets(scores)
    assert (found >= 0).all()
    assert (found.min(axis=1) == 0).all()


@given(SCORES)
def test_ranks_are_shared_out_without_remainder(scores: np.ndarray) -> None:
    ranks = rank_shares(scores)
    assert np.allclose(ranks.sum(axis=0), 1.0)
    assert np.allclose(ranks.sum(axis=1), 1.0)


@given(SCORES)
def test_knowing_all_is_worth_no_less_than_nothing(scores: np.ndarray) -> None:
    assert perfect_information(scores) >= -1e-12


def _lives(tips: np.ndarray, faults: int) -> Lives:
    values = np.ones((len(tips), 2, KEPT))
    values[:, :, TIPS] = tips[:, None]
    values[:, :, FAULTS] = faults
    return Lives("a", 0, 1, "x", values, np.zeros((len(tips), 1)))


@given(
    arrays(np.float64, 4, elements=st.floats(0, 50)),
    arrays(np.float64, 3, elements=st.floats(0.01, 10)),
    st.floats(0.01, 1000),
)
def test_only_the_ratios_of_weights_matter(tips: np.ndarray, weights: np.ndarray, scale: float) -> None:
    wishes = (
        Wish("tips_n", 1.0, 0.0, 20.0),
        Wish("base_mm", 1.0, 0.0, 3.0),
        Wish("height_mm", 1.0, None, None, 0.5, 2.0),
    )
    aims, lives = Aims("own", wishes), _lives(tips, 0)
    met = aims_met(lives, aims, weights)
    assert np.allclose(met, aims_met(lives, aims, weights * scale))
    assert ((met >= 0) & (met <= 1)).all()


@given(st.integers(0, 63), st.integers(0, 63))
def test_more_kinds_of_faults_never_meet_more(bits: int, more: int) -> None:
    aims = Aims("own", (Wish("tips_n", 1.0, 0.0, 20.0),))
    clean, faulty = (
        float(aims_met(_lives(np.array([10.0]), each), aims)[0, 0]) for each in (bits, bits | more)
    )
    assert 0 < faulty <= clean


@given(st.integers(1, 8), st.integers(1, 50), st.integers(0, 2**31))
def test_drawn_weights_are_weights_and_the_same_for_a_seed(wishes: int, draws: int, seed: int) -> None:
    drawn = weight_draws(wishes, draws, seed)
    assert (drawn > 0).all()
    assert np.allclose(drawn.sum(axis=1), 1.0)
    assert (drawn == weight_draws(wishes, draws, seed)).all()


@given(st.floats(-3, 3))
def test_tilting_moves_the_mean_its_way_and_costs_futures(tilt: float) -> None:
    x = np.linspace(-2.0, 2.0, 101)
    weights = tilted(x, tilt)
    assert (weights @ x) * tilt >= -1e-9
    assert worth_of_weights(weights) <= 101 + 1e-6


@given(st.floats(0.1, 0.9))
def test_the_turn_of_a_straight_line_lies_where_it_crosses(at: float) -> None:
    x = np.linspace(0.0, 1.0, 4001)
    found = turning_value(x, 2.0 * (x - at), 40.0)
    if abs(at - 0.5) < 1e-3:
        return
    assert found is not None
    assert abs(found[0] - at) < 1e-6
