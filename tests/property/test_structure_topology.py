"""Random trees: cutting, parting and joining lose and invent nothing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringwise.kit.errors import RangeError, StructureError
from ringwise.structure.measured import cut, measured_of
from ringwise.structure.orders import gravelius_order, strahler_order
from ringwise.structure.surgery import attach, kept, reordered, split_off
from ringwise.structure.table import SegmentTable, checked
from ringwise.structure.topology import children, depth, subtree_mask, sum_to_tips, tip_count


@st.composite
def trees(draw: st.DrawFn) -> SegmentTable:
    """Any tree of 1 to 60 segments with arbitrary forks, lengths and thicknesses."""
    n = draw(st.integers(1, 60))
    parent = [-1] + [draw(st.integers(0, row - 1)) for row in range(1, n)]
    numbers = np.array(draw(st.lists(st.floats(0.5, 50.0), min_size=2 * n, max_size=2 * n)))
    angle = numbers[:n]
    direction = np.stack([np.sin(angle), np.zeros(n), np.cos(angle)], axis=1)
    wood = numbers[n:] ** 2
    return SegmentTable(
        parent=np.array(parent),
        order=np.zeros(n),
        born=np.full(n, 2020),
        length_mm=numbers[:n],
        direction=direction,
        wood_mm2=wood,
        sapwood_mm2=wood,
        leaf_cm2=numbers[n:],
        buds=np.ones(n),
        clone=np.arange(n) % 3,
        flags=np.zeros(n),
    )


def _walk(parent: list[int], row: int) -> list[int]:
    path = [row]
    while parent[path[-1]] >= 0:
        path.append(parent[path[-1]])
    return path


@given(trees(), st.data())
def test_a_cut_removes_exactly_the_subtree(table: SegmentTable, data: st.DataObject) -> None:
    row = data.draw(st.integers(0, table.n - 1))
    parent = table.parent.tolist()
    expected = [r for r in range(table.n) if row in _walk(parent, r)]
    assert np.nonzero(subtree_mask(table, row))[0].tolist() == expected
    if row == 0:
        with pytest.raises(StructureError):
            cut(measured_of(table), row)
        return
    rest = checked(cut(measured_of(table), row).table)
    assert rest.n == table.n - len(expected)


@given(trees(), st.data())
def test_parting_keeps_both_parts_and_every_column(table: SegmentTable, data: st.DataObject) -> None:
    row = data.draw(st.integers(0, table.n - 1))
    parted = split_off(table, row)
    part = checked(parted.part)
    assert part.n + (parted.rest.n if parted.rest else 0) == table.n
    np.testing.assert_array_equal(part.leaf_cm2, table.leaf_cm2[parted.part_rows])
    shift = table.start_mm[row]
    np.testing.assert_allclose(part.end_mm, table.end_mm[parted.part_rows] - shift, atol=1e-3)
    if parted.rest is not None:
        np.testing.assert_allclose(checked(parted.rest).end_mm, table.end_mm[parted.rest_rows], atol=1e-3)


@given(trees(), trees(), st.data())
def test_joining_and_cutting_again_gives_the_stock_back(
    stock: SegmentTable, scion: SegmentTable, data: st.DataObject
) -> None:
    row = data.draw(st.integers(0, stock.n - 1))
    joined = checked(attach(stock, scion, row))
    assert joined.n == stock.n + scion.n
    parted = split_off(joined, stock.n)
    assert parted.rest is not None
    np.testing.assert_array_equal(parted.rest.parent, stock.parent)
    np.testing.assert_array_equal(parted.part.parent, scion.parent)
    np.testing.assert_array_equal(parted.part.clone, scion.clone)


@given(trees(), st.randoms(use_true_random=False))
def test_any_row_order_is_put_right(table: SegmentTable, chance: object) -> None:
    rows = list(range(table.n))
    chance.shuffle(rows)  # type: ignore[attr-defined]
    place = {old: new for new, old in enumerate(rows)}
    parent = [place[p] if p >= 0 else -1 for p in table.parent[rows].tolist()]
    again = checked(reordered(table.taken(np.array(rows), np.array(parent))))
    np.testing.assert_allclose(np.sort(again.end_mm[:, 2]), np.sort(table.end_mm[:, 2]), atol=1e-3)


@given(trees())
def test_sums_depths_children_and_orders_agree_with_a_plain_walk(table: SegmentTable) -> None:
    parent = table.parent.tolist()
    assert depth(table.parent).tolist() == [len(_walk(parent, r)) - 1 for r in range(table.n)]
    below = np.zeros(table.n)
    for row in range(table.n):
        for each in _walk(parent, row):
            below[each] += float(table.leaf_cm2[row])
    np.testing.assert_allclose(sum_to_tips(table.parent, table.leaf_cm2), below, rtol=1e-9)
    lists = children(table)
    strahler, gravelius = strahler_order(table), gravelius_order(table)
    tips = 0
    for row in reversed(range(table.n)):
        mine = [r for r in range(table.n) if parent[r] == row]
        assert lists.of(row).tolist() == mine
        orders = sorted((int(strahler[r]) for r in mine), reverse=True)
        wanted = 1 if not orders else orders[0] + (len(orders) > 1 and orders[0] == orders[1])
        assert strahler[row] == wanted
        assert (
            sorted(int(gravelius[r]) - int(gravelius[row]) for r in mine)
            == [0, *[1] * len(mine)][: len(mine)]
        )
        tips += not mine
    assert tip_count(table)[0] == tips


def test_a_circle_is_named_and_a_missing_segment_refused() -> None:
    two = SegmentTable(
        parent=np.array([-1, 2, 1]),
        order=np.zeros(3),
        born=np.zeros(3),
        length_mm=np.ones(3),
        direction=np.tile([0.0, 0.0, 1.0], (3, 1)),
        wood_mm2=np.ones(3),
        sapwood_mm2=np.ones(3),
        leaf_cm2=np.ones(3),
        buds=np.ones(3),
        clone=np.zeros(3),
        flags=np.zeros(3),
    )
    with pytest.raises(StructureError, match="segment 1 of 3: its parents go in a circle"):
        reordered(two)
    with pytest.raises(RangeError, match="segment is 9; accepted: 0 to 2"):
        subtree_mask(two, 9)
    with pytest.raises(StructureError, match="segment 2 of 3: its parent is removed"):
        kept(two, np.array([True, False, True]))
