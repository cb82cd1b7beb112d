"""The commands for a turn of photos: the board to print, the lens, and the measuring itself."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from ringwise.faces.cli.base import Common, Shown, command, documents, lines
from ringwise.kit.words import _

SQUARE = Annotated[
    str | None, typer.Option("--square", help=_("Side of a square of the board as printed, such as 24mm."))
]
COLUMNS = Annotated[int | None, typer.Option("--columns", help=_("Squares of the board from left to right."))]
ROWS = Annotated[int | None, typer.Option("--rows", help=_("Squares of the board from back to front."))]
PHOTOS = Annotated[
    list[Path], typer.Argument(metavar="PHOTOS...", help=_("Photos, or a folder that holds them."))
]
ROW = Annotated[
    str | None, typer.Option("--row", help=_("Length of a row of 10 squares by a ruler, such as 240mm."))
]


def add_to(group: typer.Typer) -> None:
    """Add this module's commands to the group `measure`."""
    command(group, "board")(_board)
    command(group, "lens")(_lens)
    command(group, "turntable")(_turntable)


def _board(
    common: Common,
    pdf: Annotated[Path, typer.Option("--pdf", metavar="FILE", help=_("Where the board is written."))],
    square: SQUARE = None,
    columns: COLUMNS = None,
    rows: ROWS = None,
    paper: Annotated[str, typer.Option("--paper", help=_("a4, a3 or letter."))] = "a4",
    pot: Annotated[
        str | None,
        typer.Option(
            "--pot", help=_("Outside width of a round pot, or length x width: drawn as a line to cut along.")
        ),
    ] = None,
) -> Shown:
    """A board to print and lay under the pot, for measuring a tree by a turn of photos."""
    from ringwise.desk.turntable_board import BoardWish, board_answer

    answer = board_answer(BoardWish(square, columns, rows, paper, pot))
    documents().board_pdf(answer.tiles, answer.pot, pdf)
    data = answer.data | {"pdf": str(pdf)}
    return Shown(data, lines(*answer.lines, _("PDF: {file}").format(file=pdf)))


def _lens(
    common: Common,
    photos: PHOTOS,
    square: SQUARE = None,
    columns: COLUMNS = None,
    rows: ROWS = None,
    row: ROW = None,
) -> Shown:
    """A lens from photos of the loose board, tilted freely; done once, used for every tree."""
    from ringwise.desk.turntable_board import LensWish, lens_answer

    wish = LensWish(tuple(photos), square, columns, rows, row)
    answer = lens_answer(common.workspace(create=False).folder, wish, progress=_progress(common))
    return Shown(answer, lines(*answer["lines"]))


def _turntable(
    common: Common,
    photos: PHOTOS,
    tree: Annotated[
        str | None, typer.Option("--tree", help=_("Id or name of the tree; then the measured tree is kept."))
    ] = None,
    cameras: Annotated[
        Path | None,
        typer.Option("--cameras", metavar="FILE", help=_("Known cameras as JSON; then no board is needed.")),
    ] = None,
    square: SQUARE = None,
    columns: COLUMNS = None,
    rows: ROWS = None,
    row: ROW = None,
    soil: Annotated[
        str | None,
        typer.Option(
            "--soil", help=_("Height of the soil above the board, such as 84mm; needed with a board.")
        ),
    ] = None,
    pot: Annotated[
        str | None,
        typer.Option("--pot", help=_("Outside width of the pot, or length x width, such as 42x31cm.")),
    ] = None,
    backdrop: Annotated[
        list[Path] | None,
        typer.Option("--backdrop", metavar="PHOTO", help=_("The scene without the tree; repeat.")),
    ] = None,
    rod: Annotated[
        str | None, typer.Option("--rod", help=_("Diameter of an upright rod in the pot, such as 3mm."))
    ] = None,
    out: Annotated[
        list[Path] | None,
        typer.Option("--out", metavar="FILE", help=_("Write the tree, as its ending says; repeat.")),
    ] = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="DIR", help=_("Write a page with the tree drawn over each photo.")),
    ] = None,
    by: Annotated[
        str | None, typer.Option("--by", help=_("Who measured; the owner where not given."))
    ] = None,
) -> Shown:
    """A tree from photos taken all round it: thickness, length and angle of each branch."""
    from ringwise.desk.tree_out import tree_files
    from ringwise.desk.turntable import TurntableWish, measure_turntable

    wish = TurntableWish(
        photos=tuple(photos),
        tree=tree,
        cameras=cameras,
        square=square,
        columns=columns,
        rows=rows,
        row=row,
        soil=soil,
        pot=pot,
        rod=rod,
        backdrops=tuple(backdrop or ()),
        by=by,
    )
    files = tree_files(tuple(out or ()))
    workspace = common.workspace(create=False) if tree is not None else None
    answer = measure_turntable(wish, workspace, common.folder(), progress=_progress(common))
    files.write(answer.result.measured)
    data = dict(answer.data)
    told = list(answer.lines)
    for file in files.paths:
        told.append(_("written: {file}").format(file=file))
    if files.paths:
        data["out"] = [str(file) for file in files.paths]
    if report is not None:
        documents().turntable_report(answer.report(), report)
        data["report"] = str(report / "index.html")
        told.append(_("page: {file}").format(file=report / "index.html"))
    return Shown(data, lines(*told))


def _progress(common: Common) -> Callable[[float, str], None] | None:
    if common.as_json or not sys.stderr.isatty():
        return None
    return _told


def _told(share_frac: float, text: str) -> None:
    end = "\n" if share_frac >= 1 else ""
    sys.stderr.write(f"\r{share_frac:4.0%} {text[:60]:60}{end}")
    sys.stderr.flush()
