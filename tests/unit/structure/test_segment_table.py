"""The segment table: read-only, positions, diameters, and checks that name the segment."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ringwise.kit.errors import StructureError
from ringwise.structure.table import SegmentTable, checked, single_segment, sum_to_root


def fork() -> SegmentTable:
    """A 100 mm stem that forks at its top into a thick upright and a thin level shoot."""
    return SegmentTable(
        parent=np.array([-1, 0, 0]),
        order=np.array([0, 0, 1]),
        born=np.array([2020, 2021, 2021]),
        length_mm=np.array([100.0, 50.0, 30.0]),
        direction=np.array([[0, 0, 1.0], [0, 0, 1.0], [1.0, 0, 0]]),
        wood_mm2=np.pi / 4 * np.array([10.0, 8.0, 4.0]) ** 2,
        sapwood_mm2=np.pi / 4 * np.array([10.0, 8.0, 4.0]) ** 2,
        leaf_cm2=np.array([0.0, 20.0, 10.0]),
        buds=np.array([0, 1, 1]),
        clone=np.array([0, 0, 0]),
        flags=np.array([1, 1, 0]),
    )


def test_positions_follow_the_parents() -> None:
    table = fork()
    np.testing.assert_allclose(table.end_mm, [[0, 0, 100], [0, 0, 150], [30, 0, 100]])
    np.testing.assert_allclose(table.start_mm, [[0, 0, 0], [0, 0, 100], [0, 0, 100]])


def test_diameters_come_from_the_area_and_taper_to_the_child_that_continues() -> None:
    table = fork()
    np.testing.assert_allclose(table.diameter_mm, [10.0, 8.0, 4.0], rtol=1e-6)
    assert table.continued_by.tolist() == [1, -1, -1]
    np.testing.assert_allclose(table.end_diameter_mm[0], 8.0, rtol=1e-6)
    assert (table.end_diameter_mm <= table.diameter_mm).all()


def test_an_upper_end_is_never_thicker_than_its_own_lower_end() -> None:
    wood = fork().wood_mm2.copy()
    wood[1] = 400.0
    assert replace(fork(), wood_mm2=wood).end_diameter_mm[0] == pytest.approx(10.0, rel=1e-6)


def test_arrays_cannot_be_written_and_do_not_follow_the_caller() -> None:
    mine = np.array([100.0, 50.0, 30.0], dtype=np.float32)
    table = replace(fork(), length_mm=mine)
    mine[0] = 1.0
    assert table.length_mm[0] == 100.0
    with pytest.raises(ValueError, match="read-only"):
        table.length_mm[0] = 5.0
    with pytest.raises(ValueError, match="read-only"):
        table.end_mm[0, 0] = 5.0


@pytest.mark.parametrize(
    ("column", "row", "value", "why"),
    [
        ("parent", 1, 2, "parent does not come before"),
        ("parent", 1, 1, "parent does not come before"),
        ("parent", 2, -1, "only the first segment is the root"),
        ("parent", 2, -7, "below -1"),
        ("length_mm", 2, 0.0, "length is not positive"),
        ("length_mm", 1, math.nan, "length is not positive"),
        ("wood_mm2", 1, -3.0, "wood area is not positive"),
        ("wood_mm2", 2, math.inf, "wood area is not positive"),
        ("sapwood_mm2", 1, 1e4, "more than its wood"),
        ("leaf_cm2", 2, -0.1, "leaf area is negative"),
    ],
)
def test_a_bad_segment_is_named_with_the_reason(column: str, row: int, value: float, why: str) -> None:
    values = getattr(fork(), column).copy()
    values[row] = value
    with pytest.raises(StructureError, match=rf"segment {row} of 3: .*{why}"):
        checked(replace(fork(), **{column: values}))


def test_a_direction_that_is_no_unit_vector_is_named() -> None:
    direction = fork().direction.copy()
    direction[2] = [0.5, 0, 0]
    with pytest.raises(StructureError, match="segment 2 of 3: its direction"):
        checked(replace(fork(), direction=direction))


def test_columns_of_unequal_length_are_refused() -> None:
    with pytest.raises(StructureError, match="leaf_cm2 has shape"):
        checked(replace(fork(), leaf_cm2=np.zeros(2)))


def test_a_good_table_passes_as_itself() -> None:
    table = fork()
    assert checked(table) is table
    assert checked(single_segment(length_mm=5.0, diameter_mm=1.0)).n == 1


def test_sums_to_the_root_agree_with_a_walk_down_a_long_chain() -> None:
    parent = np.arange(-1, 999)
    values = np.linspace(0.1, 2.0, 1000)
    np.testing.assert_allclose(sum_to_root(parent, values), np.cumsum(values), rtol=1e-12)
