"""Wind, drag, ties and carrying against figures worked apart from the package.

Sources beside each check: "worked" is the arithmetic of the printed equations done by hand or in a separate
script; wire strengths are those of the tables named in `wire.csv`; the lifting equation is the revised NIOSH
equation (Waters and others 1993, as given in an ergonomics handbook, secondary).
"""

from __future__ import annotations

import math

import pytest

from ringwise.rootzone.anchoring import Anchoring, AnchorNeed, anchoring, tie_length_mm
from ringwise.rootzone.ball import ellipse_cylinder_cm3
from ringwise.rootzone.carry import Posture, carry, limit_kg
from ringwise.rootzone.dome import spherical_cap_cm3
from ringwise.rootzone.pot import PotLengths, PotShape, pot_shape
from ringwise.rootzone.sections import Mound, pot_sections, volume_cm3
from ringwise.rootzone.tie_down import Stand, TieCase, drag_n, stand_limits, tie_down
from ringwise.rootzone.tie_ladder import ladder
from ringwise.rootzone.wind import bench_wind, profile_ratio
from ringwise.rootzone.wire import capstan_ratio, gauges_mm, thinnest, ultimate_n, working_n, yield_n

WINDY = TieCase(0.35, 18.0, 550.0, 14_000.0, 280.0, (300.0, 300.0))
SMALL = TieCase(0.0825, 15.0, 280.0, 3_000.0, 160.0, (160.0, 160.0))


def test_wind_at_a_bench_of_1_2_m() -> None:
    # worked: ln(1.2 / 0.03) / ln(10 / 0.03) and ln(1.2 / 0.3) / ln(10 / 0.3)
    assert profile_ratio(1.2, 10.0, 0.03) == pytest.approx(0.635, abs=5e-4)
    assert profile_ratio(1.2, 10.0, 0.3) == pytest.approx(0.395, abs=5e-4)
    there = bench_wind(10.0, ground="suburb", gust_factor=2.0)
    assert (there.mean_m_s, there.gust_m_s) == pytest.approx((3.95, 7.9), abs=0.01)


@pytest.mark.parametrize(
    ("diameter_mm", "aluminium", "copper"),
    # worked: pi d^2 / 4 times 20 and 75 MPa (aluminium), 75 MPa (copper); half of the yield load to work with
    [
        (1.0, (15.7, 58.9, 7.9), (58.9, 29.5)),
        (1.5, (35.3, 132.5, 17.7), (132.5, 66.3)),
        (2.0, (62.8, 235.6, 31.4), (235.6, 117.8)),
        (2.5, (98.2, 368.2, 49.1), (368.2, 184.1)),
        (3.0, (141.4, 530.1, 70.7), (530.1, 265.1)),
        (4.0, (251.3, 942.5, 125.7), (942.5, 471.2)),
    ],
)
def test_table_of_wires(
    diameter_mm: float, aluminium: tuple[float, float, float], copper: tuple[float, float]
) -> None:
    assert diameter_mm in gauges_mm("aluminium")
    told = (
        yield_n("aluminium", diameter_mm),
        ultimate_n("aluminium", diameter_mm),
        working_n("aluminium", diameter_mm),
    )
    assert told == pytest.approx(aluminium, abs=0.051)
    assert (yield_n("copper", diameter_mm), working_n("copper", diameter_mm)) == pytest.approx(
        copper, abs=0.051
    )


def test_the_whole_pot_tips_at_23_14_m_s() -> None:
    # worked: sqrt(9 x 9.81 x 0.18 / (1.2 x 1.0 x 0.08247 x 0.30))
    assert stand_limits(Stand(9_000.0, 180.0, 300.0), 0.08247, 1.0).tip_m_s == pytest.approx(23.14, abs=0.01)


def test_a_windy_bench_worked() -> None:
    # worked: 0.5 x 1.2 x 0.35 x 18^2 = 68.0 N; x 0.55 - 14 x 9.81 x 0.14 = 18.19 N m; / 0.60 = 30.32 N; x 3
    held = tie_down(WINDY)
    assert held.force_n == pytest.approx(68.0, rel=1e-3)
    assert held.moment_nm == pytest.approx(37.4, rel=1e-3)
    assert held.net_nm == pytest.approx(18.19, rel=1e-3)
    assert held.bare_tension_n == pytest.approx(30.32, rel=1e-3)
    assert held.tension_n == pytest.approx(90.97, rel=1e-3)
    assert held.aluminium is not None
    assert held.aluminium.diameter_mm == 4.0
    assert held.copper is not None
    assert held.copper.diameter_mm == 2.0
    assert held.aluminium.margin_factor == pytest.approx(125.7 / 90.97, rel=1e-3)


def test_four_legs_truly_in_tension_take_2_5_mm() -> None:
    # worked: 18.19 / (4 x 0.30) x 3 = 45 N, under the 49.1 N of 2.5 mm
    legs = next(rung for rung in ladder(tie_down(WINDY)) if rung.key == "legs")
    assert legs.tension_n == pytest.approx(45.5, abs=0.1)
    assert legs.wire is not None
    assert (legs.wire.material, legs.wire.diameter_mm) == ("aluminium", 2.5)


def test_the_ladder_keeps_its_order() -> None:
    # common practice: more legs, a bar under the ball, wind shelter, copper
    steps = ladder(tie_down(WINDY))
    assert [step.key for step in steps] == ["legs", "bar", "shelter", "copper"]
    assert ladder(tie_down(SMALL)) == ()
    # worked: 3 mm carries 70.69 N; 19.23 + 70.69 / 3 x 0.6 = 33.37 N m; sqrt(33.37 / 0.55 / 0.21) = 17.0 m/s
    assert "16.9 m/s" in steps[2].words


def test_a_small_tree_worked() -> None:
    # worked: 0.5 x 1.2 x 0.0825 x 15^2 = 11.1 N; x 0.28 = 3.12; 3.0 x 9.81 x 0.08 = 2.35; net 0.76 N m
    held = tie_down(SMALL)
    assert drag_n(SMALL.area_m2, 15.0, 1.0) == pytest.approx(11.1, abs=0.05)
    assert (held.moment_nm, held.held_nm, held.net_nm) == pytest.approx((3.12, 2.35, 0.76), abs=0.006)
    assert thinnest("aluminium", held.tension_n) is not None


def test_pull_round_a_root() -> None:
    # worked: exp(0.3 pi / 2), exp(0.3 pi), exp(0.6 pi)
    turned = [capstan_ratio(angle) for angle in (90.0, 180.0, 360.0)]
    assert turned == pytest.approx([1.60, 2.57, 6.59], abs=0.005)


def test_limit_of_the_revised_lifting_equation() -> None:
    # worked: 23 x 25/40 x (1 - 0.003 x 5) x (0.82 + 4.5/60) x 0.95 = 12.0 kg
    posture = Posture(40.0, 70.0, 60.0, grip_factor=0.95)
    assert limit_kg(posture) == pytest.approx(12.04, abs=0.005)
    assert [carry(1000.0 * kg, posture).people for kg in (12, 12.1, 24, 25)] == [1, 2, 2, 3]
    # in the best posture nothing is taken off
    assert limit_kg(Posture(25.0, 75.0, 25.0)) == pytest.approx(23.0)


def test_volumes_of_section_and_mound() -> None:
    # worked: prismatoid 26x18 below, 30x22 above, 7 high; the root-of-areas form, 3928.80, is wrong here
    tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    below, middle, above = 26.0 * 18.0, 28.0 * 20.0, 30.0 * 22.0
    assert tray.volume_cm3 == pytest.approx(7 / 6 * (below + 4 * middle + above), rel=1e-12)
    assert tray.volume_cm3 == pytest.approx(3929.333, abs=1e-3)
    wrong = 7 / 3 * (below + above + math.sqrt(below * above))
    assert wrong == pytest.approx(3928.80, abs=0.005)
    assert abs(tray.volume_cm3 - wrong) > 0.5
    # worked: hexagon 20 to 24 cm across flats, 6 high; cap pi h (3 a^2 + h^2) / 6; paraboloid pi a b h / 2
    hexagon = pot_shape("hexagon", PotLengths(depth_mm=60, top_mm=(240,), bottom_mm=(200,)))
    assert hexagon.volume_cm3 == pytest.approx(2521.866, abs=1e-3)
    assert spherical_cap_cm3(100, 30) == pytest.approx(485.376, abs=1e-3)
    mounded = volume_cm3(pot_sections(tray, Mound(30, 200, 200))) - volume_cm3(pot_sections(tray))
    assert mounded == pytest.approx(471.239, abs=1e-3)


def test_ball_by_an_elliptic_cylinder() -> None:
    # worked: pi / 4 x 26 x 18 x 5
    assert ellipse_cylinder_cm3(260, 180, 50) == pytest.approx(1837.83, abs=0.005)


def test_wire_bridge_between_two_holes() -> None:
    # common practice: spacing 18, depth 7, reach 14, tail 15 cm: 18 + 2 x 36 = 90 cm
    assert tie_length_mm(180, 70, 140) == 900


def _tray() -> PotShape:
    return pot_shape("oval", PotLengths(500, 370, 80))


def test_ties_of_a_pot_without_holes_are_none() -> None:
    none: Anchoring = anchoring(AnchorNeed(_tray(), (), "M"))
    assert none.ties == ()
    assert none.wire_mm == 0
