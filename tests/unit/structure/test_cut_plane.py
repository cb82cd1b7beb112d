"""What the cutting plane tells agrees with the tree cut in two by the table's own operations."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ringwise.kit.errors import RangeError
from ringwise.structure.basics import tape_from_basics
from ringwise.structure.cut_plane import Cut, cut_at, cut_plane
from ringwise.structure.forms import TreeForm
from ringwise.structure.measured import MeasuredTree, measured_of, split_off
from ringwise.structure.measures import measures
from ringwise.structure.section import section_of
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape_tree import tree_from_tape
from ringwise.structure.topology import tip_count


@pytest.fixture(params=[0, 5])
def table(request: pytest.FixtureRequest) -> SegmentTable:
    """A tree of a few thousand segments."""
    form = TreeForm()
    return tree_from_tape(
        tape_from_basics(60.0, 520.0, form, seed=request.param), seed=request.param, form=form
    )


def parted(measured: MeasuredTree, node: int) -> tuple[Cut, MeasuredTree, MeasuredTree]:
    """A cut just above a node as told from the arrays, and the tree split there."""
    plane = cut_plane(measured)
    parts = split_off(measured, int(plane.trunk_rows[node]))
    assert parts.rest is not None
    return cut_at(plane, float(np.nextafter(plane.along_mm[node], np.inf))), parts.rest, parts.part


@pytest.mark.parametrize("share", [0.1, 0.35, 0.6, 0.9])
def test_both_sides_are_those_of_the_tree_split_there(table: SegmentTable, share: float) -> None:
    measured = measured_of(table)
    node = max(1, round(share * len(cut_plane(measured).trunk_rows)))
    cut, rest, part = parted(measured, node)
    above, below = measures(part.table), measures(rest.table)
    assert cut.above.height_mm == pytest.approx(above.height_mm, rel=1e-5)
    assert cut.below.height_mm == pytest.approx(below.height_mm, rel=1e-5)
    assert cut.above.tips == above.tips
    # a stub without branches above it counts as a tip of the table, and is none
    is_stub = int(rest.table.continued_by[int(cut_plane(measured).trunk_rows[node - 1])] < 0)
    assert cut.below.tips == int(tip_count(rest.table)[0]) - is_stub
    assert cut.above.width_mm == pytest.approx(above.spread_front_mm, rel=1e-4, abs=0.01)
    assert cut.above.girth_mm == pytest.approx(math.pi * float(part.table.diameter_mm[0]), rel=1e-5)
    assert cut.girth_mm == cut.above.girth_mm
    assert cut.below.girth_mm == pytest.approx(measures(table).base_girth_mm, rel=1e-6)


def test_nothing_is_lost_between_the_sides(table: SegmentTable) -> None:
    plane = cut_plane(measured_of(table))
    whole = measures(table)
    for along in np.linspace(0.0, plane.along_mm[-1], 23):
        cut = cut_at(plane, float(along))
        assert cut.above.tips + cut.below.tips == whole.tips
        highest = max(cut.height_mm + cut.above.height_mm, cut.below.height_mm)
        assert highest == pytest.approx(whole.height_mm, rel=1e-6)


def test_every_segment_has_the_node_where_its_branch_leaves(table: SegmentTable) -> None:
    plane = cut_plane(measured_of(table))
    trunk = {int(row): k for k, row in enumerate(plane.trunk_rows)}
    for row in range(table.n):  # the slow way: down the parents until the trunk
        below = row
        while below not in trunk:
            below = int(table.parent[below])
        assert plane.node[row] == (trunk[row] if row in trunk else trunk[below] + 1)


def test_a_hollow_trunk_has_the_girth_of_a_tape(table: SegmentTable) -> None:
    radii = 30.0 + 6.0 * np.cos(3.0 * np.linspace(0.0, 2.0 * math.pi, 48, endpoint=False))
    section = section_of(20.0, radii)
    lobed = replace(measured_of(table), sections=(section,))
    round_one, wide = cut_plane(measured_of(table)), cut_plane(lobed)
    assert np.all(
        wide.girth_mm / round_one.girth_mm == pytest.approx(wide.girth_mm[0] / round_one.girth_mm[0])
    )
    at = float(np.interp(20.0, wide.place_mm[:, 2], wide.along_mm))
    assert cut_at(wide, at).girth_mm == pytest.approx(section.girth_mm, rel=0.01)


@pytest.mark.parametrize("along", [-0.1, 1e6, math.nan])
def test_a_cut_beside_the_trunk_is_refused(table: SegmentTable, along: float) -> None:
    with pytest.raises(RangeError, match="way along the trunk"):
        cut_at(cut_plane(measured_of(table)), along)
