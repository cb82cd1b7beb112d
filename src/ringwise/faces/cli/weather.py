"""Commands for weather series."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli import weather_fetch
from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

MEAN_HELP = _("Mean of day and night over that month, such as '1 C' or '34 F'.")
NORMALS_HELP = _("Twelve monthly normals: month,tmean_degC and, if known, tmin_degC,tmax_degC.")
MONTHLY_HELP = _("Twelve monthly means in degrees C, January first: 2.1,3.0,... (or each with its unit).")
COLUMNS_HELP = _(
    "Which column is what, with unit and mark for missing: "
    "date=day,tmin_degC=low:degF:missing=-99,rain_mm=rain"
)


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    group = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=_("Weather of the yard."))
    command(group, "import")(_import)
    weather_fetch.add_to(group)
    command(group, "show")(_show)
    command(group, "describe")(_describe)
    app.add_typer(group, name="weather")


def _import(
    common: Common,
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help=_("Daily weather: our header, GHCN-Daily, GSOD, Open-Meteo, DWD, any CSV.")
        ),
    ],
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
    station: Annotated[
        str | None,
        typer.Option("--station", help=_("Name of the series in the collection; the yard's own by default.")),
    ] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help=_("Say what is understood; store nothing."))
    ] = False,
) -> Shown:
    """Read a daily weather file into the collection; nothing is stored unless all of it reads."""
    from ringwise.desk.weather import import_weather
    from ringwise.desk.weather_file import station_for

    workspace = common.workspace()
    name = station_for(workspace, "") if station is None else station
    answer = import_weather(workspace, file, columns=columns, station=name, preview=preview)
    return Shown(answer, lines(*answer["lines"]))


def _show(
    common: Common,
    station: Annotated[
        str | None, typer.Option("--station", help=_("Which series; the yard's own by default."))
    ] = None,
) -> Shown:
    """What weather is there, from when to when, and what is missing."""
    from ringwise.desk.weather import show_weather

    answer = show_weather(common.workspace(), station=station)
    return Shown(answer, lines(*answer["lines"]))


def _describe(
    common: Common,
    coldest: Annotated[str, typer.Option("--coldest", metavar="TEMP", help=MEAN_HELP)] = "",
    warmest: Annotated[str, typer.Option("--warmest", metavar="TEMP", help=MEAN_HELP)] = "",
    last_frost: Annotated[
        str, typer.Option("--last-frost", metavar="DAY", help=_("Usual last frost of spring: '10 Apr'."))
    ] = "",
    first_frost: Annotated[
        str, typer.Option("--first-frost", metavar="DAY", help=_("Usual first frost of autumn: '20 Oct'."))
    ] = "",
    normals: Annotated[Path | None, typer.Option("--normals", metavar="FILE", help=NORMALS_HELP)] = None,
    monthly: Annotated[str, typer.Option("--monthly", metavar="MEANS", help=MONTHLY_HELP)] = "",
) -> Shown:
    """Say what the climate is like where no weather is at hand; without options, show what was said."""
    from ringwise.desk.climate import ClimateGiven, climate, describe_climate
    from ringwise.desk.climate_months import normals_given

    workspace = common.workspace()
    twelve = normals_given(normals, monthly, means=coldest + warmest)
    given = ClimateGiven(coldest, warmest, last_frost, first_frost, twelve)
    answer = climate(workspace) if given == ClimateGiven("", "") else describe_climate(workspace, given)
    return Shown(answer, lines(*answer["lines"]))
