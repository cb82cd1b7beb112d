"""Side columns and outlines stay with their own segment through grafts, cuts and sorting; trees by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ringwise.structure.measured import How, MeasuredTree, attach, measured_of, reordered, split_off
from ringwise.structure.section import section_of
from ringwise.structure.table import single_segment

UP, ASIDE = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)


def piece(
    number: int, diameter_mm: float, way: tuple[float, float, float] = UP, outline_mm: float | None = None
) -> MeasuredTree:
    """A segment of 100 mm; its number is told by each of its side columns in another way."""
    table = replace(single_segment(length_mm=100.0, diameter_mm=diameter_mm), direction=np.array([way]))
    made = measured_of(
        table,
        radius_sd_mm=0.5 * number,
        position_sd_mm=10.0 * number,
        how=(How.PIPE, How.TAPE, How.IMAGE)[number % 3],
    )
    outlines = () if outline_mm is None else (section_of(outline_mm, [diameter_mm / 2.0] * 12),)
    return replace(made, sections=outlines)


def told(tree: MeasuredTree) -> list[tuple[float, float, int]]:
    columns = (tree.radius_sd_mm, tree.position_sd_mm, tree.how)
    return list(zip(*(each.tolist() for each in columns), strict=True))


def number_of(number: int) -> tuple[float, float, int]:
    return 0.5 * number, 10.0 * number, int((How.PIPE, How.TAPE, How.IMAGE)[number % 3])


def heights(tree: MeasuredTree | None) -> list[float]:
    return [] if tree is None else [each.height_mm for each in tree.sections]


@pytest.fixture
def tree() -> MeasuredTree:
    """A trunk of pieces 1, 2 and 3 with outlines at 50, 120 and 230 mm; piece 4 to the right at 100 mm."""
    foot = replace(piece(1, 20.0, outline_mm=50.0), origin_mm=(7.0, 8.0, 9.0))
    trunk = attach(attach(foot, piece(2, 16.0, outline_mm=20.0), 0), piece(3, 12.0, outline_mm=30.0), 1)
    return attach(trunk, piece(4, 6.0, ASIDE, outline_mm=40.0), 0)


def test_a_graft_keeps_each_column_and_lifts_the_outlines_of_what_lengthens_the_trunk(
    tree: MeasuredTree,
) -> None:
    assert told(tree) == [number_of(each) for each in (1, 2, 3, 4)]
    assert heights(tree) == [50.0, 120.0, 230.0]  # the branch's own outline is none of the trunk's
    assert tree.origin_mm == (7.0, 8.0, 9.0)
    longer = attach(tree, piece(5, 3.0, ASIDE, outline_mm=40.0), 3)
    assert heights(longer) == [50.0, 120.0, 230.0]
    assert told(longer)[4] == number_of(5)


def test_a_cut_through_the_trunk_parts_columns_and_outlines(tree: MeasuredTree) -> None:
    parted = split_off(tree, 1)
    assert parted.rest is not None
    assert told(parted.rest) == [number_of(1), number_of(4)]
    assert told(parted.part) == [number_of(2), number_of(3)]
    assert (heights(parted.rest), heights(parted.part)) == ([50.0], [20.0, 130.0])
    assert (parted.rest.origin_mm, parted.part.origin_mm) == ((7.0, 8.0, 9.0), (7.0, 8.0, 109.0))


def test_a_cut_at_a_branch_leaves_all_outlines_with_the_trunk(tree: MeasuredTree) -> None:
    parted = split_off(tree, 3)
    assert told(parted.part) == [number_of(4)]
    assert (heights(parted.rest), heights(parted.part)) == ([50.0, 120.0, 230.0], [])


def test_sorting_moves_every_column_with_its_row(tree: MeasuredTree) -> None:
    was = np.array([2, 3, 0, 1])
    mixed = MeasuredTree(
        tree.table.taken(was, np.array([3, 2, -1, 2])),
        tree.radius_sd_mm[was],
        tree.position_sd_mm[was],
        tree.how[was],
        tree.sections,
        tree.origin_mm,
    )
    back = reordered(mixed)
    by_width = {20.0: 1, 16.0: 2, 12.0: 3, 6.0: 4}
    numbers = [by_width[round(float(each), 3)] for each in back.table.diameter_mm]
    assert sorted(numbers) == [1, 2, 3, 4]
    assert told(back) == [number_of(each) for each in numbers]
    assert (heights(back), back.origin_mm) == (heights(tree), tree.origin_mm)
