"""How fast a pot drains: flow through a column of mix, for slow mixes and to check the state at rest.

Coarse granules drain in minutes and need none of this; the state at rest is what `container` gives.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ringwise.kit.errors import BalanceError, InputError, out_of_range
from ringwise.kit.numbers import number
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.moments import curve_moments
from ringwise.rootzone.retention import RetentionCurve

_FIRST_CM, _LAST_CM, _KNOTS = 1e-4, 1e6, 6001  # tables of water and conductivity, even in the logarithm
_PARTS, _GROWTH = 200, 1.25  # the longest step as a part of the span asked for; growth of an easy step
_POT_GROWTH, _FINER_GROWTH = 1.15, 1.02  # for a draining pot, whose flow slows as time goes on
_PORE_EXPONENT = 0.5  # how pores join: the usual exponent of the conductivity form
_OPEN_CM = 1e-8  # water that a whole run may leave unexplained
_LEAST_FLOW = 1e-300  # conductivity in cm/s that counts as none


@dataclass(frozen=True)
class Hydraulics:
    """Water content and conductivity on even steps of the logarithm of suction, from wet to dry."""

    suction_cm: FloatArray
    theta_v: FloatArray
    conductivity_cm_s: FloatArray


@dataclass(frozen=True)
class Column:
    """A column of mix: depth, cells, and pressure heads held at its ends; None closes an end.

    With `outlet` the lower end lets water out at pressure 0 and takes none in, as a hole in a pot does.
    Each step in time is longer than the last by the growth factor, and at most one of the parts of the span.
    """

    depth_cm: float
    cells: int
    top_cm: float | None = None
    bottom_cm: float | None = None
    outlet: bool = False
    growth_factor: float = _GROWTH
    parts: int = _PARTS


@dataclass(frozen=True)
class ColumnRun:
    """At each time asked for: pressure head by cell from the top, water entered and drained so far."""

    depths_cm: FloatArray
    pressure_cm: FloatArray
    theta_v: FloatArray
    entered_cm: FloatArray
    drained_cm: FloatArray
    open_cm: float


def suction_knots_cm() -> FloatArray:
    """The suctions at which tables of a mix are kept.

    Returns
    -------
    FloatArray
        Even in the logarithm.

    Source
    ------
    own.

    Examples
    --------
    >>> suction_knots_cm().size
    6001
    """
    return np.asarray(np.geomspace(_FIRST_CM, _LAST_CM, _KNOTS), dtype=np.float64)


def hydraulics(curve: RetentionCurve, ks_cm_s: float) -> Hydraulics:
    """Water content and conductivity of a mix, tabled.

    Parameters
    ----------
    curve : RetentionCurve
        One curve.
    ks_cm_s : float
        Conductivity when saturated.

    Returns
    -------
    Hydraulics
        By the closed conductivity form, summed over the pore systems.

    Raises
    ------
    RangeError
        If the conductivity is out of bounds.
    InputError
        If draws were given instead of one curve.

    Source
    ------
    vangenuchten1980, durner1994: conductivity from retention by pores in series; several systems, recalled.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> sand = hydraulics(curve(0.045, 0.43, [(1, 0.145, 2.68)]), 0.00825)
    >>> round(float(sand.conductivity_cm_s[0]), 5)
    0.00825
    """
    if curve.draws:
        raise InputError(_("drainage is reckoned for one curve at a time, not for draws"))
    row = load_table("ringwise.rootzone", "container").get("accepted", "ks_cm_s")
    low, high = row.low or 0.0, row.high or math.inf
    if not low <= ks_cm_s <= high:
        accepted = _("{low} to {high} cm/s").format(low=number(low), high=number(high))
        given = number(ks_cm_s, 4)
        per_day = _("Was it cm per day? Write {given}cm/d.").format(given=given) if ks_cm_s > high else ""
        shown = _("{value} cm/s").format(value=given)
        raise out_of_range(_("conductivity"), shown, accepted, way_out=per_day)
    h = suction_knots_cm()
    a, n = curve.alphas_per_cm[:, None], curve.ns[:, None]
    with np.errstate(over="ignore"):
        x = (a * h) ** n
    # 1 - (x/(1+x))^m without loss where it is small: x/(1+x) = 1 - 1/(1+x).
    pulled = -np.expm1((1 - 1 / n) * np.log1p(-1 / (1 + x)))
    weights = curve.shares[:, None] * a
    joined = (weights * pulled).sum(axis=0) / weights.sum()
    flows = ks_cm_s * curve.saturation(h) ** _PORE_EXPONENT * joined**2
    theta = curve.theta_v(h)
    theta[0], flows[0] = curve.saturated_v, ks_cm_s
    return Hydraulics(h, theta, np.maximum(flows, _LEAST_FLOW))


def run_column(mix: Hydraulics, column: Column, start_cm: FloatArray, times_s: ArrayLike) -> ColumnRun:
    """Flow through a column from a pressure at the start.

    Parameters
    ----------
    mix : Hydraulics
        Its tables.
    column : Column
        Depth, cells and ends.
    start_cm : FloatArray
        Pressure head of each cell at the start, from the top; below 0 where unsaturated.
    times_s : array-like
        When to look, rising.

    Returns
    -------
    ColumnRun
        At those times.

    Raises
    ------
    InputError
        If the times do not rise from 0, or a pressure is not finite.
    BalanceError
        If no step settles, or water is lost.

    Source
    ------
    celia1990: mass-conservative modified Picard steps.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> sand = hydraulics(curve(0.045, 0.43, [(1, 0.145, 2.68)]), 0.00825)
    >>> ran = run_column(sand, Column(10.0, 50, outlet=True), np.full(50, -0.001), [60.0])
    >>> bool(ran.open_cm < 1e-8 and ran.drained_cm[0] > 0.2)
    True
    """
    from ringwise.rootzone.drain_kernels import CLOSED, HEAD, OUTLET
    from ringwise.rootzone.drain_kernels import column as run

    times = np.asarray(times_s, dtype=np.float64)
    if not (times.size and np.all(np.isfinite(times)) and np.all(np.diff(times, prepend=0.0) > 0)):
        raise InputError(_("times must rise and be more than 0. Write them as 30s,120s,600s."))
    start = np.asarray(start_cm, dtype=np.float64)
    if not np.all(np.isfinite([column.top_cm or 0.0, column.bottom_cm or 0.0, *start])):
        raise InputError(_("a pressure in the column is not finite"))
    ends = (
        CLOSED if column.top_cm is None else HEAD,
        column.top_cm or 0.0,
        OUTLET if column.outlet else CLOSED if column.bottom_cm is None else HEAD,
        0.0 if column.outlet else column.bottom_cm or 0.0,
    )
    log_h = np.log(mix.suction_cm)
    tables = (float(log_h[0]), float(log_h[1] - log_h[0]), mix.theta_v, mix.conductivity_cm_s)
    dz = column.depth_cm / column.cells
    pressure, entered, drained, reached_s = run(
        tables, ends, dz, start, times, (column.growth_factor, float(times[-1]) / column.parts)
    )
    if reached_s < times[-1]:
        raise BalanceError(
            _("flow in the column does not settle at {n} s; give fewer cells or other ends").format(
                n=number(reached_s, 3)
            )
        )
    held = _tabled(mix, np.asarray(pressure, dtype=np.float64))
    lost = (held - _tabled(mix, start)).sum(axis=-1) * dz - (entered - drained)
    open_cm = float(np.abs(lost).max())
    if open_cm > _OPEN_CM:
        raise BalanceError(_("{n} cm of water are unexplained in the column").format(n=number(open_cm, 3)))
    depths = np.asarray((np.arange(column.cells) + 0.5) * dz, dtype=np.float64)
    return ColumnRun(depths, pressure, held, entered, drained, open_cm)


def _tabled(mix: Hydraulics, pressure_cm: FloatArray) -> FloatArray:
    """Water content at pressures, read from the tables as the compiled steps read it."""
    suction = np.maximum(-pressure_cm, mix.suction_cm[0])
    return np.asarray(np.interp(np.log(suction), np.log(mix.suction_cm), mix.theta_v))


@dataclass(frozen=True)
class Drainage:
    """A soaked pot draining: depth of water gone by each time, with finer steps too, and in the end.

    The difference between the two is what the length of the steps in time costs: some 2 % of the water.
    """

    times_s: FloatArray
    drained_cm: FloatArray
    finer_cm: FloatArray
    theta_v: FloatArray
    end_cm: float
    end_theta_v: float
    open_cm: float


def pot_drainage(
    curve: RetentionCurve, height_cm: float, ks_cm_s: float, times_s: ArrayLike, *, cells: int = 100
) -> Drainage:
    """A pot with straight walls draining from full saturation.

    Parameters
    ----------
    curve : RetentionCurve
        One curve.
    height_cm : float
        Height of mix above the hole.
    ks_cm_s : float
        Conductivity when saturated.
    times_s : array-like
        When to look, rising.
    cells : int
        Of the column.

    Returns
    -------
    Drainage
        Water drained in cm (times the area it is a volume), mean water content, and both in the end.

    Raises
    ------
    RangeError
        If the height or the conductivity is out of bounds.
    BalanceError
        If the flow does not settle.

    Source
    ------
    celia1990: as `run_column`; the end is the state at rest in closed form.

    Examples
    --------
    >>> from ringwise.rootzone.retention import curve
    >>> ran = pot_drainage(curve(0.045, 0.43, [(1, 0.145, 2.68)]), 10.0, 0.00825, [60.0, 300.0])
    >>> [round(float(each), 2) for each in ran.drained_cm]
    [0.27, 0.63]
    """
    row = load_table("ringwise.rootzone", "potting").get("accepted", "depth_mm")
    low, high = (row.low or 0.0) / 10, (row.high or math.inf) / 10
    if not low <= height_cm <= high:
        accepted = _("{low} to {high} cm").format(low=number(low), high=number(high))
        raise out_of_range(_("height of the fill"), f"{number(height_cm, 4)} cm", accepted)
    mix = hydraulics(curve, ks_cm_s)
    ran, finer = (
        run_column(
            mix,
            Column(height_cm, cells, outlet=True, growth_factor=factor, parts=1),
            np.full(cells, -0.001),  # wet through, the outlet about to run
            times_s,
        )
        for factor in (_POT_GROWTH, _FINER_GROWTH)
    )
    rest = float(curve.residual_v + curve.span_v * curve_moments(curve, height_cm)[0] / height_cm)
    return Drainage(
        np.asarray(times_s, dtype=np.float64),
        ran.drained_cm,
        finer.drained_cm,
        ran.theta_v.mean(axis=-1),
        (float(curve.saturated_v) - rest) * height_cm,
        rest,
        max(ran.open_cm, finer.open_cm),
    )
