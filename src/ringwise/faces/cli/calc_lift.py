"""What lifting from the ground costs, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_commands(group: typer.Typer) -> None:
    """Add this module's command to those of calc."""
    command(group, "lift")(_lift)


def _lift(
    common: Common,
    species: Annotated[str, typer.Option("--species", help=_("Key or name, such as zelkova_serrata."))],
    diameter: Annotated[
        str,
        typer.Option("--diameter-mm", "--diameter", help=_("Of the trunk at its base; a bare number is mm.")),
    ],
    litres: Annotated[
        str | None,
        typer.Option("--litres", help=_("Box or pot it goes into; without it back into open ground.")),
    ] = None,
    futures: Annotated[int, typer.Option("--futures", help=_("How many pairs of futures."))] = 200,
) -> Shown:
    """Growth of a tree lifted from the ground against the same tree left there, in paired futures."""
    from ringwise.desk.calc_lift import LiftWish, calc_lift

    seed = 1 if common.seed is None else common.seed
    answer = calc_lift(LiftWish(species, diameter, litres, futures, seed))
    return Shown(answer, lines(*answer["lines"]))
