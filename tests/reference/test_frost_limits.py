"""Frost limits and the lag of a pot's core against their sources.

Buds and blossom: Penn State Extension, "Orchard Frost - Critical Temperatures for Various Fruits", adapted
from the 1989 Spray Guide for Tree Fruits in Eastern Washington (EB0419): 30 min, 10 and 90 % killed. The
table is printed in whole degrees Fahrenheit; the pairs below are those degrees.
"""

from __future__ import annotations

import numpy as np
import pytest

from ringwise.rootzone.core import PotCore, pot_core
from ringwise.rootzone.pot import PotLengths, pot_shape
from ringwise.season.frost_limits import bud_limits, killed_frac, leaf_limit

PRINTED_DEGF = [
    ("malus", "03", 15, 2),  # apple, silver tip
    ("malus", "07", 18, 10),  # green tip
    ("malus", "10", 23, 15),  # half-inch green
    ("malus", "55", 27, 21),  # tight cluster
    ("malus", "59", 28, 24),  # first pink
    ("malus", "60", 28, 25),  # bloom
    ("pyrus", "03", 15, 0),  # pear, scales separating
    ("pyrus", "07", 20, 6),  # blossom buds exposed
    ("pyrus", "55", 24, 15),  # tight cluster
    ("pyrus", "60", 28, 24),  # full bloom
    ("prunus", "01", 17, 5),  # sweet cherry, first swelling
    ("prunus", "03", 22, 9),  # side green
    ("prunus", "07", 25, 14),  # green tip
    ("prunus", "55", 26, 17),  # tight cluster
    ("prunus", "59", 27, 21),  # open cluster
    ("prunus", "60", 28, 25),  # bloom
    ("prunus_persica", "51", 18, 1),  # peach, first swelling
    ("prunus_persica", "55", 23, 9),  # calyx red
    ("prunus_persica", "59", 25, 15),  # first pink
    ("prunus_persica", "60", 26, 21),  # first bloom
    ("prunus_persica", "65", 27, 24),  # full bloom
    ("prunus_persica", "69", 28, 25),  # post bloom
]


def celsius(value_degF: float) -> float:
    return (value_degF - 32) / 1.8


@pytest.mark.parametrize(("kind", "code", "slight", "severe"), PRINTED_DEGF)
def test_kill_points_of_buds_and_blossom(kind: str, code: str, slight: float, severe: float) -> None:
    (limit,) = [each for each in bud_limits((kind,)) if each.code == code]
    assert limit.kill10_degC == pytest.approx(celsius(slight), abs=0.05)
    assert limit.kill90_degC == pytest.approx(celsius(severe), abs=0.05)


def test_no_printed_stage_is_left_out() -> None:
    told = {
        (key, each.code)
        for key in ("malus", "pyrus", "prunus", "prunus_persica")
        for each in bud_limits((key,))
    }
    assert told == {(key, code) for key, code, _slight, _severe in PRINTED_DEGF}


@pytest.mark.parametrize("kind", ["malus", "pyrus", "prunus", "prunus_persica"])
def test_the_kill_curve_passes_its_two_points(kind: str) -> None:
    """Own assumption: log-odds in a straight line, so half are killed half-way between the two points."""
    for limit in bud_limits((kind,)):
        half = (limit.kill10_degC + limit.kill90_degC) / 2
        nights = np.array([limit.kill10_degC, half, limit.kill90_degC])
        share = killed_frac(nights, kill10_degC=limit.kill10_degC, kill90_degC=limit.kill90_degC)
        assert share == pytest.approx([0.1, 0.5, 0.9], abs=1e-12)


def test_ends_of_the_measured_leaves() -> None:
    """Vitasse, Lenz, Hoch & Koerner 2014: -3.5 (Fraxinus excelsior), -8.3 (Prunus avium); own margin of 2."""
    assert leaf_limit(("fraxinus_excelsior", "fraxinus", "any")).value == pytest.approx(-3.5 + 2)
    assert leaf_limit(("prunus_avium", "prunus", "any")).value == pytest.approx(-8.3 + 2)
    assert leaf_limit(("acer_palmatum", "acer", "any")).value == pytest.approx(-5 + 2)


def test_lag_of_a_tray() -> None:
    """A tray 26 x 18 to 30 x 22, 7 cm deep, 35 % water: 7.9 kJ/K, 0.133 m2, 15 W/m2K, 66 min (computed)."""
    assert PotCore(7.9, 0.133, 15.0, 0.35, 3929.33).lag_min == pytest.approx(66.0, abs=0.5)
    tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    core = pot_core(tray)
    assert core.volume_cm3 == pytest.approx(3929.33, abs=0.01)
    assert core.heat_kj_k == pytest.approx(7.9, abs=0.05)
    assert core.surface_m2 == pytest.approx(0.133, abs=0.001)
    assert core.lag_min == pytest.approx(66.0, abs=1.0)
