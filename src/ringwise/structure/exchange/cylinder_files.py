"""Files of cylinder models: tables under the usual column names, and the .mat files of TreeQSM; in metres."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import FileFormatError
from ringwise.kit.types import FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.exchange.cylinders import Cylinders, numbered_parents
from ringwise.structure.exchange.delimited import rows_of

MM_PER_M = 1000.0  # exact
_SPELLINGS = {
    "start": ("start_{axis}", "{axis}_start", "start_{number}", "start{axis}", "{axis}0", "base_{axis}"),
    "end": ("end_{axis}", "{axis}_end", "end_{number}", "end{axis}", "{axis}1", "top_{axis}"),
    "axis": ("axis_{axis}", "{axis}_axis", "axis_{number}", "axis{axis}", "{axis}_cyl"),
}
_RADIUS = ("radius", "rad", "r", "radius_m", "radius_cyl")
_LENGTH = ("length", "len", "length_m")
_PARENT = ("parent", "parent_id", "parentid", "parent_row", "parentrow")
_NUMBER = ("id", "cylinder_id", "cyl_id", "cylinder")
_ORDER = ("branchorder", "branch_order", "branching_order", "order")
SYMBOLS = ("x", "y", "z")
_BLANKS = ("", "nan", "na")
_NO_PARENT = -1.0
# TreeQSM's own text names a place or a direction once over its three columns, or names no column at all.
_OVER_THREE = {"start_point": "start", "axis_direction": "axis"}
_NAMELESS = ("radius", "length", "start_point", "axis_direction", "parent", "extension", "branch", "order")


def is_cylinder_table(text: str) -> bool:
    """Whether a text is a table of cylinders.

    Parameters
    ----------
    text : str
        A CSV file or another text in columns.

    Returns
    -------
    bool
        True where radius, parent and a start are named, or where a table of TreeQSM has no names at all.

    Source
    ------
    own.

    Examples
    --------
    >>> is_cylinder_table("radius,length,start.x,start.y,start.z,axis.x,axis.y,axis.z,parent\\n")
    True
    """
    _header, names, _body = _table(text)
    return bool(
        set(_RADIUS) & set(names) and set(_PARENT) & set(names) and _triple(names, "start") is not None
    )


def _table(text: str) -> tuple[list[str], list[str], list[list[str]]]:
    """Names as they are written and as they are looked for, one a column; and the rows below them."""
    rows = rows_of(text)
    begins = next((at for at, row in enumerate(rows) if not row[0].startswith("#")), len(rows))
    rows = rows[begins:]
    nameless = _over_three(list(_NAMELESS))
    if rows and len(rows[0]) >= len(nameless) and all(_is_number(cell) for cell in rows[0]):
        ends = next((at for at, row in enumerate(rows) if row[0].startswith("#")), len(rows))
        return nameless, nameless, rows[:ends]  # tables of branches follow, each below a line with #
    rows = [row for row in rows if not row[0].startswith("#")]
    if not rows:
        return [], [], []
    header = _over_three(rows[0])
    return header, _names(header), rows[1:]


def _over_three(header: list[str]) -> list[str]:
    out: list[str] = []
    for name in header:
        over = _OVER_THREE.get(name.strip())
        out += [name] if over is None else [f"{over}_{axis}" for axis in SYMBOLS]
    return out


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _names(header: list[str]) -> list[str]:
    """Names in small letters, with one line where a file has dots, brackets or blanks."""
    return [re.sub(r"[^a-z0-9]+", "_", name.strip().lower()).strip("_") for name in header]


def _triple(names: list[str], kind: str) -> list[int] | None:
    for pattern in _SPELLINGS[kind]:
        wanted = [pattern.format(axis=axis, number=number) for number, axis in enumerate(SYMBOLS, 1)]
        if all(name in names for name in wanted):
            return [names.index(name) for name in wanted]
    return None


def _single(names: list[str], spellings: tuple[str, ...]) -> int | None:
    return next((names.index(name) for name in spellings if name in names), None)


def cylinders_from_csv(text: str) -> Cylinders:
    """A cylinder model from CSV in metres.

    Parameters
    ----------
    text : str
        Comma, semicolon, tab or blanks between fields. Columns by name, in any order: radius; start x y z;
        either end x y z, or axis x y z and length; parent; where there is one, the cylinder's own number
        (else rows count from 1) and the branch order. Without names the columns are those of TreeQSM's
        text. Spellings: docs/reference/tree_formats.md.

    Returns
    -------
    Cylinders
        In mm.

    Raises
    ------
    FileFormatError
        Naming the columns that are missing, or row, column and value.

    Source
    ------
    treeqsm: the usual names, and what its `save_model_text` writes.

    Examples
    --------
    >>> head = "radius,length,start.x,start.y,start.z,axis.x,axis.y,axis.z,parent"
    >>> cylinders_from_csv(f"{head}\\n0.05,0.5,1,2,3,0,0,2,0\\n").end_mm.tolist()
    [[1000.0, 2000.0, 3500.0]]
    """
    header, names, body = _table(text)
    if not body:
        raise FileFormatError(_("the file holds no header and no rows"))
    start, end, axis = (_triple(names, kind) for kind in ("start", "end", "axis"))
    radius, length = _single(names, _RADIUS), _single(names, _LENGTH)
    parent, number, order = (_single(names, each) for each in (_PARENT, _NUMBER, _ORDER))
    if (
        radius is None
        or parent is None
        or start is None
        or (end is None and (axis is None or length is None))
    ):
        raise FileFormatError(
            _(
                "columns are missing: radius, parent, start_x, start_y, start_z, and either end_x, end_y, "
                "end_z or length, axis_x, axis_y, axis_z are wanted"
            ),
            where=_("header"),
        )

    def column(at: int, blank_n: float | None = None) -> FloatArray:
        return _column(body, header, at, blank_n)

    starts = np.stack([column(at) for at in start], axis=1)
    if end is not None:
        ends = np.stack([column(at) for at in end], axis=1)
    else:
        assert axis is not None
        assert length is not None
        ends = starts + _unit(np.stack([column(at) for at in axis], axis=1)) * column(length)[:, None]
    parents = _whole(column(parent, _NO_PARENT), header[parent])
    ids = _row_numbers(parents) if number is None else _whole(column(number), header[number])
    above = numbered_parents(ids.tolist(), parents.tolist())
    orders = None if order is None else _whole(column(order), header[order])
    return Cylinders(starts * MM_PER_M, ends * MM_PER_M, column(radius) * MM_PER_M, above, orders)


def _column(body: list[list[str]], header: list[str], at: int, blank_n: float | None) -> FloatArray:
    out = np.empty(len(body))
    for row, cells in enumerate(body):
        text = cells[at].strip() if at < len(cells) else ""
        if blank_n is not None and text.lower() in _BLANKS:
            out[row] = blank_n
            continue
        try:
            out[row] = float(text)
        except ValueError:
            raise FileFormatError(
                _("{value} is no number").format(value=repr(text) if text else _("a blank")),
                where=_("row {row}, column {column}").format(row=row + 1, column=header[at]),
            ) from None
    return out


def _whole(values: FloatArray, name: str) -> IntArray:
    bad = ~np.isfinite(values) | (values != np.round(values))
    if bad.any():
        row = int(np.argmax(bad))
        raise FileFormatError(
            _("{value} is no whole number").format(value=f"{values[row]:g}"),
            where=_("row {row}, column {column}").format(row=row + 1, column=name),
        )
    return values.astype(np.int64)


def _row_numbers(parents: IntArray) -> IntArray:
    """Numbers of cylinders that have none of their own: rows from 1, or from 0 where the root shows it.

    A parent 0 is the first cylinder where another parent below 0 is that of the root.
    """
    first = 0 if (parents < 0).any() and (parents == 0).any() else 1
    return np.arange(first, first + len(parents))


def _unit(vectors: FloatArray) -> FloatArray:
    out: FloatArray = vectors / np.maximum(np.linalg.norm(vectors, axis=1, keepdims=True), 1e-300)
    return out


class _Bytes:
    """Bytes that SciPy can read as if they were a file; a science room opens none."""

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def read(self, size: int = -1) -> bytes:
        """The next bytes."""
        end = len(self._data) if size < 0 else self._at + size
        out = self._data[self._at : end]
        self._at += len(out)
        return out

    def seek(self, offset: int, whence: int = 0) -> int:
        """Go to a place from the start, from here, or from the end."""
        self._at = max(0, (0, self._at, len(self._data))[whence] + offset)
        return self._at

    def tell(self) -> int:
        """The place."""
        return self._at


def cylinders_from_mat(data: bytes) -> Cylinders:
    """A cylinder model from a .mat file of TreeQSM.

    Parameters
    ----------
    data : bytes
        The file, up to MATLAB 7; the newer HDF5 form is not read.

    Returns
    -------
    Cylinders
        In mm; the first model where the file holds several of one tree.

    Raises
    ------
    FileFormatError
        If it is no such file, or a field is missing or of another length.

    Source
    ------
    treeqsm: struct with `cylinder`, whose fields are start, axis, length, radius, parent, BranchOrder.

    Examples
    --------
    >>> cylinders_from_mat(b"no matlab")
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.FileFormatError: no .mat file that can be read; save it for MATLAB 7 or older
    """
    from scipy.io import loadmat

    try:
        variables = loadmat(_Bytes(data), squeeze_me=True, struct_as_record=False)
    except Exception as wrong:  # SciPy raises many kinds for a broken file
        raise FileFormatError(_("no .mat file that can be read; save it for MATLAB 7 or older")) from wrong
    cylinder = next(
        (found for name in sorted(variables) if (found := _cylinder_struct(variables[name])) is not None),
        None,
    )
    if cylinder is None:
        raise FileFormatError(
            _("the file holds no cylinder model: a struct with the field cylinder is wanted")
        )
    radius = _field(cylinder, "radius", 1)[:, 0]
    start, axis = _field(cylinder, "start", 3), _field(cylinder, "axis", 3)
    length, parent = _field(cylinder, "length", 1)[:, 0], _field(cylinder, "parent", 1)[:, 0]
    for name, values in (("start", start), ("axis", axis), ("length", length), ("parent", parent)):
        if len(values) != len(radius):
            raise FileFormatError(
                _("{given} values; radius has {wanted}").format(given=len(values), wanted=len(radius)),
                where=f"cylinder.{name}",
            )
    order = None
    if hasattr(cylinder, "BranchOrder"):
        order = _whole(_field(cylinder, "BranchOrder", 1)[:, 0], "BranchOrder")
    parents = _whole(np.nan_to_num(parent, nan=_NO_PARENT), "parent")
    above = numbered_parents(_row_numbers(parents).tolist(), parents.tolist())
    ends = start + _unit(axis) * length[:, None]
    return Cylinders(start * MM_PER_M, ends * MM_PER_M, radius * MM_PER_M, above, order)


def _cylinder_struct(value: Any) -> Any:
    """The struct of cylinders in a variable, or None."""
    if isinstance(value, np.ndarray) and value.dtype == object and value.size:
        value = value.ravel()[0]
    if hasattr(value, "cylinder"):
        return value.cylinder
    return value if all(hasattr(value, name) for name in ("radius", "start", "axis", "parent")) else None


def _field(cylinder: Any, name: str, width: int) -> FloatArray:
    if not hasattr(cylinder, name):
        raise FileFormatError(_("the field is missing"), where=f"cylinder.{name}")
    values: NDArray[Any] = np.asarray(getattr(cylinder, name), dtype=np.float64)
    return values.reshape(-1, width)
