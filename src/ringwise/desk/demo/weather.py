"""Invented daily weather for the demo yard: a seeded generator, its climate written in `data/weather.csv`.

Every draw is keyed by the day it is for, so a longer series holds the shorter one unchanged.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ringwise.kit.chance import Purpose, normal, uniform
from ringwise.kit.tables import load_rows, load_table
from ringwise.kit.types import FloatArray
from ringwise.weather.series import WeatherSeries, series_of

SOURCE = "invented"
FIRST_DAY = date(2005, 11, 1)
_YEAR_DAYS = 365.25
_FORGOTTEN = 1e-3  # a memory below this share is dropped
_PAD_DAYS = 366  # spring windows and memories reach beyond the series by less than a year
_FAST, _SLOW, _SKY, _RANGE, _WIND = range(5)  # streams of normal draws
_RAIN_STREAM = 1000  # far from the entities that the normal streams use

Climate = Mapping[tuple[str, str], float]


@dataclass(frozen=True)
class _Days:
    """The days to draw for: ordinal numbers, years, days of the year."""

    ordinal: FloatArray
    year: FloatArray
    of_year: FloatArray


@dataclass(frozen=True)
class _Air:
    """Temperatures as they are made up."""

    tmin_degC: FloatArray
    tmax_degC: FloatArray


def demo_weather(last: date, *, first: date = FIRST_DAY) -> WeatherSeries:
    """The invented weather of the demo yard from the first to the last day, marked as invented."""
    climate = _climate()
    seed = int(climate["series", "seed"])
    days = _days(first - timedelta(days=_PAD_DAYS), last + timedelta(days=_PAD_DAYS))
    sky = _persistent(seed, days, _SKY, climate["sky", "memory_ratio"])
    wet = sky > _wet_threshold(climate, days)
    clear = -sky
    air = _with_mild_weeks(_air(climate, seed, days, clear), climate, days)
    columns = {
        "tmin_degC": air.tmin_degC.round(1),
        "tmax_degC": air.tmax_degC.round(1),
        "rain_mm": np.where(wet, _rain_mm(climate, seed, days), 0.0).round(1),
        "wind_2m_m_s": _wind_m_s(climate, seed, days).round(1),
        "sunshine_h": _sunshine_h(climate, days, clear).round(1),
        **_humidity(climate, days, clear),
    }
    keep = slice(_PAD_DAYS, -_PAD_DAYS)
    return series_of(
        first,
        {name: values[keep] for name, values in columns.items()},
        station=_station(),
        source=SOURCE,
        invented=True,
    )


def _climate() -> Climate:
    table = load_table("ringwise.desk.demo", "weather")
    return {(row.key, row.parameter): row.number for row in table}


def _station() -> str:
    return next(
        row["value"] for row in load_rows("ringwise.desk.demo", "settings") if row["key"] == "station"
    )


def _days(first: date, last: date) -> _Days:
    ordinal = np.arange(first.toordinal(), last.toordinal() + 1, dtype=np.float64)
    stamps = np.arange(np.datetime64(first, "D"), np.datetime64(last, "D") + 1)
    years = stamps.astype("datetime64[Y]")
    of_year = (stamps - years.astype("datetime64[D]")).astype(np.float64) + 1.0
    return _Days(ordinal, years.astype(np.float64) + 1970.0, of_year)


def _wave(days: _Days, peak_day: float) -> FloatArray:
    """1 on the peak day, -1 half a year away."""
    return np.cos(2.0 * math.pi * (days.of_year - peak_day) / _YEAR_DAYS)


def _persistent(seed: int, days: _Days, stream: int, memory_ratio: float) -> FloatArray:
    """Standard normal weather that remembers the day before; the sum over past draws ends where forgotten."""
    reach = math.ceil(math.log(_FORGOTTEN) / math.log(memory_ratio))
    past = np.concatenate([days.ordinal[0] - np.arange(reach, 0, -1.0), days.ordinal])
    draws = normal(seed, 0, past, 0, Purpose.DEMO, stream)
    weights = memory_ratio ** np.arange(reach + 1.0)
    weights /= math.sqrt(float(np.sum(weights**2)))
    return np.convolve(draws, weights, mode="valid")


def _air(climate: Climate, seed: int, days: _Days, clear: FloatArray) -> _Air:
    season = climate["mean", "year_degC"] + climate["mean", "swing_degC"] * _wave(
        days, climate["mean", "peak_day"]
    )
    winter = 1.0 - (climate["fast", "winter_factor"] - 1.0) * _wave(days, climate["mean", "peak_day"])
    fast = (
        climate["fast", "spread_degC"]
        * winter
        * _persistent(seed, days, _FAST, climate["fast", "memory_ratio"])
    )
    slow = climate["slow", "spread_degC"] * _persistent(seed, days, _SLOW, climate["slow", "memory_ratio"])
    middle = season + _set_spells(fast + slow, climate, days)
    own = normal(seed, 0, days.ordinal, 0, Purpose.DEMO, _RANGE)
    open_sky = np.tanh((clear + own) / math.sqrt(2.0))
    span = climate["range", "year_degC"] + climate["range", "swing_degC"] * _wave(
        days, climate["range", "peak_day"]
    )
    deep_winter = np.maximum(_wave(days, climate["winter", "peak_day"]), 0.0)
    narrower = 1.0 - climate["winter", "narrower_frac"] * deep_winter
    half = 0.5 * span * narrower * (1.0 + climate["range", "spread_frac"] * open_sky)
    pooled = climate["night", "clear_degC"] * narrower * np.maximum(open_sky, 0.0)
    return _Air(middle - half - pooled, middle + half)


def _set_spells(anomaly_degC: FloatArray, climate: Climate, days: _Days) -> FloatArray:
    """The anomalies with the mean of each named spell of a year moved to its set value."""
    moved = anomaly_degC.copy()
    for (year, name), set_degC in climate.items():
        if year.isdigit():
            spell = name.removesuffix("_degC")
            moved += _shift(moved, climate, days, (int(year), spell, set_degC))
    return moved


def _shift(
    anomaly_degC: FloatArray, climate: Climate, days: _Days, wanted: tuple[int, str, float]
) -> FloatArray:
    """What to add so that a spell of a year has its set mean; nothing where the days do not hold it."""
    year, spell, set_degC = wanted
    first, last, edge = climate[spell, "first_day"], climate[spell, "last_day"], climate["spell", "edge_days"]
    mine = days.year == year
    inside = mine & (days.of_year >= first) & (days.of_year <= last)
    if not inside.any():
        return np.zeros_like(anomaly_degC)
    rise = np.minimum(days.of_year - first + edge, last + edge - days.of_year) / edge
    return np.where(mine, np.clip(rise, 0.0, 1.0) * (set_degC - float(anomaly_degC[inside].mean())), 0.0)


def _with_mild_weeks(air: _Air, climate: Climate, days: _Days) -> _Air:
    """The temperatures with each mild week of the yard's events laid over."""
    tmin, tmax = air.tmin_degC.copy(), air.tmax_degC.copy()
    for event in _events("mild_week"):
        first, last = (date.fromisoformat(event[name]).toordinal() for name in ("first", "last"))
        inside = (days.ordinal >= first) & (days.ordinal <= last)
        away = np.abs(days.ordinal - 0.5 * (first + last))
        high = float(event["tmax_degC"]) - climate["mild_week", "fade_degC"] * away
        tmax = np.where(inside, high, tmax)
        tmin = np.where(inside, high - climate["mild_week", "range_degC"], tmin)
    return _Air(tmin, tmax)


def _events(kind: str) -> Sequence[Mapping[str, str]]:
    return [row for row in load_rows("ringwise.desk.demo", "events") if row["kind"] == kind]


def _wet_threshold(climate: Climate, days: _Days) -> FloatArray:
    """What the sky must exceed for rain, so that the wanted share of days is wet."""
    share = climate["rain", "wet_frac"] + climate["rain", "swing_frac"] * _wave(
        days, climate["rain", "peak_day"]
    )
    # Tukey's lambda form of the normal quantile, good to 0.01 between 0.1 and 0.9.
    return ((1.0 - share) ** 0.135 - share**0.135) / 0.1975


def _rain_mm(climate: Climate, seed: int, days: _Days) -> FloatArray:
    """What falls on each day if it is wet: a Weibull law with the wanted mean."""
    shape = climate["rain", "shape_index"]
    scale_mm = climate["rain", "wet_day_mm"] / math.gamma(1.0 + 1.0 / shape)
    draws = uniform(seed, 0, days.ordinal, 0, Purpose.DEMO, _RAIN_STREAM)
    return scale_mm * (-np.log(draws)) ** (1.0 / shape)


def _wind_m_s(climate: Climate, seed: int, days: _Days) -> FloatArray:
    season = 1.0 + climate["wind", "swing_frac"] * _wave(days, climate["wind", "peak_day"])
    gusty = _persistent(seed, days, _WIND, climate["sky", "memory_ratio"])
    return climate["wind", "median_m_s"] * season * np.exp(climate["wind", "spread_log"] * gusty)


def _sunshine_h(climate: Climate, days: _Days, clear: FloatArray) -> FloatArray:
    light_h = climate["daylight", "mean_h"] + climate["daylight", "swing_h"] * _wave(
        days, climate["daylight", "peak_day"]
    )
    share = np.clip(climate["sun", "share_frac"] + climate["sun", "clear_frac"] * clear, 0.0, 0.9)
    return light_h * share


def _humidity(climate: Climate, days: _Days, clear: FloatArray) -> dict[str, FloatArray]:
    """Highest and lowest relative humidity of the day; the lowest falls under a clear summer sky."""
    summer = climate["humidity", "swing_pct"] * _wave(days, climate["daylight", "peak_day"])
    drier = climate["humidity", "clear_pct"] * clear
    high = np.clip(climate["humidity", "high_pct"] - 0.25 * drier, 60.0, 100.0)
    low = np.clip(climate["humidity", "low_pct"] - summer - drier, 20.0, 95.0)
    return {"rh_max_pct": high.round(0), "rh_min_pct": np.minimum(low, high).round(0)}
