"""One tree of paths through the carved cells: cheapest ways from the thickest cell of the base."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray, Int32Array
from ringwise.structure.turntable.carve import Carved
from ringwise.structure.turntable.limits import limit_of


@dataclass(frozen=True)
class Paths:
    """Paths packed end to end: nodes of path p are rows first[p] to first[p + 1], foot first.

    The foot of a path is the node `foot[p]` of an earlier path (row of `points_mm`), -1 for the trunk.
    """

    points_mm: FloatArray
    radius_mm: FloatArray
    first: Int32Array
    parent: Int32Array
    foot: Int32Array

    @property
    def count(self) -> int:
        """How many paths there are."""
        return len(self.parent)

    def rows(self, path: int) -> slice:
        """The rows of one path."""
        return slice(int(self.first[path]), int(self.first[path + 1]))


def paths_of(carved: Carved) -> Paths:
    """The paths that cover the carved wood, each from its parent to its tip.

    Parameters
    ----------
    carved : Carved
        Cells inside the silhouettes.

    Returns
    -------
    Paths
        A tree by construction; what hangs in the air, joined to nothing, is left out.

    Source
    ------
    own: Dijkstra's cheapest ways over 26 neighbours, farthest cell first; rows path of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> from ringwise.structure.turntable.carve import carve
    >>> stack, middle_mm = stacked(rod_views())
    >>> paths_of(carve(stack, middle_mm, 0.0)).count
    1
    """
    from ringwise.structure.turntable import carve_kernels, topology_kernels

    cells, inside, cell = carved.cells, carved.inside_mm.astype(np.float64), carved.cell_mm
    blocks = np.full(tuple((cells.max(0) >> 3) + 1), -1, np.int32)
    count = carve_kernels.number_blocks(cells, blocks)
    rows = carve_kernels.hold(cells, blocks, count)
    slack = limit_of("carve", "slack_cell") * cell
    price = 1.0 / np.maximum(inside + slack + limit_of("path", "price_px") * carved.pixel_mm, 1e-6)
    root = _root_cell(cells, inside, cell)
    cost, before = topology_kernels.cheapest_ways(cells, blocks, rows, price, root)
    order = np.argsort(-np.where(np.isfinite(cost), cost, -1.0), kind="stable")
    reach = np.maximum(inside, 0.0) * limit_of("path", "cover_ratio")
    reach = (reach + limit_of("path", "cover_px") * carved.pixel_mm) / cell
    least = limit_of("path", "least_free_px") * carved.pixel_mm / cell
    nodes, first, parent = topology_kernels.covering_paths((cells, blocks, rows), order, before, reach, least)
    return _from_nodes(carved, nodes, first, parent)


def _root_cell(cells: Int32Array, inside_mm: FloatArray, cell_mm: float) -> int:
    """The cell in the middle of the foot that the thickest wood near the soil stands on.

    The depth at the soil is flat across a trunk, so the deepest cell may lie off the middle and above it.
    """
    low = limit_of("path", "base_frac") * cells[:, 2].max()
    base = np.nonzero(cells[:, 2] <= max(low, 1.0))[0]
    thick = int(base[np.argmax(inside_mm[base])])
    lowest = np.nonzero(cells[:, 2] <= 1)[0]
    middle = cells[thick, :2].astype(np.float64)
    reach = limit_of("path", "foot_ratio") * max(float(inside_mm[thick]) / cell_mm, 1.0) + cells[thick, 2]
    for _round in range(5):
        near = lowest[((cells[lowest, :2] - middle) ** 2).sum(1) <= reach**2]
        if len(near) == 0:
            return thick
        middle = cells[near, :2].mean(0)
    return int(near[np.argmin(((cells[near, :2] - middle) ** 2).sum(1))])


def _from_nodes(carved: Carved, nodes: Int32Array, first: Int32Array, parent: Int32Array) -> Paths:
    """Paths of cells as paths of points; the foot of each is the row of its parent's node."""
    at = np.full(len(carved.cells), -1, np.int32)
    foot = np.full(len(parent), -1, np.int32)
    for path in range(len(parent)):
        rows = nodes[first[path] : first[path + 1]]
        foot[path] = at[rows[0]]
        new = at[rows] < 0
        at[rows[new]] = np.arange(first[path], first[path + 1])[new]
    points = carved.middles_mm[nodes]
    return Paths(points, np.maximum(carved.inside_mm[nodes], 0.0).astype(np.float64), first, parent, foot)
