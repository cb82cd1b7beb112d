"""A pot on a hot clear day and in a clear frost night: what it reaches there, and what a cover changes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.rootzone.core import bench_hours
from ringwise.rootzone.freezing import freezing_hours
from ringwise.rootzone.heat import PlaceHeat, heat_level, place_heat, pot_hours
from ringwise.rootzone.skin import PotHeat, heat_row
from ringwise.weather.sun import clear_sky_mj_m2, extraterrestrial_mj_m2
from ringwise.weather.sun_hours import sun_place
from ringwise.weather.sun_years import sun_of_days

HOT_DAY, COLD_NIGHT = "hot_day", "cold_night"
_YEAR_DAYS = 365
_DAYS = 4  # alike; the last one is told, when nothing of the beginning is left
_NEW_YEAR = date(2001, 1, 1)  # of any year without a leap day
_FULL_TURN_DEG = 360.0


@dataclass(frozen=True)
class HotDay:
    """A pot on a hot clear day at midsummer.

    `wall_low_degC` and `wall_high_degC` span what the wall's mix may be. `side_deg` is the side of the wall
    that is hottest, from north over east. `long_h` are the hours above the
    lower end of the span that roots stand for some hours only.
    """

    air_degC: float
    core_degC: float
    wall_degC: float
    wall_low_degC: float
    wall_high_degC: float
    side_deg: float
    long_h: float

    @property
    def level(self) -> str:
        """What it asks for, one of `heat.LEVELS`."""
        return heat_level(self.wall_degC, self.long_h)


@dataclass(frozen=True)
class ColdNight:
    """A pot in a clear frost night at midwinter.

    `core_degC` is what frost on roots is judged by: without the heat of freezing water. `held_degC` is the
    core with it, and `frozen_frac` the share of its water that is ice by the coldest hour.
    """

    air_degC: float
    core_degC: float
    held_degC: float
    frozen_frac: float


def example_place(which: str, kind: str, latitude_deg: float) -> tuple[PlaceHeat, int]:
    """Air, sun and sky of a clear day of the table at a place, some days alike, and its day of the year.

    Parameters
    ----------
    which : str
        `HOT_DAY`, with the sun of midsummer, or `COLD_NIGHT`, with that of midwinter.
    kind : str
        Of `weather.microsite.KINDS`; the air is taken as it is in the table.
    latitude_deg : float
        South is negative.

    Returns
    -------
    (PlaceHeat, int)
        1 is 1 January.

    Raises
    ------
    RangeError
        If there is no such latitude.

    Source
    ------
    own: rows of heat.csv.

    Examples
    --------
    >>> place, day = example_place(HOT_DAY, "open_bench", -35.0)
    >>> place.air_degC.shape, day > 330
    ((24, 1, 4), True)
    """
    low, high, wind, clear = (
        heat_row(which, name).number for name in ("tmin_degC", "tmax_degC", "wind_2m_m_s", "clear_frac")
    )
    outside = extraterrestrial_mj_m2(latitude_deg, np.arange(1, _YEAR_DAYS + 1))
    day = int((np.argmax if which == HOT_DAY else np.argmin)(outside)) + 1
    lows, highs = np.full((1, _DAYS), low), np.full((1, _DAYS), high)
    radiation = np.full((1, _DAYS), clear * float(clear_sky_mj_m2(outside[day - 1], 0.0)))
    first = _NEW_YEAR + timedelta(days=day - 1)
    air = bench_hours(lows, highs, first=first, latitude_deg=latitude_deg)
    sun = sun_of_days(
        np.full(_DAYS, day),
        lows,
        highs,
        latitude_deg=latitude_deg,
        radiation_mj_m2=radiation,
        sunshine_h=np.full((1, _DAYS), np.nan),
    )
    place = place_heat(air, sun.sun, kind=kind, sky_w_m2=sun.sky_w_m2, wind_2m_m_s=wind)
    return place, day


def hot_day(pot: PotHeat, *, kind: str, latitude_deg: float) -> HotDay:
    """A pot on the hot clear day of the table.

    Parameters
    ----------
    pot : PotHeat
        From `skin.pot_heat`, covered or not.
    kind : str
        Of `weather.microsite.KINDS`.
    latitude_deg : float
        South is negative.

    Returns
    -------
    HotDay
        Of the last of some days alike.

    Raises
    ------
    RangeError
        If there is no such latitude.
    BalanceError
        If the heat of the pot does not close.

    Source
    ------
    own, as `pot_hours`.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.skin import pot_heat
    >>> tray = pot_shape("rectangle", PotLengths(300, 200, 70))
    >>> dark, light = (hot_day(pot_heat(tray, colour=c), kind="open_bench", latitude_deg=50) for c in
    ...     ("black", "white"))
    >>> dark.wall_degC > light.wall_degC > dark.air_degC, 180 < dark.side_deg < 270
    (True, True)
    """
    place, day = example_place(HOT_DAY, kind, latitude_deg)
    hours = pot_hours(place, pot)
    core, wall, low, high = (
        each[:, 0, -1]
        for each in (hours.core_degC, hours.wall_degC, hours.wall_low_degC, hours.wall_high_degC)
    )
    hottest = int(np.argmax(wall))
    side = sun_place(np.array([float(day)]), latitude_deg=latitude_deg).azimuth_deg[0, hottest]
    return HotDay(
        air_degC=heat_row(HOT_DAY, "tmax_degC").number,
        core_degC=float(core.max()),
        wall_degC=float(wall.max()),
        wall_low_degC=float(low.max()),
        wall_high_degC=float(high.max()),
        side_deg=float(side) % _FULL_TURN_DEG,
        long_h=float((wall > heat_row("long", "at_degC").number).sum()),
    )


def cold_night(pot: PotHeat, *, kind: str, latitude_deg: float) -> ColdNight:
    """A pot in the clear frost night of the table.

    Parameters
    ----------
    pot : PotHeat
        From `skin.pot_heat`.
    kind : str
        Of `weather.microsite.KINDS`.
    latitude_deg : float
        South is negative.

    Returns
    -------
    ColdNight
        Of the second night: the first day starts unfrozen.

    Raises
    ------
    RangeError
        If there is no such latitude.
    BalanceError
        If the heat of the pot does not close.

    Source
    ------
    own, as `pot_hours` and `freezing_hours`.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.skin import pot_heat
    >>> tray = pot_heat(pot_shape("rectangle", PotLengths(400, 300, 150)))
    >>> night = cold_night(tray, kind="open_bench", latitude_deg=50)
    >>> night.core_degC < night.held_degC, 0 < night.frozen_frac < 1
    (True, True)
    """
    place, _day = example_place(COLD_NIGHT, kind, latitude_deg)
    hours = pot_hours(place, pot)
    start = int(np.argmax(hours.core_degC[:, 0, 0]))  # the warmest hour of the first day, unfrozen
    driving = hours.driving_degC.copy()
    driving[: start + 1, 0, 0] = max(float(hours.core_degC[start, 0, 0]), 0.0)
    frozen = freezing_hours(driving, hours.lag_h, pot.core)
    night = slice(start, start + driving.shape[0])
    low = float(hours.core_degC[:, 0, -1].min())
    return ColdNight(
        air_degC=heat_row(COLD_NIGHT, "tmin_degC").number,
        core_degC=low,
        held_degC=float(frozen.core_degC[0, night].min()),
        frozen_frac=float(frozen.frozen_frac[0, night].max()),
    )
