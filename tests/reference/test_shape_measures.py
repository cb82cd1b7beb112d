"""Girths against closed forms, orders against worked trees, and sizes against solid geometry."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import ConvexHull
from scipy.special import ellipe

from ringwise.kit.types import FloatArray
from ringwise.structure.branching import branches, ramification
from ringwise.structure.girth import (
    convex_girth_mm,
    girth_of_widths_mm,
    outline_girth_mm,
    outline_points_mm,
)
from ringwise.structure.measured import MeasuredTree, attach, measured_of
from ringwise.structure.measures import wood_mm3
from ringwise.structure.orders import gravelius_order, strahler_order
from ringwise.structure.section import section_of
from ringwise.structure.table import SegmentTable, single_segment
from ringwise.structure.trunk_profile import girth_at

TURN = np.linspace(0.0, 2.0 * math.pi, 20_000, endpoint=False)


def lobed_mm(turn: FloatArray) -> FloatArray:
    """r = 22 (1 + 0.18 cos 3t + 0.08 cos(5t + 1)): a trunk with ribs and hollows."""
    return 22.0 * (1.0 + 0.18 * np.cos(3.0 * turn) + 0.08 * np.cos(5.0 * turn + 1.0))


def ellipse_mm(turn: FloatArray) -> FloatArray:
    return 30.0 * 18.0 / np.hypot(18.0 * np.cos(turn), 30.0 * np.sin(turn))


def points(radii: FloatArray, turn: FloatArray) -> FloatArray:
    return radii[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)


def widths(radii_of: Callable[[FloatArray], FloatArray], count: int, first_rad: float = 0.0) -> FloatArray:
    """Distance between both flanks from evenly spread directions, by the outline's own support lines."""
    outline = points(radii_of(TURN), TURN)
    angles = first_rad + np.arange(count) * math.pi / count
    across = outline @ np.stack([np.cos(angles), np.sin(angles)])
    return np.asarray(np.ptp(across, axis=0))


def test_the_girth_of_an_ellipse() -> None:
    """Complete elliptic integral of the second kind: 4 a E(e); 153.16 mm for 30 x 18 mm."""
    exact = 4.0 * 30.0 * ellipe(1.0 - (18.0 / 30.0) ** 2)
    assert exact == pytest.approx(153.16, abs=0.005)
    for count in (24, 48):
        turn = np.arange(count) * 2.0 * math.pi / count
        assert outline_girth_mm(ellipse_mm(turn)) == pytest.approx(exact, rel=0.003)
    assert girth_of_widths_mm(widths(ellipse_mm, 24)) == pytest.approx(exact, rel=0.003)


def test_the_girth_of_a_lobed_trunk_bridges_its_hollows() -> None:
    """Convex hull by another program (SciPy, Qhull): 150.04 mm, where the bark itself is longer."""
    outline = points(lobed_mm(TURN), TURN)
    exact = float(ConvexHull(outline).area)  # of a plane hull, Qhull's area is the perimeter
    assert exact == pytest.approx(150.04, abs=0.005)
    bark = np.diff(np.vstack([outline, outline[:1]]), axis=0)
    assert np.hypot(bark[:, 0], bark[:, 1]).sum() > 1.01 * exact
    turn = np.arange(24) * 2.0 * math.pi / 24
    assert outline_girth_mm(lobed_mm(turn)) == pytest.approx(exact, rel=0.003)
    assert convex_girth_mm(outline) == pytest.approx(exact, rel=1e-9)
    assert girth_of_widths_mm(widths(lobed_mm, 24)) == pytest.approx(exact, rel=0.003)


@pytest.mark.parametrize("count", [5, 6, 11, 12])
def test_a_smooth_outline_passes_through_its_radii_anticlockwise(count: int) -> None:
    """By hand: whatever the radii, the curve meets each of them in its own direction."""
    radii = 20.0 + np.random.default_rng(count).uniform(-6.0, 6.0, count)
    turn = np.arange(count) * 2.0 * math.pi / count
    assert outline_points_mm(radii, count) == pytest.approx(points(radii, turn), abs=1e-9)
    assert outline_points_mm(radii, 2 * count)[::2] == pytest.approx(points(radii, turn), abs=1e-9)


@pytest.mark.parametrize("radii_of", [ellipse_mm, lobed_mm])
def test_two_views_are_good_to_three_in_a_hundred(radii_of: Callable[[FloatArray], FloatArray]) -> None:
    exact = convex_girth_mm(points(radii_of(TURN), TURN))
    found = [girth_of_widths_mm(widths(radii_of, 2, first)) for first in np.linspace(0.0, math.pi / 2, 40)]
    assert max(abs(each / exact - 1.0) for each in found) < 0.03
    assert max(abs(each / exact - 1.0) for each in found) > 0.003  # else two views would be as good as many


def upright(pieces: list[tuple[float, float]]) -> MeasuredTree:
    """A pole of (length, thickness) pieces."""
    one, *more = [measured_of(single_segment(length_mm=a, diameter_mm=d)) for a, d in pieces]
    for place, each in enumerate(more):
        one = attach(one, each, place)
    return one


def test_girth_between_two_outlines_is_that_of_their_shape_on_the_trunk() -> None:
    """Both outlines are the same ellipse in shape, so any height between them has its girth to size."""
    turn = np.arange(36) * 2.0 * math.pi / 36
    factor = 4.0 * 30.0 * ellipe(1.0 - 0.36) / (2.0 * math.pi * math.sqrt(30.0 * 18.0))
    pole = upright([(100.0, 50.0), (100.0, 40.0), (100.0, 40.0), (100.0, 40.0)])
    shape = ellipse_mm(turn) / math.sqrt(30.0 * 18.0)
    sections = (section_of(0.0, 25.0 * shape), section_of(100.0, 20.0 * shape))
    tree = MeasuredTree(pole.table, pole.radius_sd_mm, pole.position_sd_mm, pole.how, sections)
    assert girth_at(tree, 50.0).girth_mm == pytest.approx(factor * math.pi * 45.0, rel=1e-3)
    assert girth_at(tree, 50.0).from_outline
    assert girth_at(tree, 250.0).girth_mm == pytest.approx(math.pi * 40.0, rel=1e-6)


def table_of(parent: list[int]) -> SegmentTable:
    """A tree of the given parents, thickness by the number of tips so that the main line is unmistakable."""
    n = len(parent)
    tips = np.array([0.0 if i in parent else 1.0 for i in range(n)])
    for row in range(n - 1, 0, -1):
        tips[parent[row]] += tips[row]
    wood = tips + np.linspace(0.5, 0.0, n)
    columns = {name: np.zeros(n) for name in ("order", "born", "leaf_cm2", "buds", "clone", "flags")}
    return SegmentTable(
        parent=np.array(parent),
        length_mm=np.full(n, 10.0),
        direction=np.tile([0.0, 0.0, 1.0], (n, 1)),
        wood_mm2=wood,
        sapwood_mm2=wood,
        **columns,
    )


def test_strahler_orders_of_a_worked_network() -> None:
    """The rule as the manual of the R package streamDAG states it (read): two of one order make the next.

    Worked by hand: two first-order tips make a second-order shoot (3); a tip that joins it changes nothing
    (1 stays 2); two second-order shoots make a third-order one (0).
    """
    #            0   1  2  3  4  5  6  7  8  9
    parent = [-1, 0, 1, 1, 3, 3, 0, 6, 6, 7]
    assert strahler_order(table_of(parent)).tolist() == [3, 2, 1, 2, 1, 1, 2, 1, 1, 1]


@pytest.mark.parametrize("levels", [1, 2, 3, 5])
def test_strahler_order_of_a_perfect_binary_tree(levels: int) -> None:
    """2^k tips make order k + 1 (Flajolet, Raoult & Vuillemin 1979, register function; recalled)."""
    parent = [-1, *[(row - 1) // 2 for row in range(1, 2 ** (levels + 1) - 1)]]
    table = table_of(parent)
    assert strahler_order(table)[0] == levels + 1
    fine = ramification(table)
    assert fine.strahler_counts == tuple(2**each for each in range(levels, -1, -1))
    assert fine.bifurcation_ratio == pytest.approx(2.0)  # Horton's ratio of a perfect binary tree


def test_strahler_order_of_a_feather_is_two() -> None:
    """A line with single side shoots never passes order 2, however long (Strahler's rule)."""
    line = list(range(-1, 9))
    parent = [*line, *range(9)]
    assert strahler_order(table_of(parent))[0] == 2
    assert gravelius_order(table_of(parent)).tolist() == [0] * 10 + [1] * 9


def test_volume_of_a_frustum() -> None:
    """Radius 20 to 10 mm over 100 mm: pi/3 100 (400 + 200 + 100) = 73 303.83 mm3 (solid geometry)."""
    pole = upright([(100.0, 40.0), (1e-3, 20.0)])
    assert float(wood_mm3(pole.table)[0]) == pytest.approx(73_303.83, rel=1e-7)


def test_share_of_wood_adds_up() -> None:
    """Trunk and branches share the whole tree's wood (conservation)."""
    pole = upright([(100.0, 40.0), (100.0, 30.0)])
    tree = attach(attach(pole, measured_of(single_segment(length_mm=80.0, diameter_mm=9.0)), 0), pole, 0)
    mains = branches(tree, most_order=1)
    trunk = wood_mm3(tree.table)[gravelius_order(tree.table) == 0].sum()
    assert sum(each.wood_frac for each in mains) + trunk / wood_mm3(tree.table).sum() == pytest.approx(1.0)


def _piece(length_mm: float, width_mm: float, way: tuple[float, float, float]) -> MeasuredTree:
    one = single_segment(length_mm=length_mm, diameter_mm=width_mm)
    return measured_of(replace(one, direction=np.array([way])))


def test_a_branch_is_as_long_as_its_axis_and_goes_where_it_goes_beyond_the_trunk() -> None:
    """By hand: 5 mm inside a trunk of 10 mm towards the back, then 40 and 60 mm to the right and up."""
    right = (math.sqrt(0.5), 0.0, math.sqrt(0.5))
    tree = attach(_piece(50.0, 10.0, (0.0, 0.0, 1.0)), _piece(90.0, 9.0, (0.0, 0.0, 1.0)), 0)
    tree = attach(tree, _piece(5.0, 4.0, (0.0, 1.0, 0.0)), 0)
    tree = attach(tree, _piece(40.0, 3.0, right), 2)
    tree = attach(attach(tree, _piece(60.0, 2.0, right), 3), _piece(150.0, 1.0, (0.0, -1.0, 0.0)), 3)
    branch, side = branches(tree)
    assert (branch.length_mm, side.length_mm, side.parent) == (pytest.approx(105.0), 150.0, 0)
    along = 40.0 * math.sqrt(0.5)
    assert branch.heading_deg == pytest.approx(math.degrees(math.atan2(5.0, along)), abs=1e-3)
    assert branch.angle_deg == pytest.approx(
        math.degrees(math.atan2(math.hypot(5.0, along), along)), abs=1e-3
    )


def test_of_equally_thick_lines_a_branch_goes_on_along_the_longer() -> None:
    up = (0.0, 0.0, 1.0)
    tree = attach(_piece(50.0, 10.0, up), _piece(90.0, 9.0, up), 0)
    tree = attach(tree, _piece(20.0, 3.0, (1.0, 0.0, 0.0)), 0)
    for length_mm in (30.0, 45.0, 40.0):
        tree = attach(tree, _piece(length_mm, 2.0, (0.0, 1.0, 0.0)), 2)
    assert branches(tree)[0].length_mm == pytest.approx(65.0)
