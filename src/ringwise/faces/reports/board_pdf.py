"""The printed board as a PDF, drawn to scale from rectangles; no picture is scaled on the way."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

from ringwise.kit.reading import current_reading
from ringwise.kit.words import _
from ringwise.structure.photo.tiling import Sheet, Tiling

TEMPLATE = "board.typ"
BoardPot = tuple[float, float, bool]  # width and depth in mm, whether round


def board_pdf(tiles: Tiling, pot: BoardPot | None = None) -> bytes:
    """The board on its sheets; the same board gives the same bytes.

    Parameters
    ----------
    tiles : Tiling
        What is printed where.
    pot : tuple, optional
        Width, depth and roundness of the pot, whose outline is drawn as a line to cut along.

    Returns
    -------
    bytes
        The PDF.
    """
    import typst  # takes a tenth of a second and 80 MB of library: only when a PDF is asked for

    text = json.dumps(board_data(tiles, pot), ensure_ascii=False)
    template = resources.files("ringwise.faces.reports") / "data" / TEMPLATE
    made = typst.compile(
        template.read_bytes(), format="pdf", ignore_system_fonts=True, sys_inputs={"board": text}, timestamp=0
    )
    if not isinstance(made, bytes):
        raise AssertionError("a PDF is one file")
    return made


def board_data(tiles: Tiling, pot: BoardPot | None = None) -> dict[str, Any]:
    """The board for its template: only texts and numbers, lengths in mm.

    Parameters
    ----------
    tiles : Tiling
        What is printed where.
    pot : tuple, optional
        As for `board_pdf`.

    Returns
    -------
    dict
        Of plain values.
    """
    return {
        "lang": current_reading().language,
        "labels": {"title": _("Board for measuring a tree by photos")},
        "width": tiles.width_mm,
        "height": tiles.height_mm,
        "margin": tiles.margin_mm,
        "foot": tiles.foot_mm,
        "square": tiles.board.square_mm,
        "pot": None if pot is None else {"width": pot[0], "depth": pot[1], "round": pot[2]},
        "sheets": [_sheet(tiles, sheet) for sheet in tiles.sheets],
    }


def _sheet(tiles: Tiling, sheet: Sheet) -> dict[str, Any]:
    return {
        "number": sheet.number,
        "frame": list(sheet.frame),
        "middle": list(sheet.middle_mm),
        "black": [list(each) for each in sheet.black],
        "white": [list(each) for each in sheet.white],
        "ends": [list(each) for each in sheet.ends],
        "ruler": sheet.ruler_mm,
        "ruler_squares": sheet.ruler_squares,
        "ruler_words": _(
            "Measure {n} squares: {length:g} mm. Print at 100 %, not fitted to the page."
        ).format(n=sheet.ruler_squares, length=sheet.ruler_mm),
        "label": _label(tiles, sheet),
    }


def _label(tiles: Tiling, sheet: Sheet) -> str:
    board = tiles.board
    told = _("{columns} x {rows} squares of {side:g} mm").format(
        columns=board.columns, rows=board.rows, side=board.square_mm
    )
    if len(tiles.sheets) > 1:
        told = _("{told}; sheet {n} of {all}: row {row} from the back, {column} from the left").format(
            told=told, n=sheet.number, all=len(tiles.sheets), row=sheet.row + 1, column=sheet.column + 1
        )
    if sheet.row == tiles.down - 1:
        told = _("{told}; this edge is the front").format(told=told)
    return told
