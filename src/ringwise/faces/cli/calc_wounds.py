"""A population of pruning wounds, below `calc`."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_commands(group: typer.Typer) -> None:
    """Add this module's command to those of calc."""
    command(group, "wounds")(_wounds)


def _wounds(
    common: Common,
    width: Annotated[str, typer.Option("--width-mm", help=_("Range of open widths, such as 6:45."))],
    growth: Annotated[
        str,
        typer.Option(
            "--diameter-growth-mm", help=_("Range of yearly diameter growth beside the wounds, such as 6:14.")
        ),
    ],
    years: Annotated[str, typer.Option("--years", help=_("Years after the cut, such as 1,3,5."))] = "1,3,5",
    season: Annotated[
        str,
        typer.Option(
            "--season", help=_("When the cuts were made: spring (before leaf-out), summer, autumn, winter.")
        ),
    ] = "spring",
    count: Annotated[int, typer.Option("--count", help=_("How many wounds are drawn."))] = 10_000,
    stub: Annotated[
        str, typer.Option("--stub", help=_("Stub left beyond the collar; a bare number is mm."))
    ] = "0mm",
) -> Shown:
    """How many pruning wounds have closed after so many years, drawn from ranges of width and growth."""
    from ringwise.desk.calc_wounds import WoundsWish, calc_wounds

    answer = calc_wounds(
        WoundsWish(count, width, growth, years, season, stub, 1 if common.seed is None else common.seed)
    )
    return Shown(answer, lines(*answer["lines"]))
