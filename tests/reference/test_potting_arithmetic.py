"""The arithmetic of potting against figures worked by hand.

Source of the worked figures: practice (a grower's own reckoning, done by hand beside each check). They are
checks of arithmetic, not of the trade's planning figures. Volumes of pots with sloping walls are checked
against a numerical integral that shares no line with the package.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from ringwise.rootzone.anchoring import AnchorNeed, anchoring, assumed_holes, mesh_square_mm, tie_length_mm
from ringwise.rootzone.batches import MixNeed, batches
from ringwise.rootzone.dome import RootBase, dome_for, spherical_cap_cm3
from ringwise.rootzone.lifting import lift_mass
from ringwise.rootzone.litres import MixOrder, refill_row
from ringwise.rootzone.mix import gross_cm3, recipe
from ringwise.rootzone.pot import Fill, PotLengths, pot_shape
from ringwise.rootzone.pot_reading import PotWords, read_pot
from ringwise.rootzone.potting import PotJob, potting
from ringwise.rootzone.surface import top_dressing_cm3

WORKED = Fill(5, 5, 0.92)  # rim 5 mm, floor 5 mm, taper 0.92, as in the hand-worked figures


def test_geometric_volume_of_the_oval_tray() -> None:
    # pi/4 x 50 x 37 x 8 cm3
    assert read_pot("oval", PotWords("50cm", "37cm", "8cm")).volume_cm3 == pytest.approx(
        math.pi / 4 * 50 * 37 * 8, rel=1e-12
    )


def test_oval_tray_with_allowances_is_9_36_litres() -> None:
    words = PotWords("50cm", "37cm", "8cm", rim="5mm", base_drop="5mm", taper="0.92")
    assert read_pot("oval", words).volume_cm3 / 1000 == pytest.approx(9.36, abs=0.005)


def test_top_dressing_of_the_oval_tray_is_0_73_litres() -> None:
    area_mm2 = pot_shape("oval", PotLengths(500, 370, 80)).area_mm2
    assert area_mm2 / 100 == pytest.approx(1453, abs=0.5)
    assert top_dressing_cm3(area_mm2, 5.0) / 1000 == pytest.approx(0.73, abs=0.005)


def test_hollow_and_dome() -> None:
    # pi h / 6 (3 r^2 + h^2) with r 9 cm, h 2.5 cm; dome 1.2 times it
    assert spherical_cap_cm3(90, 25) == pytest.approx(326, abs=0.5)
    dome = dome_for(RootBase(hollow_radius_mm=90, hollow_depth_mm=25), 70)
    assert dome.dome_cm3 == pytest.approx(392, abs=0.5)


def test_cap_by_an_independent_integral() -> None:
    # cap of base radius a and height h on a sphere of radius (a^2 + h^2) / 2h, cut into discs
    a, h = 10.0, 3.0
    sphere = (a**2 + h**2) / (2 * h)
    z = np.linspace(sphere - h, sphere, 200_001)
    discs = np.trapezoid(math.pi * (sphere**2 - z**2), z)
    assert spherical_cap_cm3(10 * a, 10 * h) == pytest.approx(discs, rel=1e-9)
    assert spherical_cap_cm3(10 * a, 10 * h) == pytest.approx(485.376, abs=0.0005)


def test_tie_wire_of_90_cm_and_two_ties_of_1_8_m() -> None:
    # spacing 18, depth 7, reach 14 cm: 18 + 2 x (7 + 14 + 15) = 90 cm
    assert tie_length_mm(180, 70, 140) == 900
    pot = pot_shape("oval", PotLengths(500, 370, 80), WORKED)
    plan = anchoring(AnchorNeed(pot, assumed_holes(pot, "M"), "M", reach_mm=140))
    assert plan.wire_mm == 1800


def test_mesh_is_the_hole_and_four_centimetres() -> None:
    assert mesh_square_mm(22) == 62


# Destination pots of one bench day: three ovals in mix D, one rectangle in mix V (inside cm, from above).
BENCH_DAY = {
    "oval 40x30x7": ("D", 5.2),
    "oval 53x39x8": ("D", 10.45),
    "oval 46x34x6": ("D", 5.65),
    "round 26x10": ("V", 4.4),
}


@pytest.mark.parametrize(("pot", "expected"), [(pot, litres) for pot, (_code, litres) in BENCH_DAY.items()])
def test_destination_pots_hold_what_was_reckoned_by_hand(pot: str, expected: float) -> None:
    shape, size = pot.split()
    *plan, depth = (10 * float(part) for part in size.split("x"))
    held = pot_shape(shape, PotLengths(depth_mm=depth, top_mm=tuple(plan)), WORKED)
    assert held.volume_cm3 / 1000 == pytest.approx(expected, abs=0.05)


def test_litres_of_one_bench_day() -> None:
    # by hand: (5.2 + 10.45 + 5.65) x 0.55 x 1.15 x 1.05 = 14.1 L of D; 4.4 x 0.60 x 1.15 x 1.05 = 3.2 L of V
    needs = []
    for pot, (code, _litres) in BENCH_DAY.items():
        shape, size = pot.split()
        *plan, depth = (10 * float(part) for part in size.split("x"))
        job = PotJob(pot_shape(shape, PotLengths(depth_mm=depth, top_mm=tuple(plan))), MixOrder(recipe(code)))
        needs.append(potting(job).need(pot))
    by_code = {batch.recipe.code: batch for batch in batches(needs)}
    assert by_code["D"].gross_cm3 / 1000 == pytest.approx(14.1, rel=0.03)
    assert by_code["V"].gross_cm3 / 1000 == pytest.approx(3.2, rel=0.03)
    for batch in by_code.values():
        assert batch.made_cm3 == pytest.approx(sum(n for _c, n in batch.scoops) * batch.scoop_cm3)
        assert batch.gross_cm3 == pytest.approx(sum(need.gross_cm3 for need in batch.needs))


@pytest.mark.parametrize(
    ("code", "net_l", "gross_l", "parts_l"),
    [
        ("D", 111.9, 74.3, (37.2, 18.6, 18.6)),
        ("V", 35.6, 25.8, (8.6, 8.6, 8.6)),
        ("C", 44.9, 27.1, (5.4, 10.8, 10.8)),
        ("W", 17.3, 11.5, (6.9, 2.3, 2.3)),
    ],
)
def test_mixes_of_a_season(code: str, net_l: float, gross_l: float, parts_l: tuple[float, ...]) -> None:
    # a season worked by hand: litres of destination pots x share refilled x 1.15 x 1.05, then by parts
    made = gross_cm3(1000 * net_l * refill_row(code).number)
    assert made / 1000 == pytest.approx(gross_l, abs=0.051)  # inputs and result are rounded to 0.1 L
    (batch,) = batches([MixNeed("season", recipe(code), made)])
    split_l = tuple(volume / 1000 for _component, volume in batch.parts_cm3)
    assert split_l == pytest.approx(parts_l, abs=0.051)


@pytest.mark.parametrize(
    ("shape", "top", "bottom", "depth", "printed"),
    [
        ("rectangle", (300, 220), (260, 180), 70, 3929.333),
        ("round", (160,), (120,), 160, 2479.764),
        ("oval", (300, 220), (260, 180), 70, 3086.091),
        ("hexagon", (240,), (200,), 60, 2521.866),
        ("octagon", (240,), (200,), 60, None),
    ],
)
def test_sloping_pots_against_a_numerical_integral(
    shape: str, top: tuple[float, ...], bottom: tuple[float, ...], depth: float, printed: float | None
) -> None:
    factor = {
        "rectangle": lambda a, b: a * b,
        "oval": lambda a, b: math.pi * a * b / 4,
        "round": lambda a, b: math.pi * a * b / 4,
        "hexagon": lambda a, b: 6 * (a / 2) * (b / 2) * math.tan(math.pi / 6),
        "octagon": lambda a, b: 8 * (a / 2) * (b / 2) * math.tan(math.pi / 8),
    }[shape]
    z = np.linspace(0, 1, 200_001)
    a = bottom[0] + (top[0] - bottom[0]) * z
    b = bottom[-1] + (top[-1] - bottom[-1]) * z
    integral_cm3 = np.trapezoid(factor(a, b), z * depth) / 1000
    pot = pot_shape(shape, PotLengths(depth_mm=depth, top_mm=top, bottom_mm=bottom))
    assert pot.volume_cm3 == pytest.approx(integral_cm3, rel=1e-9)
    if printed is not None:
        assert pot.volume_cm3 == pytest.approx(printed, abs=0.0005)


def test_wet_substrate_is_1_15_kg_a_litre_and_the_big_hornbeam_takes_two() -> None:
    # rectangle 60x42x11 cm: 23.2 L, 26.7 kg of wet substrate before pot and tree
    pot = pot_shape("rect", PotLengths(600, 420, 110), WORKED)
    lift = lift_mass(pot, trunk_mm=165, height_mm=720)
    substrate = next(link for _d, link in lift.trace.walk() if link.label == "wet substrate")
    assert substrate.value == "27 kg"
    assert lift.people == 2
