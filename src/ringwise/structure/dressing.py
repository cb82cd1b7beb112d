"""What no measurement sees of a tree, filled in so that every room can use it: leaves, live wood, years.

A tree from photos or a file is bare wood. Leaves stand on its tips as the species carries them, live wood
follows the tips, and the shoots' years are taken from their order, exactly as for a tree from a tape.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from ringwise.kit.types import BoolArray, IntArray
from ringwise.structure.forms import TreeForm
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import gravelius_order, strahler_order
from ringwise.structure.table import Flag, SegmentTable
from ringwise.structure.topology import sum_to_tips

SEEN = (How.TAPE, How.CALLIPER, How.TRACED, How.IMAGE, How.IMPORTED)  # thickness that was measured itself


def dressed(measured: MeasuredTree, form: TreeForm, *, born_year: int) -> MeasuredTree:
    """The tree with what its measurement could not see; what the table does say stays.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    form : TreeForm
        Habit of the species.
    born_year : int
        Growing year of the youngest shoots.

    Returns
    -------
    MeasuredTree
        With leaves, live wood, years, orders and the trunk, flare and measured marks.

    Source
    ------
    shinozaki1964: live wood follows the tips it carries; the rest own, as for a tree from a tape.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=3.0))
    >>> float(dressed(stem, TreeForm(), born_year=2027).table.leaf_cm2.sum())
    14.0
    """
    table = measured.table
    order = gravelius_order(table)
    is_tip = np.bincount(table.parent[1:], minlength=table.n) == 0
    columns: dict[str, Any] = {"order": order, "flags": _flags(measured, order == 0)}
    if not table.leaf_cm2.any():
        columns["leaf_cm2"] = np.where(is_tip, form.leaf_cm2, 0.0)
    if not table.born.any():
        columns["born"] = born_year + 1 - strahler_order(table)
    if not table.buds.any():
        columns["buds"] = np.ones(table.n)
    if not table.sapwood_mm2.any() or np.array_equal(table.sapwood_mm2, table.wood_mm2):
        tip_mm2 = np.where(is_tip, table.wood_mm2.astype(np.float64), 0.0)
        columns["sapwood_mm2"] = np.minimum(table.wood_mm2, sum_to_tips(table.parent, tip_mm2))
    return replace(measured, table=replace(table, **columns))


def _flags(measured: MeasuredTree, trunk: BoolArray) -> IntArray:
    table = measured.table
    flags = table.flags.astype(np.int64) & ~int(Flag.TRUNK)
    flags |= np.where(trunk, int(Flag.TRUNK), 0)
    flags |= np.where(np.isin(measured.how, SEEN), int(Flag.MEASURED), 0)
    if not (table.flags & Flag.FLARE).any():
        flags |= np.where(_flare(table, trunk), int(Flag.FLARE), 0)
    return flags


def _flare(table: SegmentTable, trunk: BoolArray) -> BoolArray:
    """Trunk segments low down, where the trunk widens towards its roots."""
    rows = np.nonzero(trunk)[0]
    heights, widths = table.start_mm[rows, 2], table.diameter_mm[rows]
    reach_mm = measuring("flare", "to_diameter_ratio") * float(np.median(widths[: max(1, len(rows) // 3)]))
    above = np.nonzero(heights >= reach_mm)[0]
    low = np.zeros(table.n, dtype=np.bool_)
    if len(above) == 0 or widths[0] < measuring("flare", "widened_ratio") * widths[above[0]]:
        return low
    low[rows[: above[0]]] = True
    return low
