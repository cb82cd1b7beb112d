"""A measured tree as CSV: one line a segment under named columns, and what is not of a segment above them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _
from ringwise.structure.exchange.columns import (
    BY_NAME,
    COLUMNS,
    Origin,
    columns_of,
    parsed,
    shortest,
    tree_of,
)
from ringwise.structure.exchange.delimited import rows_of
from ringwise.structure.measured import MeasuredTree, Section

FORMAT = "ringwise-tree"
VERSION = 1
ROW = "row"


def tree_to_csv(measured: MeasuredTree) -> str:
    """A tree as CSV; nothing is lost.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    str
        Lines that begin with # (format and version, basis, origin, outlines), a header, a line a segment.

    Source
    ------
    own: layout in docs/reference/tree_formats.md.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> print(tree_to_csv(measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))).splitlines()[0])
    #ringwise-tree,1
    """
    lines = [[f"#{FORMAT}", str(VERSION)], ["#basis", _quoted(measured.table.basis)]]
    lines.append(["#origin_mm", *(repr(each) for each in measured.origin_mm)])
    for each in measured.sections:
        sd = float(each.girth_sd_mm)
        own = [repr(float(each.height_mm)), repr(float(each.girth_mm)), "" if math.isnan(sd) else repr(sd)]
        lines.append(["#section", *own, *shortest(each.radii_mm)])
    columns = columns_of(measured)
    lines.append([ROW, *columns])
    texts = [shortest(values) for values in columns.values()]
    lines += [[str(row), *values] for row, values in enumerate(zip(*texts, strict=True))]
    return "\n".join([",".join(line) for line in lines]) + "\n"


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"' if set(text) & {",", '"', "\n", "\r"} else text


def tree_from_csv(text: str) -> MeasuredTree:
    """A tree from CSV under our header; columns may stand in any order, those with a default may be missing.

    Parameters
    ----------
    text : str
        What `tree_to_csv` wrote, also as a spreadsheet saved it anew, or a table under the same names.

    Returns
    -------
    MeasuredTree
        Checked.

    Raises
    ------
    FileFormatError
        Naming row and column.
    StructureError
        If the rows are no tree.

    Source
    ------
    own: layout in docs/reference/tree_formats.md.

    Examples
    --------
    >>> head = "parent,length_mm,direction_x,direction_y,direction_z,wood_mm2"
    >>> tree_from_csv(f"{head}\\n-1,40,0,0,1,7.1\\n0,30,0,0,1,5.0\\n").n
    2
    """
    rows = rows_of(text)
    above = [_unpadded(row) for row in rows if row[0].startswith("#")]
    body = [row for row in rows if not row[0].startswith("#")]
    if not body:
        raise FileFormatError(_("the file holds no header and no rows"))
    names = [cell.strip() for cell in _unpadded(body[0])]
    _known_header(names)
    for number, row in enumerate(body[1:]):
        if len(row) < len(names) or len(_unpadded(row)) > len(names):
            raise FileFormatError(
                _("{given} fields; the header has {wanted}").format(given=len(row), wanted=len(names)),
                where=_("row {row}").format(row=number),
            )
    columns = {
        name: parsed(BY_NAME[name], [row[at] for row in body[1:]])
        for at, name in enumerate(names)
        if name != ROW
    }
    basis, origin, sections = _above(above)
    return tree_of(columns, basis=basis, origin_mm=origin, sections=sections)


def _unpadded(row: list[str]) -> list[str]:
    """The fields without the blank ones at the end, with which a spreadsheet makes all lines alike."""
    filled = [at for at, cell in enumerate(row, start=1) if cell.strip()]
    return row[: filled[-1]] if filled else []


def _known_header(names: Sequence[str]) -> None:
    known = {ROW, *BY_NAME}
    for name in names:
        if name not in known:
            raise FileFormatError(
                _('column "{name}" is not known; known are {known}').format(
                    name=name, known=", ".join([ROW, *BY_NAME])
                ),
                where=_("header"),
            )
    twice = [name for name in names if names.count(name) > 1]
    if twice:
        raise FileFormatError(
            _('column "{name}" stands there twice').format(name=twice[0]), where=_("header")
        )
    lacking = [each.name for each in COLUMNS if each.value is None and each.name not in names]
    if lacking:
        raise FileFormatError(
            _("missing columns: {names}").format(names=", ".join(lacking)), where=_("header")
        )


def _above(lines: list[list[str]]) -> tuple[str, Origin, tuple[Section, ...]]:
    basis, origin, sections = "tape", (0.0, 0.0, 0.0), []
    for line in lines:
        key, values = line[0].removeprefix("#").strip(), line[1:]
        where = line[0]
        if key == FORMAT:
            _known_version(values, where)
        elif key == "basis" and values:
            basis = values[0]
        elif key == "origin_mm":
            if len(values) != 3:
                raise FileFormatError(_("three numbers are wanted"), where=where)
            x, y, z = (_number(each, where) for each in values)
            origin = (x, y, z)
        elif key == "section":
            if len(values) < 6:
                raise FileFormatError(
                    _("height, girth, its spread and three or more radii are wanted"), where=where
                )
            sd = _number(values[2], where) if values[2].strip() else math.nan
            radii = np.array([_number(each, where) for each in values[3:]])
            sections.append(Section(_number(values[0], where), _number(values[1], where), sd, radii))
    return basis, origin, tuple(sections)


def _known_version(values: list[str], where: str) -> None:
    text = values[0].strip() if values else ""
    if not text.isdigit() or not 1 <= int(text) <= VERSION:
        raise FileFormatError(
            _(
                "the tree is written in layout {version}; this Ringwise reads up to {known}. Update it."
            ).format(version=text or "?", known=VERSION),
            where=where,
        )


def _number(text: str, where: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise FileFormatError(_("{value} is no number").format(value=repr(text)), where=where)
    return value
