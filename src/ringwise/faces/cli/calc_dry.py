"""How long a full pot lasts, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.faces.cli.calc_capacity import (
    ALPHA_HELP,
    HEIGHT_HELP,
    MIX_HELP,
    MODE_HELP,
    N_HELP,
    SUBSTRATE_HELP,
    TR_HELP,
    TS_HELP,
)
from ringwise.kit.words import _

Text = str | None


def add_commands(group: typer.Typer) -> None:
    """Add this module's command to those of calc."""
    command(group, "dry")(_dry)


def _dry(
    common: Common,
    et0: Annotated[
        str, typer.Option("--et0", help=_("Reference evapotranspiration of a day; a bare number is mm."))
    ],
    leaf_area: Annotated[
        str, typer.Option("--leaf-area", "--leaf", help=_("Leaf of the tree, one side; a bare number is m²."))
    ] = "0",
    exposure: Annotated[
        Text,
        typer.Option("--exposure", help=_("1 in a sheltered group, 1.2 to 1.5 alone on a windy bench.")),
    ] = None,
    ke: Annotated[
        Text, typer.Option("--ke", help=_("What the surface evaporates over the reference; 0.5 by default."))
    ] = None,
    available: Annotated[
        Text, typer.Option("--available", help=_("Water a tree can use; a bare number is litres."))
    ] = None,
    area: Annotated[
        Text, typer.Option("--area", "--pot-area", help=_("Surface of the pot, such as 660cm2."))
    ] = None,
    shape: Annotated[
        str, typer.Option("--shape", help=_("oval, rectangle, round, hexagon, octagon or prism"))
    ] = "rectangle",
    height: Annotated[Text, typer.Option("--height", "--depth", help=HEIGHT_HELP)] = None,
    bottom: Annotated[Text, typer.Option("--bottom", help=_("Size at the floor, such as 26x18cm."))] = None,
    top: Annotated[Text, typer.Option("--top", help=_("Size at the rim, such as 30x22cm."))] = None,
    length: Annotated[
        Text, typer.Option("--length", help=_("Inside length, diameter or width across flats."))
    ] = None,
    width: Annotated[Text, typer.Option("--width", help=_("Inside width."))] = None,
    tr: Annotated[Text, typer.Option("--tr", help=TR_HELP)] = None,
    ts: Annotated[Text, typer.Option("--ts", help=TS_HELP)] = None,
    alpha: Annotated[Text, typer.Option("--alpha", help=ALPHA_HELP)] = None,
    n: Annotated[Text, typer.Option("--n", help=N_HELP)] = None,
    mode: Annotated[list[str] | None, typer.Option("--mode", help=MODE_HELP)] = None,
    substrate: Annotated[Text, typer.Option("--substrate", metavar="KEY", help=SUBSTRATE_HELP)] = None,
    mix: Annotated[Text, typer.Option("--mix", metavar="KEY=PARTS", help=MIX_HELP)] = None,
) -> Shown:
    """How long a full pot lasts until it is to be checked, at a steady pace."""
    from ringwise.desk.calc_curve import CurveWish
    from ringwise.desk.calc_dry import DryPot, DryWish, calc_dry

    answer = calc_dry(
        DryWish(
            et0=et0,
            leaf_area=leaf_area,
            exposure=exposure,
            ke=ke,
            available=available,
            area=area,
            pot=DryPot(shape, height, bottom, top, length, width),
            curve=CurveWish(tr, ts, alpha, n, tuple(mode or ()), substrate, mix),
        )
    )
    return Shown(answer, lines(*answer["lines"]))
