"""The command for what is aimed at with a tree."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "aims")(_aims)


def _aims(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
    set_name: Annotated[
        str,
        typer.Option(
            "--set", metavar="NAME", help=_("Begin from a set: meadow, formal, fine, clump or thicken.")
        ),
    ] = "",
    measure: Annotated[
        list[str] | None,
        typer.Option(
            "--measure",
            metavar="NAME=FROM..TO",
            help=_(
                "A measure and the range that counts fully; NONE..FROM..TO..NONE also says from where it "
                "counts nothing. Repeat."
            ),
        ),
    ] = None,
    weight: Annotated[
        list[str] | None,
        typer.Option("--weight", metavar="NAME=N", help=_("How much a measure counts; 0 drops it. Repeat.")),
    ] = None,
    time: Annotated[
        str, typer.Option("--time", metavar="A,B,C", help=_("How much early, middle and late years count."))
    ] = "",
    by: Annotated[str | None, typer.Option("--by", help=_("Who did it; the owner where not given."))] = None,
) -> Shown:
    """What is aimed at with a tree, as weighted measures; options change it."""
    from ringwise.desk.aims import AimsWish, aims_answer

    wish = AimsWish(tree, set_name, tuple(measure or ()), tuple(weight or ()), time, by)
    answer = aims_answer(common.workspace(), wish)
    return Shown(answer, lines(*answer["lines"]))
