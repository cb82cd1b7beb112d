"""A tree left to itself for some years: the checked way to the compiled step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, empty_arrays, start_arrays, table_of
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.structure.table import SegmentTable, checked

CAPACITY = 8000  # most segments; no power of two, or all columns of a row would meet in one cache set
MOST_YEARS = 60


@dataclass(frozen=True)
class Luck:
    """Which of the possible futures: the seed, the future's number, the first growing year."""

    seed: int
    future: int = 0
    first_year: int = 0


def in_capacity(arrays: Arrays, capacity: int = CAPACITY) -> Arrays:
    """The same tree in arrays with room to grow.

    Parameters
    ----------
    arrays : Arrays
        A tree.
    capacity : int
        Most segments.

    Returns
    -------
    Arrays
        Copies.

    Raises
    ------
    RangeError
        If the tree has more segments than that.

    Source
    ------
    own.

    Examples
    --------
    >>> in_capacity(empty_arrays(3), 8)[0].shape[1]
    8
    """
    n = arrays[0].shape[1]
    if n > capacity:
        raise out_of_range("segments of the tree", str(n), f"at most {capacity}")
    out = empty_arrays(capacity)
    out[0][:, :n], out[1][:, :n], out[2][:n] = arrays[0], arrays[1], arrays[2]
    out[3][:] = arrays[3]
    out[4][:] = arrays[4]
    return out


def light_grid() -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """Scratch for the light of one tree, with a rim of empty cells.

    Returns
    -------
    (cells + 2, cells + 2, cells + 2) float32
        Zeros.

    Source
    ------
    own.

    Examples
    --------
    >>> light_grid().dtype.name
    'float32'
    """
    from ringwise.growth.light_kernels import PLANES

    return np.zeros((PLANES, PLANES, PLANES), np.float32)


def grow(table: SegmentTable, life: Biology, condition: Condition, *, years: int, luck: Luck) -> SegmentTable:
    """The tree after some years in which no hand touches it.

    Parameters
    ----------
    table : SegmentTable
        The tree now.
    life : Biology
        Its taxon.
    condition : Condition
        Pot, vigour, roots.
    years : int
        How many, 1 to 60.
    luck : Luck
        Which future.

    Returns
    -------
    SegmentTable
        The grown tree, in leaf.

    Raises
    ------
    RangeError
        If the years are outside 1 to 60.
    StructureError
        If the table is no tree.

    Source
    ------
    shinozaki1964, borchert_honda1984, palubicki2009, poorter2012 as set out in the growth notes.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> grow(stem, biology(("morus",)), Condition(6.0), years=2, luck=Luck(7)).n > 1
    True
    """
    parameters = draw_parameters(life, Block(luck.seed, luck.future, 1))[0]
    return grow_with(table, parameters, condition, years=years, luck=luck)


def grow_with(
    table: SegmentTable, parameters: FloatArray, condition: Condition, *, years: int, luck: Luck
) -> SegmentTable:
    """As `grow`, with given parameters instead of drawn ones.

    Parameters
    ----------
    table : SegmentTable
        The tree now.
    parameters : (parameters,) float
        A row of `draw_parameters`.
    condition : Condition
        Pot, vigour, roots.
    years : int
        How many, 1 to 60.
    luck : Luck
        Which future.

    Returns
    -------
    SegmentTable
        The grown tree.

    Raises
    ------
    RangeError
        If the years are outside 1 to 60.

    Source
    ------
    shinozaki1964, borchert_honda1984, palubicki2009, poorter2012: as `grow`.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.structure.table import single_segment
    >>> stem = single_segment(length_mm=40.0, diameter_mm=3.0)
    >>> row = draw_parameters(biology(("morus",)), Block(7, 0, 1))[0]
    >>> grow_with(stem, row, Condition(6.0), years=1, luck=Luck(7)).wood_mm2[0] > stem.wood_mm2[0]
    np.True_
    """
    from ringwise.growth import kernels

    if not 1 <= years <= MOST_YEARS:
        raise out_of_range("years", str(years), f"1 to {MOST_YEARS}")
    tree = in_capacity(start_arrays(checked(table), condition, first_year=luck.first_year))
    grid = light_grid()
    kernels.settle(tree, parameters, (luck.seed, luck.future, 0))
    for year in range(years):
        key = (luck.seed, luck.future, year)
        kernels.weather_year(tree, parameters, key)
        kernels.spring(tree, parameters, key, grid)
        kernels.summer(tree, parameters, key, grid)
        kernels.end_year(tree)
    return table_of(tree, first_year=luck.first_year)


def base_growth_mm(before: SegmentTable, after: SegmentTable) -> float:
    """Growth in thickness of the base between two states of one tree.

    Parameters
    ----------
    before, after : SegmentTable
        The tree then and now.

    Returns
    -------
    float
        Diameter growth at the base, in mm.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> thin, thick = (single_segment(length_mm=40.0, diameter_mm=d) for d in (3.0, 4.0))
    >>> round(base_growth_mm(thin, thick), 3)
    1.0
    """
    return float(after.diameter_mm[0] - before.diameter_mm[0])
