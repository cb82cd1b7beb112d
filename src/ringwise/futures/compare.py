"""Courses side by side: bands, paired chances, losses, hours, what moves the difference; never a winner."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from ringwise.futures.drivers import Drive, drivers_of
from ringwise.futures.outcome import OF_SECOND, Lives
from ringwise.kit.errors import out_of_range
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _

QUANTILES = (0.1, 0.3, 0.5, 0.7, 0.9)  # of the futures drawn
DOTS = 40
_TIE = 1e-6  # measures closer than this are equal: float32 wood differs by more


@dataclass(frozen=True)
class PairedCount:
    """In how many of the futures that live under both courses the first has more of a measure."""

    measure: str
    after_years: int
    first: str
    second: str
    first_more: int
    second_more: int
    futures: int

    @property
    def first_more_frac(self) -> float:
        """Share of futures in which the first has more; ties count half."""
        equal = self.futures - self.first_more - self.second_more
        return (self.first_more + 0.5 * equal) / self.futures if self.futures else float("nan")


@dataclass(frozen=True)
class Comparison:
    """All of a turning's courses; `bands` by course and measure: years x (10th, 50th, 90th) of the living."""

    courses: tuple[str, ...]
    horizons: tuple[int, ...]
    measures: tuple[str, ...]
    bands: Mapping[tuple[str, str], FloatArray]
    paired: tuple[PairedCount, ...]
    lost: Mapping[tuple[str, int], int]
    futures: int
    hours_h: Mapping[str, Ranged]
    hours_by_year_h: Mapping[str, tuple[float, ...]]
    drivers: tuple[Drive, ...]
    words: tuple[str, ...]


def band_by_year(lives: Lives, measure: str) -> FloatArray:
    """Median and 80 % band of a measure in each year, over the futures still alive.

    Parameters
    ----------
    lives : Lives
        A course lived.
    measure : str
        Its key.

    Returns
    -------
    (years + 1, 3) float
        10th, 50th, 90th percentile; NaN where no future is alive.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> values = np.ones((5, 3, KEPT)); values[:, 0, 1] = np.arange(5.0)
    >>> band_by_year(Lives("a", 0, 1, "x", values, np.zeros((5, 1))), "base_mm")[0].tolist()
    [0.4, 2.0, 3.6]
    """
    values = lives.of(measure)
    out = np.full((values.shape[1], 3), np.nan)
    for year in range(values.shape[1]):
        column = values[:, year]
        known = column[~np.isnan(column)]
        if known.size:
            out[year] = np.percentile(known, (10, 50, 90))
    return out


def paired_count(first: Lives, second: Lives, measure: str, after_years: int) -> PairedCount:
    """The same futures under two courses, counted by which has more of a measure.

    Parameters
    ----------
    first, second : Lives
        Two courses with the same seed and futures.
    measure : str
        Its key.
    after_years : int
        When.

    Returns
    -------
    PairedCount
        Over the futures in which the tree lives under both; losses are told apart from it.

    Raises
    ------
    RangeError
        If the two were not lived with the same seed and futures.

    Source
    ------
    own: common random numbers make each pair one possible future.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> low, high = np.ones((4, 2, KEPT)), np.ones((4, 2, KEPT))
    >>> high[:3, 1, 1] = 2.0
    >>> a, b = (Lives(k, 0, 1, "x", v, np.zeros((4, 1))) for k, v in (("a", low), ("b", high)))
    >>> paired_count(b, a, "base_mm", 1).first_more
    3
    """
    if (first.seed, first.first_future, first.futures) != (second.seed, second.first_future, second.futures):
        raise out_of_range(
            _("futures of a pair"), second.course, _("the seed and futures of the first course")
        )
    difference = first.of(measure)[:, after_years] - second.of(measure)[:, after_years]
    known = difference[~np.isnan(difference)]
    return PairedCount(
        measure,
        after_years,
        first.course,
        second.course,
        int((known > _TIE).sum()),
        int((known < -_TIE).sum()),
        int(known.size),
    )


def quantile_dots(values: FloatArray, count: int = DOTS) -> FloatArray:
    """Equally likely values that stand for a distribution.

    Parameters
    ----------
    values : (n,) float
        Outcomes; NaN is left out.
    count : int
        How many dots, 1 or more.

    Returns
    -------
    (count,) float
        Quantiles at (i - 1/2) / count, ascending; empty where nothing is known.

    Source
    ------
    own: quantile dot plot.

    Examples
    --------
    >>> quantile_dots(np.arange(11.0), 2).tolist()
    [2.5, 7.5]
    """
    known = values[~np.isnan(values)]
    if known.size == 0:
        return np.empty(0)
    result: FloatArray = np.quantile(known, (np.arange(count) + 0.5) / count)
    return result


def representatives(
    lives: Lives, measure: str, after_years: int, quantiles: Sequence[float] = QUANTILES
) -> IntArray:
    """Real futures that stand at given quantiles of a measure.

    Parameters
    ----------
    lives : Lives
        A course lived.
    measure : str
        What they are ordered by; dead trees come first, so that losses are drawn too.
    after_years : int
        When.
    quantiles : sequence of float
        Between 0 and 1.

    Returns
    -------
    (k,) int
        Numbers of futures, for replay.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> values = np.ones((10, 2, KEPT)); values[:, 1, 1] = np.arange(10.0)[::-1]
    >>> lives = Lives("a", 100, 1, "x", values, np.zeros((10, 1)))
    >>> representatives(lives, "base_mm", 1, (0.0, 0.99)).tolist()
    [109, 100]
    """
    values = np.where(np.isnan(lives.of(measure)[:, after_years]), -np.inf, lives.of(measure)[:, after_years])
    order = np.argsort(values, kind="stable")
    places = np.minimum((np.asarray(quantiles) * lives.futures).astype(np.int64), lives.futures - 1)
    return order[places] + lives.first_future


def shared_future(lives: Mapping[str, Lives], measure: str, after_years: int) -> int:
    """The future that is most middling under all courses at once, for trees drawn side by side.

    Parameters
    ----------
    lives : mapping of str to Lives
        Each course lived, with the same seed and futures.
    measure : str
        What futures are ordered by; dead trees come first.
    after_years : int
        When.

    Returns
    -------
    int
        A future's number: under no course is it far from the middle.

    Source
    ------
    own: the same luck under each course, so that what differs is the course.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> values = np.ones((5, 2, KEPT)); values[:, 1, 1] = np.array([3.0, 1.0, 2.0, 5.0, 4.0])
    >>> shared_future({"a": Lives("a", 100, 1, "x", values, np.zeros((5, 1)))}, "base_mm", 1)
    100
    """
    worst: FloatArray = np.zeros(0)
    first_future = 0
    for each in lives.values():
        values = each.of(measure)[:, after_years]
        values = np.where(np.isnan(values), -np.inf, values)
        ordered = np.sort(values)
        below, up_to = (np.searchsorted(ordered, values, side=side) for side in ("left", "right"))
        off = np.abs((below + up_to) / (2.0 * values.size) - 0.5)
        worst = off if worst.size == 0 else np.maximum(worst, off)
        first_future = each.first_future
    return int(np.argmin(worst)) + first_future


def compare(
    lives: Mapping[str, Lives], *, measures: Sequence[str], horizons: Sequence[int] = (1, 5, 10, 20)
) -> Comparison:
    """All courses of a turning side by side.

    Parameters
    ----------
    lives : mapping of str to Lives
        Each course lived, with the same seed and futures.
    measures : sequence of str
        What is compared; the first is the one whose drivers are told.
    horizons : sequence of int
        Years ahead; those beyond the run are left out.

    Returns
    -------
    Comparison
        Without any ranking.

    Raises
    ------
    RangeError
        If the courses were not lived with the same seed and futures, or there is none.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.futures.outcome import KEPT
    >>> one = Lives("a", 0, 1, "x", np.ones((20, 6, KEPT)), np.zeros((20, 71)))
    >>> two = Lives("b", 0, 1, "x", np.ones((20, 6, KEPT)), np.zeros((20, 71)))
    >>> compare({"a": one, "b": two}, measures=("base_mm",), horizons=(5,)).paired[0].futures
    20
    """
    if not lives or not measures:
        raise out_of_range(_("courses to compare"), str(len(lives)), _("1 or more, by at least one measure"))
    first = next(iter(lives.values()))
    kept = tuple(sorted({min(each, first.years) for each in horizons if each >= 0}))
    pairs = tuple(
        pair
        for a, b in combinations(lives, 2)
        for measure in measures
        for year in kept
        if year > 0
        for pair in (paired_count(lives[a], lives[b], measure, year),)
        if pair.futures or measure not in OF_SECOND
    )
    lost = {
        (key, year): int((each.alive[:, year] <= 0).sum()) for key, each in lives.items() for year in kept
    }
    hours = {key: each.of("hours_h") for key, each in lives.items()}
    return Comparison(
        courses=tuple(lives),
        horizons=kept,
        measures=tuple(measures),
        bands={(key, name): band_by_year(each, name) for key, each in lives.items() for name in measures},
        paired=pairs,
        lost=lost,
        futures=first.futures,
        hours_h={key: ranged(each[:, -1]) for key, each in hours.items()},
        hours_by_year_h={key: tuple(np.diff(each.mean(axis=0)).tolist()) for key, each in hours.items()},
        drivers=_all_drivers(lives, measures, kept[-1]),
        words=(),
    )


def _all_drivers(lives: Mapping[str, Lives], measures: Sequence[str], year: int) -> tuple[Drive, ...]:
    drives = [
        drive
        for a, b in combinations(lives, 2)
        for measure in (*measures, "alive")
        for drive in drivers_of(lives[a], lives[b], measure, year)
    ]
    return tuple(sorted(drives, key=lambda drive: -drive.share_frac))
