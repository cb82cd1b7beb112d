"""The temperature in the core of a pot: what drives it, smoothed and delayed by the heat the wet mix holds.

C dT/dt = h A (Td - T): one lump of heat C behind a surface A; Td is the air, moved by sun and sky as
`rootzone.heat` tells. Left out, and each on the safe side in a cold night: the heat set free by freezing
water, the pot's own wall, the bench below, and that the middle lags behind the rim.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import out_of_range
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.rootzone.pot import PotShape
from ringwise.weather.hourly import hourly_temperature

ROOM = "ringwise.rootzone"
_CM3_PER_L = 1000.0  # exact
_MM2_PER_M2 = 1e6  # exact
_W_PER_KW = 1000.0  # exact
_S_PER_MIN = 60.0  # exact
_MIN_PER_H = 60.0  # exact


@dataclass(frozen=True)
class PotCore:
    """A pot of wet mix as one lump: the heat it holds, the surface that faces the air, the exchange."""

    heat_kj_k: float
    surface_m2: float
    exchange_w_m2_k: float
    water_v: float
    volume_cm3: float

    @property
    def lag_min(self) -> float:
        """How far the core lags behind a steady change of the air, in minutes: C over h A."""
        return self.heat_kj_k * _W_PER_KW / (self.exchange_w_m2_k * self.surface_m2) / _S_PER_MIN

    @property
    def lag_h(self) -> float:
        """The same in hours."""
        return self.lag_min / _MIN_PER_H


@dataclass(frozen=True)
class CoreDays:
    """Lowest and highest of the core on each day, (..., days), NaN where an hour of the day is not known.

    `wall_high_degC` is the highest of the mix behind the wall that the sun stands on.
    """

    low_degC: FloatArray
    high_degC: FloatArray
    wall_high_degC: FloatArray


def _row(name: str) -> Parameter:
    return load_table(ROOM, "core").get("any", name)


def perimeter_mm(shape: str, length_mm: float, width_mm: float) -> float:
    """Length round a plan shape.

    Parameters
    ----------
    shape : str
        A shape of `rootzone.pot`.
    length_mm, width_mm : float
        Its sizes; across flats for a hexagon and an octagon.

    Returns
    -------
    float
        In mm; of an oval by Ramanujan's first form.

    Source
    ------
    own: plane geometry.

    Examples
    --------
    >>> round(perimeter_mm("round", 100, 100), 2), round(perimeter_mm("hexagon", 100, 100), 2)
    (314.16, 346.41)
    """
    if shape in {"oval", "round"}:
        a, b = length_mm / 2, width_mm / 2
        return math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b)))
    if shape == "hexagon":
        return 2 * math.sqrt(3) * length_mm
    if shape == "octagon":
        return 8 * (math.sqrt(2) - 1) * length_mm
    return 2 * (length_mm + width_mm)


def wall_surface_m2(pot: PotShape) -> float:
    """The walls through which a pot's fill meets the air.

    Parameters
    ----------
    pot : PotShape
        The pot.

    Returns
    -------
    float
        In square metres: the girth at half height times the height of the fill.

    Source
    ------
    own reasoning; the slope of the walls is left out (2 % of a tray).

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> round(wall_surface_m2(tray), 4)
    0.0672
    """
    height_mm = pot.fill_height_mm
    share = (pot.base_drop_mm + height_mm / 2) / pot.depth_mm
    length_mm = pot.length_mm - (pot.length_mm - (pot.bottom_length_mm or pot.length_mm)) * (1 - share)
    width_mm = pot.width_mm - (pot.width_mm - (pot.bottom_width_mm or pot.width_mm)) * (1 - share)
    return perimeter_mm(pot.shape, length_mm, width_mm) * height_mm / _MM2_PER_M2


def top_surface_m2(pot: PotShape) -> float:
    """The surface of a pot's fill.

    Parameters
    ----------
    pot : PotShape
        The pot.

    Returns
    -------
    float
        In square metres.

    Source
    ------
    own: plane geometry.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> round(top_surface_m2(pot_shape("rectangle", PotLengths(300, 200, 100))), 4)
    0.06
    """
    return pot.area_at_mm2(pot.fill_height_mm) / _MM2_PER_M2


def pot_core(pot: PotShape, *, water_v: float | None = None) -> PotCore:
    """A pot of wet mix as one lump of heat.

    Parameters
    ----------
    pot : PotShape
        Its inside.
    water_v : float, optional
        Water in the mix by volume; by default the row's.

    Returns
    -------
    PotCore
        With its lag.

    Raises
    ------
    RangeError
        If the water is no share of the volume.

    Source
    ------
    own: heat balance of one lump; rows of core.csv.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> core = pot_core(tray)
    >>> round(core.heat_kj_k, 1), round(core.lag_min)
    (7.9, 66)
    """
    wet_v = _row("water_v").number if water_v is None else water_v
    if not 0.0 <= wet_v < 1.0:
        raise out_of_range(_("water in the mix"), show.percent(wet_v), _("0 to less than 100 %"))
    held_kj_l = wet_v * _row("water_kj_kg_k").number
    held_kj_l += _row("bulk_kg_l").number * _row("solid_kj_kg_k").number
    return PotCore(
        heat_kj_k=held_kj_l * pot.volume_cm3 / _CM3_PER_L,
        surface_m2=top_surface_m2(pot) + wall_surface_m2(pot),
        exchange_w_m2_k=_row("exchange_w_m2_k").number,
        water_v=wet_v,
        volume_cm3=pot.volume_cm3,
    )


def core_hours(driving_degC: FloatArray, lag_h: FloatArray | float) -> FloatArray:
    """What lags behind a driving temperature, hour by hour.

    Parameters
    ----------
    driving_degC : (24, rows, days) float
        What the core moves towards: the air, warmed by sun and cooled by the sky. NaN where not known.
    lag_h : (rows, days) float or float
        The lag in each day: wind shortens it.

    Returns
    -------
    (24, rows, days) float
        Never outside the range of what drives it so far. It starts at the first hour's own value, and again
        after a missing hour.

    Source
    ------
    own: the closed form of a first-order lag behind a straight line, hour by hour.

    Examples
    --------
    >>> day = np.zeros((24, 1, 1))
    >>> day[0] = 10.0
    >>> steps = core_hours(day, 1.1)[:, 0, 0]
    >>> bool(np.all(np.diff(steps) < 0)), bool(steps[-1] > 0)
    (True, True)
    """
    driving = np.asarray(driving_degC, dtype=np.float64)
    lag = np.broadcast_to(np.asarray(lag_h, dtype=np.float64), driving.shape[1:])
    kept = np.exp(-1.0 / lag)
    now = 1.0 - lag * (1.0 - kept)
    before = 1.0 - kept - now
    # Each day on its own first, as if nothing were carried into it, and how much of what is carried in stays.
    alone, carried = np.empty_like(driving), np.empty_like(driving)
    last = np.full(driving.shape[1:], np.nan)
    last[:, 1:] = driving[-1, :, :-1]
    begins = np.isnan(np.concatenate([last[None], driving[:-1]])) & ~np.isnan(driving)
    part, stays = np.zeros_like(last), np.ones_like(last)
    for hour, starts in enumerate(begins.any(axis=(1, 2)).tolist()):
        part = kept * part
        part += before * last
        part += now * driving[hour]
        stays = stays * kept
        if starts:
            part = np.where(begins[hour], driving[hour], part)
            stays = np.where(begins[hour], 0.0, stays)
        alone[hour], carried[hour] = part, stays
        last = driving[hour]
    carried *= _into(part.T, stays.T).T
    carried += alone
    return carried


def _into(ends: FloatArray, stays: FloatArray) -> FloatArray:
    """The core at the last hour of the day before, (days, rows), 0 where it is not known."""
    ends, stays = np.nan_to_num(ends), np.ascontiguousarray(stays)
    into = np.zeros_like(ends)
    for day in range(1, ends.shape[0]):
        into[day] = ends[day - 1]
        ends[day] += stays[day] * into[day]
    return into


def bench_hours(
    tmin_degC: FloatArray, tmax_degC: FloatArray, *, first: date, latitude_deg: float
) -> FloatArray:
    """The air's hours in one row a weather year, as `core_days` takes them.

    Parameters
    ----------
    tmin_degC, tmax_degC : (..., days) float
        Of the place where the pot stands.
    first : date
        The first day.
    latitude_deg : float
        North positive.

    Returns
    -------
    (..., hours) float
        24 a day; NaN where a day is not known.

    Source
    ------
    linvill1990, as `weather.hourly`.

    Examples
    --------
    >>> low = np.array([[1.0, 2.0]])
    >>> bench_hours(low, low + 8, first=date(2027, 3, 1), latitude_deg=50.0).shape
    (1, 48)
    """
    hours = hourly_temperature(tmin_degC, tmax_degC, first=first, latitude_deg=latitude_deg, lent=True)
    return hours.reshape(*hours.shape[:-2], -1)


def core_trace(core: PotCore) -> Trace:
    """Where the lag of a pot's core comes from.

    Parameters
    ----------
    core : PotCore
        From `pot_core`.

    Returns
    -------
    Trace
        With its rows.

    Source
    ------
    own.

    Examples
    --------
    >>> core_trace(PotCore(7.9, 0.133, 15.0, 0.35, 3929.0)).value
    '66 min'
    """
    names = {
        "exchange_w_m2_k": _("heat exchanged with the air"),
        "water_v": _("water in the mix"),
        "bulk_kg_l": _("weight of the dry mix"),
        "solid_kj_kg_k": _("heat held by the grains"),
        "water_kj_kg_k": _("heat held by water"),
    }
    return Trace(
        label=_("lag of the pot's core behind the air"),
        value=show.hours(core.lag_min),
        room="rootzone.core",
        formula=_("{heat} kJ/K over {exchange} W/m2K and {surface} m2 of top and walls").format(
            heat=show.number(core.heat_kj_k, 2),
            exchange=show.number(core.exchange_w_m2_k, 2),
            surface=show.number(core.surface_m2, 2),
        ),
        source="own",
        basis="assumed",
        inputs=tuple(trace_parameter(_row(name), words) for name, words in names.items()),
    )
