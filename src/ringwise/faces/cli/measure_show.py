"""The commands `ringwise measure show`, `compare`, `import`, `export`: measures, and files of a shape."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ringwise.faces.cli.base import Common, Shown, command, lines
from ringwise.kit.words import _

if TYPE_CHECKING:
    from rich.console import Console

TREE = Annotated[str, typer.Argument(metavar="TREE", help=_("Id or name of the tree."))]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "show")(_show)
    command(group, "compare")(_compare)
    command(group, "import")(_import)
    command(group, "export")(_export)


def _show(
    common: Common,
    tree: TREE,
    at: Annotated[
        list[str] | None, typer.Option("--at", metavar="HEIGHT", help=_("Girth at this height too; repeat."))
    ] = None,
    view: Annotated[
        str, typer.Option("--view", metavar="CLOCK", help=_("Side the crown is seen from; 6 is the front."))
    ] = "",
) -> Shown:
    """What a tree measures, with spreads, faults by rule and the trade's usual proportions."""
    from ringwise.desk.measure_told import ShowWish, measure_show

    answer = measure_show(common.workspace(), ShowWish(tree, tuple(at or ()), view))
    return Shown(answer, lambda console: _draw_sheet(console, answer))


def _compare(
    common: Common,
    tree: TREE,
    first: Annotated[str, typer.Argument(metavar="DATE", help=_("The earlier day."))],
    second: Annotated[str, typer.Argument(metavar="DATE", help=_("The later day."))],
) -> Shown:
    """Two measurements of one tree laid over each other: what grew, what is gone, what is new."""
    from ringwise.desk.measure_compare import measure_compare

    answer = measure_compare(common.workspace(), tree, first, second)
    return Shown(answer, lambda console: _draw_compare(console, answer))


def _import(
    common: Common,
    tree: TREE,
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE", help=_("json, csv, mtg, or a cylinder model as csv, txt or mat.")),
    ],
    date: Annotated[str, typer.Option("--date", help=_("When it was measured; today by default."))] = "",
    note: Annotated[str, typer.Option("--note", help=_("Free words."))] = "",
    by: Annotated[
        str | None, typer.Option("--by", help=_("Who measured; the owner where not given."))
    ] = None,
) -> Shown:
    """A tree's shape from a file: its table, MTG, or a cylinder model from forestry."""
    from ringwise.desk.shape_files import ImportWish, measure_import

    answer = measure_import(common.workspace(), ImportWish(tree, file, date, note, by))
    return Shown(answer, lines(*answer["lines"]))


def _export(
    common: Common,
    tree: TREE,
    out: Annotated[
        Path,
        typer.Option(
            "--out", metavar="FILE", help=_("json, csv, mtg (the table), glb, obj or ply (a mesh).")
        ),
    ],
    stage: Annotated[
        str, typer.Option("--stage", help=_("What stands on the twigs of a mesh; none by default."))
    ] = "none",
    instanced: Annotated[
        bool, typer.Option("--instanced", help=_("Leaves of a glb by instancing: a smaller file."))
    ] = False,
    plain: Annotated[
        bool, typer.Option("--plain", help=_("Tubes alone, without the smooth skin of trunk and joints."))
    ] = False,
) -> Shown:
    """A tree's shape as a file, its table or a mesh, by the ending of the name."""
    from ringwise.desk.shape_files import ExportWish, measure_export

    answer = measure_export(common.workspace(), ExportWish(tree, out, stage, instanced, not plain))
    return Shown(answer, lines(*answer["lines"]))


def _draw_sheet(console: Console, answer: dict[str, Any]) -> None:
    from rich.text import Text

    head, *rest = answer["lines"]
    console.print(head, markup=False, style="bold")
    for line in rest:
        console.print(line, markup=False)
    if answer["branch_rows"]:
        table = _table(_("height"), _("clock"), _("angle"), _("base"), _("length"), _("tips"), _("wood"))
        for row in answer["branch_rows"]:
            table.add_row(*(Text(cell) for cell in row))
        console.print(table)
        console.print(_("Four in five lie within what is behind ±."), markup=False)
    headings = {
        "faults": _("Faults by rule (common practice)"),
        "proportions": _("Proportions (common practice)"),
    }
    for key, heading in headings.items():
        if answer[key]:
            console.print(heading, markup=False, style="bold")
            for each in answer[key]:
                console.print(f"  {each['words']}", markup=False)


def _draw_compare(console: Console, answer: dict[str, Any]) -> None:
    from rich.text import Text

    for line in answer["lines"]:
        console.print(line, markup=False)
    table = _table(_("measure"), answer["first_shown"], answer["second_shown"], _("change"))
    for row in answer["rows"]:
        table.add_row(*(Text(row[key]) for key in ("words", "first_shown", "second_shown", "change_shown")))
    console.print(table)


def _table(*heads: str) -> Any:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in heads:
        table.add_column(head, overflow="fold")
    return table
