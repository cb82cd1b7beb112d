"""Random small trees in the layout of growth, for the naive twins."""

from __future__ import annotations

from typing import Any

import numpy as np

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Condition, start_arrays
from ringwise.growth.step import in_capacity
from ringwise.operations.effect_rows import with_hands
from ringwise.structure.table import SegmentTable


def random_table(seed: int, n: int = 60) -> SegmentTable:
    """A random tree of n segments, thicker below than above, leaf on its tips."""
    rng = np.random.default_rng(seed)
    parent = np.array([-1] + [int(rng.integers(max(0, i - 6), i)) for i in range(1, n)])
    tips = ~np.isin(np.arange(n), parent)
    order = np.zeros(n, np.int64)
    seen: set[int] = set()
    for row in range(1, n):
        order[row] = order[parent[row]] + (parent[row] in seen)
        seen.add(int(parent[row]))
    direction = rng.normal(size=(n, 3)) * 0.5 + np.array([0.0, 0.0, 1.0])
    direction[0] = 0.0, 0.0, 1.0
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    wood = np.full(n, 2.0)
    for row in range(n - 1, 0, -1):
        wood[parent[row]] += wood[row] * 1.05
    return SegmentTable(
        parent=parent,
        order=order,
        born=np.full(n, -1),
        length_mm=rng.uniform(5, 25, n),
        direction=direction,
        wood_mm2=wood,
        sapwood_mm2=wood * rng.uniform(0.2, 1.0, n),
        leaf_cm2=np.where(tips, rng.uniform(5, 30, n), 0.0),
        buds=rng.integers(0, 3, n),
        clone=np.zeros(n),
        flags=np.where(order == 0, 1, 0),
    )


def random_tree(seed: int, n: int = 60, capacity: int = 600) -> Any:
    """The same as growing arrays, settled for one future's parameters."""
    from ringwise.growth import kernels

    tree = in_capacity(start_arrays(random_table(seed, n), Condition(6.0), first_year=0), capacity)
    kernels.settle(tree, parameters(seed), (seed, 0, 0))
    return tree


def parameters(seed: int) -> np.ndarray:
    """One future's parameters of a maple."""
    return with_hands(draw_parameters(biology(("acer_palmatum", "acer")), Block(seed, 0, 1)))[0]


def columns(tree: Any) -> dict[str, np.ndarray]:
    """Copies of the columns in use that the twins read, by name."""
    n = int(tree[4][0])
    real = {
        name: tree[0][getattr(at, name), :n].astype(np.float64)
        for name in (
            "LENGTH",
            "WOOD",
            "SAPWOOD",
            "LEAF",
            "LIGHT",
            "DEMAND",
            "VIGOUR",
            "CONTROL",
            "GROWN",
            "WOUND",
        )
    }
    whole = {
        name: tree[1][getattr(at, name), :n].copy() for name in ("PARENT", "ORDER", "BUDS", "FLAGS", "BORN")
    }
    ends = tree[0][at.END_X : at.END_Z + 1, :n].T.astype(np.float64)
    return {**real, **whole, "ENDS": ends, "IDS": tree[2][:n].copy()}
