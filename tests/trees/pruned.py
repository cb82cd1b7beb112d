"""A pruned tree: a straight trunk cut off blunt, and a crown of straight branches of two orders, all cones.

Nothing sways, flares or is lobed, so girths, bases and lengths are known by hand; every end is a flat cut.
"""

from __future__ import annotations

import numpy as np

from trees.generator import GOLDEN_RAD, ROUND, Array, Branch, Tree
from trees.surfaces import Mesh, joined, tube

HIGH_MM, FOOT_MM, TOP_MM = 200.0, 15.0, 4.0  # height, radius at the soil and at the cut
STEP_MM = 2.0


def radius_mm(height_mm: Array | float) -> Array:
    """Radius of the trunk at a height."""
    return np.asarray(FOOT_MM + (TOP_MM - FOOT_MM) * np.asarray(height_mm) / HIGH_MM)


def _way(turn_rad: float, from_up_deg: float) -> Array:
    lean = np.radians(from_up_deg)
    return np.array([np.cos(turn_rad) * np.sin(lean), np.sin(turn_rad) * np.sin(lean), np.cos(lean)])


def _cone(parent: int, order: int, node: int, start: Array, end: Array, radii: tuple[float, float]) -> Branch:
    count = max(round(float(np.linalg.norm(end - start)) / STEP_MM), 2) + 1
    points, wide = np.linspace(start, end, count), np.linspace(*radii, count)
    return Branch(parent, order, node, points, wide, ROUND, np.zeros(count), 0)


def pruned(branches: int = 8, twigs: int = 3) -> Tree:
    """The tree with so many branches on its trunk, and so many twigs on each of them."""
    made = [_cone(-1, 0, -1, np.zeros(3), np.array([0.0, 0.0, HIGH_MM]), (FOOT_MM, TOP_MM))]
    for number in range(branches):
        share = number / branches
        turn, steep = 0.35 + number * GOLDEN_RAD, 70.0 - 24.0 * share
        node = round((0.26 + 0.66 * share) * HIGH_MM / STEP_MM)
        start, long = made[0].points_mm[node], 110.0 - 50.0 * share
        end = start + long * _way(turn, steep)
        wide = (0.32 - 0.03 * share) * float(made[0].radii_mm[node])
        made.append(_cone(0, 1, node, start, end, (wide, 1.1)))
        bough, of = len(made) - 1, made[-1]
        for twig in range(twigs):
            at = round((0.45 + 0.17 * twig) * (len(of.points_mm) - 1))
            aside = turn + np.radians(45.0 if twig % 2 else -45.0)
            tip = of.points_mm[at] + long * (0.34 - 0.05 * twig) * _way(aside, 58.0 + 6.0 * twig)
            made.append(_cone(bough, 2, at, of.points_mm[at], tip, (0.6 * float(of.radii_mm[at]), 0.7)))
    return Tree(tuple(made), 0, "pruned")


def wood_cut(made: Tree) -> Mesh:
    """Its surface, every end a flat cut."""
    return joined([tube(each.points_mm, each.radii_mm, sides=64) for each in made.branches])
