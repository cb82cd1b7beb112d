"""Commands that prepare the work: worksheets."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, lines
from ringwise.kit.words import _

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(app: typer.Typer) -> None:
    """Add this module's commands."""
    command(app, "worksheet")(_worksheet)


def _worksheet(
    common: Common,
    tree: TREE,
    operation: Annotated[str, typer.Argument(metavar="OPERATION", help=_("Such as repot."))],
    pot: Annotated[
        str | None, typer.Option("--pot", help=_("Destination pot; the tree's own by default."))
    ] = None,
    recipe: Annotated[
        str | None, typer.Option("--recipe", help=_("Recipe code; the species' usual one by default."))
    ] = None,
    root_removed: Annotated[
        str | None, typer.Option("--root-removed", help=_("Share of the roots to remove, such as 30%."))
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", help=_("Write the sheet as PDF."))
    ] = None,
) -> Shown:
    """All that one operation needs, on one page, before the roots are exposed."""
    from ringwise.desk.worksheets import SheetWish, worksheet_answer

    answer = worksheet_answer(common.workspace(), SheetWish(tree, operation, pot, recipe, root_removed))
    if pdf is not None:
        documents().worksheet_pdf(answer.sheet, pdf)
    data = answer.data | ({"pdf": str(pdf)} if pdf is not None else {})
    return Shown(data, lines(*answer.lines, *([_("PDF: {file}").format(file=pdf)] if pdf else [])))
