"""A measured tree as MTG text (multiscale tree graph): plant, axes, segments, successor < and branching +."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ringwise.structure.exchange.columns import columns_of, shortest
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.orders import Axes, axes

PLANT_FEATURES = ("basis", "origin_x_mm", "origin_y_mm", "origin_z_mm")


def tree_to_mtg(measured: MeasuredTree) -> str:
    """A tree as MTG text; every column is kept, outlines of the trunk are not.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    str
        FORM-A, columns parted by tabs; a segment's index is its row, an axis the line of its thickest wood.

    Source
    ------
    godin_caraglio1998: the format as its public description gives it.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> text = tree_to_mtg(measured_of(single_segment(length_mm=40.0, diameter_mm=3.0)))
    >>> text.splitlines()[-1].split("\\t")[:3]
    ['^/A0/S0', '40.0', '0.0']
    """
    columns = {name: values for name, values in columns_of(measured).items() if name != "parent"}
    lines = axes(measured.table)
    codes = list(_codes(measured, lines))
    wide = max(column for _row, column, _code in codes) + 1
    texts = {name: shortest(values) for name, values in columns.items()}
    names = [*columns, *PLANT_FEATURES]
    kinds = ["INT" if np.issubdtype(values.dtype, np.integer) else "REAL" for values in columns.values()]
    out = _head(names, [*kinds, "STRING", "REAL", "REAL", "REAL"])
    out += ["MTG:", "\t".join(["ENTITY-CODE", *[""] * (wide - 1), *names])]
    plant = [measured.table.basis, *(repr(each) for each in measured.origin_mm)]
    out.append("\t".join(["/P1", *[""] * (wide - 1 + len(columns)), *plant]))
    for row, column, code in codes:
        cells = [""] * wide
        cells[column] = code
        out.append("\t".join([*cells, *(values[row] for values in texts.values())]))
    return "\n".join(out) + "\n"


def _head(names: list[str], kinds: list[str]) -> list[str]:
    return [
        "CODE:\tFORM-A",
        "",
        "CLASSES:",
        "SYMBOL\tSCALE\tDECOMPOSITION\tINDEXATION\tDEFINITION",
        "$\t0\tFREE\tFREE\tIMPLICIT",
        "P\t1\tCONNECTED\tFREE\tEXPLICIT",
        "A\t2\t<-LINEAR\tFREE\tIMPLICIT",
        "S\t3\tNONE\tFREE\tEXPLICIT",
        "",
        "DESCRIPTION:",
        "LEFT\tRIGHT\tRELTYPE\tMAX",
        "A\tA\t+\t?",
        "S\tS\t<\t1",
        "S\tS\t+\t?",
        "",
        "FEATURES:",
        "NAME\tTYPE",
        *(f"{name}\t{kind}" for name, kind in zip(names, kinds, strict=True)),
        "",
    ]


def _codes(measured: MeasuredTree, lines: Axes) -> Iterator[tuple[int, int, str]]:
    """Row, column and code of each segment: a segment, then the axes that it bears, then what goes on."""
    borne: dict[int, list[int]] = {}
    for axis, head in enumerate(lines.heads.tolist()):
        borne.setdefault(int(measured.table.parent[head]), []).append(axis)
    stack = [(0, 0, 0)]  # axis, place along it, column
    while stack:
        axis, place, column = stack.pop()
        row = int(lines.of(axis)[place])
        if place > 0:
            code = f"^<S{row}"
        else:
            code = f"{'+' if axis else '^/'}A{axis}/S{row}"
        yield row, column, code
        if place + 1 < len(lines.of(axis)):
            stack.append((axis, place + 1, column))
        stack.extend((each, 0, column + 1) for each in reversed(borne.get(row, [])))
