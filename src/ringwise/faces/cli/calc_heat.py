"""Sums of chill and of heat on their own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.faces.cli.weather import COLUMNS_HELP
from ringwise.kit.words import _

WEATHER_HELP = _("Daily weather, CSV with lowest and highest.")
LATITUDE_HELP = _("Latitude, south negative: hours follow the length of the day.")
FIRST_HELP = _("First day counted; by default the file's first.")
LAST_HELP = _("Last day counted; by default the file's last.")
HOURLY_HELP = _("Hours instead: CSV with temperature_degC, each hour.")
TEMPERATURE_HELP = _("One temperature instead, for --hours hours.")
HOURS_HELP = _("How many hours at --temperature.")


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to those of calc."""
    command(group, "chill")(_chill)
    command(group, "heat")(_heat)


def _chill(
    common: Common,
    weather: Annotated[Path | None, typer.Option("--weather", metavar="FILE", help=WEATHER_HELP)] = None,
    latitude: Annotated[float | None, typer.Option("--lat", metavar="DEGREES", help=LATITUDE_HELP)] = None,
    first: Annotated[str | None, typer.Option("--from", metavar="DATE", help=FIRST_HELP)] = None,
    last: Annotated[str | None, typer.Option("--to", metavar="DATE", help=LAST_HELP)] = None,
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
    hourly: Annotated[Path | None, typer.Option("--hourly", metavar="FILE", help=HOURLY_HELP)] = None,
    temperature: Annotated[
        str | None, typer.Option("--temperature", metavar="TEMP", help=TEMPERATURE_HELP)
    ] = None,
    hours: Annotated[int, typer.Option("--hours", help=HOURS_HELP)] = 1,
) -> Shown:
    """Winter's chill: portions of the Dynamic Model, Utah units, chill hours."""
    from ringwise.desk.calc_heat import TemperatureWish, calc_chill

    answer = calc_chill(TemperatureWish(weather, columns, latitude, first, last, hourly, temperature, hours))
    return Shown(answer, lines(*answer["lines"]))


def _heat(
    common: Common,
    weather: Annotated[Path | None, typer.Option("--weather", metavar="FILE", help=WEATHER_HELP)] = None,
    base: Annotated[
        str, typer.Option("--base", metavar="TEMP", help=_("Only what lies above it counts."))
    ] = "5",
    method: Annotated[
        str | None,
        typer.Option("--method", help=_("mean (of the day) or sine (through lowest and highest)")),
    ] = None,
    latitude: Annotated[float | None, typer.Option("--lat", metavar="DEGREES", help=LATITUDE_HELP)] = None,
    first: Annotated[str | None, typer.Option("--from", metavar="DATE", help=FIRST_HELP)] = None,
    last: Annotated[str | None, typer.Option("--to", metavar="DATE", help=LAST_HELP)] = None,
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
    hourly: Annotated[Path | None, typer.Option("--hourly", metavar="FILE", help=HOURLY_HELP)] = None,
    temperature: Annotated[
        str | None, typer.Option("--temperature", metavar="TEMP", help=TEMPERATURE_HELP)
    ] = None,
    hours: Annotated[int, typer.Option("--hours", help=HOURS_HELP)] = 1,
    tmin: Annotated[
        str | None, typer.Option("--tmin", metavar="TEMP", help=_("One day instead: its lowest."))
    ] = None,
    tmax: Annotated[
        str | None, typer.Option("--tmax", metavar="TEMP", help=_("One day instead: its highest."))
    ] = None,
) -> Shown:
    """Warmth: degree days above a base, growing degree hours."""
    from ringwise.desk.calc_heat import HeatWish, TemperatureWish, calc_heat

    of = TemperatureWish(weather, columns, latitude, first, last, hourly, temperature, hours, tmin, tmax)
    answer = calc_heat(HeatWish(of, base, method))
    return Shown(answer, lines(*answer["lines"]))
