"""The command `ringwise measure trace`: a tree from clicks on one or two photos."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "trace")(_trace)


def _trace(
    common: Common,
    tree: TREE,
    front: Annotated[
        str, typer.Argument(metavar="FRONT", help=_("Photo of the front: a file or the id of a photo."))
    ],
    points: Annotated[
        Path, typer.Option("--points", metavar="FILE", help=_("Clicks as JSON, from the app or by hand."))
    ],
    side: Annotated[
        str | None,
        typer.Argument(metavar="[SIDE]", help=_("Photo of the side; without it depth is a guess.")),
    ] = None,
    out: Annotated[
        list[Path] | None,
        typer.Option("--out", metavar="FILE", help=_("Write the tree, as its ending says; repeat.")),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help=_("Who measured; the owner where not given."))
    ] = None,
) -> Shown:
    """A tree from clicks along trunk and branches on one or two photos."""
    from ringwise.desk.tracing import TraceWish, measure_trace
    from ringwise.desk.tree_out import tree_files

    files = tree_files(tuple(out or ()))
    answer = measure_trace(common.workspace(create=False), TraceWish(tree, front, side, points, by))
    files.write(answer.measured)
    written = {"out": [str(file) for file in files.paths]} if files.paths else {}
    told = [_("written: {file}").format(file=file) for file in files.paths]
    return Shown(answer.data | written, lines(*answer.data["lines"], *told))
