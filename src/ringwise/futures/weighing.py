"""Courses weighed by a grower's aims: worth over the years, paired chances, regret, ranks, other weights.

The worth of a future is the share of the aims it meets, averaged over early, middle and late years by the
grower's weights. All courses are lived with the same luck, so that they are compared future by future.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.futures.aims import Aims, fault_factor, shares_met, weighing
from ringwise.futures.outcome import Lives
from ringwise.kit import chance
from ringwise.kit.chance import Purpose
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

_TIE = 1e-9  # worths closer than this are equal
_PERIODS = ("early", "middle", "late")


@dataclass(frozen=True)
class TimeWeights:
    """How much early, middle and late years count; only their ratios matter."""

    early: float
    middle: float
    late: float

    def __post_init__(self) -> None:
        values = (self.early, self.middle, self.late)
        if not all(0 <= each < 1e6 for each in values) or not sum(values) > 0:
            shown = ", ".join(f"{each:g}" for each in values)
            raise out_of_range(
                _("weights of early, middle and late years"), shown, _("0 or more, one above 0")
            )


def usual_time_weights() -> TimeWeights:
    """The weights of years that hold until the grower sets others.

    Returns
    -------
    TimeWeights
        Early years count half as much as middle and late ones.

    Source
    ------
    own: weighing.csv, rows `time`.

    Examples
    --------
    >>> usual_time_weights()
    TimeWeights(early=0.2, middle=0.4, late=0.4)
    """
    return TimeWeights(*(weighing("time", each) for each in _PERIODS))


def year_weights(years: int, horizons: Sequence[int], time: TimeWeights) -> FloatArray:
    """How much each year ahead counts: a period's weight shared by the horizons that fall into it.

    Parameters
    ----------
    years : int
        Years lived.
    horizons : sequence of int
        Years ahead that are looked at; now and those beyond the run do not count.
    time : TimeWeights
        Of the periods; one without a horizon is left out.

    Returns
    -------
    (years + 1,) float
        They sum to 1.

    Raises
    ------
    RangeError
        If no horizon lies within the run, or only in periods that count nothing.

    Source
    ------
    own: weighing.csv, rows `time`.

    Examples
    --------
    >>> year_weights(10, (0, 1, 5, 10), TimeWeights(0.2, 0.4, 0.4))[[1, 5, 10]].round(4).tolist()
    [0.1667, 0.1667, 0.6667]
    """
    ends = (weighing("time", "early_until"), weighing("time", "middle_until"))
    out = np.zeros(years + 1)
    for low, high, share in zip(
        (0.0, *ends), (*ends, np.inf), (time.early, time.middle, time.late), strict=True
    ):
        inside = sorted({year for year in horizons if low < year <= min(high, years)})
        for year in inside:
            out[year] += share / len(inside)
    if not out.sum() > 0:
        raise out_of_range(_("years to weigh"), str(years), _("a period of the run that counts"))
    result: FloatArray = out / out.sum()
    return result


@dataclass(frozen=True)
class Field:
    """All courses of a turning as arrays: futures x years + 1 x wishes met, faults taken off, and weights."""

    courses: tuple[str, ...]
    shares: Mapping[str, FloatArray]
    weights: FloatArray
    year_weights: FloatArray

    def worth(self, course: str) -> FloatArray:
        """Worth of each future of a course, by the grower's weights."""
        worth: FloatArray = np.einsum("fyw,y,w->f", self.shares[course], self.year_weights, self.weights)
        return worth

    def met(self, course: str) -> FloatArray:
        """Share of the aims met in each future and year."""
        met: FloatArray = self.shares[course] @ self.weights
        return met

    @property
    def by_wish(self) -> FloatArray:
        """Mean share of each wish met by each course over futures and years, (courses, wishes)."""
        futures = next(iter(self.shares.values())).shape[0]
        sums = [np.einsum("fyw,y->w", self.shares[course], self.year_weights) for course in self.courses]
        means: FloatArray = np.stack(sums) / futures
        return means


def field_of(lives: Mapping[str, Lives], aims: Aims, horizons: Sequence[int], time: TimeWeights) -> Field:
    """The courses of a turning, ready to be weighed.

    Parameters
    ----------
    lives : mapping of str to Lives
        Each course lived, with the same seed and futures.
    aims : Aims
        What is aimed at.
    horizons : sequence of int
        Years ahead that count.
    time : TimeWeights
        Weights of the periods.

    Returns
    -------
    Field
        Shares met and weights.

    Raises
    ------
    RangeError
        If the courses were not lived alike.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.aims import Wish
    >>> from ringwise.futures.outcome import KEPT
    >>> lives = {"a": Lives("a", 0, 1, "x", np.ones((2, 6, KEPT)), np.zeros((2, 1)))}
    >>> field = field_of(lives, Aims("", (Wish("tips_n", 1.0, 0.0, 2.0),)), (1, 5), TimeWeights(1, 1, 1))
    >>> field.worth("a").round(3).tolist()
    [0.425, 0.425]
    """
    first = next(iter(lives.values()))
    alike = {(each.seed, each.first_future, each.futures, each.years) for each in lives.values()}
    if len(alike) > 1 or first.futures == 0:
        raise out_of_range(_("courses to weigh"), str(len(alike)), _("the same seed, futures and years"))
    shares = {
        key: shares_met(each, aims) * fault_factor(each.of("faults_n"))[..., None]
        for key, each in lives.items()
    }
    return Field(tuple(lives), shares, aims.weights, year_weights(first.years, horizons, time))


def better_frac(values: FloatArray, others: FloatArray) -> float:
    """In which share of the futures one outcome beats the other; ties count half.

    Parameters
    ----------
    values, others : (n,) float
        Paired outcomes.

    Returns
    -------
    float
        0 to 1.

    Source
    ------
    own: common random numbers make each pair one possible future.

    Examples
    --------
    >>> better_frac(np.array([1.0, 2.0, 3.0]), np.array([0.0, 2.0, 4.0]))
    0.5
    """
    difference = values - others
    return float((difference > _TIE).mean() + 0.5 * (np.abs(difference) <= _TIE).mean())


def years_until_met(met: FloatArray, least_frac: float) -> FloatArray:
    """The first year in which each future meets its aims; infinite where none does.

    Parameters
    ----------
    met : (futures, years + 1) float
        Share met; a lost tree meets nothing.
    least_frac : float
        From which share on they count as met.

    Returns
    -------
    (futures,) float
        Years from now, 0 where they are met today.

    Source
    ------
    own.

    Examples
    --------
    >>> years_until_met(np.array([[0.2, 0.5, 0.8], [0.2, 0.3, 0.4]]), 0.5).tolist()
    [1.0, inf]
    """
    reached = met >= least_frac - _TIE
    return np.where(reached.any(axis=1), np.argmax(reached, axis=1).astype(np.float64), np.inf)


def weight_draws(wishes: int, draws: int, seed: int) -> FloatArray:
    """Sets of weights drawn evenly over all that are possible.

    Parameters
    ----------
    wishes : int
        How many weights a set has.
    draws : int
        How many sets.
    seed : int
        Of the run.

    Returns
    -------
    (draws, wishes) float
        Each row sums to 1.

    Source
    ------
    lahdelma1998: weights uniform on the simplex (Dirichlet of ones), by normalised exponentials.

    Examples
    --------
    >>> weight_draws(3, 5, 1).sum(axis=1).round(12).tolist()
    [1.0, 1.0, 1.0, 1.0, 1.0]
    """
    rows, columns = np.arange(draws)[:, None], np.arange(wishes)[None, :]
    raw = -np.log(chance.uniform(seed, rows, 0, 0, Purpose.WEIGHTS, columns))
    return np.asarray(raw / raw.sum(axis=1, keepdims=True))


@dataclass(frozen=True)
class UnderOtherWeights:
    """What other weights would say: by course the share of draws at each rank, and the largest regret.

    Regret is how far a course stays behind the best one, in shares of the aims; `regret_now` at the
    grower's own weights.
    """

    courses: tuple[str, ...]
    ranks_frac: FloatArray  # (courses, ranks), first rank first
    most_regret_frac: FloatArray
    regret_now_frac: FloatArray


def regrets(scores: FloatArray) -> FloatArray:
    """How far each course stays behind the best one.

    Parameters
    ----------
    scores : (..., courses) float
        Worth of each course.

    Returns
    -------
    (..., courses) float
        0 for the best, never below.

    Source
    ------
    savage1951: regret, from memory.

    Examples
    --------
    >>> regrets(np.array([0.5, 0.7])).round(3).tolist()
    [0.2, 0.0]
    """
    return np.asarray(scores.max(axis=-1, keepdims=True) - scores)


def rank_shares(scores: FloatArray) -> FloatArray:
    """The share of draws in which each course takes each rank; courses that tie share their ranks.

    Parameters
    ----------
    scores : (draws, courses) float
        Worth of each course under each draw.

    Returns
    -------
    (courses, ranks) float
        Rows and columns sum to 1.

    Source
    ------
    lahdelma1998: rank acceptability, from memory; the sharing of ties is own.

    Examples
    --------
    >>> rank_shares(np.array([[0.5, 0.7], [0.6, 0.6]])).tolist()
    [[0.25, 0.75], [0.75, 0.25]]
    """
    draws, courses = scores.shape
    above = (scores[:, None, :] > scores[:, :, None] + _TIE).sum(axis=2)  # courses ahead of each
    alike = (np.abs(scores[:, None, :] - scores[:, :, None]) <= _TIE).sum(axis=2)
    out = np.zeros((courses, courses))
    for rank in range(courses):
        takes = (above <= rank) & (rank < above + alike)
        out[:, rank] = np.where(takes, 1.0 / alike, 0.0).sum(axis=0) / draws
    return out


def under_other_weights(field: Field, seed: int, draws: int | None = None) -> UnderOtherWeights:
    """Ranks and regrets over weights drawn evenly over all possible ones.

    Parameters
    ----------
    field : Field
        The courses.
    seed : int
        Of the run.
    draws : int, optional
        How many sets of weights; as the table says otherwise.

    Returns
    -------
    UnderOtherWeights
        By course.

    Source
    ------
    lahdelma1998, savage1951: as `rank_shares` and `regrets`.

    Examples
    --------
    >>> shares = {"a": np.ones((2, 2, 1)), "b": np.zeros((2, 2, 1))}
    >>> field = Field(("a", "b"), shares, np.ones(1), np.array([0.0, 1.0]))
    >>> under_other_weights(field, 1).ranks_frac.tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    each = field.by_wish
    count = int(weighing("draws", "weights")) if draws is None else draws
    scores = weight_draws(each.shape[1], count, seed) @ each.T
    return UnderOtherWeights(
        field.courses, rank_shares(scores), regrets(scores).max(axis=0), regrets(each @ field.weights)
    )
