"""Water that leaves the surface of a pot: freely from a wet top, then ever less; the dressing first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.kit.words import _

COVERS = ("granule", "fine", "moss")


@dataclass(frozen=True)
class Cover:
    """What lies on top, one value or one a pot: free water, how evaporation falls, water of a dressing."""

    rew_mm: FloatLike
    fall_factor: FloatLike
    hold_mm: FloatLike


def _row(name: str, key: str = "any") -> Parameter:
    return load_table("ringwise.rootzone", "balance").get(key, name)


def cover(key: str, *, dressing_mm: float | None = None) -> Cover:
    """The cover of a pot.

    Parameters
    ----------
    key : str
        granule, fine or moss.
    dressing_mm : float, optional
        Thickness of the dressing; by default the trade's where the cover holds water at all.

    Returns
    -------
    Cover
        From balance.csv.

    Raises
    ------
    UnknownNameError
        If there is no such cover.

    Source
    ------
    own: rows of balance.csv; the thickness is a row of potting.csv.

    Examples
    --------
    >>> cover("moss").hold_mm, cover("granule").hold_mm
    (2.5, 0.0)
    """
    if key not in COVERS:
        raise unknown_name(_("cover"), key, COVERS)
    rows = load_table("ringwise.rootzone", "balance").of(f"cover_{key}")
    usual = load_table("ringwise.rootzone", "potting").get("fill", "dressing_mm").number
    thick_mm = usual if dressing_mm is None else dressing_mm
    return Cover(rows["rew_mm"].number, rows["fall_factor"].number, rows["hold_v"].number * thick_mm)


def surface_layer_mm(depth_mm: FloatLike) -> FloatArray:
    """The layer that evaporation can dry: the whole pot where it is shallow.

    Parameters
    ----------
    depth_mm : float or array
        Height of the fill.

    Returns
    -------
    array of float
        In mm.

    Source
    ------
    allen1998: 0.10 m of equation 73; own: never more than the pot.

    Examples
    --------
    >>> surface_layer_mm(np.array([60.0, 250.0])).tolist()
    [60.0, 100.0]
    """
    return np.minimum(np.asarray(depth_mm, dtype=np.float64), _row("surface_layer_mm").number)


def total_evaporable_mm(capacity_v: FloatLike, wilting_v: FloatLike, layer_mm: FloatLike) -> FloatArray:
    """All the water that evaporation can take from the surface layer.

    Parameters
    ----------
    capacity_v, wilting_v : float or array
        Water by volume at container capacity (for field capacity) and at the stop of supply (for wilting).
    layer_mm : float or array
        From `surface_layer_mm`.

    Returns
    -------
    array of float
        In mm.

    Source
    ------
    allen1998: equation 73.

    Examples
    --------
    >>> round(float(total_evaporable_mm(0.23, 0.10, 100.0)), 1)
    18.0
    """
    left = _row("wilting_share_frac").number * np.asarray(wilting_v, dtype=np.float64)
    return np.asarray((np.asarray(capacity_v) - left) * layer_mm)


def reduction_frac(lost_mm: FloatLike, tew_mm: FloatLike, top: Cover) -> FloatArray:
    """How far evaporation has fallen below that of a wet surface.

    Parameters
    ----------
    lost_mm : float or array
        Water missing from the surface layer.
    tew_mm : float or array
        From `total_evaporable_mm`.
    top : Cover
        With the free water, and 1 for a straight fall.

    Returns
    -------
    array of float
        1 while the free water lasts, 0 when all is gone.

    Source
    ------
    allen1998: equation 74; own: the power of coarse grains.

    Examples
    --------
    >>> straight = Cover(rew_mm=8.0, fall_factor=1.0, hold_mm=0.0)
    >>> [float(reduction_frac(lost, 18.0, straight)) for lost in (4.0, 13.0, 18.0)]
    [1.0, 0.5, 0.0]
    """
    tew = np.asarray(tew_mm, dtype=np.float64)
    rew = np.minimum(np.asarray(top.rew_mm, dtype=np.float64), tew)
    span = np.maximum(tew - rew, 1e-9)  # so that no free water and no more is no division by nothing
    line = np.clip((tew - np.asarray(lost_mm)) / span, 0.0, 1.0)
    return np.asarray(np.power(line, top.fall_factor))


def evaporated_mm(power_mm: FloatLike, lost_mm: FloatArray, tew_mm: FloatArray, top: Cover) -> FloatArray:
    """What leaves the surface layer in a whole day while it dries: the exact end of the day, not a step.

    Parameters
    ----------
    power_mm : float or array
        What a wet surface would lose that day.
    lost_mm, tew_mm : array of float
        Water missing when the day begins, and all that can go.
    top : Cover
        As for `reduction_frac`.

    Returns
    -------
    array of float
        In mm; never more than is left.

    Source
    ------
    own: closed form of dD/dt = power x reduction_frac over one day.

    Examples
    --------
    >>> straight = Cover(rew_mm=8.0, fall_factor=1.0, hold_mm=0.0)
    >>> lost = np.array([0.0, 8.0, 18.0])
    >>> evaporated_mm(5.0, lost, np.full(3, 18.0), straight).round(3).tolist()  # 10 (1 - exp(-1/2))
    [5.0, 3.935, 0.0]
    """
    power = np.asarray(power_mm, dtype=np.float64)
    rew = np.minimum(np.asarray(top.rew_mm, dtype=np.float64), tew_mm)
    free = np.clip(rew - lost_mm, 0.0, power)
    span = np.maximum(tew_mm - rew, 1e-9)
    start = np.clip((tew_mm - np.maximum(lost_mm, rew)) / span, 0.0, 1.0)
    pace = (power - free) / span
    bend = np.asarray(top.fall_factor, dtype=np.float64) - 1.0
    straight = np.abs(bend) < 1e-9
    safe = np.where(straight, 1.0, bend)
    # y' = -pace y^(1 + bend) from `start`, written so that a dry surface is no division by nothing
    falling = start * np.power(1.0 + safe * pace * np.power(start, safe), -1.0 / safe)
    end = np.where(straight, start * np.exp(-pace), falling)
    return np.asarray(free + (start - end) * span)


def wet_surface_ratio(leaf_m2: FloatLike, area_m2: FloatLike) -> FloatArray:
    """What a wet surface under a crown evaporates over the reference: all that the crown leaves to it.

    Parameters
    ----------
    leaf_m2 : float or array
        Leaf above the pot.
    area_m2 : float or array
        Surface of the pot.

    Returns
    -------
    array of float
        Most for a bare pot, never below `ke_least_ratio`.

    Source
    ------
    allen1998: equations 71 and 72; coffee_kc2011 for the part of the leaves.

    Examples
    --------
    >>> [round(float(wet_surface_ratio(leaf, 0.066)), 2) for leaf in (0.0, 0.1, 0.3)]
    [1.2, 0.67, 0.05]
    """
    leaves = np.asarray(leaf_m2, dtype=np.float64) / area_m2 / _row("grass_leaf_ratio").number
    return np.maximum(_row("kc_max_ratio").number - leaves, _row("ke_least_ratio").number)
