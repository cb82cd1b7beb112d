"""Two measurements laid over each other where the answer is known by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ringwise.structure.branching import Branch, branches
from ringwise.structure.girth import outline_points_mm
from ringwise.structure.measured import MeasuredTree, attach, measured_of
from ringwise.structure.overlay import matched, overlay, turned
from ringwise.structure.section import section_of
from ringwise.structure.table import single_segment


def piece(length_mm: float, diameter_mm: float, azimuth_deg: float, rise: float) -> MeasuredTree:
    turn = math.radians(azimuth_deg)
    way = np.array([[math.cos(turn), math.sin(turn), rise]])
    table = single_segment(length_mm=length_mm, diameter_mm=diameter_mm)
    return measured_of(replace(table, direction=way / np.linalg.norm(way)))


def upright(*azimuths_deg: float) -> MeasuredTree:
    """An upright trunk with alike branches at 100, 200, ... mm."""
    tree = piece(100.0, 30.0, 0.0, 1e9)
    for place in range(len(azimuths_deg)):
        tree = attach(tree, piece(100.0, 29.0 - place, 0.0, 1e9), place)
    for place, azimuth_deg in enumerate(azimuths_deg):
        tree = attach(tree, piece(80.0, 9.0, azimuth_deg, 0.0), place)
    return tree


@pytest.fixture
def one() -> Branch:
    return branches(upright(40.0))[0]


@pytest.mark.parametrize(
    "other",
    [{"height_mm": 116.0}, {"azimuth_deg": 90.0}, {"base_diameter_mm": 18.0}, {"base_diameter_mm": 4.5}],
    ids=str,
)
def test_branches_too_far_apart_in_height_side_or_thickness_are_not_the_same(
    one: Branch, other: dict[str, float]
) -> None:
    """A little beyond each limit of rows `match` (12 mm, 40 degrees, 1.6 to 1), all else alike."""
    assert matched((one,), (one,)) == ((0, 0),)
    assert matched((one,), (replace(one, **other),)) == ()


def test_a_branch_has_one_partner_and_that_is_the_nearest(one: Branch) -> None:
    higher = replace(one, height_mm=one.height_mm + 8.0)
    between = replace(one, height_mm=one.height_mm + 7.0)
    assert matched((one, higher), (between,)) == ((1, 0),)
    assert matched((between,), (one, higher)) == ((0, 1),)


def test_directions_are_held_against_each_other_the_short_way_round(one: Branch) -> None:
    ours, theirs = replace(one, azimuth_deg=355.0), replace(one, azimuth_deg=5.0)
    assert matched((ours,), (theirs,)) == ((0, 0),)


def test_a_bent_trunk_alone_tells_the_turn() -> None:
    bare = attach(
        attach(piece(100.0, 30.0, 0.0, 3.0), piece(100.0, 25.0, 70.0, 2.0), 0),
        piece(100.0, 20.0, 190.0, 2.0),
        1,
    )
    assert overlay(bare, turned(bare, 25.3)).turn_deg == pytest.approx(-25.3, abs=0.01)
    assert overlay(turned(bare, 25.3), bare).turn_deg == pytest.approx(25.3, abs=0.01)


def test_of_turns_that_lay_the_branches_alike_the_trunk_tells_the_right_one() -> None:
    """A wheel of six alike fits by 20 degrees back and by 40 on; only the bend says which it was."""
    tree = attach(piece(100.0, 30.0, 0.0, 3.0), piece(100.0, 25.0, 0.0, 1.0), 0)
    for spoke in range(6):
        tree = attach(tree, piece(80.0, 9.0, 60.0 * spoke, 0.0), 0)
    assert overlay(tree, turned(tree, 20.0)).turn_deg == pytest.approx(-20.0, abs=0.01)
    assert overlay(turned(tree, 20.0), tree).turn_deg == pytest.approx(20.0, abs=0.01)


def test_branches_of_an_upright_trunk_tell_the_turn_and_what_is_left() -> None:
    first = upright(10.0, 100.0, 220.0, 330.0)
    laid = overlay(first, upright(*(each + 12.5 for each in (10.0, 100.0, 220.0, 330.0))))
    assert laid.turn_deg == pytest.approx(-12.5, abs=0.01)
    assert laid.left_deg == pytest.approx(0.0, abs=0.01)
    # Two moved to the left and two to the right by 6 degrees: no turn, and 6 degrees are left on each.
    laid = overlay(first, upright(16.0, 94.0, 226.0, 324.0))
    assert laid.turn_deg == pytest.approx(0.0, abs=0.01)
    assert laid.left_deg == pytest.approx(6.0, abs=0.01)
    assert laid.pairs == ((0, 0), (1, 1), (2, 2), (3, 3))


def test_an_outline_is_turned_with_its_tree() -> None:
    """A lobe that points to the right points to the back after a quarter turn anticlockwise."""
    at = np.arange(36) * math.pi / 18.0
    outline = section_of(10.0, 20.0 + 4.0 * np.cos(at) + 2.0 * np.cos(2.0 * at))
    tree = replace(upright(40.0), sections=(outline,))
    (quarter,) = turned(tree, 90.0).sections
    assert quarter.radii_mm == pytest.approx(np.roll(outline.radii_mm, 9), abs=1e-4)
    far = outline_points_mm(quarter.radii_mm)[np.argmax(np.hypot(*outline_points_mm(quarter.radii_mm).T))]
    assert far == pytest.approx([0.0, 26.0], abs=1e-3)
