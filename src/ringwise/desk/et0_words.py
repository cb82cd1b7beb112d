"""How evapotranspiration and daylength are told: the route, what was assumed, each step."""

from __future__ import annotations

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _, counted

DIGITS = 5


def definition_words(definition: str) -> str:
    """What a definition of daylength means.

    Parameters
    ----------
    definition : str
        One of `ringwise.weather.sun.DEFINITIONS`.

    Returns
    -------
    str
        A sentence.
    """
    bare = _("from the sun's centre on the bare horizon to the same; no refraction")
    rim = _("from the sun's upper rim on the horizon to the same, with refraction")
    return f"{definition}: {bare if definition in {'fao56', 'gauzere'} else rim}"


def _route_words(route: str) -> str:
    words = {
        "penman_monteith": _("Penman-Monteith after FAO-56"),
        "hargreaves": _(
            "Hargreaves, from the extremes of temperature alone: coarse. "
            "Give --radiation or --sunshine for Penman-Monteith."
        ),
        "none": _("none: a day needs its lowest and its highest temperature"),
    }
    return words[route]


def assumed_words(name: str) -> str:
    """What stood in for something that was not measured.

    Parameters
    ----------
    name : str
        "humidity", "wind" or "elevation".

    Returns
    -------
    str
        A sentence.
    """
    words = {
        "humidity": _("the air is as moist as the night's lowest temperature allows"),
        "wind": _("wind of 2 m/s"),
        "elevation": _("the place lies at sea level"),
    }
    return words[name]


def _humidity_words(route: str) -> str:
    words = {
        "vapour_pressure": _("vapour pressure as given"),
        "dew_point": _("from the dew point"),
        "rh_min_max": _("from the lowest and the highest relative humidity"),
        "rh_max": _("from the highest relative humidity"),
        "rh_mean": _("from the mean relative humidity"),
        "rh_min": _("from the lowest relative humidity"),
        "tmin": _("from the night's lowest temperature"),
    }
    return words[route]


def _step_words() -> dict[str, tuple[str, str]]:
    """Each step's name and unit, in the order of the reckoning."""
    return {
        "pressure_kPa": (_("air pressure"), "kPa"),
        "psychrometric_kPa_per_degC": (_("psychrometric constant"), "kPa/°C"),
        "slope_kPa_per_degC": (_("slope of saturation"), "kPa/°C"),
        "wind_2m_m_s": (_("wind at 2 m"), "m/s"),
        "saturation_kPa": (_("saturation vapour pressure"), "kPa"),
        "actual_kPa": (_("actual vapour pressure"), "kPa"),
        "vpd_kPa": (_("vapour pressure deficit"), "kPa"),
        "distance_factor": (_("nearness of the sun"), ""),
        "declination_rad": (_("declination of the sun"), "rad"),
        "sunset_rad": (_("hour angle of sunset"), "rad"),
        "extraterrestrial_mj_m2": (_("radiation outside the atmosphere"), "MJ/m²"),
        "daylength_h": (_("daylength"), "h"),
        "radiation_mj_m2": (_("radiation at the ground"), "MJ/m²"),
        "clear_sky_mj_m2": (_("radiation under a clear sky"), "MJ/m²"),
        "clear_ratio": (_("ratio of the two, as used"), ""),
        "net_short_mj_m2": (_("net short-wave radiation"), "MJ/m²"),
        "net_long_mj_m2": (_("net long-wave loss"), "MJ/m²"),
        "net_mj_m2": (_("net radiation"), "MJ/m²"),
        "soil_heat_mj_m2": (_("heat into the ground"), "MJ/m²"),
    }


def day_lines(answer: Shape) -> list[str]:
    """One day, told: the amount, the route, what was assumed, each step.

    Parameters
    ----------
    answer : Shape
        Of `ringwise.desk.calc_et0.calc_et0`.

    Returns
    -------
    list of str
        Lines.
    """
    lines = [
        _("evapotranspiration of watered grass {amount} mm on {date}").format(
            amount=show.fixed(answer["et0_mm_day"], 2), date=answer["date"]
        ),
        _("route: {route}").format(route=_route_words(answer["route"])),
    ]
    if answer["humidity_route"]:
        lines.append(_("humidity: {route}").format(route=_humidity_words(answer["humidity_route"])))
    if answer["radiation_from"] == "sunshine":
        lines.append(_("radiation: from the hours of sunshine"))
    lines += [_("assumed: {what}").format(what=assumed_words(name)) for name in answer["assumed"]]
    for key, (name, unit) in _step_words().items():
        if answer[key] is not None:
            lines.append(f"  {name} {show.number(answer[key], DIGITS)} {unit}".rstrip())
            if key == "clear_ratio" and answer["clamped"]:
                lines.append("    " + _("brought into its limits of 0.3 to 1"))
    return lines


def file_lines(answer: Shape) -> list[str]:
    """A whole file, told: days by route, what was assumed, the sum of each year.

    Parameters
    ----------
    answer : Shape
        Of `ringwise.desk.calc_et0.calc_et0` on a file.

    Returns
    -------
    list of str
        Lines.
    """
    lines = [
        _("{penman} by Penman-Monteith, {hargreaves} by Hargreaves (coarse), {missing} without").format(
            penman=counted("{n} day", "{n} days", answer["penman_days"]),
            hargreaves=counted("{n} day", "{n} days", answer["hargreaves_days"]),
            missing=counted("{n} day", "{n} days", answer["without_days"]),
        )
    ]
    lines += [
        _("assumed on some days: {what}").format(what=assumed_words(name)) for name in answer["assumed"]
    ]
    lines += [
        _("{year}: {amount} mm in {days}").format(
            year=each["calendar_year"],
            amount=show.fixed(each["et0_mm"], 0),
            days=counted("{n} day", "{n} days", each["days"]),
        )
        for each in answer["by_year"]
    ]
    return lines
