"""The command `ringwise measure draw`: the tree as a line drawing."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "draw")(_draw)


def _draw(
    common: Common,
    tree: TREE,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help=_("The drawing, as SVG."))],
    view: Annotated[
        str, typer.Option("--view", help=_("From where, by the clock from above; 6 is the front."))
    ] = "6",
    elevation: Annotated[
        str, typer.Option("--elevation", help=_("How far above the level it is seen from, such as 20deg."))
    ] = "0deg",
    cut: Annotated[
        str | None, typer.Option("--cut", help=_("Height of a cut through the trunk; what goes is dashed."))
    ] = None,
    dimensions: Annotated[
        bool, typer.Option("--dimensions", help=_("Write height, spread, girth and a scale beside it."))
    ] = False,
) -> Shown:
    """The leafless tree as lines from any side, before and after a cut."""
    from ringwise.desk.tree_drawings import DrawWish, draw_tree

    wish = DrawWish(tree, out, view, elevation, cut, dimensions)
    answer = draw_tree(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))
