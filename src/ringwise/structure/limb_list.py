"""The branches of a measured tree, of every order: where each begins, which way it goes, how long it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.photo.board import threshold
from ringwise.structure.table import SegmentTable


@dataclass(frozen=True)
class Limb:
    """One branch as a chain of segments of one order; the trunk is the first and has the parent -1.

    `height_mm` is that of its base above the soil, `azimuth_deg` the way it goes, seen from above, from +x
    (the right) anticlockwise, `angle_deg` that to the upright; `parent` is a place in the list of limbs.
    """

    rows: tuple[int, ...]
    parent: int
    order: int
    height_mm: float
    azimuth_deg: float
    angle_deg: float
    base_diameter_mm: float
    length_mm: float


def limb_list(table: SegmentTable) -> tuple[Limb, ...]:
    """All branches, each after the one it springs from.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    tuple of Limb
        The trunk first.

    Source
    ------
    own: a branch goes on into the child of its own order, the thickest where there are several.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> limb_list(single_segment(length_mm=40.0, diameter_mm=4.0))[0].length_mm
    40.0
    """
    of_limb = np.full(table.n, -1)
    goes_on = _goes_on(table)
    chains: list[list[int]] = []
    parents: list[int] = []
    for row in range(table.n):
        parent = int(table.parent[row])
        if parent >= 0 and goes_on[parent] == row:
            of_limb[row] = of_limb[parent]
            chains[of_limb[row]].append(row)
            continue
        of_limb[row] = len(chains)
        chains.append([row])
        parents.append(-1 if parent < 0 else int(of_limb[parent]))
    start, end = table.start_mm, table.end_mm
    return tuple(
        _limb(table, chain, parent, start, end) for chain, parent in zip(chains, parents, strict=True)
    )


def _goes_on(table: SegmentTable) -> IntArray:
    """For each row the child that goes on in its own order; -1 where the branch ends."""
    following = np.full(table.n, -1)
    for row in range(1, table.n):
        parent = int(table.parent[row])
        if table.order[row] != table.order[parent]:
            continue
        held = following[parent]
        if held < 0 or table.wood_mm2[row] > table.wood_mm2[held]:
            following[parent] = row
    return np.asarray(following, dtype=np.int64)


def _limb(table: SegmentTable, chain: list[int], parent: int, start: FloatArray, end: FloatArray) -> Limb:
    lengths = table.length_mm[chain].astype(np.float64)
    reached = np.cumsum(lengths)
    last = min(int(np.searchsorted(reached, threshold("answer", "heading_mm"))), len(chain) - 1)
    way = end[chain[last]] - start[chain[0]]
    flat = float(np.hypot(way[0], way[1]))
    return Limb(
        rows=tuple(chain),
        parent=parent,
        order=int(table.order[chain[0]]),
        height_mm=float(start[chain[0], 2]),
        azimuth_deg=float(np.degrees(np.arctan2(way[1], way[0])) % 360.0),
        angle_deg=float(np.degrees(np.arctan2(flat, way[2]))),
        base_diameter_mm=float(table.diameter_mm[chain[0]]),
        length_mm=float(reached[-1]),
    )
