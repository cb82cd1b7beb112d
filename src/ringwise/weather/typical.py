"""Rough monthly means by latitude: where a form starts, for the grower to correct; never an answer."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import load_table
from ringwise.kit.words import _

ROOM = "ringwise.weather"
SITES = ("sea", "inland")
METRES_A_KM = 1000.0


@dataclass(frozen=True)
class TypicalMonths:
    """Means of the coldest and the warmest month of one sort of place, with the widest that is usual."""

    site: str
    coldest_month_degC: float
    coldest_low_degC: float
    coldest_high_degC: float
    warmest_month_degC: float
    warmest_low_degC: float
    warmest_high_degC: float


@dataclass(frozen=True)
class ClimateGuess:
    """A starting point: halfway between the sea and far inland, with both beside it."""

    coldest_month_degC: float
    warmest_month_degC: float
    sea: TypicalMonths
    inland: TypicalMonths


def climate_guess(latitude_deg: float, elevation_m: float = 0.0) -> ClimateGuess:
    """Rough means of the coldest and the warmest month at a latitude, only to start from.

    Parameters
    ----------
    latitude_deg : float
        Of the place; both hemispheres alike.
    elevation_m : float
        Above the sea; it cools both months alike.

    Returns
    -------
    ClimateGuess
        Values between the rows of `data/typical.csv` by straight lines; level beyond the last row.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    Recalled rows, marked so in the table.

    Examples
    --------
    >>> guess = climate_guess(52.4)
    >>> guess.inland.coldest_month_degC < guess.coldest_month_degC < guess.sea.coldest_month_degC
    True
    """
    if not -90.0 <= latitude_deg <= 90.0:
        raise out_of_range(_("latitude"), f"{latitude_deg:g}", _("-90 to 90 degrees"))
    sea, inland = (_typical(site, abs(latitude_deg), elevation_m) for site in SITES)
    return ClimateGuess(
        (sea.coldest_month_degC + inland.coldest_month_degC) / 2.0,
        (sea.warmest_month_degC + inland.warmest_month_degC) / 2.0,
        sea,
        inland,
    )


def _typical(site: str, from_equator_deg: float, elevation_m: float) -> TypicalMonths:
    import numpy as np

    table = load_table(ROOM, "typical")
    keys = [key for key in dict.fromkeys(row.key for row in table) if key.startswith(f"{site}_")]
    at_deg = [float(key.removeprefix(f"{site}_")) for key in keys]
    cooling_degC = table.get("any", "lapse").number * elevation_m / METRES_A_KM
    found = []
    for month in ("coldest", "warmest"):
        rows = [table.get(key, month) for key in keys]
        for values in (
            [row.number for row in rows],
            [row.number if row.low is None else row.low for row in rows],
            [row.number if row.high is None else row.high for row in rows],
        ):
            found.append(float(np.interp(from_equator_deg, at_deg, values)) - cooling_degC)
    return TypicalMonths(site, *found)
