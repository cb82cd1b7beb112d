"""From a segment table to the arrays that grow, and back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from ringwise.growth import layout as at
from ringwise.growth.biology import growth_parameter
from ringwise.kit import chance
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import Float32Array, FloatArray, Int32Array, IntArray
from ringwise.structure.table import SegmentTable

Arrays: TypeAlias = tuple[Float32Array, Int32Array, NDArray[np.uint64], FloatArray, IntArray]

_RESERVES = (0.02, 0.2, 0.35, 0.6, 0.8, 0.95)  # start reserves by vigour score 0 to 5; assumed
_LONG_AGO_YEARS = 99.0  # a course that begins has done no heavy work of its own yet
_SLEEPING_MM2 = 12.0  # wood above this may hold sleeping buds that a tape does not see
_POSITIVE = np.uint64(0x3FFFFFFFFFFFFFFF)


@dataclass(frozen=True)
class Condition:
    """How a tree stands at the start: litres (infinite in the ground), vigour 0 to 5, years since repotting.

    `sectors` tells of each of the twelve sectors round the base whether it holds a root.
    """

    volume_l: float
    vigour: int = 4
    since_repot_years: float = 1.0
    sectors: tuple[bool, ...] = (True,) * 12

    def __post_init__(self) -> None:
        if not self.volume_l > 0:
            raise out_of_range("pot volume", f"{self.volume_l} L", "above 0 L")
        if self.vigour not in range(6):
            raise out_of_range("vigour", str(self.vigour), "0 to 5")
        if not self.since_repot_years >= 0:
            raise out_of_range("years since repotting", f"{self.since_repot_years}", "0 or more")
        if len(self.sectors) != 12:
            raise out_of_range("root sectors", str(len(self.sectors)), "12")


def empty_arrays(capacity: int) -> Arrays:
    """Room for a tree of so many segments.

    Parameters
    ----------
    capacity : int
        Most segments.

    Returns
    -------
    Arrays
        Zeros.

    Source
    ------
    own.

    Examples
    --------
    >>> empty_arrays(10)[0].shape[1]
    10
    """
    return (
        np.zeros((at.REALS, capacity), np.float32),
        np.zeros((at.WHOLES, capacity), np.int32),
        np.zeros(capacity, np.uint64),
        np.zeros(at.POOLS),
        np.zeros(1, np.int64),
    )


def start_arrays(table: SegmentTable, condition: Condition, *, first_year: int) -> Arrays:
    """A tree's arrays, exactly as long as the table, in the layout of growth.

    Parameters
    ----------
    table : SegmentTable
        A checked tree.
    condition : Condition
        Pot, vigour, roots.
    first_year : int
        The growing year that is simulated first; birth years become relative to it.

    Returns
    -------
    Arrays
        New arrays; stable ids come from row numbers.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> arrays = start_arrays(single_segment(length_mm=40.0, diameter_mm=3.0), Condition(6.0), first_year=1)
    >>> int(arrays[4][0])
    1
    """
    real, whole, ids, pools, count = empty_arrays(table.n)
    real[at.LENGTH] = table.length_mm
    real[at.DIR_X : at.DIR_Z + 1] = table.direction.T
    real[at.WOOD], real[at.SAPWOOD], real[at.LEAF] = table.wood_mm2, table.sapwood_mm2, table.leaf_cm2
    real[at.END_X : at.END_Z + 1] = table.end_mm.T
    whole[at.PARENT], whole[at.ORDER], whole[at.CLONE] = table.parent, table.order, table.clone
    whole[at.BORN] = np.minimum(table.born.astype(np.int32) - first_year, -1)
    whole[at.BUDS], whole[at.FLAGS] = table.buds, table.flags
    children = np.bincount(table.parent[1:], minlength=table.n) if table.n > 1 else np.zeros(1, np.int64)
    whole[at.CHILDREN] = children
    tips = children == 0
    whole[at.BORN, tips] = -1
    ids[:] = chance.mix64(np.arange(1, table.n + 1).astype(np.uint64)) & _POSITIVE
    old = (table.wood_mm2 > _SLEEPING_MM2) & (ids % np.uint64(2) == 0)
    whole[at.BUDS, old] = np.maximum(whole[at.BUDS, old], 1)
    count[0] = table.n
    _fill_pools(pools, table, condition, int(tips.sum()))
    return real, whole, ids, pools, count


def _fill_pools(pools: FloatArray, table: SegmentTable, condition: Condition, tips: int) -> None:
    leaf = float(table.leaf_cm2.sum())
    unit = growth_parameter("leaf_each_unit") * growth_parameter("units_each_shoot")
    pools[at.RESERVE] = _RESERVES[condition.vigour]
    pools[at.ROOT] = min(1.0, 0.55 + 0.15 * condition.since_repot_years)
    pools[at.LITRES] = condition.volume_l
    pools[at.SINCE_REPOT] = condition.since_repot_years
    pools[at.HEAVY_YEARS] = _LONG_AGO_YEARS
    pools[at.ALIVE] = 1.0
    pools[at.SECTORS] = float(sum(1 << i for i, filled in enumerate(condition.sectors) if filled))
    pools[at.LEAF_UNIT] = leaf / tips if leaf > 0 else unit
    pools[at.LEAF_FLUSH] = leaf if leaf > 0 else unit * tips
    pools[at.LEAF_REFERENCE] = pools[at.LEAF_FLUSH]


def table_of(arrays: Arrays, *, first_year: int) -> SegmentTable:
    """The segment table of a grown tree.

    Parameters
    ----------
    arrays : Arrays
        A tree in the layout of growth.
    first_year : int
        As given to `start_arrays`.

    Returns
    -------
    SegmentTable
        With basis "grown".

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> arrays = start_arrays(single_segment(length_mm=40.0, diameter_mm=3.0), Condition(6.0), first_year=1)
    >>> table_of(arrays, first_year=1).n
    1
    """
    real, whole, _ids, _pools, count = arrays
    n = int(count[0])
    direction = real[at.DIR_X : at.DIR_Z + 1, :n].T.astype(np.float64)
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    known = (1 << 8) - 1
    return SegmentTable(
        parent=whole[at.PARENT, :n],
        order=whole[at.ORDER, :n],
        born=whole[at.BORN, :n] + first_year,
        length_mm=real[at.LENGTH, :n],
        direction=direction,
        wood_mm2=real[at.WOOD, :n],
        sapwood_mm2=np.minimum(real[at.SAPWOOD, :n], real[at.WOOD, :n]),
        leaf_cm2=real[at.LEAF, :n],
        buds=np.clip(whole[at.BUDS, :n], 0, 255),
        clone=whole[at.CLONE, :n],
        flags=whole[at.FLAGS, :n] & known,
        basis="grown",
    )


def litres_of_ground() -> float:
    """The volume that stands for open ground.

    Returns
    -------
    float
        Infinity, in litres.

    Source
    ------
    own.

    Examples
    --------
    >>> litres_of_ground()
    inf
    """
    return math.inf
