"""Limbs within the trunk's wood are let go; those that leave it, or carry one that does, stay."""

from __future__ import annotations

import numpy as np

from ringwise.structure.turntable.buried import without_buried
from ringwise.structure.turntable.hull import outline_of
from ringwise.structure.turntable.limbs import Limb

TURN = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
# The support function of an ellipse of half sides 30 and 18 mm, the long side along x.
OVAL = outline_of(TURN, np.hypot(30.0 * np.cos(TURN), 18.0 * np.sin(TURN)), 0.4)


def limb(points: list[tuple[float, float, float]], parent: int = -1, foot_mm: float = -1.0) -> Limb:
    at = np.array(points, dtype=float)
    return Limb(at, np.full(len(at), 2.0), np.ones(len(at)), np.ones(len(at), bool), parent, foot_mm)


def trunk() -> Limb:
    return limb([(0.0, 0.0, z) for z in np.arange(0.0, 101.0, 4.0)])


def left(*sides: Limb) -> list[float]:
    stem = trunk()
    limbs, cut = without_buried([stem, *sides], [OVAL] * len(stem.points_mm), 0.4)
    assert cut == 1 + len(sides) - len(limbs)
    return [float(each.points_mm[-1, 0]) for each in limbs[1:]]


def test_a_way_to_the_rim_of_the_cut_face_goes_on_the_long_side_only() -> None:
    along = limb([(0.0, 0.0, 70.0), (15.0, 0.0, 85.0), (29.0, 0.0, 99.0)], 0, 70.0)
    across = limb([(0.0, 0.0, 70.0), (0.0, 15.0, 85.0), (0.0, 29.0, 99.0)], 0, 70.0)
    assert left(along) == []
    assert left(across) == [0.0]


def test_a_child_of_a_buried_way_goes_with_it_and_a_branch_keeps_its_bearer() -> None:
    way = limb([(0.0, 0.0, 50.0), (20.0, 0.0, 80.0), (28.0, 0.0, 99.0)], 0, 50.0)
    inner = limb([(20.0, 0.0, 80.0), (22.0, 3.0, 98.0)], 1, 36.0)
    branch = limb([(20.0, 0.0, 80.0), (60.0, 0.0, 90.0)], 1, 36.0)
    assert left(way, inner) == []
    assert left(way, branch) == [28.0, 60.0]


def test_what_stands_above_the_cut_face_stays() -> None:
    shoot = limb([(5.0, 0.0, 98.0), (5.0, 0.0, 112.0)], 0, 98.0)
    assert left(shoot) == [5.0]
