"""Branches of trees built by hand: whose they are, how thick, how long, how sure, in which order."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ringwise.structure.branching import branches, ramification
from ringwise.structure.measured import How, MeasuredTree, attach, measured_of
from ringwise.structure.measuring_data import measuring
from ringwise.structure.table import single_segment

UP, RIGHT, BACK = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)


def piece(
    length_mm: float,
    diameter_mm: float,
    way: tuple[float, float, float] = UP,
    *,
    radius_sd_mm: float = 0.1,
    position_sd_mm: float = 1.0,
    how: How = How.IMAGE,
) -> MeasuredTree:
    table = replace(single_segment(length_mm=length_mm, diameter_mm=diameter_mm), direction=np.array([way]))
    return measured_of(table, radius_sd_mm=radius_sd_mm, position_sd_mm=position_sd_mm, how=how)


def bent_branch(how: How = How.IMAGE) -> MeasuredTree:
    """A trunk of 20 and 12 mm; at 100 mm a branch of 8 mm, 40 mm to the right and then 100 mm to the back."""
    tree = attach(piece(100.0, 20.0, position_sd_mm=3.0), piece(100.0, 12.0), 0)
    tree = attach(tree, piece(20.0, 8.0, RIGHT, radius_sd_mm=0.4, position_sd_mm=4.0, how=how), 0)
    return attach(attach(tree, piece(20.0, 7.0, RIGHT), 2), piece(100.0, 6.0, BACK), 3)


def test_sizes_and_spreads_of_a_branch_are_those_of_its_foot_and_its_bearer() -> None:
    (branch,) = branches(bent_branch())
    assert (branch.row, branch.parent, branch.order) == (2, -1, 1)
    assert branch.height_mm == pytest.approx(100.0)
    assert branch.base_diameter_mm == pytest.approx(8.0)
    assert branch.trunk_mm == pytest.approx(12.0)  # of the bearing wood up there, not down at its own foot
    assert branch.length_mm == pytest.approx(140.0)
    assert branch.base_diameter_sd_mm == pytest.approx(0.8)
    assert branch.height_sd_mm == pytest.approx(3.0)
    assert branch.length_sd_mm == pytest.approx(5.0)  # 3 and 4 mm at its two ends


def test_a_branch_lies_where_its_wood_is_and_heads_where_it_begins() -> None:
    (branch,) = branches(bent_branch())
    assert branch.heading_deg == pytest.approx(0.0, abs=1e-6)
    assert 45.0 < branch.azimuth_deg < 80.0  # most of its wood lies to the back
    assert branch.clock == pytest.approx((90.0 - branch.azimuth_deg) / 30.0, abs=1e-6)  # between 12 and 3


def test_a_direction_read_off_the_clock_is_less_sure_by_what_a_clock_tells() -> None:
    seen, by_clock = (branches(bent_branch(how))[0].azimuth_sd_deg for how in (How.IMAGE, How.CALLIPER))
    assert math.sqrt(by_clock**2 - seen**2) == pytest.approx(measuring("reading", "clock_sd_deg"))


def test_shares_of_tips_and_of_wood() -> None:
    def frustum(low_mm: float, high_mm: float, length_mm: float) -> float:  # solid geometry
        return math.pi / 12.0 * length_mm * (low_mm**2 + low_mm * high_mm + high_mm**2)

    table = bent_branch().table
    ends = [float(table.end_diameter_mm[row]) for row in (1, 4)]
    own = frustum(8.0, 7.0, 20.0) + frustum(7.0, 6.0, 20.0) + frustum(6.0, ends[1], 100.0)
    trunk = frustum(20.0, 12.0, 100.0) + frustum(12.0, ends[0], 100.0)
    (branch,) = branches(bent_branch())
    assert (branch.tips, branch.tips_frac) == (1, 0.5)
    assert branch.wood_frac == pytest.approx(own / (own + trunk), rel=1e-5)


def test_the_lowest_comes_first_and_each_is_followed_by_its_own() -> None:
    tree = attach(attach(piece(100.0, 20.0), piece(100.0, 16.0), 0), piece(100.0, 12.0), 1)
    tree = attach(tree, piece(50.0, 5.0, RIGHT), 1)  # the upper one is measured first
    tree = attach(tree, piece(50.0, 7.0, RIGHT), 0)
    tree = attach(attach(tree, piece(50.0, 6.0, RIGHT), 4), piece(50.0, 3.0, BACK), 4)
    found = branches(tree)
    assert [each.row for each in found] == [4, 6, 3]
    assert [each.parent for each in found] == [-1, 0, -1]
    assert [each.order for each in found] == [1, 2, 1]
    assert [each.row for each in branches(tree, most_order=1)] == [4, 3]


def test_a_branch_of_a_twig_that_is_too_thin_to_be_told_is_the_trunks() -> None:
    """Pictures may tell wood thinner where it leaves than beyond; the list has no place for the twig."""
    tree = attach(piece(100.0, 20.0), piece(100.0, 16.0), 0)
    tree = attach(tree, piece(20.0, 0.5, RIGHT), 0)
    tree = attach(attach(tree, piece(50.0, 3.0, RIGHT), 2), piece(40.0, 2.0, BACK), 2)
    assert [(each.row, each.parent, each.order) for each in branches(tree)] == [(4, -1, 2)]
    assert [(each.row, each.parent) for each in branches(tree, twigs=True)] == [(2, -1), (4, 0)]


def test_counts_and_internodes_of_a_small_tree() -> None:
    tree = attach(attach(piece(100.0, 20.0), piece(70.0, 16.0), 0), piece(50.0, 9.0, RIGHT), 0)
    fine = ramification(attach(tree, piece(40.0, 5.0, BACK), 2).table)
    # Rows 0 and 1 are the trunk, 2 and 3 the branch; only 1 and 3 carry no fork between them and a tip.
    assert (fine.strahler_counts, fine.gravelius_counts, fine.tips) == ((2, 1), (1, 1), 2)
    assert fine.gravelius_lengths_mm == pytest.approx((170.0, 90.0))
    assert fine.internode_mm == pytest.approx((70.0 + 90.0) / 2.0)


def test_a_rising_branch_stands_where_it_leaves_the_trunk() -> None:
    tree = attach(attach(piece(100.0, 20.0), piece(100.0, 12.0), 0), piece(60.0, 8.0, (0.6, 0.0, 0.8)), 0)
    (branch,) = branches(tree)
    assert branch.height_mm == pytest.approx(100.0)
    assert branch.angle_deg == pytest.approx(math.degrees(math.acos(0.8)), abs=1e-3)
