"""Limbs that exchange their upper parts at a fork: what stood on them still stands where it stood."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.polyline import places_at
from ringwise.structure.turntable.forks import choose_continuations
from ringwise.structure.turntable.limbs import Limb

STEP_MM = 2.0


def limb(
    corners: list[tuple[float, float, float]], radius_mm: float, at: tuple[int, float, int] = (-1, -1.0, 0)
) -> Limb:
    """Nodes at even steps through corners; `at` is parent, foot on it and the first node outside it."""
    parts = [np.array([corners[0]], float)]
    for low, high in zip(np.array(corners[:-1], float), np.array(corners[1:], float), strict=True):
        count = round(float(np.linalg.norm(high - low)) / STEP_MM)
        parts.append(np.linspace(low, high, count + 1)[1:])
    points = np.concatenate(parts)
    wide = np.full(len(points), radius_mm)
    parent, foot_mm, own = at
    sure = np.ones(len(points), bool)
    return Limb(points, wide, 0.01 * wide, sure, parent=parent, foot_mm=foot_mm, own=own)


def foot_of(limbs: list[Limb], row: int) -> FloatArray:
    parent = limbs[limbs[row].parent]
    return np.asarray(places_at(parent.points_mm, parent.arc_mm, np.array([limbs[row].foot_mm]))[0])


def test_what_stands_on_an_exchanged_part_keeps_its_place_though_nodes_are_missing_below() -> None:
    # The first path runs out into a low branch and the second, which goes on, into a higher one; the third is
    # the trunk's upper part and starts where the second still lay inside the first's wood.
    lowest = limb([(0, 0, 0), (0, 0, 40), (80, 0, 40)], 4.0)
    lowest.radius_mm[:21] = 10.0
    middle = limb([(0, 0, 40), (0, 0, 56), (0, 60, 56)], 4.0, (0, 40.0, 7))
    middle.radius_mm[:9] = 10.0
    upper = limb([(0, 0, 50), (0, 0, 120)], 9.0, (1, 10.0, 12))
    twig = limb([(0, 40, 56), (20, 40, 66)], 1.0, (1, 56.0, 3))
    limbs = [lowest, middle, upper, twig]
    assert choose_continuations(limbs) == 2
    assert limbs[0].points_mm[-1].tolist() == [0.0, 0.0, 120.0]
    assert [each.parent for each in limbs[1:]] == [0, 0, 2]
    np.testing.assert_allclose(foot_of(limbs, 3), [0.0, 40.0, 56.0], atol=1e-6)
