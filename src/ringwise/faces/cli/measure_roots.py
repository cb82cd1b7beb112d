"""The command `ringwise measure roots`: the underside as a map of twelve hours."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "roots")(_roots)


def _roots(
    common: Common,
    tree: TREE,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            metavar="HOURS=WHAT",
            help=_(
                "What was found, by the clock from above: 3=thick,2cut or 7-9=fine or 11=none. "
                "thick, fine, none, cut, dead, missing, hollow; repeat."
            ),
        ),
    ] = None,
    photo_points: Annotated[
        Path | None,
        typer.Option("--photo-points", metavar="FILE", help=_("Marks on a photo from below, as JSON.")),
    ] = None,
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help=_("Draw the map as SVG."))] = None,
    date: Annotated[str, typer.Option("--date", help=_("When it was seen; today where not given."))] = "",
    note: Annotated[str, typer.Option("--note", help=_("Words to go with it."))] = "",
    by: Annotated[str | None, typer.Option("--by", help=_("Who saw it; the owner where not given."))] = None,
) -> Shown:
    """What was found at the roots, hour by hour; without it, what was found last."""
    from ringwise.desk.root_finds import RootsWish, measure_roots

    wish = RootsWish(tree, tuple(at or ()), photo_points, out, date, note, by)
    answer = measure_roots(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))
