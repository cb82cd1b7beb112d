"""A young tree with two equal stems in open ground, of which one can be pruned; for the tests of pruning."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Condition, start_arrays
from ringwise.growth.step import in_capacity, light_grid
from ringwise.structure.table import SegmentTable

TAXON = ("quercus_rubra", "quercus")
GROWN_YEARS, WATCHED_YEARS = 5, 3
_LEAN = math.sin(math.radians(20.0)), math.cos(math.radians(20.0))


def two_stems() -> SegmentTable:
    """A stump of 12 mm that bears two stems of 8 mm."""
    parent = np.array([-1, 0, 0, 1, 2, 3, 4])
    side = np.array([0, 1, -1, 1, -1, 1, -1])
    direction = np.column_stack([side * _LEAN[0], np.zeros(7), np.where(side == 0, 1.0, _LEAN[1])])
    across = np.array([12.0, 8.0, 8.0, 7.0, 7.0, 6.0, 6.0])
    return SegmentTable(
        parent=parent, order=np.array([0, 1, 1, 1, 1, 1, 1]), born=np.full(7, -1), length_mm=np.full(7, 80.0),
        direction=direction, wood_mm2=math.pi / 4 * across**2, sapwood_mm2=math.pi / 4 * across**2,
        leaf_cm2=np.array([0, 0, 0, 0, 0, 400.0, 400.0]), buds=np.array([0, 1, 1, 1, 1, 1, 1]),
        clone=np.zeros(7), flags=np.array([1, 0, 0, 0, 0, 0, 0]),
    )  # fmt: skip


def parameters(future: int) -> np.ndarray:
    """One future's parameters of the test's taxon."""
    return draw_parameters(biology(TAXON), Block(9, future, 1))[0]


def lived_year(tree: Any, par: np.ndarray, luck: tuple[int, int, int], grid: Any) -> None:
    """A year without a hand."""
    from ringwise.growth import kernels

    kernels.weather_year(tree, par, luck)
    kernels.spring(tree, par, luck, grid)
    kernels.summer(tree, par, luck, grid)
    kernels.end_year(tree)


def stem_rows(tree: Any, name: int) -> list[int]:
    """Rows of the stem whose first segment has a name, the first one included."""
    rows = [int(np.flatnonzero(tree[2][: int(tree[4][0])] == name)[0])]
    inside = set(rows)
    for row in range(rows[0] + 1, int(tree[4][0])):
        if int(tree[1][at.PARENT, row]) in inside:
            inside.add(row)
            rows.append(row)
    return rows


def prune_stem(tree: Any, par: np.ndarray, name: int, share: float) -> None:
    """Cut leafy shoots off a stem, in an order by their names, until a share of its leaf is gone."""
    from ringwise.operations.effects import cut_off

    rows = stem_rows(tree, name)
    before = float(tree[0][at.LEAF, rows].sum())
    order = sorted((int(tree[2][row] % np.uint64(1009)), int(tree[2][row])) for row in rows[1:])
    for _luck, each in order:
        rows = stem_rows(tree, name)
        if float(tree[0][at.LEAF, rows].sum()) <= (1.0 - share) * before:
            break
        at_row = np.flatnonzero(tree[2][: int(tree[4][0])] == each)
        if at_row.size and tree[0][at.LEAF, int(at_row[0])] > 0:
            cut_off(tree, par, int(at_row[0]))


def stem_growth_mm2(future: int, share: float) -> tuple[float, float]:
    """Area growth over three years of the pruned stem and of the other one, at their feet."""
    from ringwise.growth import kernels

    par, grid = parameters(future), light_grid()
    tree = in_capacity(start_arrays(two_stems(), Condition(math.inf), first_year=0), 4000)
    kernels.settle(tree, par, (9, future, 0))
    names = [int(tree[2][row]) for row in (1, 2)]
    for year in range(GROWN_YEARS):
        lived_year(tree, par, (9, future, year), grid)
    if share > 0:
        prune_stem(tree, par, names[0], share)
    feet = [stem_rows(tree, name)[0] for name in names]
    before = [float(tree[0][at.WOOD, row]) for row in feet]
    for year in range(GROWN_YEARS, GROWN_YEARS + WATCHED_YEARS):
        lived_year(tree, par, (9, future, year), grid)
    feet = [stem_rows(tree, name)[0] for name in names]
    pruned, other = (float(tree[0][at.WOOD, row]) - was for row, was in zip(feet, before, strict=True))
    return pruned, other
