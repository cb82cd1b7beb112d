"""The command `ringwise measure tape`: a tree from tape, calliper and clock."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "tape")(_tape)


def _tape(
    common: Common,
    tree: TREE,
    file: Annotated[
        Path | None, typer.Option("--file", help=_("Measurements as JSON; or give them by the options."))
    ] = None,
    height: Annotated[str | None, typer.Option("--height", help=_("Height above the soil."))] = None,
    girth: Annotated[
        list[str] | None, typer.Option("--girth", help=_("Girth at a height, such as 29cm@3cm; repeat."))
    ] = None,
    branch: Annotated[
        list[str] | None,
        typer.Option(
            "--branch", help=_("height,clock,diameter,length,tips such as 14cm,3,12mm,18cm,24; repeat.")
        ),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help=_("Who measured; the owner where not given."))
    ] = None,
) -> Shown:
    """A tree from tape and calliper: heights, girths and a list of branches."""
    from ringwise.desk.measuring import TapeWish, measure_tape

    wish = TapeWish(tree, file, height, tuple(girth or ()), tuple(branch or ()), by)
    answer = measure_tape(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))
