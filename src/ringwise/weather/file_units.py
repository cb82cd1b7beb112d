"""Units that weather files use, by our column, and wind at any height brought down to 2 m."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ringwise.kit.errors import UnitError
from ringwise.kit.tables import load_table
from ringwise.kit.units import KINDS
from ringwise.kit.words import _
from ringwise.weather.evapotranspiration import wind_at_2m_m_s
from ringwise.weather.series import PLAUSIBLE

ROOM = "ringwise.weather"
WIND = "wind_2m_m_s"

_Scale = tuple[float, float]  # factor, offset
# Beside the units that people type (kit.units), those that only files use: tenths, J/cm2, seconds of sun.
_TEMPERATURE: dict[str, _Scale] = {**KINDS["temperature"].units, "tenths_degC": (0.1, 0)}
_HUMIDITY: dict[str, _Scale] = {"%": (1.0, 0), "pct": (1.0, 0), "frac": (100.0, 0)}
_RAIN: dict[str, _Scale] = {
    **KINDS["rain"].units,
    "inch": KINDS["rain"].units["in"],
    "tenths_mm": (0.1, 0),
}
_WIND: dict[str, _Scale] = {
    **KINDS["speed"].units,
    "mp/h": KINDS["speed"].units["mph"],
    "kt": KINDS["speed"].units["kn"],
    "tenths_m/s": (0.1, 0),
}
_RADIATION: dict[str, _Scale] = {
    **KINDS["radiation"].units,
    "MJ/m2": (1.0, 0),
    "MJ/m²": (1.0, 0),
    "J/cm2": (0.01, 0),
    "kWh/m2": (3.6, 0),
}
_SUNSHINE: dict[str, _Scale] = {"h": (1.0, 0), "min": (1 / 60, 0), "s": (1 / 3600, 0)}
UNITS: Mapping[str, Mapping[str, _Scale]] = {
    "tmin_degC": _TEMPERATURE,
    "tmax_degC": _TEMPERATURE,
    "tmean_degC": _TEMPERATURE,
    "rh_min_pct": _HUMIDITY,
    "rh_max_pct": _HUMIDITY,
    "rain_mm": _RAIN,
    WIND: _WIND,
    "radiation_mj_m2": _RADIATION,
    "sunshine_h": _SUNSHINE,
}


def own_unit(ours: str) -> str:
    """The unit that one of our columns is kept in.

    Parameters
    ----------
    ours : str
        Our column.

    Returns
    -------
    str
        As shown.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> own_unit("rain_mm")
    'mm'
    """
    return PLAUSIBLE[ours][2]


def judged(name: str) -> float:
    """What is taken for granted of weather files that do not say it.

    Parameters
    ----------
    name : str
        A parameter of formats.csv.

    Returns
    -------
    float
        In the unit of its row.

    Source
    ------
    rows of formats.csv.

    Examples
    --------
    >>> judged("anemometer_height")
    10.0
    """
    return load_table(ROOM, "formats").get("any", name).number


def wind_factor(height_m: float) -> float:
    """How much slower the wind blows at 2 m over short grass than at the height where it was measured.

    Parameters
    ----------
    height_m : float
        Of the instrument over the ground.

    Returns
    -------
    float
        u2 / uz of the logarithmic profile.

    Raises
    ------
    RangeError
        If the height is no height of an instrument.

    Source
    ------
    allen1998 (equation 47); rows of `derived.csv`.

    Examples
    --------
    >>> round(wind_factor(10.0), 3), wind_factor(2.0)
    (0.748, 1.0)
    """
    return float(wind_at_2m_m_s(1.0, height_m))


def converter(ours: str, unit: str, *, height_m: float | None = None) -> Callable[[float], float]:
    """The function from a value in a unit of the file to ours.

    Parameters
    ----------
    ours : str
        Our column.
    unit : str
        The file's unit; empty for our own.
    height_m : float, optional
        Where the wind was measured; by default at 2 m.

    Returns
    -------
    callable
        From number to number.

    Raises
    ------
    UnitError
        If the unit does not fit the column; the accepted ones are listed.

    Source
    ------
    own reasoning; definitions of the units.

    Examples
    --------
    >>> converter("tmin_degC", "degF")(50.0)
    10.0
    """
    known = UNITS[ours]
    if unit and unit not in known:
        raise UnitError(
            _('unit of {column} is "{unit}"; accepted: {known}.').format(
                column=ours, unit=unit, known=", ".join(known)
            )
        )
    scale, offset = known[unit] if unit else (1.0, 0.0)
    if height_m is not None:
        scale *= wind_factor(height_m)
    return lambda value: round(value * scale + offset, 6)
