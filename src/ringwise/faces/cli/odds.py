"""The command for odds that learn from one's own tries."""

from __future__ import annotations

from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "odds")(_odds)


def _odds(
    common: Common,
    tree: Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))],
) -> Shown:
    """Odds of layers and grafts on a tree: the book's, moved by one's own tries."""
    from ringwise.desk.own_tries import odds_told

    answer = odds_told(common.workspace(), tree)
    return Shown(answer, lines(*answer["lines"]))
