"""Odds of layers and grafts: a prior from print and practice, moved by the grower's own tries."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import Table, load_table
from ringwise.kit.types import FloatArray


@dataclass(frozen=True)
class Odds:
    """A chance known as a beta distribution; `basis` says what it rests on."""

    successes_n: float
    failures_n: float
    basis: str = "assumed"

    @property
    def mean_prob(self) -> float:
        """The expected chance."""
        return self.successes_n / (self.successes_n + self.failures_n)


def odds_table() -> Table:
    """The table of prior odds and their shifts.

    Returns
    -------
    Table
        odds.csv of this room.

    Source
    ------
    See its rows.

    Examples
    --------
    >>> odds_table().get("layer_easy", "successes").number
    6.5
    """
    return load_table("ringwise.growth", "odds")


def prior_odds(key: str) -> Odds:
    """The prior of a class, its weight capped.

    Parameters
    ----------
    key : str
        Such as "layer_easy" or "approach_medium".

    Returns
    -------
    Odds
        Never heavier than the cap on published counts.

    Raises
    ------
    UnknownNameError
        If there is no such class.

    Source
    ------
    odds.csv: pool of layer trials (layer_trials), classes from practice.

    Examples
    --------
    >>> round(prior_odds("layer_easy").mean_prob, 3)
    0.747
    """
    table = odds_table()
    a = table.get(key, "successes")
    b = table.get(key, "failures").number
    scale = min(1.0, table.get("any", "prior_cap").number / (a.number + b))
    return Odds(a.number * scale, b * scale, a.basis)


def odds_from_trials(mean_prob: float, between_sd_prob: float) -> Odds:
    """A prior from published percentages that come without counts.

    Parameters
    ----------
    mean_prob : float
        Mean over trials and treatments, between 0 and 1.
    between_sd_prob : float
        Standard deviation between them.

    Returns
    -------
    Odds
        The beta distribution of that mean and spread.

    Raises
    ------
    RangeError
        If the mean is outside 0 to 1 or the spread leaves no beta distribution.

    Source
    ------
    own: moments of the beta distribution.

    Examples
    --------
    >>> odds = odds_from_trials(0.65, 0.15)
    >>> round(odds.successes_n, 2), round(odds.failures_n, 2)
    (5.92, 3.19)
    """
    if not 0 < mean_prob < 1:
        raise out_of_range("mean chance", f"{mean_prob}", "between 0 and 1")
    if not 0 < between_sd_prob**2 < mean_prob * (1.0 - mean_prob):
        raise out_of_range("spread of the chance", f"{between_sd_prob}", "above 0, below that of yes or no")
    weight = mean_prob * (1.0 - mean_prob) / between_sd_prob**2 - 1.0
    return Odds(mean_prob * weight, (1.0 - mean_prob) * weight, "transferred")


def updated(prior: Odds, *, successes: int, failures: int) -> Odds:
    """The odds after own tries.

    Parameters
    ----------
    prior : Odds
        What was known before.
    successes, failures : int
        Own tries.

    Returns
    -------
    Odds
        Prior counts plus own counts.

    Raises
    ------
    RangeError
        If a count is negative.

    Source
    ------
    own: conjugate beta-binomial update.

    Examples
    --------
    >>> round(updated(Odds(5.922, 3.189), successes=3, failures=1).mean_prob, 4)
    0.6805
    """
    if successes < 0 or failures < 0:
        raise out_of_range("successes and failures", f"{successes}, {failures}", "0 or more")
    basis = prior.basis if successes + failures == 0 else "fitted"
    return Odds(prior.successes_n + successes, prior.failures_n + failures, basis)


def success_in_two_prob(odds: Odds) -> float:
    """Chance of at least one success in two tries on one tree, which share their chance.

    Parameters
    ----------
    odds : Odds
        The chance of one try.

    Returns
    -------
    float
        0 to 1; lower than for two independent tries.

    Source
    ------
    own: 1 - b (b + 1) / ((a + b) (a + b + 1)).

    Examples
    --------
    >>> round(success_in_two_prob(Odds(5.922, 3.189)), 4)
    0.855
    """
    a, b = odds.successes_n, odds.failures_n
    return 1.0 - b * (b + 1.0) / ((a + b) * (a + b + 1.0))


def odds_quantile(odds: Odds, at: FloatArray) -> FloatArray:
    """Quantiles of the chance.

    Parameters
    ----------
    odds : Odds
        Both counts above 0.
    at : (n,) float
        Levels between 0 and 1.

    Returns
    -------
    (n,) float
        Chances.

    Raises
    ------
    RangeError
        If a count is not above 0.

    Source
    ------
    own: the inverse of the regularised incomplete beta function, from SciPy.

    Examples
    --------
    >>> odds_quantile(Odds(1.0, 1.0), np.array([0.25])).round(3)
    array([0.25])
    """
    from scipy.special import betaincinv

    a, b = odds.successes_n, odds.failures_n
    if not (a > 0 and b > 0):
        raise out_of_range("counts of the odds", f"{a}, {b}", "above 0")
    result: FloatArray = betaincinv(a, b, np.asarray(at, dtype=np.float64))
    return result


def shifted_prob(prob: FloatArray, shift_logit: float) -> FloatArray:
    """Chances moved on the logit scale.

    Parameters
    ----------
    prob : (n,) float
        Chances between 0 and 1.
    shift_logit : float
        Shift; negative lowers.

    Returns
    -------
    (n,) float
        Chances.

    Source
    ------
    own: logistic shift.

    Examples
    --------
    >>> shifted_prob(np.array([0.5]), 1.06).round(3)
    array([0.743])
    """
    p = np.clip(np.asarray(prob, dtype=np.float64), 1e-9, 1.0 - 1e-9)
    result: FloatArray = 1.0 / (1.0 + (1.0 - p) / p * math.exp(-shift_logit))
    return result


def take_after_signs(prior_prob: float, signs: tuple[bool, ...]) -> float:
    """Chance that a graft has taken after checks of its thickness.

    Parameters
    ----------
    prior_prob : float
        Chance before the checks.
    signs : tuple of bool
        For each check whether the donor was thicker beyond the joint than before it, outside calliper
        error; no more than the last two count, since checks of one joint are not independent.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    RangeError
        If the prior is outside 0 to 1.

    Source
    ------
    own: Bayes' rule with an assumed sensitivity and specificity (odds.csv).

    Examples
    --------
    >>> round(take_after_signs(0.5, (True,)), 4)
    0.8095
    >>> round(take_after_signs(0.5, (False,)), 4)
    0.1579
    """
    if not 0 <= prior_prob <= 1:
        raise out_of_range("chance", f"{prior_prob}", "0 to 1")
    table = odds_table()
    sensitivity = table.get("any", "sign_sensitivity").number
    specificity = table.get("any", "sign_specificity").number
    taken, not_taken = prior_prob, 1.0 - prior_prob
    for sign in signs[-2:]:
        taken *= sensitivity if sign else 1.0 - sensitivity
        not_taken *= 1.0 - specificity if sign else specificity
    return taken / (taken + not_taken)
