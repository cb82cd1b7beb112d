"""Each formula on its own, with what it was given and what it gives."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli import (
    calc_capacity,
    calc_dry,
    calc_et0,
    calc_feed,
    calc_growth,
    calc_heat,
    calc_lift,
    calc_packing,
    calc_potting,
    calc_wounds,
)
from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.faces.cli.weather import COLUMNS_HELP
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    group = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=_("Each formula on its own."))
    command(group, "pot")(_pot)
    command(group, "stage")(_stage)
    calc_heat.add_to(group)
    calc_et0.add_commands(group)
    calc_capacity.add_commands(group)
    calc_dry.add_commands(group)
    calc_feed.add_commands(group)
    calc_packing.add_commands(group)
    calc_potting.add_commands(group)
    calc_growth.add_commands(group)
    calc_lift.add_commands(group)
    calc_wounds.add_commands(group)
    app.add_typer(group, name="calc")


def _pot(
    common: Common,
    shape: Annotated[
        str, typer.Option("--shape", help=_("oval, rectangle, round, hexagon, octagon or prism"))
    ],
    depth: Annotated[str, typer.Option("--depth", "--height", help=_("Inside depth; a bare number is cm."))],
    length: Annotated[
        str | None, typer.Option("--length", help=_("Inside length, diameter or width across flats."))
    ] = None,
    width: Annotated[str | None, typer.Option("--width", help=_("Inside width."))] = None,
    bottom: Annotated[
        str | None, typer.Option("--bottom", help=_("Size at the floor, such as 26x18cm."))
    ] = None,
    top: Annotated[str | None, typer.Option("--top", help=_("Size at the rim, such as 30x22cm."))] = None,
    rim: Annotated[str, typer.Option("--rim", help=_("Gap below the rim that stays empty."))] = "0mm",
    base_drop: Annotated[
        str, typer.Option("--base-drop", help=_("Depth lost to feet and floor inside."))
    ] = "0mm",
    taper: Annotated[
        str, typer.Option("--taper", help=_("Share of the straight volume kept by sloping walls."))
    ] = "1",
) -> Shown:
    """Volume and area of a pot from its inside measures."""
    from ringwise.desk.calc import PotWish, calc_pot

    answer = calc_pot(PotWish(shape, depth, length, width, bottom, top, rim, base_drop, taper))
    return Shown(answer, lines(*answer["lines"]))


def _stage(
    common: Common,
    species: Annotated[str, typer.Option("--species", help=_("Key or name, such as larix_decidua."))],
    weather: Annotated[Path, typer.Option("--weather", metavar="FILE", help=_("Daily weather, CSV."))],
    year: Annotated[int, typer.Option("--year", help=_("The year in which the spring falls."))],
    model: Annotated[
        str,
        typer.Option(
            "--model", help=_("menzel, thermal_time, uniforc, unichill, photoperiod_chill and others")
        ),
    ] = "menzel",
    columns: Annotated[str | None, typer.Option("--columns", help=COLUMNS_HELP)] = None,
    stage: Annotated[
        str | None, typer.Option("--stage", help=_("Which published stage; leaf unfolding by default."))
    ] = None,
    parameters: Annotated[str | None, typer.Option("--parameters", help=_("Override: a=1372,b=-246"))] = None,
    south: Annotated[bool, typer.Option("--south", help=_("The place lies south of the equator."))] = False,
    latitude: Annotated[
        float | None,
        typer.Option("--lat", help=_("Latitude, south negative; for models that read the daylength.")),
    ] = None,
) -> Shown:
    """The day on which a published model puts a stage, on a weather file."""
    from ringwise.desk.calc import StageWish, calc_stage

    wish = StageWish(species, weather, year, model, columns, stage, parameters, south, latitude)
    answer = calc_stage(wish)
    return Shown(answer, lines(*answer["lines"]))
