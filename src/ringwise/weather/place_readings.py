"""Readings of a place beside its station: what the place does to the weather, learned with shrinkage."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.weather.microsite import MicrositeOffset, PlaceLine, microsite_rows
from ringwise.weather.series import WeatherSeries

NIGHT, DAY = "tmin_degC", "tmax_degC"
NO_STATION, SUN, FAR = "no_station", "sun", "far"
_Texts: TypeAlias = NDArray[np.str_]


@dataclass(frozen=True)
class PlaceReadings:
    """Minima and maxima read at one place, one a day from `first` on; NaN where nobody looked."""

    first: date
    tmin_degC: FloatArray
    tmax_degC: FloatArray

    @property
    def n(self) -> int:
        """On how many days anything was read."""
        return int((~np.isnan(self.tmin_degC) | ~np.isnan(self.tmax_degC)).sum())

    def column(self, measure: str) -> FloatArray:
        """Minima or maxima by their column name."""
        return self.tmin_degC if measure == NIGHT else self.tmax_degC


NO_READINGS = PlaceReadings(date(2000, 1, 1), np.empty(0), np.empty(0))


@dataclass(frozen=True)
class LeftOut:
    """A reading that does not teach, and why: "no_station", "sun" or "far"."""

    day: date
    measure: str
    read_degC: float
    station_degC: float | None
    reason: str


@dataclass(frozen=True)
class Learned:
    """What a place does to the weather, and the readings that were left out of it, by day."""

    offset: MicrositeOffset
    left_out: tuple[LeftOut, ...]


def learned(readings: PlaceReadings, series: WeatherSeries, prior: MicrositeOffset) -> Learned:
    """What the readings of a place and the station's days beside them say of the place.

    Parameters
    ----------
    readings : PlaceReadings
        Read there.
    series : WeatherSeries
        The station; bridged days and days that it lacks do not teach.
    prior : MicrositeOffset
        What is assumed without readings.

    Returns
    -------
    Learned
        With no usable reading the prior's lines; with many the readings rule.

    Source
    ------
    own reasoning (conjugate normal, see `line_learned`).

    Examples
    --------
    >>> from ringwise.weather.microsite import microsite_prior
    >>> from ringwise.weather.series import series_of
    >>> nights = np.array([0.0, 3.0, -2.0, 1.0, 4.0])
    >>> station = series_of(date(2027, 3, 1), {"tmin_degC": nights, "tmax_degC": nights + 9})
    >>> read = PlaceReadings(date(2027, 3, 1), nights + 2.0, np.full(5, np.nan))
    >>> told = learned(read, station, microsite_prior("open_bench")).offset
    >>> 1.0 < told.nights.offset_degC < 2.0, told.nights.readings, told.days.readings
    (True, 5, 0)
    """
    left_out: list[LeftOut] = []
    lines = {}
    for measure, line in ((NIGHT, prior.nights), (DAY, prior.days)):
        beside = _beside(readings, series, measure)
        reasons = _reasons(readings.column(measure), beside, measure, prior.kind)
        left_out += _left_out(readings, beside, measure, reasons)
        used = (reasons == "") & ~np.isnan(readings.column(measure))
        at = np.flatnonzero(used)
        lines[measure] = line_learned(
            beside[at], readings.column(measure)[at], line, weights=run_weights(used)[at]
        )
    left_out.sort(key=lambda each: (each.day, each.measure))
    return Learned(MicrositeOffset(prior.kind, lines[NIGHT], lines[DAY]), tuple(left_out))


def _beside(readings: PlaceReadings, series: WeatherSeries, measure: str) -> FloatArray:
    """The station's value of each day of the readings, NaN where it has none of its own."""
    places = np.arange(readings.tmin_degC.size) + (readings.first - series.first).days
    inside = (places >= 0) & (places < series.n)
    at = np.where(inside, places, 0)
    found: FloatArray = np.where(
        inside & ~series.was_bridged(measure)[at], series.column(measure)[at], np.nan
    )
    return found


def _reasons(read: FloatArray, beside: FloatArray, measure: str, kind: str) -> _Texts:
    """Why each reading is left out, blank where it teaches."""
    above = read - beside
    far = np.abs(above) > microsite_rows()["far"].number
    sun = (above > microsite_rows(kind)["sun"].number) & (measure == DAY)
    known = ~np.isnan(read)
    cases = [known & np.isnan(beside), known & sun, known & far]
    reasons: _Texts = np.select(cases, [NO_STATION, SUN, FAR], default="")
    return reasons


def _left_out(readings: PlaceReadings, beside: FloatArray, measure: str, reasons: _Texts) -> list[LeftOut]:
    return [
        LeftOut(
            readings.first + timedelta(days=int(k)),
            measure,
            float(readings.column(measure)[k]),
            None if np.isnan(beside[k]) else float(beside[k]),
            str(reasons[k]),
        )
        for k in np.flatnonzero(reasons != "")
    ]


def run_weights(used: BoolArray) -> FloatArray:
    """How much each day's reading counts: one that follows the day before it repeats part of what that said.

    Parameters
    ----------
    used : (days,) bool
        Days with a reading that teaches.

    Returns
    -------
    (days,) float
        1 for the first day of a run, (1 - r) / (1 + r) for those after it, with r the correlation of
        two days in a row; 0 where there is no reading.

    Source
    ------
    own reasoning: n days of an autoregressive course of first order say as much of its mean as
    1 + (n - 1) (1 - r) / (1 + r) days that are independent.

    Examples
    --------
    >>> run_weights(np.array([True, False, True])).tolist()
    [1.0, 0.0, 1.0]
    """
    alike = microsite_rows()["day_to_day"].number
    follows = np.concatenate([[False], used[:-1]]) if used.size else used
    weights: FloatArray = np.where(used, np.where(follows, (1.0 - alike) / (1.0 + alike), 1.0), 0.0)
    return weights


def line_learned(
    station_degC: FloatArray, place_degC: FloatArray, prior: PlaceLine, *, weights: FloatArray
) -> PlaceLine:
    """The line of a place from pairs of station and place, shrunk towards its prior.

    Parameters
    ----------
    station_degC, place_degC : (n,) float
        Pairs without NaN.
    prior : PlaceLine
        What is assumed without pairs.
    weights : (n,) float
        How much each pair counts, above 0 and at most 1.

    Returns
    -------
    PlaceLine
        The prior itself where there is no pair.

    Source
    ------
    own reasoning: conjugate normal for offset and slope, their residual spread taken as known from
    `residual_spread`.

    Examples
    --------
    >>> from ringwise.weather.microsite import microsite_prior
    >>> prior = microsite_prior("open_bench").nights
    >>> line_learned(np.empty(0), np.empty(0), prior, weights=np.empty(0)) is prior
    True
    """
    if not station_degC.size:
        return prior
    beyond = station_degC - prior.centre_degC
    design = np.column_stack([np.ones(beyond.size), beyond])
    # What the prior's line leaves over: what is learned is then a change whose prior mean is nought.
    left = place_degC - station_degC - prior.lift_degC(station_degC)
    residual_degC = residual_spread(design, left, prior.residual_degC, weights=weights)
    before = np.linalg.inv(
        [[prior.offset_sd_degC**2, prior.shared_degC], [prior.shared_degC, prior.slope_sd_ratio**2]]
    )
    weighed = design.T * (weights / residual_degC**2)
    covariance = np.linalg.inv(before + weighed @ design)
    change = covariance @ (weighed @ left)
    return PlaceLine(
        centre_degC=prior.centre_degC,
        offset_degC=prior.offset_degC + float(change[0]),
        slope_ratio=prior.slope_ratio + float(change[1]),
        offset_sd_degC=float(covariance[0, 0] ** 0.5),
        slope_sd_ratio=float(covariance[1, 1] ** 0.5),
        residual_degC=residual_degC,
        shared_degC=float(covariance[0, 1]),
        readings=int(station_degC.size),
    )


def residual_spread(
    design: FloatArray, left: FloatArray, assumed_degC: float, *, weights: FloatArray
) -> float:
    """How far single readings lie from their own line, shrunk towards what is assumed.

    Parameters
    ----------
    design : (n, 2) float
        Ones, and the station beyond the centre.
    left : (n,) float
        Place less the prior's line, in degrees C.
    assumed_degC : float
        The spread without readings.
    weights : (n,) float
        How much each reading counts.

    Returns
    -------
    float
        In degrees C: squares around the least-squares line, which says nothing of the prior's line, beside
        those of the assumed spread, which counts for `residual_readings` readings.

    Source
    ------
    own reasoning (scaled inverse chi-square, its mean square).

    Examples
    --------
    >>> line = np.column_stack([np.ones(3), np.array([-1.0, 0.0, 1.0])])
    >>> residual_spread(line[:1], np.array([9.0]), 1.5, weights=np.ones(1))  # one reading has no spread
    1.5
    >>> residual_spread(line, np.array([1.0, 2.0, 3.0]), 1.5, weights=np.ones(3)) < 1.5
    True
    """
    known = microsite_rows()["residual_readings"].number
    root = np.sqrt(weights)
    line, _squares, rank, _singular = np.linalg.lstsq(root[:, None] * design, root * left)
    misfit = float(weights @ (left - design @ line) ** 2)
    free = float(weights.sum()) * (left.size - int(rank)) / left.size
    return float(((known * assumed_degC**2 + misfit) / (known + free)) ** 0.5)
