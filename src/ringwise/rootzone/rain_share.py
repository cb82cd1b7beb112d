"""How much of the rain reaches a pot, and how hard the air dries it, by where it stands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import FloatArray, FloatLike
from ringwise.kit.words import _

_NO_CROWN_M2 = 1e-6  # a square millimetre is no crown
# The record's kinds of place, by the kind whose rows they share.
_LIKE = {
    "bench": "bench",
    "shade": "shade",
    "shed": "shed",
    "tunnel": "tunnel",
    "ground": "ground",
    "show": "shed",
    "lent": "bench",
    "quarantine": "bench",
}


@dataclass(frozen=True)
class PlaceFactors:
    """Of a place: rain that comes down, evaporating power against the station, and exposure of leaves."""

    rain_frac: float
    et0_factor: float
    exposure_factor: float
    rows: tuple[Parameter, ...] = ()


def place_factors(kind: str) -> PlaceFactors:
    """What a kind of place does to rain and evaporation.

    Parameters
    ----------
    kind : str
        bench, shade, shed, tunnel, ground, show, lent or quarantine.

    Returns
    -------
    PlaceFactors
        With the rows they come from.

    Raises
    ------
    UnknownNameError
        If there is no such kind of place.

    Source
    ------
    own: rows of balance.csv.

    Examples
    --------
    >>> place_factors("shed").rain_frac, place_factors("bench").exposure_factor
    (0.0, 1.2)
    """
    if kind not in _LIKE:
        raise unknown_name(_("place"), kind, _LIKE)
    rows = load_table("ringwise.rootzone", "balance").of(f"place_{_LIKE[kind]}")
    names = ("rain_frac", "et0_factor", "exposure_factor")
    rain, power, wind = (rows[name].number for name in names)
    return PlaceFactors(rain, power, wind, tuple(rows[name] for name in names))


def through_mm(
    rain_mm: FloatLike,
    leaf_m2: FloatLike,
    crown_m2: FloatLike,
    area_m2: FloatLike,
    rain_frac: FloatLike = 1.0,
) -> FloatArray:
    """Rain of a day that comes through a roof and a crown to the surface of a pot.

    Parameters
    ----------
    rain_mm : float or array
        At the station.
    leaf_m2, crown_m2, area_m2 : float or array
        Leaf, the ground that the crown covers, and the surface of the pot; a crown of 0 covers nothing.
    rain_frac : float or array
        What the place lets down.

    Returns
    -------
    array of float
        In mm; a light rain may stay on the leaves whole.

    Source
    ------
    own: each layer of leaf keeps `leaf_hold_mm` of balance.csv over the part of the pot below the crown.

    Examples
    --------
    >>> [round(float(through_mm(rain, 0.3, 0.1, 0.066)), 2) for rain in (0.5, 10.0)]
    [0.0, 9.4]
    """
    hold = load_table("ringwise.rootzone", "balance").get("any", "leaf_hold_mm").number
    ground = np.asarray(crown_m2, dtype=np.float64)
    leaf = np.asarray(leaf_m2, dtype=np.float64)
    layers = np.divide(
        leaf, ground, out=np.zeros(np.broadcast(leaf, ground).shape), where=ground > _NO_CROWN_M2
    )
    covered = np.minimum(ground / area_m2, 1.0)
    come = np.asarray(rain_mm, dtype=np.float64) * rain_frac
    return np.asarray(come - covered * np.minimum(come, hold * layers))
