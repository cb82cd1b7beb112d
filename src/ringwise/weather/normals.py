"""Twelve monthly normals and the smoothest curve of a year whose calendar months have exactly those means.

A straight line or a spline through mid-month points loses what a month's mean is: its own average comes out
too mild in the coldest and too cool in the warmest month. Here the curve is a sum of waves of the year whose
twelve monthly averages are the twelve normals; of all such sums the one that bends least is taken. January is
the first month in both hemispheres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _, counted

ROOM = "ringwise.weather"
MONTHS = 12
MEAN_DEGC = (-50.0, 38.0)  # the coldest and hottest monthly means of inhabited places lie about here
EXTREME_DEGC = (-60.0, 50.0)  # the same for the means of daily lows and highs
MONTH_DAYS = (31, 28.2425, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # of the calendar's mean year
HARMONICS = 8  # six would meet twelve months; beyond eight the curve changes by less than 0.1 degC


@dataclass(frozen=True)
class Normals:
    """Means of the calendar months, January first: of the day, and of daily lows and highs if known."""

    mean_degC: tuple[float, ...]
    low_degC: tuple[float, ...] | None = None
    high_degC: tuple[float, ...] | None = None

    @property
    def coldest_degC(self) -> float:
        """The mean of the coldest month."""
        return min(self.mean_degC)

    @property
    def warmest_degC(self) -> float:
        """The mean of the warmest month."""
        return max(self.mean_degC)


def checked_normals(normals: Normals) -> Normals:
    """The normals themselves, if they can be a climate.

    Parameters
    ----------
    normals : Normals
        As given.

    Returns
    -------
    Normals
        The same.

    Raises
    ------
    MissingFieldError
        If there are not twelve of each, or lows come without highs.
    RangeError
        If a value is out of range, a low is not below its mean or a high not above it, or two months that
        follow each other are further apart than any known; the month is named.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> checked_normals(Normals((1.0,) * 13))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.MissingFieldError: there are 13 months; give twelve, January first.
    """
    if (normals.low_degC is None) != (normals.high_degC is None):
        raise MissingFieldError(_("mean lows and mean highs belong together; give both or neither."))
    for values in (normals.mean_degC, normals.low_degC, normals.high_degC):
        if values is not None and len(values) != MONTHS:
            raise MissingFieldError(
                _("there are {months}; give twelve, January first.").format(
                    months=counted("{n} month", "{n} months", len(values))
                )
            )
    for field, values, bounds in (
        (_("mean"), normals.mean_degC, MEAN_DEGC),
        (_("mean low"), normals.low_degC, EXTREME_DEGC),
        (_("mean high"), normals.high_degC, EXTREME_DEGC),
    ):
        for number, value_degC in enumerate(values or (), 1):
            if not bounds[0] <= value_degC <= bounds[1]:
                raise out_of_range(
                    _("{field} of {month}").format(field=field, month=show.month(number)),
                    f"{value_degC:.4g} degC",
                    _("{low:g} to {high:g} degC").format(low=bounds[0], high=bounds[1]),
                    way_out=_("Check the unit."),
                )
    _check_steps(normals)
    _check_order(normals)
    return normals


def _check_steps(normals: Normals) -> None:
    most_degC = load_table(ROOM, "described").get("any", "month_step").number
    for number, (before, value) in enumerate(
        zip((normals.mean_degC[-1], *normals.mean_degC), normals.mean_degC, strict=False), 1
    ):
        if abs(value - before) > most_degC:
            raise out_of_range(
                _("mean of {month}").format(month=show.month(number)),
                f"{value:.4g} degC",
                _("within {most:g} degC of the month before it, {before:.4g} degC").format(
                    most=most_degC, before=before
                ),
                way_out=_("Check that all twelve have one unit."),
            )


def _check_order(normals: Normals) -> None:
    if normals.low_degC is None or normals.high_degC is None:
        return
    least_degC = load_table(ROOM, "described").get("any", "reach_least").number
    for number, (low, mean, high) in enumerate(
        zip(normals.low_degC, normals.mean_degC, normals.high_degC, strict=True), 1
    ):
        if not low + least_degC <= mean <= high - least_degC:
            raise out_of_range(
                _("mean of {month}").format(month=show.month(number)),
                f"{mean:.4g} degC",
                _("between its mean low {low:.4g} and mean high {high:.4g} degC, {least:g} from each").format(
                    low=low, high=high, least=least_degC
                ),
                way_out=_("Check the order of the columns."),
            )


def month_edges() -> FloatArray:
    """Where the calendar months begin, as shares of the year, and the end of the last.

    Returns
    -------
    (13,) float
        From 0 to 1.

    Source
    ------
    own: the calendar.

    Examples
    --------
    >>> month_edges()[[0, 12]].tolist()
    [0.0, 1.0]
    """
    ends = np.cumsum(np.array(MONTH_DAYS))
    edges: FloatArray = np.concatenate([[0.0], ends / ends[-1]])
    return edges


def yearly_curve(values: Sequence[float], edges: FloatArray | None = None) -> FloatArray:
    """The waves of the year whose averages between the edges are the values, bending least of all such.

    Parameters
    ----------
    values : sequence of float
        One a month.
    edges : (months + 1,) float, optional
        Where the months begin and the last ends, one year apart; by default those of the calendar.

    Returns
    -------
    (1 + 2 * HARMONICS,) float
        The mean, then cosines, then sines of one to `HARMONICS` waves a year; for `curve_at`.

    Source
    ------
    own derivation. The average of cos(2 pi k t) from a to b is (sin(2 pi k b) - sin(2 pi k a)) /
    (2 pi k (b - a)), and alike for the sine, so each month is one linear equation. Bending, the integral of
    the squared second derivative, is the sum of k^4 times the squares of the waves' coefficients; its least
    under the equations is one linear system.

    Examples
    --------
    >>> flat = yearly_curve([5.0] * 12)
    >>> float(flat[0].round(9)), bool(np.abs(flat[1:]).max() < 1e-9)
    (5.0, True)
    """
    solved = _solver(tuple(float(edge) for edge in (month_edges() if edges is None else edges)))
    found: FloatArray = solved @ np.asarray(values, dtype=np.float64)
    return found


@cache
def _solver(edges: tuple[float, ...]) -> FloatArray:
    """What the values are multiplied by, the same for all values."""
    begin, end = np.array(edges[:-1])[:, None], np.array(edges[1:])[:, None]
    waves = 2.0 * math.pi * np.arange(1.0, HARMONICS + 1.0)
    span = waves * (end - begin)
    cosines = (np.sin(waves * end) - np.sin(waves * begin)) / span
    sines = (np.cos(waves * begin) - np.cos(waves * end)) / span
    averages = np.hstack([np.ones_like(begin), cosines, sines])
    bending = np.diag(np.concatenate([[0.0], np.tile(np.arange(1.0, HARMONICS + 1.0) ** 4, 2)]))
    months, terms = averages.shape
    system = np.block([[bending, averages.T], [averages, np.zeros((months, months))]])
    wanted = np.vstack([np.zeros((terms, months)), np.eye(months)])
    solved: FloatArray = np.linalg.solve(system, wanted)[:terms]
    return solved


def curve_at(waves: FloatArray, turns: FloatArray) -> FloatArray:
    """A curve at shares of the year.

    Parameters
    ----------
    waves : (1 + 2 * HARMONICS,) float
        From `yearly_curve`.
    turns : (n,) float
        Shares of the year, 0 at its first moment; whole turns do not matter.

    Returns
    -------
    (n,) float
        In the unit of the values.

    Source
    ------
    own: the sum of the waves.

    Examples
    --------
    >>> curve_at(yearly_curve([5.0] * 12), np.array([0.0, 0.3])).round(9).tolist()
    [5.0, 5.0]
    """
    angles = 2.0 * math.pi * turns
    values = np.full(turns.shape, waves[0])
    for k in range(1, HARMONICS + 1):
        values += waves[k] * np.cos(k * angles) + waves[HARMONICS + k] * np.sin(k * angles)
    return values


def year_shares(first: date, days: int) -> FloatArray:
    """The middle of each day as a share of its calendar year.

    Parameters
    ----------
    first : date
        The first day.
    days : int
        How many.

    Returns
    -------
    (days,) float
        Above 0, below 1.

    Source
    ------
    own: the calendar; a leap year's days are narrower shares, so that months never drift.

    Examples
    --------
    >>> year_shares(date(2001, 12, 31), 2).round(4).tolist()
    [0.9986, 0.0014]
    """
    last = first + timedelta(days=days - 1)
    parts = []
    for year in range(first.year, last.year + 1):
        begin, end = date(year, 1, 1), date(year + 1, 1, 1)
        low, high = max(first, begin), min(last, end - timedelta(days=1))
        places = np.arange((low - begin).days, (high - begin).days + 1, dtype=np.float64)
        parts.append((places + 0.5) / (end - begin).days)
    return np.concatenate(parts)
