"""Where a newcomer may start: typical monthly means by latitude, and how a year from two means is drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace


def year_curve() -> Shape:
    """What a year from two monthly means is drawn with: the same rows as described weather is made of.

    Returns
    -------
    dict
        Keys lag_days, range_winter_degC and range_summer_degC.

    Examples
    --------
    >>> year_curve()["range_winter_degC"] < year_curve()["range_summer_degC"]
    True
    """
    from ringwise.weather.described import described_rows

    rows = described_rows()
    names = {"lag_days": "lag", "range_winter_degC": "range_winter", "range_summer_degC": "range_summer"}
    return {key: rows[name].number for key, name in names.items()}


def guess_shape(workspace: Workspace) -> Shape | None:
    """A starting point for the two means by latitude and elevation; None without a latitude.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict or None
        Means halfway between the sea and far inland, both beside them, and a sentence that asks to correct.
    """
    from ringwise.weather.typical import climate_guess

    latitude_deg = workspace.settings.latitude_deg
    if latitude_deg is None:
        return None
    guess = climate_guess(latitude_deg, workspace.settings.elevation_m)
    line = _(
        "Typical for this latitude by the sea {sea_cold} and {sea_warm}, inland {cold} and {warm}: "
        "correct it."
    ).format(
        sea_cold=show.temperature(guess.sea.coldest_month_degC),
        sea_warm=show.temperature(guess.sea.warmest_month_degC),
        cold=show.temperature(guess.inland.coldest_month_degC),
        warm=show.temperature(guess.inland.warmest_month_degC),
    )
    return {
        "coldest_month_degC": round(guess.coldest_month_degC, 1),
        "warmest_month_degC": round(guess.warmest_month_degC, 1),
        "coldest_shown": show.temperature(guess.coldest_month_degC),
        "warmest_shown": show.temperature(guess.warmest_month_degC),
        "line": line,
    }
