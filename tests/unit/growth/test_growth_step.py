"""A tree left to itself: it repeats, thickens, branches, and answers pot, vigour and apical control."""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.start import Condition, start_arrays, table_of
from ringwise.growth.step import Luck, base_growth_mm, grow, grow_with
from ringwise.kit.errors import RangeError, StructureError
from ringwise.structure.measures import measures
from ringwise.structure.table import SegmentTable, checked, single_segment

STEM = single_segment(length_mm=60.0, diameter_mm=4.0)
LIFE = biology(("zelkova_serrata", "zelkova"))


def _years(volume_l: float, years: int, future: int = 0) -> SegmentTable:
    return grow(STEM, LIFE, Condition(volume_l), years=years, luck=Luck(3, future))


def test_growth_repeats_bit_by_bit_and_differs_by_future() -> None:
    one, two, other = _years(6.0, 6), _years(6.0, 6), _years(6.0, 6, future=1)
    for name in ("parent", "length_mm", "direction", "wood_mm2", "leaf_cm2"):
        np.testing.assert_array_equal(getattr(one, name), getattr(two, name))
    assert other.n != one.n or not np.array_equal(one.wood_mm2, other.wood_mm2)


def test_a_longer_life_begins_as_the_shorter_one() -> None:
    short, long = _years(6.0, 3), _years(6.0, 5)
    assert measures(long).height_mm >= 0.95 * measures(short).height_mm
    assert base_growth_mm(short, long) > 0


def test_a_seedling_in_open_ground_becomes_a_tree() -> None:
    grown = [measures(_years(math.inf, 8, future)) for future in range(8)]
    assert min(each.tips for each in grown) > 10  # slow seedlings are among them
    assert np.median([each.tips for each in grown]) > 50
    assert 1000 < np.median([each.height_mm for each in grown]) < 8000
    # open ground: 1.3 cm a year at breast height is the published rate of the species, at planting size
    assert 20 < np.median([each.base_diameter_mm for each in grown]) < 200


def test_a_smaller_pot_holds_growth_back() -> None:
    sizes = [np.median([_years(v, 8, f).diameter_mm[0] for f in range(8)]) for v in (1.0, 6.0, 50.0)]
    assert sizes == sorted(sizes)
    assert sizes[0] < 0.7 * sizes[2]


def test_vigour_and_apical_control_do_what_they_say() -> None:
    par = draw_parameters(LIFE, Block(3, 0, 1))[0]
    condition, luck = Condition(math.inf), Luck(3)

    def changed(index: int, value: float) -> SegmentTable:
        mine = par.copy()
        mine[index] = value
        return grow_with(STEM, mine, condition, years=6, luck=luck)

    weak, strong = changed(at.P_VIGOUR, -0.5), changed(at.P_VIGOUR, 0.5)
    assert strong.diameter_mm[0] > weak.diameter_mm[0]
    flat, tall = changed(at.P_CONTROL, 0.46), changed(at.P_CONTROL, 0.60)
    assert measures(tall).height_mm > measures(flat).height_mm


def test_a_table_survives_the_way_into_arrays_and_back() -> None:
    tree = checked(_years(6.0, 5))
    back = table_of(start_arrays(tree, Condition(6.0), first_year=9), first_year=9)
    np.testing.assert_array_equal(back.parent, tree.parent)
    np.testing.assert_array_equal(back.wood_mm2, tree.wood_mm2)
    np.testing.assert_allclose(back.end_mm, tree.end_mm, atol=1e-3)


@pytest.mark.parametrize("years", [0, -1, 61])
def test_years_out_of_range_are_refused(years: int) -> None:
    with pytest.raises(RangeError):
        grow(STEM, LIFE, Condition(6.0), years=years, luck=Luck(1))


def test_what_is_no_tree_is_refused() -> None:
    bad = SegmentTable(
        parent=np.array([-1, 1]), order=np.zeros(2), born=np.zeros(2), length_mm=np.ones(2),
        direction=np.array([[0.0, 0.0, 1.0]] * 2), wood_mm2=np.ones(2), sapwood_mm2=np.ones(2),
        leaf_cm2=np.zeros(2), buds=np.zeros(2), clone=np.zeros(2), flags=np.zeros(2),
    )  # fmt: skip
    with pytest.raises(StructureError):
        grow(bad, LIFE, Condition(6.0), years=1, luck=Luck(1))
