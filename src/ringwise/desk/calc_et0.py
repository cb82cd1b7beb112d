"""Wishes for the sun and for evapotranspiration: one day from typed values, or a whole weather file."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.et0_words import day_lines, definition_words, file_lines
from ringwise.desk.shapes import Shape
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, RangeError
from ringwise.kit.units import in_range, parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from datetime import date

    from ringwise.kit.types import FloatArray
    from ringwise.weather.et0_routes import Et0Days, MeasuredDays
    from ringwise.weather.series import WeatherSeries

MOST_VAPOUR_KPA = 20.0  # saturated air at 60 degrees, the warmest that a series may hold
SECONDS_AN_HOUR = 3600.0


@dataclass(frozen=True)
class Et0Wish:
    """A day as typed for `ringwise calc et0`, or a weather file; a bare number is in its field's unit."""

    lat: str
    elevation: str | None = None
    date: str | None = None
    tmin: str | None = None
    tmax: str | None = None
    rh_min: str | None = None
    rh_max: str | None = None
    rh_mean: str | None = None
    dew_point: str | None = None
    vapour_pressure: float | None = None
    wind: str | None = None
    wind_height: str | None = None
    sunshine: str | None = None
    radiation: str | None = None
    soil_heat: float | None = None
    weather: Path | None = None
    columns: str | None = None


OF_A_FILE = frozenset({"lat", "elevation", "weather", "columns"})


def calc_daylength(date_text: str, lat: str, definition: str = "fao56") -> Shape:
    """The length of a day under one definition, with the radiation that the sun sends on it.

    Parameters
    ----------
    date_text, lat : str
        As typed.
    definition : str
        One of `ringwise.weather.sun.DEFINITIONS`.

    Returns
    -------
    Shape
        Keys daylength_h, day_of_year, date and the steps.
    """
    from ringwise.kit import show
    from ringwise.weather.sun import daylength_h, declination_rad, extraterrestrial_mj_m2

    when, latitude_deg = parse_date(date_text, field="--date"), _latitude_deg(lat)
    day = when.timetuple().tm_yday
    length_h = float(daylength_h(latitude_deg, day, definition))
    answer = {
        "date": when.isoformat(),
        "day_of_year": day,
        "latitude_deg": latitude_deg,
        "definition": definition,
        "daylength_h": length_h,
        "declination_rad": float(declination_rad(day, definition)),
        "extraterrestrial_mj_m2": float(extraterrestrial_mj_m2(latitude_deg, day)),
    }
    lines = [
        _("daylength {hours} h on {date}, day {n} of the year").format(
            hours=show.fixed(length_h, 2), date=show.day(when, year=True), n=day
        ),
        definition_words(definition),
    ]
    return answer | {"lines": lines}


def calc_et0(wish: Et0Wish) -> Shape:
    """Reference evapotranspiration of one typed day or of each day of a weather file.

    Parameters
    ----------
    wish : Et0Wish
        As typed.

    Returns
    -------
    Shape
        Of a day: et0_mm_day, its route, what was assumed and every step. Of a file: days and years.

    Raises
    ------
    InputError
        If a file and values of one day come together.
    """
    latitude_deg = _latitude_deg(wish.lat)
    elevation_m = _typed(wish.elevation, "elevation", "--elevation", 0.0)
    in_range(
        elevation_m,
        -450.0,
        9000.0,
        field="--elevation",
        shown=f"{elevation_m:g} m",
        accepted="-450 to 9000 m",
    )
    if wish.weather is not None:
        mixed = [
            each.name
            for each in fields(wish)
            if each.name not in OF_A_FILE and getattr(wish, each.name) is not None
        ]
        if mixed:
            raise InputError(
                _(
                    "--weather brings whole days, and {options} belongs to one day. Leave one of them out."
                ).format(options=", ".join("--" + name.replace("_", "-") for name in mixed))
            )
        return _of_file(wish, latitude_deg, elevation_m)
    return _of_day(wish, latitude_deg, elevation_m)


def _latitude_deg(text: str) -> float:
    value = parse_quantity(text, "latitude", field="--lat")
    return in_range(value, -90.0, 90.0, field="--lat", shown=text, accepted=_("-90 to 90 degrees"))


def _typed(
    text: str | None, kind: str, field: str, missing: float = math.nan, unit: str | None = None
) -> float:
    return missing if text is None else parse_quantity(text, kind, field=field, default_unit=unit)


def _of_day(wish: Et0Wish, latitude_deg: float, elevation_m: float) -> Shape:
    from ringwise.weather.et0_routes import et0_days

    if wish.date is None or wish.tmin is None or wish.tmax is None:
        raise MissingFieldError(_("give --date, --tmin and --tmax of the day, or a file with --weather"))
    when = parse_date(wish.date, field="--date")
    soil = 0.0 if wish.soil_heat is None else wish.soil_heat
    in_range(soil, -30.0, 30.0, field="--soil-heat", shown=f"{soil:g}", accepted="-30 to 30 MJ/m2")
    measured = _measured(wish, when)
    found = et0_days(measured, latitude_deg=latitude_deg, elevation_m=elevation_m, soil_heat_mj_m2=soil)
    answer: Shape = {
        "date": when.isoformat(),
        "day_of_year": when.timetuple().tm_yday,
        "latitude_deg": latitude_deg,
        "elevation_m": elevation_m,
        **_day_answer(found, wish.elevation is None),
        **_steps(found),
    }
    return answer | {"lines": day_lines(answer)}


def _measured(wish: Et0Wish, when: date) -> MeasuredDays:
    from ringwise.weather.et0_routes import MeasuredDays
    from ringwise.weather.evapotranspiration import STANDARD_HEIGHT_M, wind_at_2m_m_s
    from ringwise.weather.humidity import Humidity

    height_m = _typed(wish.wind_height, "elevation", "--wind-height", STANDARD_HEIGHT_M)
    wind_m_s = _typed(wish.wind, "speed", "--wind")
    values = {
        "tmin_degC": _typed(wish.tmin, "temperature", "--tmin"),
        "tmax_degC": _typed(wish.tmax, "temperature", "--tmax"),
        "rh_min_pct": _typed(wish.rh_min, "percent", "--rh-min"),
        "rh_max_pct": _typed(wish.rh_max, "percent", "--rh-max"),
        "wind_2m_m_s": float(wind_at_2m_m_s(wind_m_s, height_m)),
        "radiation_mj_m2": _typed(wish.radiation, "radiation", "--radiation"),
        "sunshine_h": _typed(wish.sunshine, "time", "--sunshine", unit="h") / SECONDS_AN_HOUR,
    }
    mean_pct, dew_degC = (
        _typed(wish.rh_mean, "percent", "--rh-mean"),
        _typed(wish.dew_point, "temperature", "--dew-point"),
    )
    _refuse_impossible((values, {"rh_max_pct": mean_pct}, {"tmin_degC": dew_degC}), when)
    vapour_kPa = _vapour_kPa(wish)
    return MeasuredDays(
        day_of_year=float(when.timetuple().tm_yday),
        tmin_degC=values["tmin_degC"],
        tmax_degC=values["tmax_degC"],
        humidity=Humidity(vapour_kPa, dew_degC, values["rh_min_pct"], values["rh_max_pct"], mean_pct),
        wind_2m_m_s=values["wind_2m_m_s"],
        radiation_mj_m2=values["radiation_mj_m2"],
        sunshine_h=values["sunshine_h"],
    )


def _refuse_impossible(columns: tuple[dict[str, float], ...], when: date) -> None:
    import numpy as np

    from ringwise.weather.series import first_fault

    for values in columns:
        fault = first_fault({name: np.array([value]) for name, value in values.items()})
        if fault is not None:
            raise RangeError(fault.text, where=when.isoformat())


def _vapour_kPa(wish: Et0Wish) -> float:
    if wish.vapour_pressure is None:
        return math.nan
    given = wish.vapour_pressure
    return in_range(
        given,
        0.0,
        MOST_VAPOUR_KPA,
        field="--vapour-pressure",
        shown=f"{given:g}",
        accepted="0 to 20 kPa",
    )


def _day_answer(found: Et0Days, sea_level: bool) -> Shape:
    from ringwise.weather import humidity
    from ringwise.weather.et0_routes import RADIATION_FROM, ROUTES

    penman = int(found.route) == 0
    return {
        "et0_mm_day": _plain(found.et0_mm_day),
        "route": ROUTES[int(found.route)],
        "humidity_route": humidity.ROUTES[int(found.humidity_route)] if penman else None,
        "radiation_from": RADIATION_FROM[int(found.radiation_from)],
        "assumed": assumed_of(found, None, sea_level=sea_level),
    }


def assumed_of(found: Et0Days, place: int | None, *, sea_level: bool) -> list[str]:
    """What stood in for something that was not measured, on one day.

    Parameters
    ----------
    found : Et0Days
        Of one day or many.
    place : int or None
        Which day; None where there is only one.
    sea_level : bool
        Whether no elevation was given.

    Returns
    -------
    list of str
        Among "humidity", "wind" and "elevation".
    """
    from ringwise.weather.humidity import ASSUMED_ROUTE

    at = () if place is None else place
    if int(found.route[at]) != 0:
        return []
    marks = {
        "humidity": int(found.humidity_route[at]) == ASSUMED_ROUTE,
        "wind": bool(found.wind_assumed[at]),
        "elevation": sea_level,
    }
    return [name for name, is_so in marks.items() if is_so]


def _plain(value: FloatArray) -> float | None:
    number = float(value)
    return None if math.isnan(number) else number


def _steps(found: Et0Days) -> Shape:
    """Every step of the day by its name; null where the route did not need it."""
    steps = found.penman
    has = int(found.route) == 0
    names = [each.name for each in fields(steps) if each.name not in {"et0_mm_day", "sun", "clamped"}]
    answer: Shape = {each.name: _plain(getattr(steps.sun, each.name)) for each in fields(steps.sun)}
    answer |= {name: _plain(getattr(steps, name)) if has else None for name in names}
    answer["clamped"] = bool(steps.clamped) if has else None
    return answer


def _of_file(wish: Et0Wish, latitude_deg: float, elevation_m: float) -> Shape:
    from ringwise.desk.weather import read_weather_file
    from ringwise.weather.et0_routes import ROUTES, days_of_year, et0_series

    assert wish.weather is not None
    series = read_weather_file(wish.weather, wish.columns)
    found = et0_series(series, latitude_deg, elevation_m)
    sea_level = wish.elevation is None
    assumed = [assumed_of(found, place, sea_level=sea_level) for place in range(series.n)]
    days: list[Shape] = [
        {
            "date": when.isoformat(),
            "day_of_year": int(day),
            "et0_mm_day": _plain(found.et0_mm_day[place]),
            "route": ROUTES[int(found.route[place])],
            "assumed": assumed[place],
        }
        for place, (when, day) in enumerate(zip(_dates(series), days_of_year(series), strict=True))
    ]
    counts = [int((found.route == code).sum()) for code in range(len(ROUTES))]
    answer: Shape = {
        "latitude_deg": latitude_deg,
        "elevation_m": elevation_m,
        "first": series.first.isoformat(),
        "last": series.last.isoformat(),
        "penman_days": counts[0],
        "hargreaves_days": counts[1],
        "without_days": counts[2],
        "assumed": sorted({name for each in assumed for name in each}),
        "by_year": _by_year(days),
        "each_day": days,
    }
    return answer | {"lines": file_lines(answer)}


def _dates(series: WeatherSeries) -> list[date]:
    from datetime import timedelta

    return [series.first + timedelta(days=k) for k in range(series.n)]


def _by_year(days: list[Shape]) -> list[Shape]:
    sums: dict[str, list[float]] = {}
    for day in days:
        if day["et0_mm_day"] is not None:
            sums.setdefault(day["date"][:4], []).append(day["et0_mm_day"])
    return [
        {"calendar_year": int(year), "et0_mm": math.fsum(all_), "days": len(all_)}
        for year, all_ in sums.items()
    ]
