"""Commands for the sun and for evapotranspiration, below `calc`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.faces.cli.weather import COLUMNS_HELP
from ringwise.kit.words import _

DATE_HELP = _("The day, YYYY-MM-DD.")
LAT_HELP = _("Latitude, such as 50.8, -33.9 or '33.9 S'.")


def add_commands(group: typer.Typer) -> None:
    """Add this module's commands to the group `calc`."""
    command(group, "et0")(_et0)
    command(group, "daylength")(_daylength)


def _daylength(
    common: Common,
    date: Annotated[str, typer.Option("--date", metavar="DATE", help=DATE_HELP)],
    lat: Annotated[str, typer.Option("--lat", help=LAT_HELP)],
    definition: Annotated[
        str, typer.Option("--definition", help=_("fao56, forsythe, spencer or gauzere"))
    ] = "fao56",
) -> Shown:
    """Hours from sunrise to sunset; the definitions differ, and each model keeps to its own."""
    from ringwise.desk.calc_et0 import calc_daylength

    answer = calc_daylength(date, lat, definition)
    return Shown(answer, lines(*answer["lines"]))


def _et0(
    common: Common,
    lat: Annotated[str, typer.Option("--lat", help=LAT_HELP)],
    elevation: Annotated[
        str | None, typer.Option("--elevation", help=_("Above the sea; a bare number is m."))
    ] = None,
    date: Annotated[str | None, typer.Option("--date", metavar="DATE", help=DATE_HELP)] = None,
    tmin: Annotated[
        str | None, typer.Option("--tmin", help=_("Lowest temperature; a bare number is °C."))
    ] = None,
    tmax: Annotated[
        str | None, typer.Option("--tmax", help=_("Highest temperature; a bare number is °C."))
    ] = None,
    rh_min: Annotated[str | None, typer.Option("--rh-min", help=_("Lowest relative humidity, %."))] = None,
    rh_max: Annotated[str | None, typer.Option("--rh-max", help=_("Highest relative humidity, %."))] = None,
    rh_mean: Annotated[str | None, typer.Option("--rh-mean", help=_("Mean relative humidity, %."))] = None,
    dew_point: Annotated[
        str | None, typer.Option("--dew-point", help=_("Dew point; a bare number is °C."))
    ] = None,
    vapour_pressure: Annotated[
        float | None, typer.Option("--vapour-pressure", help=_("Actual vapour pressure, kPa."))
    ] = None,
    wind: Annotated[
        str | None, typer.Option("--wind", help=_("Mean wind; a bare number is m/s, '10 km/h' works too."))
    ] = None,
    wind_height: Annotated[
        str | None, typer.Option("--wind-height", help=_("Height of the wind gauge; 2 m by default."))
    ] = None,
    sunshine: Annotated[
        str | None, typer.Option("--sunshine", help=_("Bright sunshine; a bare number is hours."))
    ] = None,
    radiation: Annotated[
        str | None, typer.Option("--radiation", help=_("Radiation of the day; a bare number is MJ/m²."))
    ] = None,
    soil_heat: Annotated[
        float | None, typer.Option("--soil-heat", help=_("Heat into the ground, MJ/m²; 0 by default."))
    ] = None,
    weather: Annotated[
        Path | None,
        typer.Option("--weather", metavar="FILE", help=_("Daily weather, CSV; each of its days.")),
    ] = None,
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
) -> Shown:
    """Reference evapotranspiration of a day after FAO-56, with every step; or of each day of a file."""
    from ringwise.desk.calc_et0 import Et0Wish, calc_et0

    answer = calc_et0(
        Et0Wish(
            lat=lat,
            elevation=elevation,
            date=date,
            tmin=tmin,
            tmax=tmax,
            rh_min=rh_min,
            rh_max=rh_max,
            rh_mean=rh_mean,
            dew_point=dew_point,
            vapour_pressure=vapour_pressure,
            wind=wind,
            wind_height=wind_height,
            sunshine=sunshine,
            radiation=radiation,
            soil_heat=soil_heat,
            weather=weather,
            columns=columns,
        )
    )
    return Shown(answer, lines(*answer["lines"]))
