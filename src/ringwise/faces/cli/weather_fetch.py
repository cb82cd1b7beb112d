"""The command that asks the weather address of a collection."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_to(group: typer.Typer) -> None:
    """Add the command to those about weather."""
    command(group, "fetch")(_fetch)


def _fetch(
    common: Common,
    address: Annotated[
        str | None,
        typer.Option("--address", help=_("Where to ask; {first} and {last} become days. Else as set.")),
    ] = None,
    columns: Annotated[
        str | None,
        typer.Option("--columns", help=_("Which column is what; see weather import. Else as set.")),
    ] = None,
    station: Annotated[
        str | None, typer.Option("--station", help=_("Name of the series; the yard's own by default."))
    ] = None,
    first: Annotated[
        str | None,
        typer.Option("--first", metavar="DATE", help=_("First day to ask for; by default what is missing.")),
    ] = None,
    last: Annotated[
        str | None, typer.Option("--last", metavar="DATE", help=_("Last day to ask for; by default today."))
    ] = None,
) -> Shown:
    """Ask the weather address that was set and read what comes; without one nothing is ever asked."""
    from ringwise.desk.weather_fetch import FetchWish, fetch_weather

    answer = fetch_weather(common.workspace(), FetchWish(address, columns, station, first, last))
    return Shown(answer, lines(*answer["lines"]))
