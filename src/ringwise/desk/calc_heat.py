"""Wishes for sums of chill and of heat: over a weather file, over given hours, or at one temperature."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.weather import read_weather_file
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import (
    DateError,
    FileFormatError,
    InputError,
    MissingFieldError,
    NotFoundError,
    out_of_range,
    unknown_name,
)
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.kit.types import FloatArray
    from ringwise.weather.series import WeatherSeries

METHODS = ("mean", "sine")
HOURLY = "hourly"  # the method where hours are given
DAY_H = 24
_MOST_BYTES = 64 * 1024 * 1024
_MOST_HOURS = 1_000_000


@dataclass(frozen=True)
class TemperatureWish:
    """Where temperatures come from: one of a weather file, a file of hours, one temperature, one day."""

    weather: Path | None = None
    columns: str | None = None
    latitude_deg: float | None = None
    first: str | None = None
    last: str | None = None
    hourly: Path | None = None
    temperature: str | None = None
    hours: int = 1
    tmin: str | None = None
    tmax: str | None = None


@dataclass(frozen=True)
class HeatWish:
    """Degree days above a base, as typed for `ringwise calc heat`."""

    of: TemperatureWish
    base: str = "5"
    method: str | None = None


@dataclass(frozen=True)
class _Span:
    """What a wish gives: hours where they are known, days where they are, and what is to be said of them."""

    hours_degC: FloatArray | None
    days: WeatherSeries | None
    notes: tuple[str, ...] = ()
    dated: bool = True

    @property
    def shape(self) -> Shape:
        """First and last day, null where none is known."""
        known = self.days if self.dated else None
        return {
            "first": None if known is None else known.first.isoformat(),
            "last": None if known is None else known.last.isoformat(),
        }


def calc_chill(wish: TemperatureWish) -> Shape:
    """Chill of a stretch of hours by three measures, and its growing degree hours.

    Parameters
    ----------
    wish : TemperatureWish
        A weather file needs a latitude; the hours are built from all its days, then cut to the span.

    Returns
    -------
    dict
        Keys chill_portions, utah_units, chill_hours, growing_degree_hours, mean_temperature_degC.

    Raises
    ------
    MissingFieldError
        If an hour cannot be known.
    """
    from ringwise.phenology.chill import chill_hours, chill_portions, utah_units
    from ringwise.phenology.heat import growing_degree_hours

    span = _span(wish, hours_needed=True)
    hours = span.hours_degC
    if hours is None:  # an hour is needed above, so this cannot be reached
        raise MissingFieldError(_("no hourly temperature is known."))
    answer = span.shape | {
        "latitude_deg": None if span.days is None else wish.latitude_deg,
        "hours_counted": int(hours.size),
        "mean_temperature_degC": float(hours.mean()),
        "chill_portions": float(chill_portions(hours)[-1]),
        "utah_units": float(utah_units(hours).sum()),
        "chill_hours": int(chill_hours(hours).sum()),
        "growing_degree_hours": float(growing_degree_hours(hours).sum()),
    }
    told = [
        *_told_span(span, counted("{n} hour", "{n} hours", int(hours.size))),
        _("chill portions {portions}, Utah units {utah}, chill hours {hours}").format(
            portions=show.number(answer["chill_portions"], 4),
            utah=show.number(answer["utah_units"], 5),
            hours=answer["chill_hours"],
        ),
        _("growing degree hours {hours}").format(hours=show.number(answer["growing_degree_hours"], 5)),
        _("mean {temperature} °C").format(temperature=show.number(answer["mean_temperature_degC"], 3)),
        *span.notes,
    ]
    return answer | {"lines": told}


def calc_heat(wish: HeatWish) -> Shape:
    """Heat above a base over a span, and its growing degree hours where hours are known.

    Parameters
    ----------
    wish : HeatWish
        With the method: by the daily mean, or by a sine through the day's extremes.

    Returns
    -------
    dict
        Keys base_degC, method, days, heat_degC_days, growing_degree_hours, mean_temperature_degC.

    Raises
    ------
    InputError
        If a method of days is asked of hours.
    """
    from ringwise.phenology.heat import growing_degree_hours, mean_degree_days

    base_degC = parse_quantity(wish.base, "temperature", field="--base")
    span = _span(wish.of, hours_needed=False)
    if span.days is None:
        if wish.method is not None or span.hours_degC is None:
            raise InputError(_("--method is for days; hours are summed as they are"))
        heat = float(mean_degree_days(span.hours_degC, base_degC=base_degC).sum()) / DAY_H
        mean, days, method = float(span.hours_degC.mean()), span.hours_degC.size / DAY_H, HOURLY
    else:
        method = wish.method or METHODS[0]
        heat = _heat_of_days(span.days, method, base_degC)
        mean, days = float(span.days.tmean_degC.mean()), float(span.days.n)
    hours = span.hours_degC
    growing = None if hours is None else float(growing_degree_hours(hours).sum())
    answer = span.shape | {
        "base_degC": base_degC,
        "method": method,
        "days": days,
        "heat_degC_days": heat,
        "growing_degree_hours": growing,
        "mean_temperature_degC": None if math.isnan(mean) else mean,
    }
    told = [
        *_told_span(span, counted("{n} day", "{n} days", round(days)) if days == round(days) else ""),
        _("heat above {base} °C: {heat} degree days ({method})").format(
            base=show.number(base_degC, 4), heat=show.number(heat, 6), method=method
        ),
    ]
    if growing is not None:
        told.append(_("growing degree hours {hours}").format(hours=show.number(growing, 5)))
    return answer | {"lines": [*told, *span.notes]}


def _told_span(span: _Span, count: str) -> list[str]:
    if span.days is None or not span.dated:
        return [count] if count else []
    first, last = show.day(span.days.first, year=True), show.day(span.days.last, year=True)
    return [_("{first} to {last}, {count}").format(first=first, last=last, count=count)]


def _heat_of_days(series: WeatherSeries, method: str, base_degC: float) -> float:
    from ringwise.phenology.heat import mean_degree_days, sine_degree_days

    if method not in METHODS:
        raise unknown_name("--method", method, METHODS)
    if method == "mean":
        each = mean_degree_days(series.tmean_degC, base_degC=base_degC)
    else:
        each = sine_degree_days(series.tmin_degC, series.tmax_degC, base_degC=base_degC)
    _check_known(series, each)
    return float(each.sum())


def _check_known(series: WeatherSeries, each: FloatArray) -> None:
    import numpy as np

    missing = np.flatnonzero(np.isnan(each))
    if missing.size:
        day = series.first + timedelta(days=int(missing[0]))
        raise MissingFieldError(
            _(
                "{day} cannot be counted: it, or the day before or after, lacks its temperatures. "
                "Fill them in, or choose other days."
            ).format(day=day),
            where=series.station,
        )


def _span(wish: TemperatureWish, *, hours_needed: bool) -> _Span:
    one_day = wish.tmin is not None or wish.tmax is not None
    given = [
        name
        for name, there in (
            ("--weather", wish.weather is not None),
            ("--hourly", wish.hourly is not None),
            ("--temperature", wish.temperature is not None),
            ("--tmin --tmax", one_day),
        )
        if there
    ]
    if len(given) != 1:
        raise InputError(
            _(
                "give one source of temperatures: --weather FILE, --hourly FILE or --temperature; given: {n}"
            ).format(n=", ".join(given) or _("none"))
        )
    if wish.weather is not None:
        return _of_weather(read_weather_file(wish.weather, wish.columns), wish, hours_needed=hours_needed)
    if wish.first is not None or wish.last is not None:
        raise InputError(_("--from and --to go with --weather"))
    if wish.hourly is not None:
        return _Span(_hours_of_file(wish.hourly), None)
    return _Span(None, _one_day(wish), dated=False) if one_day else _Span(_same_hours(wish), None)


def _of_weather(series: WeatherSeries, wish: TemperatureWish, *, hours_needed: bool) -> _Span:
    import numpy as np

    from ringwise.weather.hourly import hourly_temperature

    first = series.first if wish.first is None else parse_date(wish.first, field="--from")
    last = series.last if wish.last is None else parse_date(wish.last, field="--to")
    if last < first:
        raise DateError(_("--to is {last}, before --from {first}").format(first=first, last=last))
    low, high = series.position(first), series.position(last) + 1
    days = series.cut(first, last)
    if wish.latitude_deg is None:
        if hours_needed:
            raise MissingFieldError(
                _(
                    "--lat is missing. Hours are built from the length of the day: "
                    "give the latitude, south negative."
                )
            )
        return _Span(None, days)
    hours = hourly_temperature(
        series.tmin_degC, series.tmax_degC, first=series.first, latitude_deg=wish.latitude_deg
    )[low:high]
    if hours_needed:
        _check_known(days, hours.sum(axis=1))
    elif np.isnan(hours).any():
        return _Span(None, days)
    return _Span(hours.ravel(), days, tuple(_lent(series, first, last)))


def _lent(series: WeatherSeries, first: date, last: date) -> Sequence[str]:
    """Which nights stand on one day alone because the file ends there."""
    ends = [day for day, end in ((first, series.first), (last, series.last)) if day == end]
    if not ends:
        return ()
    return (
        _("the file ends at {days}: the night beyond is reckoned from that day alone").format(
            days=", ".join(show.day(day, year=True) for day in ends)
        ),
    )


def _hours_of_file(file: Path) -> FloatArray:
    from ringwise.weather.hourly_reading import read_hours

    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    if file.stat().st_size > _MOST_BYTES:
        raise FileFormatError(_("is larger than 64 MB; cut it to the years you need"), where=file.name)
    try:
        text = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise FileFormatError(_("is no UTF-8 text; save it as CSV in UTF-8"), where=file.name) from None
    return read_hours(text, file=file.name)


def _plausible(text: str, field: str) -> float:
    from ringwise.weather.series import PLAUSIBLE

    value = parse_quantity(text, "temperature", field=field)
    low, high, _unit = PLAUSIBLE["tmean_degC"]
    if not low <= value <= high:
        raise out_of_range(
            field, f"{value:g} °C", _("{low} to {high} °C").format(low=f"{low:g}", high=f"{high:g}")
        )
    return value


def _same_hours(wish: TemperatureWish) -> FloatArray:
    import numpy as np

    if not 1 <= wish.hours <= _MOST_HOURS:
        raise out_of_range("--hours", str(wish.hours), _("1 to {most}").format(most=_MOST_HOURS))
    return np.full(wish.hours, _plausible(wish.temperature or "", "--temperature"))


def _one_day(wish: TemperatureWish) -> WeatherSeries:
    import numpy as np

    from ringwise.weather.series import series_of

    if wish.tmin is None or wish.tmax is None:
        raise MissingFieldError(_("--tmin and --tmax go together"))
    low, high = _plausible(wish.tmin, "--tmin"), _plausible(wish.tmax, "--tmax")
    # The sum of one day does not depend on which day it is: the date is never shown.
    return series_of(date(2001, 1, 1), {"tmin_degC": np.array([low]), "tmax_degC": np.array([high])})
