"""Pipe rule, constant crown, vigour split and pot factor against hand-worked values.

The area rule's exponents 1.8, 2.0 and 2.3 are those of Eloy 2011, PRL 107:258101, introduction; the pot
exponent is log2 1.43 of Poorter et al. 2012, Funct. Plant Biol. 39:839-850, abstract. The rest is
arithmetic of the stated formulas, worked apart from this code.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.growth import layout as at
from ringwise.growth.biology import biology
from ringwise.growth.draws import Block, draw_parameters
from ringwise.growth.pipe import diameter_under_constant_crown, pipe_diameters, ring_area_mm2
from ringwise.growth.start import Condition, start_arrays
from ringwise.growth.step import in_capacity
from ringwise.growth.vigour import pot_factor, split_vigour
from ringwise.structure.table import SegmentTable


def _binary_tree(levels: int) -> tuple[np.ndarray, np.ndarray]:
    parent = np.array([-1] + [(i - 1) // 2 for i in range(1, 2 ** (levels + 1) - 1)])
    units = np.zeros(len(parent))
    units[2**levels - 1 :] = 1.0
    return parent, units


@pytest.mark.parametrize(("exponent", "base_mm"), [(1.8, 21.773), (2.0, 16.000), (2.3, 11.145)])
def test_base_of_a_binary_tree_of_eight_levels(exponent: float, base_mm: float) -> None:
    parent, units = _binary_tree(8)
    d = pipe_diameters(parent, units, tip_mm=1.0, exponent_ratio=exponent)
    assert d[0] == pytest.approx(256 ** (1 / exponent), rel=1e-6)
    assert d[0] == pytest.approx(base_mm, abs=5e-4)


def test_stem_with_ten_equal_leaf_units_tapers_with_the_square_root() -> None:
    parent = np.arange(-1, 9)
    d = pipe_diameters(parent, np.ones(10), tip_mm=1.0)
    above = np.arange(10, 0, -1)
    np.testing.assert_allclose(d / d[0], np.sqrt(above / 10), rtol=1e-6)
    assert [d[10 - k] / d[0] for k in (10, 7, 4, 1)] == pytest.approx([1, 0.8367, 0.6325, 0.3162], abs=5e-5)


def test_constant_crown_in_closed_form() -> None:
    ring = ring_area_mm2(3000.0, pipe_ratio=0.02, sapwood_years=5.0)
    first = diameter_under_constant_crown(30.0, ring_mm2=ring, years=1.0) - 30.0
    assert first == pytest.approx(0.25358, abs=5e-6)
    assert diameter_under_constant_crown(30.0, ring_mm2=ring, years=25.0) == pytest.approx(35.80463, abs=5e-6)


def test_the_compiled_ring_follows_the_closed_form_under_a_constant_crown() -> None:
    from ringwise.growth import kernels

    stem = SegmentTable(
        parent=np.array([-1]), order=np.array([0]), born=np.array([0]), length_mm=np.array([100.0]),
        direction=np.array([[0.0, 0.0, 1.0]]), wood_mm2=np.array([math.pi * 30.0**2 / 4]),
        sapwood_mm2=np.array([60.0]), leaf_cm2=np.array([3000.0]), buds=np.array([0]),
        clone=np.array([0]), flags=np.array([1]),
    )  # fmt: skip
    tree = in_capacity(start_arrays(stem, Condition(math.inf), first_year=0), 4)
    par = draw_parameters(biology(()), Block(1, 0, 1))[0]
    par[[at.P_PIPE, at.P_EXPONENT, at.P_SAPWOOD, at.P_VIGOUR]] = 0.02, 2.0, 5.0, 0.0
    par[at.P_WOOD] = 1e9
    kernels.settle(tree, par, (1, 0, 0))
    tree[0][at.LIGHT, 0] = 1.0
    widths = [30.0]
    for _year in range(25):
        kernels.ring(tree, par)
        widths.append(math.sqrt(float(tree[0][at.WOOD, 0]) * 4 / math.pi))
    assert widths[1] - widths[0] == pytest.approx(0.25358, abs=2e-5)  # float32 wood
    assert widths[25] == pytest.approx(35.80463, rel=1e-6)


@pytest.mark.parametrize(("control", "main"), [(0.46, 0.71875), (0.5, 0.75), (0.54, 0.77885), (0.6, 0.81818)])
def test_share_of_the_continuing_axis(control: float, main: float) -> None:
    ahead, aside = split_vigour(1.0, 3.0, 1.0, control)
    assert ahead == pytest.approx(main, abs=5e-6)
    assert ahead + aside == pytest.approx(1.0, abs=1e-12)


def test_an_unbranched_axis_keeps_its_vigour() -> None:
    assert split_vigour(2.5, 3.0, 0.0, 0.46) == (2.5, 0.0)


def test_pot_factor_by_volume() -> None:
    base = pot_factor(5.0)
    assert pot_factor(10.0) / base == pytest.approx(1.430, abs=0.002)
    assert pot_factor(40.0) / base == pytest.approx(2.924, abs=0.002)
    assert pot_factor(1.25) / base == pytest.approx(0.489, abs=0.002)
    assert max(pot_factor(v) for v in (0.1, 50.0, 500.0, math.inf)) == 1.0
