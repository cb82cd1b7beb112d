"""Many free trees from seedlings: how fast a taxon thickens in open ground or in a pot by the model."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import Biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Arrays, Condition, start_arrays
from ringwise.growth.step import in_capacity, light_grid
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.structure.table import single_segment

SEEDLING_MM = (60.0, 4.0)  # height and diameter
PLANTED_MM = 25.0  # diameter at which the published equations begin to count
FIRST_AGE, LAST_AGE = 2, 7  # years since planting between which thickening is compared
MOST_YEARS = 60


def yearly_diameters_mm(
    life: Biology, *, volume_l: float, block: Block, years: int, field_vigour_ratio: float | None = None
) -> FloatArray:
    """Base diameters of free trees, year by year from seedlings; pots are renewed before they hold back.

    Parameters
    ----------
    life : Biology
        The taxon.
    volume_l : float
        Litres of substrate; infinite in open ground.
    block : Block
        Seed and futures.
    years : int
        How many, 1 to 60.
    field_vigour_ratio : float, optional
        Instead of the taxon's own row.

    Returns
    -------
    (futures, years + 1) float
        In mm, the seedling first; in open ground trees that have passed the last age compared stay NaN.

    Raises
    ------
    RangeError
        If the years are outside 1 to 60 or the volume is not above 0.

    Source
    ------
    own: the growth step as it is, without a hand.

    Examples
    --------
    >>> from ringwise.growth.biology import biology
    >>> yearly_diameters_mm(biology(("morus",)), volume_l=5.0, block=Block(1, 0, 2), years=3).shape
    (2, 4)
    """
    if not 1 <= years <= MOST_YEARS:
        raise out_of_range("years", str(years), f"1 to {MOST_YEARS}")
    own = life if field_vigour_ratio is None else replace(life, field_vigour_ratio=field_vigour_ratio)
    parameters = draw_parameters(own, block)
    length_mm, diameter_mm = SEEDLING_MM
    seedling = single_segment(length_mm=length_mm, diameter_mm=diameter_mm)
    start = start_arrays(seedling, Condition(volume_l), first_year=0)
    out = np.full((block.count, years + 1), np.nan)
    for row in range(block.count):
        out[row] = _lifetime(in_capacity(start), parameters[row], (block.seed, block.first + row), years)
    return out


def _lifetime(tree: Arrays, parameters: FloatArray, key: tuple[int, int], years: int) -> FloatArray:
    from ringwise.growth import kernels

    grid, told = light_grid(), np.full(years + 1, np.nan)
    kernels.settle(tree, parameters, (*key, 0))
    told[0] = _base_mm(tree)
    planted = years
    for year in range(years):
        luck = (*key, year)
        kernels.weather_year(tree, parameters, luck)
        kernels.spring(tree, parameters, luck, grid)
        kernels.summer(tree, parameters, luck, grid)
        kernels.end_year(tree)
        tree[3][at.SINCE_REPOT] = 0.0
        told[year + 1] = _base_mm(tree)
        if told[year + 1] >= PLANTED_MM and told[year] < PLANTED_MM:
            planted = year + 1
        if math.isinf(tree[3][at.LITRES]) and year + 1 >= planted + LAST_AGE:
            break
    return told


def _base_mm(tree: Arrays) -> float:
    return math.sqrt(float(tree[0][at.WOOD, 0]) * 4.0 / math.pi)


def thickening_cm_year(diameters_mm: FloatArray) -> FloatArray:
    """Mean yearly thickening between ages 2 and 7 since planting at 2.5 cm.

    Parameters
    ----------
    diameters_mm : (futures, years) float
        As told by `yearly_diameters_mm`.

    Returns
    -------
    (futures,) float
        In cm a year; NaN for trees that were not watched for so long.

    Source
    ------
    own: the ages of the published equations (mcpherson2016) that the growth notes compare.

    Examples
    --------
    >>> thickening_cm_year(np.array([[10.0, 26.0, 36.0, 46.0, 56.0, 66.0, 76.0, 86.0, 96.0]]))
    array([1.])
    """
    out = np.full(len(diameters_mm), np.nan)
    for row, told in enumerate(diameters_mm):
        reached = np.flatnonzero(told >= PLANTED_MM)
        if reached.size and reached[0] + LAST_AGE < told.size:
            early, late = told[reached[0] + FIRST_AGE], told[reached[0] + LAST_AGE]
            out[row] = (late - early) / (LAST_AGE - FIRST_AGE) / 10.0
    return out
