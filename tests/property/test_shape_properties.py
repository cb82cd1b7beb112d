"""Trees that are cut, split, turned and laid over each other: nothing is lost, the rest stays."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwise.structure.branching import branches
from ringwise.structure.crossings import crossings
from ringwise.structure.likely import likely, of_reading
from ringwise.structure.measured import How, MeasuredTree, attach, cut, reordered, split_off
from ringwise.structure.measures import measures, wood_mm3
from ringwise.structure.movement import movement
from ringwise.structure.overlay import overlay, turned
from ringwise.structure.section import section_of
from ringwise.structure.spread import spreads
from ringwise.structure.table import SegmentTable
from ringwise.structure.tape import Tape, TapeBranch, TapeGirth
from ringwise.structure.tape_branches import taken_rows
from ringwise.structure.tape_tree import tree_from_tape

FEW = settings(max_examples=12, deadline=None)


def tree(seed: int, branch_count: int = 5) -> MeasuredTree:
    """One of the likely trees behind a small tape, with an outline near the soil."""
    tape = Tape(
        400.0,
        (TapeGirth(10.0, 150.0), TapeGirth(120.0, 110.0)),
        tuple(
            TapeBranch(110.0 + 40.0 * i, (2.3 + 4.1 * i) % 12 or 12.0, 14.0 - i, 150.0 - 15.0 * i, 12)
            for i in range(branch_count)
        ),
    )
    table = tree_from_tape(tape, seed=seed)
    made = of_reading(table, taken_rows(table, tape))
    outline = section_of(10.0, 24.0 + 3.0 * np.cos(np.arange(24) * math.pi / 6.0), girth_sd_mm=0.4)
    return MeasuredTree(made.table, made.radius_sd_mm, made.position_sd_mm, made.how, (outline,))


def wood(measured: MeasuredTree) -> float:
    return float(wood_mm3(measured.table).sum())


@FEW
@given(st.integers(1, 10_000), st.floats(0.0, 0.999))
def test_a_split_keeps_every_segment_and_all_wood(seed: int, share: float) -> None:
    whole = tree(seed)
    row = int(share * whole.n)
    parted = split_off(whole, row)
    if parted.rest is None:
        assert parted.part.n == whole.n
        return
    assert parted.rest.n + parted.part.n == whole.n
    length = whole.table.length_mm.sum(dtype=np.float64)
    both = parted.rest.table.length_mm.sum(dtype=np.float64) + parted.part.table.length_mm.sum(
        dtype=np.float64
    )
    assert both == pytest.approx(length, rel=1e-6)
    rows = np.concatenate([parted.rest_rows, parted.part_rows])
    assert sorted(rows.tolist()) == list(range(whole.n))
    for column in ("radius_sd_mm", "position_sd_mm", "how"):
        ours = getattr(whole, column)
        assert np.array_equal(getattr(parted.rest, column), ours[parted.rest_rows], equal_nan=True)
        assert np.array_equal(getattr(parted.part, column), ours[parted.part_rows], equal_nan=True)
    assert np.array_equal(cut(whole, row).how, parted.rest.how)
    world = np.array(parted.part.origin_mm) + parted.part.table.end_mm
    assert world == pytest.approx(whole.table.end_mm[parted.part_rows], abs=1e-3)


@FEW
@given(st.integers(1, 10_000), st.floats(0.05, 0.95))
def test_a_split_shares_the_outlines_of_the_trunk(seed: int, share: float) -> None:
    whole = tree(seed)
    row = int(share * whole.n)
    parted = split_off(whole, row)
    rest = () if parted.rest is None else parted.rest.sections
    assert len(rest) + len(parted.part.sections) == 1


@FEW
@given(st.integers(1, 10_000))
def test_a_graft_adds_all_of_the_part(seed: int) -> None:
    stock, part = tree(seed), tree(seed + 1, branch_count=2)
    tip = int(np.nonzero(stock.table.continued_by < 0)[0][-1])
    joined = attach(stock, part, tip)
    assert joined.n == stock.n + part.n
    assert joined.how[stock.n :].tolist() == part.how.tolist()
    back = split_off(joined, stock.n)
    assert np.array_equal(back.part.table.wood_mm2, part.table.wood_mm2)


@FEW
@given(st.integers(1, 10_000), st.randoms(use_true_random=False))
def test_rows_in_any_order_come_back_with_their_columns(seed: int, chance: Random) -> None:
    whole = tree(seed, branch_count=2)
    order = list(range(whole.n))
    chance.shuffle(order)
    rows = np.array(order)
    place = np.argsort(rows)
    above = whole.table.parent[rows].astype(np.int64)
    mixed: SegmentTable = whole.table.taken(rows, np.where(above >= 0, place[above], -1))
    # Each row carries its old number in two columns, which tell whose it is in whatever order.
    sorted_again = reordered(MeasuredTree(mixed, rows, rows + 0.5, whole.how[rows]))
    was = sorted_again.radius_sd_mm.astype(int)
    assert sorted(was.tolist()) == list(range(whole.n))
    assert np.array_equal(sorted_again.position_sd_mm, was + 0.5)
    assert np.array_equal(sorted_again.how, whole.how[was])
    assert np.array_equal(sorted_again.table.wood_mm2, whole.table.wood_mm2[was])
    assert sorted_again.table.end_mm == pytest.approx(whole.table.end_mm[was], abs=1e-3)
    assert (sorted_again.table.parent < np.arange(whole.n)).all()


@FEW
@given(st.integers(1, 10_000), st.floats(-44.0, 44.0))
def test_an_overlay_finds_a_known_turn(seed: int, turn_deg: float) -> None:
    first = tree(seed)
    laid = overlay(first, turned(first, turn_deg))
    assert laid.turn_deg == pytest.approx(-turn_deg, abs=0.05)
    assert len(laid.pairs) == len(laid.first)
    assert laid.left_deg < 0.05


@FEW
@given(st.integers(1, 10_000), st.floats(-30.0, 30.0))
def test_an_overlay_finds_the_turn_of_a_tree_that_was_measured_anew(seed: int, turn_deg: float) -> None:
    """Read again with its errors of some millimetres, and thicker by a tenth."""
    first = tree(seed)
    second = likely(first, seed + 7)
    table = second.table
    grown = MeasuredTree(
        SegmentTable(
            **{
                **{name: getattr(table, name) for name in SegmentTable.__dataclass_fields__},
                "wood_mm2": table.wood_mm2 * 1.21,
            }
        ),
        second.radius_sd_mm,
        second.position_sd_mm,
        second.how,
    )
    laid = overlay(first, turned(grown, turn_deg))
    assert laid.turn_deg == pytest.approx(-turn_deg, abs=8.0)


@FEW
@given(st.integers(1, 10_000), st.floats(0.0, 360.0))
def test_measures_do_not_change_under_a_turn_but_azimuths_do(seed: int, turn_deg: float) -> None:
    first = tree(seed)
    second = turned(first, turn_deg)
    a, b = measures(first.table), measures(second.table)
    for name in ("height_mm", "base_girth_mm", "taper_ratio", "movement_frac", "wood_cm3"):
        assert getattr(b, name) == pytest.approx(getattr(a, name), rel=1e-4)
    assert b.spread_mm == pytest.approx(a.spread_mm, rel=0.01)  # read every two degrees
    ours, theirs = movement(first.table), movement(second.table)
    assert [t.height_mm for t in theirs.turns] == pytest.approx([t.height_mm for t in ours.turns], abs=0.01)
    for one, other in zip(branches(first), branches(second), strict=True):
        assert other.angle_deg == pytest.approx(one.angle_deg, abs=0.05)
        off = (other.azimuth_deg - one.azimuth_deg - turn_deg + 180.0) % 360.0 - 180.0
        assert off == pytest.approx(0.0, abs=0.05)
    assert second.sections[0].girth_mm == first.sections[0].girth_mm


@FEW
@given(st.integers(1, 10_000))
def test_spreads_are_never_negative_and_grow_with_the_readings(seed: int) -> None:
    first = tree(seed)
    wider = MeasuredTree(first.table, first.radius_sd_mm * 3.0, first.position_sd_mm * 3.0, first.how)
    one, three = spreads(first), spreads(wider)
    for name in ("height_mm", "base_girth_mm", "wood_cm3"):
        assert 0.0 < one[name] < three[name]
    with_others = spreads(first, [tree(seed + 1), tree(seed + 2)])
    assert with_others["movement_frac"] >= one["movement_frac"]


@FEW
@given(st.integers(1, 10_000))
def test_shares_of_branches_are_shares(seed: int) -> None:
    found = branches(tree(seed))
    assert sum(each.wood_frac for each in found if each.order == 1) < 1.0
    for each in found:
        assert each.parent < found.index(each)
        assert 0.0 < each.tips_frac <= 1.0
        assert each.order == 1 or found[each.parent].order < each.order


@FEW
@given(st.integers(1, 10_000))
def test_a_branch_crosses_none_but_another(seed: int) -> None:
    """Held against the ways between points along both pieces of wood, and against whose each piece is."""
    whole = tree(seed)
    table = whole.table
    heads = [each.row for each in branches(whole, most_order=1)]

    def head_of(row: int) -> int:
        while row not in heads:
            row = int(table.parent[row])
        return row

    share = np.linspace(0.0, 1.0, 60)[:, None]
    pairs = crossings(table, heads, gap_mm=1.0, least_mm=1.0)
    assert len({frozenset((head_of(a), head_of(b))) for a, b in pairs}) == len(pairs)
    for a, b in pairs:
        assert head_of(a) != head_of(b)
        one, other = (table.start_mm[row] * (1.0 - share) + table.end_mm[row] * share for row in (a, b))
        away = np.linalg.norm(one[:, None] - other[None], axis=2).min()
        assert away - (table.diameter_mm[a] + table.diameter_mm[b]) / 2.0 < 1.0 + 0.2


def test_every_way_of_measuring_has_its_own_number() -> None:
    """The numbers are part of kept files and never change."""
    assert {each.name: each.value for each in How} == {
        "ASSUMED": 0,
        "PIPE": 1,
        "TAPE": 2,
        "CALLIPER": 3,
        "TRACED": 4,
        "OVERLAPPED": 5,
        "IMAGE": 6,
        "FILLED": 7,
        "IMPORTED": 8,
        "GROWN": 9,
    }
