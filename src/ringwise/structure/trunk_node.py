"""A node put into the trunk at a height, where it is to be cut or measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.words import _
from ringwise.structure.measures import trunk_mask
from ringwise.structure.table import SegmentTable, checked

SHORTEST_MM = 0.05  # nearer to a node than this, the node itself is taken


def node_at(table: SegmentTable, height_mm: float) -> tuple[SegmentTable, int]:
    """The tree with a node of its trunk at a height, and the trunk segment that begins there.

    Parameters
    ----------
    table : SegmentTable
        A tree.
    height_mm : float
        Above the soil, below the end of the trunk.

    Returns
    -------
    (SegmentTable, int)
        The same tree, one trunk segment parted in two where no node was near; and the upper one's row.

    Raises
    ------
    RangeError
        If the trunk does not reach as high.

    Source
    ------
    own: the wood area at the node is that of the taper between the ends.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> parted, row = node_at(single_segment(length_mm=40.0, diameter_mm=4.0), 10.0)
    >>> parted.n, row, float(parted.start_mm[row, 2])
    (2, 1, 10.0)
    """
    trunk = np.nonzero(trunk_mask(table))[0]
    tops = table.end_mm[trunk, 2]
    if not 0.0 < height_mm < float(tops.max()):
        raise out_of_range(
            _("height of the cut"),
            f"{height_mm:g} mm",
            _("above 0 and below the end of the trunk, {mm} mm").format(mm=f"{float(tops.max()):g}"),
        )
    row = int(trunk[np.argmax(tops > height_mm)])
    low, high = float(table.start_mm[row, 2]), float(table.end_mm[row, 2])
    share = (height_mm - low) / max(high - low, 1e-9)
    length_mm = float(table.length_mm[row])
    if share * length_mm < SHORTEST_MM and row > 0:
        return table, row
    return _parted(table, row, min(max(share, 1e-3), 1.0 - 1e-3)), row + 1


def _parted(table: SegmentTable, row: int, share_frac: float) -> SegmentTable:
    rows = np.insert(np.arange(table.n), row + 1, row)
    shift = np.arange(table.n) + (np.arange(table.n) > row)
    parent = np.where(table.parent[rows] >= 0, shift[table.parent[rows]], -1)
    # what grew from the segment's end grows from the end of its upper part
    parent[parent == row] = row + 1
    parent[row + 1] = row
    out = table.taken(rows, parent)
    length, wood = out.length_mm.copy(), out.wood_mm2.copy()
    sapwood, leaf = out.sapwood_mm2.copy(), out.leaf_cm2.copy()
    length[row], length[row + 1] = share_frac * length[row], (1.0 - share_frac) * length[row + 1]
    ends = table.diameter_mm[row], table.end_diameter_mm[row]
    wood[row + 1] = np.pi / 4.0 * (ends[0] + share_frac * (ends[1] - ends[0])) ** 2
    sapwood[row + 1] = min(sapwood[row + 1], wood[row + 1])
    leaf[row] = 0.0
    return checked(replace(out, length_mm=length, wood_mm2=wood, sapwood_mm2=sapwood, leaf_cm2=leaf))
