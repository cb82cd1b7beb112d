"""The filled outline of a tree against shapes whose area is plain."""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.structure.basics import tape_from_basics
from ringwise.structure.forms import form_for
from ringwise.structure.sail import outline_sail, sail
from ringwise.structure.silhouette import Shape, Silhouette
from ringwise.structure.tape_tree import tree_from_tape


def _drawing(*outlines: list[tuple[float, float]]) -> Silhouette:
    shapes = tuple(Shape(np.array(points, dtype=np.float64), 0.0, 0.0) for points in outlines)
    every = np.concatenate([shape.points_mm for shape in shapes])
    return Silhouette(shapes, every[:, 0].min(), every[:, 0].max(), every[:, 1].max(), 20.0, 6.0)


def test_a_rectangle_is_its_sides_multiplied() -> None:
    board = outline_sail(_drawing([(0, 0), (400, 0), (400, 500), (0, 500), (0, 0)]))
    assert board.area_m2 == pytest.approx(0.2, rel=0.02)
    assert board.grip_mm == pytest.approx(250, rel=0.02)


def test_gaps_between_branches_count_as_filled() -> None:
    posts = outline_sail(
        _drawing(
            [(0, 0), (20, 0), (20, 500), (0, 500), (0, 0)],
            [(380, 0), (400, 0), (400, 500), (380, 500), (380, 0)],
        )
    )
    assert posts.area_m2 == pytest.approx(0.2, rel=0.02)


def test_a_triangle_grips_at_a_third() -> None:
    cone = outline_sail(_drawing([(-200, 0), (200, 0), (0, 600), (-200, 0)]))
    assert cone.area_m2 == pytest.approx(0.12, rel=0.03)
    assert cone.grip_mm == pytest.approx(200, rel=0.03)


def test_leaves_add_a_margin_to_the_crown_alone() -> None:
    board = _drawing([(0, 0), (400, 0), (400, 500), (0, 500), (0, 0)])
    assert outline_sail(board, leaf_margin_mm=20).area_m2 == pytest.approx(0.22, rel=0.02)
    trunk = _drawing([(0, 0), (20, 0), (20, 500), (0, 500), (0, 0)])
    assert outline_sail(trunk, leaf_margin_mm=20).area_m2 == pytest.approx(0.01, rel=0.02)


def test_a_tree_fills_part_of_height_times_spread() -> None:
    tape = tape_from_basics(60.0, 600.0, form_for(("any",)), seed=1)
    grown = tree_from_tape(tape, seed=1)
    pushed = sail(grown, leaf_margin_mm=20)
    assert 0.05 < pushed.area_m2 < 0.6 * 1.2
    assert 200 < pushed.grip_mm < 500
    assert sail(grown).area_m2 < pushed.area_m2
