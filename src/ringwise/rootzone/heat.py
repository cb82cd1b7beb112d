"""Heat in a pot, hour by hour: sun on wall and surface, wind, the open sky at night, and the wall in the sun.

C dT/dt = a S A_sun - L E - N + h A (Ta - T). The core lags behind a driving temperature: the air's, plus what
the sun leaves in wall and surface after evaporation (a S A_sun - L E), less what the open sky takes (N),
over h A. The mix behind the wall that the sun stands on is hotter: it lies between that wall's lit face and
the core, and takes the share of the fall that the outermost roots feel.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from ringwise.kit import balance
from ringwise.kit.tables import load_table
from ringwise.kit.types import FloatArray
from ringwise.rootzone.core import CoreDays, core_hours
from ringwise.rootzone.skin import ROOM, PotHeat, heat_row
from ringwise.weather.hourly import DAY_H
from ringwise.weather.sun_hours import HourlySun

WARN, ACT, ALARM = "warn", "act", "alarm"
LEVELS = ("", WARN, ACT, ALARM)
_HALF = 0.5
_KJ_PER_W_H = 3.6  # exact
_ROUNDING = 1e-12


@dataclass(frozen=True)
class PlaceHeat:
    """What air, sun, sky and wind of a place do to any pot there.

    Hours are (24, rows, days): the air; the sun on a wall as the mean of all its sides, on the side that
    faces the sun, and on level ground, in W/m2. `sky_w_m2` is what level ground loses to the sky, and
    `exchange_w_m2_k` what wind and air exchange, (rows, days).
    """

    air_degC: FloatArray
    wall_w_m2: FloatArray
    facing_w_m2: FloatArray
    level_w_m2: FloatArray
    sky_w_m2: FloatArray
    exchange_w_m2_k: FloatArray


@dataclass(frozen=True)
class PotHours:
    """One course of a pot's heat, (24, rows, days), and its balance in kJ from the first hour to the last.

    `wall_low_degC` and `wall_high_degC` are what the wall's mix may be by the range of the heat that it
    passes on.
    """

    driving_degC: FloatArray
    core_degC: FloatArray
    wall_degC: FloatArray
    wall_low_degC: FloatArray
    wall_high_degC: FloatArray
    lag_h: FloatArray
    gains_kj: dict[str, float]
    losses_kj: dict[str, float]
    change_kj: float


def exchange_w_m2_k(wind_2m_m_s: FloatArray, wind_frac: float) -> FloatArray:
    """The heat that a pot exchanges with the air round it.

    Parameters
    ----------
    wind_2m_m_s : (...) float
        As measured in the open; NaN where not known.
    wind_frac : float
        The wind of the place beside it.

    Returns
    -------
    (...) float
        In W/m2K; of the wind that core.csv's one value stands for where it is not known.

    Source
    ------
    mcadams1954 (recalled) for the rise with wind; own: the exchange of a small wall in still air.

    Examples
    --------
    >>> exchange_w_m2_k(np.array([0.0, 2.0, np.nan]), 1.0).round(1).tolist()
    [8.0, 15.6, 15.0]
    """
    calm, rise = (heat_row("exchange", name).number for name in ("calm_w_m2_k", "rise_w_m2_k"))
    usual = load_table(ROOM, "core").get("any", "exchange_w_m2_k").number - calm
    moved = np.where(np.isnan(wind_2m_m_s), usual, rise * np.asarray(wind_2m_m_s, dtype=np.float64))
    return np.asarray(calm + wind_frac * moved)


def place_heat(
    air_degC: FloatArray,
    sun: HourlySun | None,
    *,
    kind: str = "open_bench",
    sky_w_m2: FloatArray | float = 0.0,
    wind_2m_m_s: FloatArray | float = math.nan,
) -> PlaceHeat:
    """What a place does to any pot in it.

    Parameters
    ----------
    air_degC : (rows, hours) float
        Of the place, whole days.
    sun : HourlySun, optional
        In the open, (rows, days, 24); without it there is neither sun nor open sky.
    kind : str
        Of `weather.microsite.KINDS`.
    sky_w_m2 : (rows, days) float or float
        What level ground in the open loses to the sky.
    wind_2m_m_s : (rows, days) float or float
        In the open.

    Returns
    -------
    PlaceHeat
        An hour whose sun is not known has none: its day is told by the air alone.

    Source
    ------
    own: a convex pot of which nobody knows how it is turned shows the beam the girth over pi as its width.

    Examples
    --------
    >>> float(place_heat(np.full((1, 48), 8.0), None).wall_w_m2.max())
    0.0
    """
    rows = np.atleast_2d(np.asarray(air_degC, dtype=np.float64))
    air = _by_hour(rows.reshape(rows.shape[0], -1, DAY_H))
    shape = air.shape
    wind = np.broadcast_to(np.asarray(wind_2m_m_s, dtype=np.float64), shape[1:])
    exchange = exchange_w_m2_k(wind, heat_row(kind, "wind_frac").number)
    if sun is None:
        dark = np.zeros(shape)
        return PlaceHeat(air, dark, dark, dark, np.zeros(shape[1:]), exchange)
    lit = heat_row(kind, "sun_frac").number
    beam = lit * _told(sun.facing_w_m2)
    around = lit * _told(sun.around_w_m2(heat_row("wall", "albedo_frac").number))
    sky = heat_row(kind, "sky_frac").number * np.nan_to_num(np.asarray(sky_w_m2, dtype=np.float64))
    return PlaceHeat(
        air_degC=air,
        wall_w_m2=np.broadcast_to(beam / math.pi + around, shape),
        facing_w_m2=np.broadcast_to(beam + around, shape),
        level_w_m2=np.broadcast_to(lit * _told(sun.level_w_m2), shape),
        sky_w_m2=np.broadcast_to(sky, shape[1:]),
        exchange_w_m2_k=exchange,
    )


def _by_hour(values: FloatArray) -> FloatArray:
    """From (rows, days, 24) to (24, rows, days)."""
    return np.ascontiguousarray(np.moveaxis(values, -1, 0))


def _told(sun_w_m2: FloatArray) -> FloatArray:
    """The same of the sun, none where it is not known."""
    return np.nan_to_num(_by_hour(sun_w_m2))


def _driving(place: PlaceHeat, pot: PotHeat) -> FloatArray:
    """The temperature towards which the core moves."""
    skin, surface = pot.skin, pot.surface_m2
    open_frac = heat_row("top", "open_frac").number
    top_frac = open_frac * heat_row("top", "absorbed_frac").number * heat_row("top", "kept_frac").number
    heated = (skin.absorbed_frac * skin.kept_frac * skin.lit_frac * skin.open_walls_m2 / surface) * (
        place.wall_w_m2
    )
    heated += (top_frac * skin.top_m2 / surface) * place.level_w_m2
    heated -= (_to_sky_m2(pot) / surface) * place.sky_w_m2
    heated /= place.exchange_w_m2_k
    heated += place.air_degC
    return heated


def _to_sky_m2(pot: PotHeat) -> float:
    """Top and walls as far as they see the open sky."""
    walls = heat_row("wall", "view_frac").number * pot.skin.open_walls_m2
    return heat_row("top", "open_frac").number * pot.skin.top_m2 + walls


def _lag_h(place: PlaceHeat, pot: PotHeat) -> FloatArray:
    held_w_h_k = pot.core.heat_kj_k / _KJ_PER_W_H
    return np.asarray(held_w_h_k / (place.exchange_w_m2_k * pot.surface_m2))


def _wall(
    place: PlaceHeat, pot: PotHeat, core_degC: FloatArray, *, inward_w_m2_k: float | None = None
) -> FloatArray:
    """The mix at the outermost roots on the sunny side: between the lit face of the wall and the core."""
    inward = heat_row("wall", "inward_w_m2_k").number if inward_w_m2_k is None else inward_w_m2_k
    wall = pot.skin.taken_frac * place.facing_w_m2
    wall += place.exchange_w_m2_k * place.air_degC
    wall += inward * core_degC
    wall /= place.exchange_w_m2_k + inward
    behind = heat_row("wall", "behind_frac").number
    wall *= 1.0 - behind
    wall += behind * core_degC
    return wall


def pot_days(place: PlaceHeat, pot: PotHeat) -> CoreDays:
    """The lowest and highest of the core, and the highest behind the sunny wall, on each day.

    Parameters
    ----------
    place : PlaceHeat
        From `place_heat`.
    pot : PotHeat
        From `skin.pot_heat`.

    Returns
    -------
    CoreDays
        (rows, days). Freezing water does not hold the lowest up: cut roots lie at the rim too, which
        freezes first, so that the frost guard stays on the safe side.

    Source
    ------
    own, as `place_heat` and `core_hours`.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.skin import pot_heat
    >>> tray = pot_heat(pot_shape("rectangle", PotLengths(300, 200, 70)))
    >>> round(float(pot_days(place_heat(np.full((1, 48), 3.0), None), tray).low_degC[0, 1]), 9)
    3.0
    """
    core = core_hours(_driving(place, pot), _lag_h(place, pot))
    wall = _wall(place, pot, core)
    return CoreDays(core.min(axis=0), core.max(axis=0), wall.max(axis=0))


def pot_hours(place: PlaceHeat, pot: PotHeat) -> PotHours:
    """The course of a pot's heat with every term of its balance.

    Parameters
    ----------
    place : PlaceHeat
        Without a missing hour.
    pot : PotHeat
        From `skin.pot_heat`.

    Returns
    -------
    PotHours
        Terms are summed over all rows.

    Raises
    ------
    BalanceError
        If the terms are not the change of heat.

    Source
    ------
    own: between two hours all terms run in straight lines, as the air does.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.skin import pot_heat
    >>> tray = pot_heat(pot_shape("rectangle", PotLengths(300, 200, 70)))
    >>> still = pot_hours(place_heat(np.full((1, 24), 3.0), None), tray)
    >>> still.change_kj, still.gains_kj["sun"]
    (0.0, 0.0)
    """
    driving, lag = _driving(place, pot), _lag_h(place, pot)
    core = core_hours(driving, lag)
    gains, losses = _terms_kj(place, pot, core)
    flat = _flat(core)
    change = float((flat[:, -1] - flat[:, 0]).sum()) * pot.core.heat_kj_k
    noise = (
        _ROUNDING * pot.core.heat_kj_k * float(np.abs(flat).max() + 1.0)
    )  # a steady pot has no terms at all
    told = {name: value for name, value in gains.items() if abs(value) > noise}
    balance.close(
        "heat_kj", change=change if abs(change) > noise else 0.0, gains=told, losses=losses, where="pot"
    )
    passed_on = heat_row("wall", "inward_w_m2_k")
    walls = [_wall(place, pot, core, inward_w_m2_k=k) for k in (None, passed_on.high, passed_on.low)]
    return PotHours(driving, core, walls[0], walls[1], walls[2], lag, gains, losses, change)


def _flat(hours: FloatArray) -> FloatArray:
    """From (24, rows, days) to (rows, hours)."""
    return np.moveaxis(hours, 0, -1).reshape(hours.shape[1], -1)


def _terms_kj(
    place: PlaceHeat, pot: PotHeat, core_degC: FloatArray
) -> tuple[dict[str, float], dict[str, float]]:
    """Sun taken up, water evaporated, heat lost to the sky and exchanged with the air, each on its own."""
    skin, n = pot.skin, DAY_H
    exchange = np.repeat(place.exchange_w_m2_k, n, axis=-1)[:, 1:]
    held_kj_k, surface = pot.core.heat_kj_k, pot.surface_m2
    open_frac, top = heat_row("top", "open_frac").number, heat_row("top", "absorbed_frac").number
    kept = heat_row("top", "kept_frac").number
    on_wall = skin.absorbed_frac * skin.lit_frac * skin.open_walls_m2
    on_top = open_frac * top * skin.top_m2

    def summed(watt_m2: FloatArray) -> float:
        """A flux over time; where the wind changes at midnight it counts as the hour's exchange has it."""
        per_k = _flat(watt_m2 / place.exchange_w_m2_k)
        return float((exchange * (per_k[:, 1:] + per_k[:, :-1]) / 2).sum()) * _KJ_PER_W_H

    walls, level = summed(place.wall_w_m2), summed(place.level_w_m2)
    sky = summed(np.broadcast_to(place.sky_w_m2, place.air_degC.shape))
    # What the air gives: h A times the integral of air less core; the core's own integral has a closed form.
    lag = held_kj_k / (exchange * surface * _KJ_PER_W_H)
    drive, core = _flat(_driving(place, pot)), _flat(core_degC)
    air = _flat(place.air_degC)
    gone = 1.0 - np.exp(-1.0 / lag)
    slope, start = drive[:, 1:] - drive[:, :-1], drive[:, :-1]
    core_sum = (
        core[:, :-1] * lag * gone + start * (1.0 - lag * gone) + slope * (_HALF - lag + lag * lag * gone)
    )
    air_sum = (air[:, 1:] + air[:, :-1]) / 2
    from_air = float((exchange * surface * (air_sum - core_sum)).sum()) * _KJ_PER_W_H
    gains = {"sun": on_wall * walls + on_top * level, "air": from_air}
    losses = {
        "evaporated": on_wall * (1.0 - skin.kept_frac) * walls + on_top * (1.0 - kept) * level,
        "sky": _to_sky_m2(pot) * sky,
    }
    return gains, losses


def heat_level(wall_high_degC: float, hours_long_h: float = 0.0) -> str:
    """What the highest behind the sunny wall asks for.

    Parameters
    ----------
    wall_high_degC : float
        Of the hottest hour.
    hours_long_h : float
        Hours above the lower end of the span that roots stand for a while.

    Returns
    -------
    str
        One of `LEVELS`: blank, warn, act or alarm.

    Source
    ------
    witcher2020 for the two limits, handreck1984 for the hours.

    Examples
    --------
    >>> [heat_level(each) for each in (30.0, 39.0, 43.0, 47.0)], heat_level(41.0, 5.0)
    (['', 'warn', 'act', 'alarm'], 'act')
    """
    limits = [
        load_table(ROOM, "core").get("any", name).number for name in ("slow_degC", "act_degC", "injury_degC")
    ]
    level = sum(wall_high_degC > limit for limit in limits)
    if hours_long_h > heat_row("long", "stood_h").number:
        level = max(level, LEVELS.index(ACT))
    return LEVELS[level]
