"""The compiled measures of a year against those of structure on the table of the same tree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from growing_trees import random_table

from ringwise.futures import measure_kernels
from ringwise.futures import outcome as out
from ringwise.futures.measure_limits import measure_limits
from ringwise.growth import layout as at
from ringwise.growth.start import Arrays, Condition, empty_arrays, start_arrays, table_of
from ringwise.structure.branching import branches, ramification
from ringwise.structure.crown_form import crown_form
from ringwise.structure.faults import Seen, faults
from ringwise.structure.measured import measured_of
from ringwise.structure.measures import lowest_branch, measures
from ringwise.structure.movement import movement
from ringwise.structure.table import SegmentTable

SEEDS = range(1, 25)
HALF_A_BIN_MM = 0.5


def _bushy(seed: int) -> SegmentTable:
    """A trunk with branches of all thicknesses, some on one level, each forked at random."""
    rng = np.random.default_rng(seed)
    parent, wood, heading = [-1], [900.0], [(0.0, 0.0, 1.0)]
    for row in range(1, 25):
        parent.append(row - 1)
        wood.append(wood[-1] * rng.uniform(0.8, 1.08))
        heading.append((*rng.normal(size=2) * 0.2, 1.0))
    places = rng.choice(np.arange(4, 24), size=5, replace=False)
    for place in [*places.tolist(), *rng.choice(places, size=int(rng.integers(0, 3))).tolist()]:
        first, out_mm = len(parent), (*rng.normal(size=2), 0.3)
        for piece in range(8):
            parent.append(
                place if piece == 0 else int(rng.integers(max(first, len(parent) - 3), len(parent)))
            )
            above = wood[parent[-1]]
            wood.append(above * (rng.uniform(0.02, 0.95) if piece == 0 else rng.uniform(0.3, 0.9)))
            heading.append(tuple(np.add(out_mm, rng.normal(size=3) * 0.4).tolist()))
    n = len(parent)
    direction = np.array(heading) / np.linalg.norm(heading, axis=1)[:, None]
    return replace(
        random_table(seed, n),
        parent=np.array(parent),
        direction=direction,
        wood_mm2=np.array(wood),
        sapwood_mm2=np.array(wood) / 2,
    )


def _grown(seed: int, sectors: tuple[bool, ...] = (True,) * 12) -> Arrays:
    return start_arrays(_bushy(seed), Condition(6.0, sectors=sectors), first_year=0)


def _measured(tree: Arrays) -> dict[str, float]:
    row = np.zeros(out.KEPT)
    measure_kernels.measure(tree, empty_arrays(4), measure_limits(), row)
    return dict(zip(out.MEASURES, row.tolist(), strict=True))


@pytest.mark.parametrize("seed", SEEDS)
def test_sizes_and_orders_are_those_of_structure(seed: int) -> None:
    tree = _grown(seed)
    table = table_of(tree, first_year=0)
    found, size, fine = _measured(tree), measures(table), ramification(table)
    assert found["base_mm"] == pytest.approx(size.base_diameter_mm, rel=1e-5)
    assert found["height_mm"] == pytest.approx(size.height_mm, rel=1e-5)
    assert found["taper_ratio"] == pytest.approx(size.taper_ratio, rel=1e-4)
    assert (found["tips_n"], found["strahler_n"]) == (size.tips, size.strahler)
    assert found["tips_dm2"] == pytest.approx(
        size.tips / (size.height_mm * size.spread_front_mm * 1e-4), rel=1e-4
    )
    assert fine.internode_mm is not None
    assert found["internode_mm"] == pytest.approx(fine.internode_mm, abs=HALF_A_BIN_MM)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_lowest_branch_and_the_leader_are_those_of_structure(seed: int) -> None:
    tree = _grown(seed)
    table = table_of(tree, first_year=0)
    found, crown = _measured(tree), crown_form(table)
    mains = branches(measured_of(table), most_order=1)
    assert found["first_branch_frac"] == pytest.approx(measures(table).first_branch_frac, rel=1e-5)
    lowest = next(each for each in mains if each.row == lowest_branch(table))
    assert found["branch_ratio"] == pytest.approx(lowest.base_diameter_mm / lowest.trunk_mm, rel=1e-4)
    assert found["leader_frac"] == pytest.approx(crown.leader_frac, rel=1e-5)
    assert found["leader_wood_frac"] == pytest.approx(crown.leader_wood_frac, rel=1e-4)


def _kinds(found: dict[str, float]) -> set[str]:
    bits = int(found["fault_bits"])
    return {kind for place, kind in enumerate(out.FAULT_KINDS) if bits >> place & 1}


def test_faults_are_those_of_structure() -> None:
    seen: set[str] = set()
    for seed in range(1, 81):
        rng = np.random.default_rng(seed)
        sectors = tuple(bool(each) for each in rng.uniform(size=12) < 0.5)
        tree = _grown(seed, sectors)
        table = table_of(tree, first_year=0)
        measured = measured_of(table)
        rules = Seen(
            measured,
            branches(measured, most_order=1),
            movement(table),
            float(table.end_mm[:, 2].max()),
            root_sectors=sectors,
            lines_seen=False,
        )
        wanted = {each.kind for each in faults(rules)} & set(out.FAULT_KINDS)
        assert _kinds(_measured(tree)) == wanted
        seen |= wanted
    assert seen == set(out.FAULT_KINDS)  # every rule has been met


def test_wounds_decay_and_wire_marks_are_counted() -> None:
    tree = _grown(1)
    tree[0][at.WOUND, [3, 9]] = 12.0, 30.0
    tree[0][at.BITE, 5] = 1.5
    tree[1][at.FLAGS, 9] |= at.DECAYED
    found = _measured(tree)
    assert (found["wounds_n"], found["wound_mm"], found["decayed_n"], found["bite_mm"]) == (2, 30, 1, 1.5)


def test_a_measure_leaves_no_mark_and_a_dead_tree_none_but_its_hours() -> None:
    tree = _grown(2)
    tree[3][at.HOURS] = 7.0
    _measured(tree)
    assert not tree[1][at.MARK].any()
    tree[3][at.ALIVE] = 0.0
    found = _measured(tree)
    assert {name: value for name, value in found.items() if value} == {"hours_h": 7.0}


def test_a_single_line_has_no_first_branch_and_leads_to_its_top() -> None:
    table = random_table(1, 6)
    line = table.taken(np.arange(3), np.array([-1, 0, 1]))
    found = _measured(start_arrays(line, Condition(6.0), first_year=0))
    for name in ("first_branch_frac", "branch_ratio", "internode_mm", "leader_wood_frac"):
        assert found[name] == out.UNKNOWN
    assert found["leader_frac"] == 1.0


def test_the_second_tree_is_measured_beside_the_first() -> None:
    first, second = _grown(3), _grown(4)
    first[3][at.SECOND] = 1.0
    row = np.zeros(out.KEPT)
    measure_kernels.measure(first, second, measure_limits(), row)
    size = measures(table_of(second, first_year=0))
    assert row[out.SECOND_HEIGHT] == pytest.approx(size.height_mm, rel=1e-5)
    assert row[out.SECOND_TIPS] == size.tips
    assert row[out.SECOND_BASE] == pytest.approx(size.base_diameter_mm, rel=1e-5)
