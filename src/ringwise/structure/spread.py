"""How sure the measures of a whole tree are: by trees as likely as the measured one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.likely import moved
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measures import Measures, base_row, lowest_branch, measures, trunk_mask
from ringwise.structure.measuring_data import measuring

SIZES = (
    "height_mm",
    "spread_mm",
    "spread_front_mm",
    "base_diameter_mm",
    "base_girth_mm",
    "half_height_diameter_mm",
    "taper_ratio",
    "height_to_base_ratio",
    "movement_frac",
    "first_branch_frac",
    "wood_cm3",
)
PLACED = ("height_mm", "spread_mm", "spread_front_mm", "movement_frac", "first_branch_frac")
COUNTED = (*SIZES, "tips", "strahler")  # what equally likely trees also differ in


def spreads(
    measured: MeasuredTree, others: Sequence[MeasuredTree] = (), *, seed: int = 1
) -> Mapping[str, float]:
    """The standard deviation of each measure of the whole tree.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    others : sequence of MeasuredTree
        Equally likely trees behind the same tape, where it comes from one.
    seed : int
        Of the draws.

    Returns
    -------
    mapping of str to float
        By the names of `Measures`; NaN where nobody can say, since no spread of a thickness or place is
        known.

    Source
    ------
    own: seeded draws of the spreads of radii and places, and the differences between likely trees.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=4.0)
    >>> sure = spreads(measured_of(stem, radius_sd_mm=0.1, position_sd_mm=0.0))
    >>> 0.1 < sure["base_diameter_mm"] < 0.35, sure["height_mm"]
    (True, 0.0)
    """
    drawn = _drawn(measured, seed)
    own = {name: float(np.std(values, ddof=1)) for name, values in drawn.items()}
    if np.isnan(measured.radius_sd_mm).all():
        own |= dict.fromkeys(("base_diameter_mm", "base_girth_mm", "half_height_diameter_mm"), math.nan)
        own |= dict.fromkeys(("taper_ratio", "height_to_base_ratio", "wood_cm3"), math.nan)
    if np.isnan(measured.position_sd_mm).all():
        own |= dict.fromkeys(PLACED, math.nan)
    own |= dict.fromkeys(("tips", "strahler"), math.nan)
    if not others:
        return own
    between = _between([measures(each.table) for each in (measured, *others)])
    return {name: _joined(own[name], between[name]) for name in COUNTED}


def _joined(own_ratio: float, trees_ratio: float) -> float:
    """Both kinds of doubt, in one unit; what nobody can say of a reading is told by the trees alone."""
    if math.isnan(own_ratio) or math.isnan(trees_ratio):
        return trees_ratio if math.isnan(own_ratio) else own_ratio
    return math.hypot(own_ratio, trees_ratio)


def _between(found: Sequence[Measures]) -> dict[str, float]:
    out = {}
    for name in COUNTED:
        values = [getattr(each, name) for each in found]
        known = [float(value) for value in values if value is not None]
        out[name] = float(np.std(known, ddof=1)) if len(known) > 1 else math.nan
    return out


def _drawn(measured: MeasuredTree, seed: int) -> dict[str, FloatArray]:
    """Each measure of size over the draws; forks and orders stay as they were measured."""
    table = measured.table
    draws = int(measuring("spread", "draws"))
    diameters, ends = moved(measured, seed, draws)
    foot = np.zeros((draws, 1, 3))
    every = np.concatenate([foot, ends], axis=1)
    height = every[:, :, 2].max(axis=1)
    trunk = np.nonzero(trunk_mask(table))[0]
    base = diameters[:, base_row(table)]
    half = np.array([_at_half(trunk, e, d) for e, d in zip(ends, diameters, strict=True)])
    line = np.concatenate([foot, ends[:, trunk]], axis=1)
    return {
        "height_mm": height,
        "spread_mm": _widest(every[:, :, :2]),
        "spread_front_mm": np.ptp(every[:, :, 0], axis=1),
        "base_diameter_mm": base,
        "base_girth_mm": math.pi * base,
        "half_height_diameter_mm": half,
        "taper_ratio": half / base,
        "height_to_base_ratio": height / base,
        "movement_frac": _offsets(line) / height,
        "first_branch_frac": _first(measured, ends) / height,
        "wood_cm3": _wood(measured, diameters, ends),
    }


def _first(measured: MeasuredTree, ends: FloatArray) -> FloatArray:
    """Height of the lowest branch in each draw; NaN without any."""
    lowest = lowest_branch(measured.table)
    if lowest is None:
        return np.full(len(ends), np.nan)
    return np.asarray(ends[:, measured.table.parent[lowest], 2])


def _at_half(trunk: IntArray, ends: FloatArray, diameter: FloatArray) -> float:
    """Thickness of the trunk at half its height in one draw."""
    starts = np.append(0.0, ends[trunk[:-1], 2])
    half_mm = float(ends[:, 2].max()) / 2.0
    reached = starts >= half_mm
    first = int(np.argmax(reached)) if reached.any() else len(trunk) - 1
    if first == 0 or not reached.any():
        return float(diameter[trunk[first]])
    span, wide = starts[first - 1 : first + 1], diameter[trunk[first - 1 : first + 1]]
    return float(np.interp(half_mm, span, wide))


def _widest(points: FloatArray) -> FloatArray:
    """Largest level width of each draw, over eighteen directions."""
    angles = np.linspace(0.0, math.pi, 18, endpoint=False)
    across = np.einsum("kna,ad->knd", points, np.stack([np.cos(angles), np.sin(angles)]))
    return np.asarray(np.ptp(across, axis=1).max(axis=1))


def _offsets(lines: FloatArray) -> FloatArray:
    """Largest distance of each trunk line from the straight line between its ends."""
    span = lines[:, -1] - lines[:, 0]
    away = lines - lines[:, :1]
    along = np.einsum("kna,ka->kn", away, span) / np.einsum("ka,ka->k", span, span)[:, None]
    apart = away - along[:, :, None] * span[:, None, :]
    return np.asarray(np.linalg.norm(apart, axis=2).max(axis=1))


def _wood(measured: MeasuredTree, diameters: FloatArray, ends: FloatArray) -> FloatArray:
    """Volume of wood of each draw, in cm3."""
    table = measured.table
    parent, child = table.parent.astype(np.int64), table.continued_by
    starts = np.where((parent >= 0)[None, :, None], ends[:, parent], 0.0)
    length = np.linalg.norm(ends - starts, axis=2)
    taper = table.end_diameter_mm / table.diameter_mm
    low = diameters / 2.0
    high = np.minimum(np.where(child >= 0, low[:, child], low * taper), low)
    volume = math.pi / 3.0 * length * (low**2 + low * high + high**2)
    return np.asarray(volume.sum(axis=1) / 1000.0)
