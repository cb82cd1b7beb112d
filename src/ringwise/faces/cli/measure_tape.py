"""The command `ringwise measure tape`: a tree from tape, calliper and clock."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from ringwise.faces.cli import measure_draw, measure_roots
from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "tape")(_tape)
    measure_draw.add_to(group)
    measure_roots.add_to(group)


def _tape(
    common: Common,
    tree: TREE,
    file: Annotated[
        Path | None,
        typer.Option(
            "--file", help=_("Measurements as CSV or JSON; or give them by the options, or be asked.")
        ),
    ] = None,
    height: Annotated[str | None, typer.Option("--height", help=_("Height above the soil."))] = None,
    girth: Annotated[
        list[str] | None, typer.Option("--girth", help=_("Girth at a height, such as 29cm@3cm; repeat."))
    ] = None,
    branch: Annotated[
        list[str] | None,
        typer.Option(
            "--branch",
            help=_(
                "height,clock,diameter,length,tips such as 14cm,3,12mm,18cm,24; leave out what is unknown; "
                "repeat."
            ),
        ),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help=_("Who measured; the owner where not given."))
    ] = None,
) -> Shown:
    """A tree from tape and calliper: heights, girths and a list of branches."""
    from ringwise.desk.tape_typed import TapeWish, measure_tape

    nothing = file is None and not height and not girth and not branch
    if nothing and not common.as_json and sys.stdin.isatty():
        answer = _by_questions(common, tree, by)
    else:
        wish = TapeWish(tree, file, height, tuple(girth or ()), tuple(branch or ()), by)
        answer = measure_tape(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))


def _by_questions(common: Common, tree: str, by: str | None) -> dict[str, Any]:
    from ringwise.desk.tape_typed import keep_tape, tape_given
    from ringwise.faces.cli.tape_questions import asked_tape

    workspace = common.workspace()
    workspace.tree(tree)  # no questions about a tree that is not there
    given = asked_tape(lambda text: str(typer.prompt(text, default="", show_default=False)), typer.echo)
    if given is None:
        raise MissingFieldError(_("height and at least one girth are needed; nothing was stored"))
    return keep_tape(workspace, tree, tape_given(given), by)
