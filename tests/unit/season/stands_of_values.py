"""Trees where they stand, for the tests of risks: nights and cores as given, from February on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
from yard_of_values import forecast

from ringwise.kit.days import GrowingYear
from ringwise.kit.types import FloatArray
from ringwise.phenology.forecast import StageForecast
from ringwise.records.taxa import lookup_keys
from ringwise.rootzone.core import CoreDays
from ringwise.season.risk import Stand
from ringwise.weather.years import WeatherMembers

FIRST = date(2027, 2, 1)
DAYS = 200
WORK = date(2027, 3, 10)


def weather(
    night_degC: FloatArray, *, span_degC: float = 8.0, wind_m_s: FloatArray | None = None
) -> WeatherMembers:
    count, days = night_degC.shape
    unknown = np.full((count, days), np.nan)
    return WeatherMembers(
        first=FIRST,
        tmin_degC=night_degC,
        tmax_degC=night_degC + span_degC,
        tmean_degC=night_degC + span_degC / 2,
        wind_2m_m_s=unknown if wind_m_s is None else wind_m_s,
        rain_mm=unknown,
        labels=tuple(range(2027 - count, 2027)),
        observed=np.zeros(days, dtype=np.bool_),
        forecast=np.zeros(days, dtype=np.bool_),
        year=GrowingYear(2027),
    )


def mild(count: int = 4) -> FloatArray:
    return np.full((count, DAYS), 5.0)


def at(nights_after_work: int) -> int:
    """The column of the n-th night after the work."""
    return (WORK - FIRST).days + nights_after_work


def stages(
    key: str = "acer_palmatum", *, members: int = 4, shifts: tuple[float, ...] = (0.0,)
) -> StageForecast:
    """One sample a member, each moved by its shift."""
    spread = [shifts[k % len(shifts)] for k in range(members)]
    return replace(forecast(key, spread_days=spread), member=np.arange(members))


def stand(
    night_degC: FloatArray,
    *,
    cut: bool = True,
    core_degC: FloatArray | None = None,
    key: str = "acer_palmatum",
    told: StageForecast | None = None,
    **more: object,
) -> Stand:
    core = None if core_degC is None else CoreDays(core_degC, core_degC + 5, core_degC + 9)
    return Stand(
        weather=weather(night_degC, **more),  # type: ignore[arg-type]
        forecast=told or stages(key, members=night_degC.shape[0]),
        keys=lookup_keys(key),
        core=core,
        cut=cut,
    )
