"""The girth of a tree through its life, from the few times it was measured: the line of the ring dial."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray

ROWS = "ring_year"
GROWTH_STAGES = ("10", "19", "H1", "91", "92")
Basis = Literal["measured", "between", "assumed"]


@dataclass(frozen=True)
class GirthPoint:
    """A girth as measured; `time_years` is the growing year's label and the fraction of it gone by."""

    time_years: float
    girth_mm: float


@dataclass(frozen=True)
class YearRing:
    """The girth at the first and the last day of one growing year (or today), and how it is known."""

    label: int
    start_mm: float
    end_mm: float
    basis: Basis


@dataclass(frozen=True)
class GirthLine:
    """The girth through the years as a broken line, never falling.

    `times_years` and `girths_mm` (n,) are its corners; `scaled` is False where nothing was measured and each
    year counts one; `shrunk` says that a later measure was smaller and is drawn as no growth.
    """

    times_years: FloatArray
    girths_mm: FloatArray
    rings: tuple[YearRing, ...]
    scaled: bool
    shrunk: bool

    def at(self, time_years: float) -> float:
        """The girth at a time; NaN before the line begins."""
        if time_years < self.times_years[0] - 1e-9:
            return math.nan
        return float(np.interp(time_years, self.times_years, self.girths_mm))


def _number(key: str, parameter: str) -> float:
    return load_table("ringwise.growth", ROWS).get(key, parameter).number


def growth_curve(stage_fracs: Mapping[str, float] | None = None) -> FloatArray:
    """How a year's growth in girth is spread over the growing year.

    Parameters
    ----------
    stage_fracs : mapping of str to float, optional
        Share of the growing year gone by at stages 10, 19, H1, 91 and 92 of this tree; one that is missing
        or out of order stands where it usually does.

    Returns
    -------
    (n, 2) float
        Time in the year and share grown, both from 0 to 1 and never falling.

    Source
    ------
    Assumed: rows of `growth/data/ring_year.csv`.

    Examples
    --------
    >>> growth_curve()[0].tolist(), growth_curve()[-1].tolist()
    ([0.0, 0.0], [1.0, 1.0])
    """
    usual = {code: _number(code, "usual_frac") for code in GROWTH_STAGES}
    own = dict(stage_fracs or {})
    times = [own.get(code, usual[code]) for code in GROWTH_STAGES]
    if any(b <= a for a, b in zip([0.0, *times], [*times, 1.0], strict=True)):
        times = list(usual.values())
    shares = [_number(code, "grown_frac") for code in GROWTH_STAGES]
    return np.array([[0.0, 0.0], *zip(times, shares, strict=True), [1.0, 1.0]], dtype=np.float64)


def grown_seasons(time_years: FloatArray | float, curve: FloatArray) -> FloatArray:
    """Growing seasons lived by a time: whole years and the share of the last.

    Parameters
    ----------
    time_years : float or (n,) float
        Labels of growing years and the fraction gone by.
    curve : (n, 2) float
        From `growth_curve`.

    Returns
    -------
    (n,) float
        Seasons.

    Source
    ------
    own.

    Examples
    --------
    >>> float(grown_seasons(2027.0, growth_curve()))
    2027.0
    """
    whole = np.floor(time_years)
    return np.asarray(whole + np.interp(np.asarray(time_years) - whole, curve[:, 0], curve[:, 1]))


def girth_line(
    points: Sequence[GirthPoint], *, began_years: float | None, now_years: float, curve: FloatArray
) -> GirthLine | None:
    """The girth through the years, growing only while trees grow.

    Between two measures growth is spread evenly over the growing seasons between them; before the first it
    rises evenly from nothing at the seed; after the last it goes on at the rate of the years before it.

    Parameters
    ----------
    points : sequence of GirthPoint
        Measures at one height, in any order.
    began_years : float or None
        When the tree began; None if unknown: the line then begins with the first measure.
    now_years : float
        Today; measures after it are left out.
    curve : (n, 2) float
        From `growth_curve`.

    Returns
    -------
    GirthLine or None
        None where neither a beginning nor a measure is known.

    Source
    ------
    own: the seasons between two measures share the growth between them alike.

    Examples
    --------
    >>> measured = [GirthPoint(2024.0, 90.0)]
    >>> line = girth_line(measured, began_years=2021.0, now_years=2024.999, curve=growth_curve())
    >>> [round(ring.end_mm) for ring in line.rings], [ring.basis for ring in line.rings]
    ([30, 60, 90, 120], ['assumed', 'assumed', 'assumed', 'measured'])
    """
    known = _known(points, now_years)
    began = None if began_years is None else min(began_years, now_years)
    if began is not None and known and known[0].time_years <= began:
        began = None  # the measure is older than the typed beginning: trust what was measured
    if not known:
        return None if began is None else _unscaled(began, now_years, curve)
    risen, shrunk = _risen(known)
    corners = ([GirthPoint(began, 0.0)] if began is not None else []) + risen
    last = corners[-1]
    if last.time_years < now_years:
        grown = float(grown_seasons(now_years, curve) - grown_seasons(last.time_years, curve))
        corners.append(GirthPoint(now_years, last.girth_mm + _rate(corners, curve) * grown))
    times, girths = _filled(corners, curve)
    measured = [p.time_years for p in known]
    return GirthLine(times, girths, _rings(times, girths, measured), True, shrunk)


def _known(points: Sequence[GirthPoint], now_years: float) -> list[GirthPoint]:
    days: dict[float, list[float]] = {}
    for point in points:
        if point.time_years <= now_years:
            days.setdefault(point.time_years, []).append(point.girth_mm)
    return [GirthPoint(t, sum(g) / len(g)) for t, g in sorted(days.items())]


def _risen(known: Sequence[GirthPoint]) -> tuple[list[GirthPoint], bool]:
    slack = _number("any", "shrunk_frac")
    most, shrunk, risen = 0.0, False, []
    for point in known:
        shrunk = shrunk or point.girth_mm < most * (1.0 - slack)
        most = max(most, point.girth_mm)
        risen.append(GirthPoint(point.time_years, most))
    return risen, shrunk


def _rate(corners: Sequence[GirthPoint], curve: FloatArray) -> float:
    """Girth laid on in a growing season lately, in mm; 0 where there is but one corner."""
    last = corners[-1]
    span = _number("any", "rate_years")
    before = [c for c in corners[:-1] if c.time_years <= last.time_years - span] or list(corners[:1])
    first = before[-1]
    seasons = float(grown_seasons(last.time_years, curve) - grown_seasons(first.time_years, curve))
    return (last.girth_mm - first.girth_mm) / seasons if seasons > 0.2 else 0.0


def _filled(corners: Sequence[GirthPoint], curve: FloatArray) -> tuple[FloatArray, FloatArray]:
    times, girths = [corners[0].time_years], [corners[0].girth_mm]
    for a, b in pairwise(corners):
        bends = [
            label + frac
            for label in range(math.floor(a.time_years), math.floor(b.time_years) + 1)
            for frac in curve[:-1, 0]
            if a.time_years < label + frac < b.time_years
        ]
        days = np.array([a.time_years, *bends, b.time_years])
        seasons = grown_seasons(days, curve)
        if seasons[-1] - seasons[0] < 1e-9:  # two measures of one winter differ by the tape: go straight
            seasons = days
        share = (seasons - seasons[0]) / max(seasons[-1] - seasons[0], 1e-12)
        times += [*bends, b.time_years]
        girths += list(a.girth_mm + share[1:] * (b.girth_mm - a.girth_mm))
    return np.array(times), np.maximum.accumulate(np.array(girths))


def _rings(times: FloatArray, girths: FloatArray, measured: Sequence[float]) -> tuple[YearRing, ...]:
    rings = []
    now = float(times[-1])
    for label in range(math.floor(times[0]), math.floor(now) + 1):
        start, end = max(float(times[0]), float(label)), min(now, label + 1.0)
        if end <= start and label != math.floor(now):
            continue
        within = any(label <= t < label + 1 for t in measured)
        amid = measured and measured[0] <= start and end <= measured[-1]
        basis: Basis = "measured" if within else "between" if amid else "assumed"
        rings.append(
            YearRing(
                label, float(np.interp(start, times, girths)), float(np.interp(end, times, girths)), basis
            )
        )
    return tuple(rings)


def _unscaled(began_years: float, now_years: float, curve: FloatArray) -> GirthLine:
    seasons = max(1.0, float(grown_seasons(now_years, curve) - grown_seasons(began_years, curve)))
    times, girths = _filled([GirthPoint(began_years, 0.0), GirthPoint(now_years, seasons)], curve)
    return GirthLine(times, girths, _rings(times, girths, ()), False, False)
