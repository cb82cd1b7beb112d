"""Odds after own tries against direct integration and closed forms, and times against their closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from ringwise.growth.biology import biology
from ringwise.growth.odds import Odds, odds_table, prior_odds
from ringwise.growth.tries import Tries, learned, learned_median, learned_odds, life_after
from ringwise.growth.try_conditions import CELLS, Covariates, OwnTry, shift_logit
from ringwise.kit.errors import RangeError
from ringwise.kit.types import FloatArray
from ringwise.records.observations import TRIED_WORK

CAME, FAILED = OwnTry("air_layer", True), OwnTry("air_layer", False)


def test_without_an_effect_of_the_grower_it_is_the_beta_binomial() -> None:
    # Source: conjugate update by hand: Beta(5.922 + 3, 3.189 + 1).
    after = learned_odds(Tries(Odds(5.922, 3.189), (CAME, CAME, CAME, FAILED)), grower_sd_logit=0.0)
    assert (after.successes_n, after.failures_n) == pytest.approx((8.922, 4.189), rel=1e-9)


def _by_sums(of: Tries, others: tuple[Tries, ...], sd: float) -> float:
    """The expected chance by plain sums over a fine grid of the chance and of the grower's effect."""
    chances = (np.arange(3000) + 0.5) / 3000
    effects = np.linspace(-5 * sd, 5 * sd, 301)
    odds = np.log(chances / (1 - chances))[:, None] + effects[None, :]

    def told(tries: Tries) -> FloatArray:
        value: FloatArray = (
            stats.beta(tries.prior.successes_n, tries.prior.failures_n).pdf(chances)[:, None] + 0 * odds
        )
        for each in tries.own:
            prob = 1 / (1 + np.exp(-odds - shift_logit(each.covariates)))
            value = value * (prob if each.came_off else 1 - prob)
        return value

    joint = told(of) * stats.norm.pdf(effects, scale=sd)[None, :]
    for each in others:
        joint = joint * told(each).sum(axis=0)[None, :]
    return float((joint / (1 + np.exp(-odds))).sum() / joint.sum())


def test_the_quadrature_is_the_integral() -> None:
    potted = OwnTry("approach_graft", True, Covariates(pot_bound=True, vigour=5))
    of = Tries(Odds(3.5, 2.5), (potted, OwnTry("thread_graft", False, Covariates(thread=True))))
    others = (Tries(Odds(6.5, 2.2), (CAME, CAME, FAILED)),)
    assert learned_odds(of, others).mean_prob == pytest.approx(_by_sums(of, others, 0.5), abs=1e-5)


def test_a_success_on_a_pot_bound_stock_says_more_than_one_on_a_free_one() -> None:
    plain = learned_odds(Tries(Odds(3.5, 2.5), (CAME,)))
    bound = learned_odds(Tries(Odds(3.5, 2.5), (OwnTry("approach_graft", True, Covariates(pot_bound=True)),)))
    assert bound.mean_prob > plain.mean_prob


def test_tries_of_other_kinds_move_the_odds_a_little_through_the_grower() -> None:
    prior = Odds(3.6, 2.4)
    lucky = Tries(Odds(6.5, 2.2), (CAME,) * 8)
    unlucky = Tries(Odds(6.5, 2.2), (FAILED,) * 8)
    up, down = (learned_odds(Tries(prior), (each,)).mean_prob for each in (lucky, unlucky))
    assert down < prior.mean_prob < up
    own_down = learned_odds(Tries(prior, (FAILED,) * 8)).mean_prob
    assert own_down < down  # own tries of the kind itself say more
    assert learned_odds(Tries(prior), (Tries(Odds(6.5, 2.2)),)) == prior


def test_ten_own_tries_weigh_about_as_much_as_the_heaviest_prior() -> None:
    book = prior_odds("severed_survival")
    assert book.successes_n + book.failures_n <= 10.0 + 1e-12
    after = learned_odds(Tries(book, (FAILED,) * 10), grower_sd_logit=0.0)
    assert after.mean_prob == pytest.approx(book.mean_prob / 2, abs=1e-9)


def test_many_tries_find_the_true_chance_whatever_the_book_says() -> None:
    own = (CAME,) * 60 + (FAILED,) * 140
    assert learned_odds(Tries(Odds(7.0, 2.0), own)).mean_prob == pytest.approx(0.30, abs=0.03)


def test_covariates_as_printed() -> None:
    # Source: Alam et al. 2015, 47.07 % without and 72.00 % with hormone: odds ratio 2.89.
    assert math.exp(shift_logit(Covariates(hormone=True))) == pytest.approx(2.89, abs=0.01)
    # Source: maple budding in a 2 L pot 33 %, in the field 77 %: logit shift -1.9.
    in_pot, in_field = math.log(0.33 / 0.67), math.log(0.77 / 0.23)
    assert shift_logit(Covariates(pot_bound=True)) == pytest.approx(in_pot - in_field, abs=0.05)
    assert shift_logit(Covariates()) == 0.0


def test_own_weeks_update_the_median_in_closed_form() -> None:
    # Source: normal update of ln weeks by hand, prior 8 weeks (ln sd 0.5), tries with ln sd 0.35.
    weight = 1 / 0.5**2 + 2 / 0.35**2
    expected = math.exp((math.log(8) / 0.5**2 + (math.log(5) + math.log(6)) / 0.35**2) / weight)
    assert learned_median(8.0, 0.35, 0.5, (5.0, 6.0)) == pytest.approx(expected, rel=1e-12)
    with pytest.raises(RangeError, match="time of a try"):
        learned_median(8.0, 0.35, 0.5, (0.0,))


def test_what_was_learned_reaches_the_kind_of_tree() -> None:
    life = biology(("acer_palmatum", "acer"))
    mine = {"layer": Tries(life.layer, (OwnTry("air_layer", True, weeks=5.0), FAILED, FAILED))}
    after = life_after(life, learned(mine, ()))
    assert after.layer.mean_prob < life.layer.mean_prob
    assert after.root_weeks < life.root_weeks == odds_table().get("any", "root_weeks").number
    assert (after.approach, after.union_years) == (life.approach, life.union_years)
    assert life_after(life, None) == life


def test_every_work_that_may_fail_has_its_odds() -> None:
    assert set(CELLS) == set(TRIED_WORK)
