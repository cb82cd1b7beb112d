"""A measured tree from MTG text: our own columns, or sizes in features whose names say their unit."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import FileFormatError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.exchange.columns import BY_NAME, Origin, parsed, tree_of
from ringwise.structure.exchange.mtg_text import MtgText, read_mtg
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.table import Flag

IN_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0}  # exact
SIZES = ("length", "diameter", "end_x", "end_y", "end_z")


def tree_from_mtg(text: str) -> MeasuredTree:
    """A tree from MTG text.

    Parameters
    ----------
    text : str
        What `tree_to_mtg` wrote, or a coding file whose finest parts carry `diameter` and either `length`
        with `direction_x` to `direction_z`, or the upper end as `end_x` to `end_z`, each with _mm, _cm or _m.

    Returns
    -------
    MeasuredTree
        Checked; rows in the order of the indices where these are the rows, else as named.

    Raises
    ------
    FileFormatError
        Naming the line, or the features that are missing.
    StructureError
        If the parts are no tree.

    Source
    ------
    godin_caraglio1998: the format as its public description gives it.

    Examples
    --------
    >>> from ringwise.structure.exchange.mtg import tree_to_mtg
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> tree_from_mtg(tree_to_mtg(stem)).table.length_mm.tolist()
    [40.0]
    """
    plant = read_mtg(text)
    if not plant.parts:
        raise FileFormatError(_("the file names no part of a plant"))
    parent = np.array([part.bearer for part in plant.parts])
    own = [name for name in BY_NAME if name in plant.features and name != "parent"]
    columns: dict[str, NDArray[Any]] = {name: _column(plant, name) for name in own}
    if not {"length_mm", "wood_mm2", "direction_x"} <= set(own):
        columns |= _from_sizes(plant, parent)
    if "order" not in columns:
        columns["order"] = _orders(plant)
        columns["flags"] = np.where(columns["order"] == 0, int(Flag.TRUNK), 0)
        columns["how"] = np.full(len(parent), int(How.IMPORTED))
    if "sapwood_mm2" not in columns:
        columns["sapwood_mm2"] = columns["wood_mm2"]
    columns["parent"] = parent
    rows = _row_order(plant)
    columns = {name: values[rows] for name, values in columns.items()}
    place = np.argsort(rows)
    columns["parent"] = np.where(columns["parent"] >= 0, place[columns["parent"]], -1)
    basis = plant.plant.get("basis", "imported")
    return tree_of(columns, basis=basis, origin_mm=_origin(plant.plant), sections=())


def _column(plant: MtgText, name: str) -> NDArray[Any]:
    out = np.empty(len(plant.parts), dtype=BY_NAME[name].kind)
    for row, part in enumerate(plant.parts):
        try:
            out[row] = parsed(BY_NAME[name], [part.features.get(name)])[0]
        except FileFormatError as wrong:
            raise FileFormatError(
                wrong.message, where=_("line {line}, column {column}").format(line=part.line, column=name)
            ) from None
    return out


def _size(plant: MtgText, name: str) -> FloatArray | None:
    """One size of every part in mm; None where no feature holds it."""
    for unit, factor in IN_MM.items():
        feature = f"{name}_{unit}"
        if feature not in plant.features:
            continue
        out = np.empty(len(plant.parts))
        for row, part in enumerate(plant.parts):
            try:
                out[row] = float(part.features.get(feature, "")) * factor
            except ValueError:
                out[row] = math.nan
            if not math.isfinite(out[row]):
                raise FileFormatError(
                    _("{value} is no number").format(value=repr(part.features.get(feature, ""))),
                    where=_("line {line}, column {column}").format(line=part.line, column=feature),
                )
        return out
    return None


def _from_sizes(plant: MtgText, parent: NDArray[Any]) -> dict[str, NDArray[Any]]:
    length, diameter, *ends = (_size(plant, name) for name in SIZES)
    way = [_column(plant, f"direction_{axis}") for axis in "xyz"] if "direction_x" in plant.features else []
    if diameter is None or not (all(end is not None for end in ends) or (length is not None and way)):
        raise FileFormatError(
            _(
                "sizes are missing: diameter and either length with direction_x, direction_y, direction_z, "
                "or end_x, end_y, end_z, each with its unit as in length_mm, length_cm or length_m"
            )
        )
    if all(end is not None for end in ends):
        end = np.stack([each for each in ends if each is not None], axis=1)
        start = np.where((parent >= 0)[:, None], end[parent], 0.0)
        steps = end - start
        length = np.linalg.norm(steps, axis=1)
        way = list((steps / np.maximum(length, 1e-12)[:, None]).T)
    assert length is not None
    return {
        "length_mm": length,
        "wood_mm2": np.pi / 4.0 * diameter**2,
        **{f"direction_{axis}": values for axis, values in zip("xyz", way, strict=True)},
    }


def _orders(plant: MtgText) -> NDArray[Any]:
    order = np.zeros(len(plant.parts), np.int64)
    for row, part in enumerate(plant.parts):
        if part.bearer >= 0:
            order[row] = order[part.bearer] + (part.relation == "+")
    return order


def _row_order(plant: MtgText) -> NDArray[Any]:
    """Rows by index where the indices are those of a table, else as they are named."""
    n = len(plant.parts)
    index = [int(part.index) if part.index else -1 for part in plant.parts]
    as_named = np.arange(n)
    if sorted(index) != list(range(n)):
        return as_named
    before = all(part.bearer < 0 or index[part.bearer] < index[row] for row, part in enumerate(plant.parts))
    return np.argsort(index) if before else as_named


def _origin(features: dict[str, str]) -> Origin:
    values = []
    for axis in "xyz":
        text = features.get(f"origin_{axis}_mm", "0")
        try:
            values.append(float(text))
        except ValueError:
            raise FileFormatError(
                _("{value} is no number").format(value=repr(text)), where=f"origin_{axis}_mm"
            ) from None
    return (values[0], values[1], values[2])
