"""Packing of grains of several sizes, on its own."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_commands(group: typer.Typer) -> None:
    """Add this module's commands to those of calc."""
    command(group, "packing")(_packing)


def _packing(
    common: Common,
    volumes: Annotated[
        str, typer.Option("--volumes", help=_("Loose volume of each part, such as 1,1 or 2L,1L."))
    ],
    sizes: Annotated[str, typer.Option("--sizes", help=_("Grain size of each part, such as 6mm,3mm."))],
    alone: Annotated[
        str, typer.Option("--alone", help=_("Share of space that each part fills alone, such as .6,.6."))
    ],
    k: Annotated[
        float | None, typer.Option("--k", help=_("How firmly it is packed; 4.1 when filled by hand."))
    ] = None,
) -> Shown:
    """What grains of several sizes fill together, and the volume lost on mixing."""
    from ringwise.desk.calc_packing import PackingWish, calc_packing

    answer = calc_packing(PackingWish(volumes, sizes, alone, k))
    return Shown(answer, lines(*answer["lines"]))
