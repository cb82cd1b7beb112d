"""Water at rest in pots: against printed curves, numbers reckoned outside this project, and quadrature.

The parameters of Sand are a row of the catalogue of soils in pedon 0.1.0 (712.8 cm/d, 0.145 per cm, 2.68).
Where a check names "outside", the number was reckoned by quadrature (SciPy) by another program before this
code was written.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from scipy.optimize import brentq
from scipy.special import hyp2f1

from ringwise.rootzone.container import CoarseLayer, ContainerState, container_state, filling_state
from ringwise.rootzone.moments import capacity_v, saturation_moments
from ringwise.rootzone.pot import PotLengths, PotShape, pot_shape
from ringwise.rootzone.retention import RetentionCurve, curve
from ringwise.rootzone.sections import Mound, cut, pot_sections, volume_cm3
from ringwise.rootzone.tilt import tilted_section

SAND = curve(0.045, 0.43, [(1.0, 0.145, 2.68)])
GRAVEL = curve(0.02, 0.36, [(1.0, 1.116, 2.70)])  # a printed table, file prefix 9402645, matrix-free gravel
TWO_SYSTEMS = curve(0.1, 0.4, [(0.6, 0.5, 3.0), (0.4, 0.01, 1.6)])


def prism(height_cm: float) -> PotShape:
    return pot_shape("prism", PotLengths(depth_mm=height_cm * 10))


def tray(shape: str = "rectangle", *, upside_down: bool = False) -> PotShape:
    rim, floor = (300.0, 220.0), (260.0, 180.0)
    top, bottom = (floor, rim) if upside_down else (rim, floor)
    return pot_shape(shape, PotLengths(depth_mm=70, top_mm=top, bottom_mm=bottom))


def theta(state: ContainerState) -> float:
    return float(state.theta_v)


@pytest.mark.parametrize(
    ("height_cm", "capacity"),
    [(3, 0.423288), (5, 0.406695), (7, 0.382585), (10, 0.342921), (15, 0.286460), (20, 0.245496)],
)
def test_capacity_of_sand_by_height(height_cm: float, capacity: float) -> None:
    # Source: outside; the container form of Milks, Fonteno and Larson 1989 with the catalogue's Sand.
    assert theta(container_state(prism(height_cm), SAND)) == pytest.approx(capacity, abs=1e-6)


def test_n_of_two_is_an_area_sine() -> None:
    # Source: outside, 0.3579141; and the integral of (1 + (a z)^2)^-1/2, which any table of integrals has.
    soil = curve(0.102, 0.368, [(1.0, 0.0335, 2.0)])
    by_hand = 0.102 + 0.266 * math.asinh(0.0335 * 15) / 0.0335 / 15
    assert by_hand == pytest.approx(0.3579141, abs=1e-7)
    assert theta(container_state(prism(15), soil)) == pytest.approx(by_hand, abs=1e-9)


def test_rectangular_tray_and_the_same_upside_down() -> None:
    # Source: outside.
    state = container_state(tray(), SAND)
    assert state.volume_cm3 == pytest.approx(3929.333, abs=1e-3)
    assert float(state.water_cm3) == pytest.approx(1486.704, abs=1e-3)
    assert theta(state) == pytest.approx(0.378360, abs=1e-6)
    turned = container_state(tray(upside_down=True), SAND)
    assert float(turned.water_cm3) == pytest.approx(1519.728, abs=1e-3)


def test_round_pot_with_sloping_walls() -> None:
    # Source: outside; 645.837 was rounded from 645.8367.
    pot = pot_shape("round", PotLengths(depth_mm=160, top_mm=(160,), bottom_mm=(120,)))
    state = container_state(pot, SAND)
    assert state.volume_cm3 == pytest.approx(2479.764, abs=1e-3)
    assert float(state.water_cm3) == pytest.approx(645.837, abs=1e-3)
    assert theta(state) == pytest.approx(0.260443, abs=1e-6)


def test_oval_tray_holds_the_share_of_the_rectangular_one() -> None:
    # Source: outside.
    state = container_state(tray("oval"), SAND)
    assert state.volume_cm3 == pytest.approx(3086.091, abs=1e-3)
    assert float(state.water_cm3) == pytest.approx(1167.655, abs=1e-3)
    assert theta(state) == pytest.approx(theta(container_state(tray(), SAND)), abs=1e-12)


@pytest.mark.parametrize(("tilt_deg", "mean_v"), [(0, 0.40670), (30, 0.24422), (60, 0.19434)])
def test_tilted_section(tilt_deg: float, mean_v: float) -> None:
    # Source: outside; mean over a section 30 cm long and 5 cm deep of Sand.
    section = filling_state(tilted_section(300, 50, tilt_deg), SAND)
    assert theta(section) == pytest.approx(mean_v, abs=1e-4)
    angle = math.radians(tilt_deg)

    def at(y: float, x: float) -> float:
        return float(SAND.theta_v(x * math.sin(angle) + y * math.cos(angle)))

    total, _error = dblquad(at, 0, 30, 0, 5, epsabs=1e-4, epsrel=1e-5)
    assert theta(section) == pytest.approx(total / 150, abs=1e-5)


def test_two_pore_systems() -> None:
    # Source: example of the packages spsh and SoilHyP; numbers outside.
    held = TWO_SYSTEMS.theta_v([1, 5, 10, 50, 100])
    assert held == pytest.approx([0.38638, 0.24726, 0.22605, 0.20812, 0.19260], abs=1e-5)
    found = [theta(container_state(prism(height), TWO_SYSTEMS)) for height in (5, 10, 20)]
    assert found == pytest.approx([0.318553, 0.275978, 0.248723], abs=1e-5)


def test_matrix_free_gravel() -> None:
    # Source: parameters of a printed table (file prefix 9402645); numbers outside.
    assert theta(container_state(prism(10), GRAVEL)) == pytest.approx(0.0783, abs=1e-4)
    assert GRAVEL.theta_v([10, 50]) == pytest.approx([0.0256, 0.0204], abs=1e-4)


def test_a_mound_adds_its_volume() -> None:
    # Source: solid geometry; 485.376 and 471.239 outside.
    pot = pot_shape("round", PotLengths(300, None, 60))
    for form, volume in (("cap", 485.376), ("paraboloid", 471.239)):
        heaped = pot_sections(pot, Mound(30, 200, 200, form))
        assert volume_cm3(heaped) - pot.volume_cm3 == pytest.approx(volume, abs=1e-3)
    hexagon = pot_shape("hexagon", PotLengths(depth_mm=60, top_mm=(240,), bottom_mm=(200,)))
    assert container_state(hexagon, SAND).volume_cm3 == pytest.approx(2521.866, abs=1e-3)


def test_a_coarse_layer_leaves_less_air_above_it() -> None:
    # Source: outside; Sand 7 cm deep, of which 2 cm are that gravel: suction 0.9 cm, air 0.039 and not 0.065.
    layer = CoarseLayer(20, 1.116)
    assert layer.suction_cm == pytest.approx(0.896, abs=1e-3)
    above = container_state(prism(7), SAND, coarse_layer=layer)
    same_depth = filling_state(cut(pot_sections(prism(7)), 2, 7), SAND)
    assert float(above.air_filled_porosity_v) == pytest.approx(0.039, abs=5e-4)
    assert float(same_depth.air_filled_porosity_v) == pytest.approx(0.065, abs=5e-4)


def test_printed_air_and_water_sum_to_the_pores() -> None:
    # Source: Int. J. Agron. 2012, Table 1: pine bark, air 31, water 48, pores 79 %.
    bark = curve(0.0, 0.79, [(0.702, 0.60, 2.2), (0.298, 0.02, 1.4)])
    state = container_state(prism(7.6), bark)
    assert theta(state) == pytest.approx(0.48, abs=0.01)  # the share of voids was fitted to that print
    assert float(state.air_filled_porosity_v + state.theta_v) == pytest.approx(0.79, abs=1e-12)


def test_one_medium_in_a_pot_and_in_a_cell() -> None:
    # Source: Bilderback and Fonteno 1987, abstract: from a #1 pot to a bedding cell air falls from 28 to 12 %
    # and water rises from 43 to 59 %; both sum to 71 %. Heights are recalled: 15 and some 3 to 6 cm;
    # tr and n are chosen, alpha follows from the pot alone.
    def held(alpha_per_cm: float, height_cm: float) -> ContainerState:
        return container_state(prism(height_cm), curve(0.15, 0.71, [(1.0, alpha_per_cm, 2.0)]))

    alpha = brentq(lambda a: theta(held(a, 15.0)) - 0.43, 0.01, 10.0)
    cells = [held(alpha, height_cm) for height_cm in (3.0, 6.0)]
    assert theta(cells[0]) > 0.59 > theta(cells[1])
    for each, low, high in ((held(alpha, 15.0), 0.279, 0.281), (cells[0], 0.0, 0.12), (cells[1], 0.12, 0.28)):
        assert low < float(each.air_filled_porosity_v) < high
        assert float(each.air_filled_porosity_v) + theta(each) == pytest.approx(0.71, abs=1e-12)


GRID = [
    (height, alpha, n)
    for height in (0.5, 3.0, 7.0, 20.0, 200.0)
    for alpha in (0.005, 0.145, 0.6)
    for n in (1.03, 1.085, 4 / 3, 1.5, 2.0, 2.0000001, 2.68, 3.0, 4.0, 9.0)
]


@pytest.mark.parametrize("power", [0, 1, 2])
def test_moments_equal_quadrature(power: int) -> None:
    # Source: definition of the integral, by adaptive quadrature cut where the pores empty.
    height, alpha, n = np.array(GRID).T
    found = saturation_moments(height, alpha, n)[:, power]
    for got, (h, a, steep) in zip(found, GRID, strict=True):
        cuts = [at for at in (0.5 / a, 1 / a, 2 / a) if at < h]
        ends = [0.0, *cuts, h]
        parts = [
            quad(
                lambda z, a=a, s=steep: z**power * (1 + (a * z) ** s) ** (1 / s - 1), low, high, epsrel=1e-12
            )[0]
            for low, high in pairwise(ends)
        ]
        assert got == pytest.approx(sum(parts), rel=1e-9), (h, a, steep)


def test_moments_equal_the_hypergeometric_form() -> None:
    # Source: the closed form with 2F1 as SciPy reckons it, which loses digits where n is nearly 2.
    height, alpha, n = np.array([each for each in GRID if each[2] != 2.0000001]).T
    for k in range(3):
        b = (k + 1) / n
        closed = height ** (k + 1) / (k + 1) * hyp2f1(1 - 1 / n, b, 1 + b, -((alpha * height) ** n))
        told = np.isfinite(closed)  # it overflows in very deep pots of steep pores
        assert told.mean() > 0.95
        assert saturation_moments(height, alpha, n)[told, k] == pytest.approx(closed[told], rel=1e-9)


def test_many_pots_at_once_equal_one_at_a_time() -> None:
    heights = np.array([4.0, 7.0, 12.0])
    areas = np.array([[400.0, 10.0, 0.1], [100.0, 0.0, 0.0], [900.0, -5.0, 0.0]])
    draws = RetentionCurve(
        np.zeros(3),
        np.array([0.7, 0.75, 0.8]),
        np.full((3, 2), 0.5),
        np.array([[0.3, 0.01], [0.5, 0.02], [0.6, 0.03]]),
        np.array([[2.2, 1.1], [3.0, 1.3], [2.7, 1.5]]),
    )
    together = capacity_v(draws, heights, areas)
    for i in range(3):
        one = draws.one(i)
        water, _error = quad(
            lambda z, i=i, one=one: float(np.polyval(areas[i][::-1], z) * one.theta_v(z)),
            0,
            heights[i],
            epsrel=1e-11,
        )
        volume = sum(c * heights[i] ** (k + 1) / (k + 1) for k, c in enumerate(areas[i]))
        assert together[i] == pytest.approx(water / volume, rel=1e-9)
