"""Commands for the places of the yard: what a thermometer showed there, what it says of their weather."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.faces.cli.weather import COLUMNS_HELP
from ringwise.kit.words import _

PLACE = Annotated[str, typer.Argument(metavar="PLACE", help=_("Name of the place, as trees stand there."))]
BY = Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    group = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, help=_("The weather of each place in the yard.")
    )
    command(group, "reading")(_reading)
    command(group, "readings")(_readings)
    command(group, "kind")(_kind)
    command(group, "show")(_show)
    app.add_typer(group, name="place")


def _reading(
    common: Common,
    place: PLACE,
    low: Annotated[
        str, typer.Option("--min", metavar="TEMP", help=_("Lowest temperature shown, such as '-1.5 C'."))
    ] = "",
    high: Annotated[
        str, typer.Option("--max", metavar="TEMP", help=_("Highest temperature shown, such as '54 F'."))
    ] = "",
    date: Annotated[
        str, typer.Option("--date", metavar="DATE", help=_("Day of the reading; today by default."))
    ] = "",
    morning: Annotated[
        bool,
        typer.Option(
            "--morning/--evening",
            help=_("When it was read and set back: a morning's maximum is that of the day before."),
        ),
    ] = False,
    by: BY = None,
) -> Shown:
    """Write down what a min/max thermometer showed at a place."""
    from ringwise.desk.microsites import record_reading
    from ringwise.desk.place_readings import ReadingGiven

    when = "morning" if morning else "evening"
    answer = record_reading(common.workspace(), ReadingGiven(place, low, high, date, when, by))
    return Shown(answer, lines(answer["line"]))


def _readings(
    common: Common,
    place: PLACE,
    file: Annotated[
        Path, typer.Option("--file", metavar="FILE", help=_("Daily minima and maxima of a logger."))
    ],
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
    preview: Annotated[
        bool, typer.Option("--preview", help=_("Say what is understood; store nothing."))
    ] = False,
    by: BY = None,
) -> Shown:
    """Read a logger's daily minima and maxima of a place; nothing is stored unless all of it reads."""
    from ringwise.desk.logger_file import ReadingsWish, import_readings

    wish = ReadingsWish(place, file, columns, preview=preview, by=by)
    answer = import_readings(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))


def _kind(
    common: Common,
    place: PLACE,
    kind: Annotated[
        str,
        typer.Argument(metavar="KIND", help="open_bench, wall, shade, tunnel, cold_frame, shed, ground"),
    ],
    by: BY = None,
) -> Shown:
    """State what kind of place it is; that says what to assume until its thermometer is read."""
    from ringwise.desk.microsites import set_microsite

    answer = set_microsite(common.workspace(), place, kind, by=by)
    return Shown(answer, lines(answer["line"]))


def _show(
    common: Common,
    place: Annotated[
        str | None, typer.Argument(metavar="PLACE", help=_("One place; all of them by default."))
    ] = None,
) -> Shown:
    """How the nights and days of each place differ from the station's, and how well that is known."""
    from ringwise.desk.microsites import microsites

    answer = microsites(common.workspace(), place)
    return Shown(answer, lines(*answer["lines"]))
