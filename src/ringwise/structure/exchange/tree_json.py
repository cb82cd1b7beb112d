"""A measured tree as JSON: every column by name, the outlines of the trunk, and the version of the layout."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _
from ringwise.structure.exchange.columns import COLUMNS, Origin, columns_of, parsed, shortest, tree_of
from ringwise.structure.measured import MeasuredTree, Section

FORMAT = "ringwise-tree"
VERSION = 1


def tree_to_json(measured: MeasuredTree) -> dict[str, Any]:
    """A tree as plain JSON values; nothing is lost.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    dict
        `format`, `version`, `basis`, `origin_mm`, `segments`, `columns`, `sections`; unknown is null.

    Source
    ------
    own: layout in docs/reference/tree_formats.md; origin and sections are kept at double precision.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> data = tree_to_json(measured_of(single_segment(length_mm=40.0, diameter_mm=3.0)))
    >>> data["version"], data["columns"]["length_mm"], data["columns"]["radius_sd_mm"]
    (1, [40.0], [None])
    """
    columns = columns_of(measured)
    return {
        "format": FORMAT,
        "version": VERSION,
        "basis": measured.table.basis,
        "origin_mm": [float(each) for each in measured.origin_mm],
        "segments": measured.n,
        "columns": {
            column.name: columns[column.name].tolist() if column.whole else _numbers(columns[column.name])
            for column in COLUMNS
        },
        "sections": [
            {
                "height_mm": float(each.height_mm),
                "girth_mm": float(each.girth_mm),
                "girth_sd_mm": _or_null(float(each.girth_sd_mm)),
                "radii_mm": _numbers(each.radii_mm),
            }
            for each in measured.sections
        ],
    }


def _numbers(values: Any) -> list[float | None]:
    return [float(text) if text else None for text in shortest(values)]


def _or_null(value: float) -> float | None:
    return None if math.isnan(value) else value


def tree_from_json(data: object) -> MeasuredTree:
    """A tree from what `tree_to_json` wrote.

    Parameters
    ----------
    data : dict
        Plain JSON values.

    Returns
    -------
    MeasuredTree
        Checked, equal to the one that was written.

    Raises
    ------
    FileFormatError
        For another layout, a newer version, or columns that are missing, of unequal length or hold what
        they cannot; the error names row and column.
    StructureError
        If the columns are no tree.

    Source
    ------
    own: layout in docs/reference/tree_formats.md.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> tree_from_json(tree_to_json(stem)).n
    1
    """
    if not isinstance(data, Mapping) or data.get("format") != FORMAT:
        raise FileFormatError(
            _('no tree of this program: a JSON object with "format": "{format}" is wanted').format(
                format=FORMAT
            )
        )
    _known_version(data.get("version"))
    listed = data.get("columns")
    if not isinstance(listed, Mapping):
        raise FileFormatError(_("an object of columns is wanted"), where="columns")
    columns = {}
    for column in COLUMNS:
        values = listed.get(column.name)
        if values is None and column.value is not None:
            continue
        if not isinstance(values, list):
            raise FileFormatError(_("a list of numbers is wanted"), where=f"columns.{column.name}")
        columns[column.name] = parsed(column, values)
    lengths = {name: len(values) for name, values in columns.items()}
    if len(set(lengths.values())) > 1:
        text = ", ".join(f"{name} {length}" for name, length in lengths.items())
        raise FileFormatError(_("columns are of unequal length: {text}").format(text=text), where="columns")
    basis = data.get("basis", "tape")
    if not isinstance(basis, str):
        raise FileFormatError(_("a text is wanted"), where="basis")
    return tree_of(columns, basis=basis, origin_mm=_origin(data.get("origin_mm")), sections=_sections(data))


def _known_version(version: object) -> None:
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise FileFormatError(_("a whole number from 1 up is wanted"), where="version")
    if version > VERSION:
        raise FileFormatError(
            _(
                "the tree is written in layout {version}; this Ringwise reads up to {known}. Update it."
            ).format(version=version, known=VERSION),
            where="version",
        )


def _origin(given: object) -> Origin:
    if given is None:
        return (0.0, 0.0, 0.0)
    if not isinstance(given, list) or len(given) != 3:
        raise FileFormatError(_("three numbers are wanted"), where="origin_mm")
    x, y, z = (_finite(each, "origin_mm") for each in given)
    return (x, y, z)


def _finite(given: object, where: str) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float) or not math.isfinite(given):
        raise FileFormatError(_("{value} is no number").format(value=repr(given)), where=where)
    return float(given)


def _sections(data: Mapping[str, Any]) -> tuple[Section, ...]:
    given = data.get("sections") or []
    if not isinstance(given, list) or not all(isinstance(each, Mapping) for each in given):
        raise FileFormatError(_("a list of outlines is wanted"), where="sections")
    sections = []
    for number, each in enumerate(given):
        where = f"sections[{number}]"
        radii = each.get("radii_mm")
        if not isinstance(radii, list):
            raise FileFormatError(_("a list of numbers is wanted"), where=f"{where}.radii_mm")
        sd = each.get("girth_sd_mm")
        sections.append(
            Section(
                _finite(each.get("height_mm"), f"{where}.height_mm"),
                _finite(each.get("girth_mm"), f"{where}.girth_mm"),
                math.nan if sd is None else _finite(sd, f"{where}.girth_sd_mm"),
                np.array([_finite(radius, f"{where}.radii_mm") for radius in radii]),
            )
        )
    return tuple(sections)
