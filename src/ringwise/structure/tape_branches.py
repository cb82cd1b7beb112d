"""Which segments of a tree from a tape are the feet of the branches that were measured."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import BoolArray
from ringwise.structure.orders import gravelius_order
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape


def taken_rows(table: SegmentTable, tape: Tape) -> BoolArray:
    """The lowest segment of every branch that the tape names.

    Parameters
    ----------
    table : SegmentTable
        A tree made from the tape.
    tape : Tape
        What was measured.

    Returns
    -------
    (n,) bool
        True where a calliper was set.

    Source
    ------
    own: of the branches of the trunk the one that is nearest in height, then in thickness.

    Examples
    --------
    >>> from ringwise.structure.tape import TapeBranch, TapeGirth
    >>> from ringwise.structure.tape_tree import tree_from_tape
    >>> tape = Tape(400.0, (TapeGirth(0.0, 157.0),), (TapeBranch(140.0, 9.0, 14.0, 150.0, 30),))
    >>> int(taken_rows(tree_from_tape(tape, seed=1), tape).sum())
    1
    """
    taken = np.zeros(table.n, dtype=np.bool_)
    order, parent = gravelius_order(table), table.parent.astype(np.int64)
    heads = np.nonzero((order == 1) & (parent >= 0) & (order[parent] == 0))[0]
    heights, widths = table.start_mm[heads, 2], table.diameter_mm[heads]
    for branch in tape.branches:
        if branch.diameter_mm is None:
            continue
        free = ~taken[heads]
        if not free.any():
            break
        off = np.abs(heights - branch.height_mm) + np.abs(widths - branch.diameter_mm)
        taken[heads[np.argmin(np.where(free, off, np.inf))]] = True
    return taken
