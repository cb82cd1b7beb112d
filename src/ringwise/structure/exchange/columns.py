"""The columns that a measured tree is written with, whatever the file: names, kinds, and what they accept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import FileFormatError
from ringwise.kit.words import _
from ringwise.structure.measured import MeasuredTree, Section, checked_measured
from ringwise.structure.table import SegmentTable

Origin = tuple[float, float, float]


@dataclass(frozen=True)
class Column:
    """One column of a file: its name with its unit, the kind it is kept as, whether a blank means unknown."""

    name: str
    kind: Any
    blank: bool = False
    value: float | None = None  # what stands in for a column that a file may leave out

    @property
    def whole(self) -> bool:
        """Whether it holds whole numbers."""
        return np.issubdtype(self.kind, np.integer)

    @property
    def span(self) -> tuple[int, int]:
        """Least and largest whole number that it keeps."""
        info = np.iinfo(self.kind)
        return int(info.min), int(info.max)


COLUMNS = (
    Column("parent", np.int32),
    Column("length_mm", np.float32),
    Column("direction_x", np.float32),
    Column("direction_y", np.float32),
    Column("direction_z", np.float32),
    Column("wood_mm2", np.float32),
    Column("sapwood_mm2", np.float32, value=0.0),
    Column("order", np.int16, value=0.0),
    Column("born", np.int16, value=0.0),
    Column("leaf_cm2", np.float32, value=0.0),
    Column("buds", np.uint8, value=0.0),
    Column("clone", np.uint8, value=0.0),
    Column("flags", np.uint16, value=0.0),
    Column("radius_sd_mm", np.float32, blank=True, value=np.nan),
    Column("position_sd_mm", np.float32, blank=True, value=np.nan),
    Column("how", np.uint8, value=0.0),
)
BY_NAME = {column.name: column for column in COLUMNS}
_SIDE = ("radius_sd_mm", "position_sd_mm", "how")


def columns_of(measured: MeasuredTree) -> dict[str, NDArray[Any]]:
    """The columns of a tree by name, in the order they are written.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    dict
        Name to values, each (n,).

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> columns_of(stem)["direction_z"].tolist()
    [1.0]
    """
    values: dict[str, NDArray[Any]] = {}
    for column in COLUMNS:
        if column.name.startswith("direction_"):
            values[column.name] = measured.table.direction[:, "xyz".index(column.name[-1])]
        elif column.name in _SIDE:
            values[column.name] = getattr(measured, column.name)
        else:
            values[column.name] = getattr(measured.table, column.name)
    return values


def tree_of(
    columns: Mapping[str, NDArray[Any]], *, basis: str, origin_mm: Origin, sections: tuple[Section, ...]
) -> MeasuredTree:
    """A checked tree from its columns.

    Parameters
    ----------
    columns : mapping of str to (n,) array
        By name; those with a default may be missing.
    basis : str
        Where the table comes from.
    origin_mm : tuple of float
        Where the root lies in the world of the measurement.
    sections : tuple of Section
        Outlines of the trunk.

    Returns
    -------
    MeasuredTree
        With every column in its kept kind.

    Raises
    ------
    StructureError
        If it is no tree, with the segment and why.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> tree_of(columns_of(stem), basis="tape", origin_mm=(0.0, 0.0, 0.0), sections=()).n
    1
    """
    n = len(columns["parent"])
    full = {
        column.name: columns[column.name] if column.name in columns else np.full(n, column.value)
        for column in COLUMNS
    }
    direction = np.stack([full.pop(f"direction_{axis}") for axis in "xyz"], axis=1)
    side = [full.pop(name) for name in _SIDE]
    table = SegmentTable(direction=direction, basis=basis, **full)
    return checked_measured(MeasuredTree(table, side[0], side[1], side[2], sections, origin_mm))


def parsed(column: Column, texts: Sequence[object], *, first_row: int = 0) -> NDArray[Any]:
    """Values of one column from what a file holds, checked one by one.

    Parameters
    ----------
    column : Column
        Which.
    texts : sequence
        Numbers, or texts of numbers; a blank or None is unknown where the column allows it.
    first_row : int
        What the first value's row is called in an error.

    Returns
    -------
    (n,) array
        In the column's kind.

    Raises
    ------
    FileFormatError
        Naming row, column, value and what is accepted.

    Source
    ------
    own.

    Examples
    --------
    >>> parsed(BY_NAME["buds"], ["3", 0]).tolist()
    [3, 0]
    """
    out = np.empty(len(texts), dtype=column.kind)
    for row, text in enumerate(texts):
        out[row] = _one(column, text, row + first_row)
    return out


def _one(column: Column, text: object, row: int) -> float:
    blank = text is None or (isinstance(text, str) and not text.strip())
    if blank and column.blank:
        return float("nan")
    if not blank and not isinstance(text, bool) and isinstance(text, str | int | float):
        try:
            value = float(text)
        except (ValueError, OverflowError):
            value = float("nan")
        if column.whole:
            low, high = column.span
            if value.is_integer() and low <= value <= high:
                return value
        elif np.isfinite(value) and abs(value) <= np.finfo(np.float32).max:
            return value
    raise FileFormatError(
        _("{value} is not accepted; {accepted}").format(
            value="(blank)" if blank else repr(text), accepted=_accepted(column)
        ),
        where=_("row {row}, column {column}").format(row=row, column=column.name),
    )


def _accepted(column: Column) -> str:
    if column.whole:
        low, high = column.span
        return _("a whole number from {low} to {high}").format(low=low, high=high)
    return _("a number, or blank for unknown") if column.blank else _("a number")


def shortest(values: NDArray[Any]) -> list[str]:
    """Each value as the shortest text that reads back to the same kept number; unknown is blank.

    Parameters
    ----------
    values : (n,) array
        Whole numbers or float32.

    Returns
    -------
    list of str
        Texts.

    Source
    ------
    own.

    Examples
    --------
    >>> shortest(np.array([0.1, np.nan], dtype=np.float32))
    ['0.1', '']
    """
    if np.issubdtype(values.dtype, np.integer):
        return [str(each) for each in values.tolist()]
    return ["" if each == "nan" else each for each in values.astype(np.float32).astype(str).tolist()]
