"""Water moving through a column: a printed infiltration test, a draining pot, and the state at rest."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ringwise.rootzone.drain import (
    Column,
    Hydraulics,
    hydraulics,
    pot_drainage,
    run_column,
    suction_knots_cm,
)
from ringwise.rootzone.retention import curve

SAND = curve(0.045, 0.43, [(1.0, 0.145, 2.68)])
SAND_CM_S = 712.8 / 86400  # the catalogue's Sand in pedon 0.1.0
GRAVEL = curve(0.02, 0.36, [(1.0, 1.116, 2.70)])  # a printed table, file prefix 9402645
TIMES_S = [60.0, 300.0, 900.0, 3600.0]


def test_infiltration_into_a_dry_column() -> None:
    # Source: the sand of Haverkamp as used by Celia, Bouloutas and Zarba 1990, read in an open repository;
    # numbers outside, where modified Picard steps and a method of lines agree.
    h = suction_knots_cm()
    sand = Hydraulics(
        h,
        0.075 + 0.212 * 1.611e6 / (1.611e6 + h**3.96),
        0.00944 * 1.175e6 / (1.175e6 + h**4.74),
    )
    cells = 160
    ran = run_column(sand, Column(40.0, cells, top_cm=-20.7, bottom_cm=-61.5), np.full(cells, -61.5), [360.0])
    pressure = ran.pressure_cm[0]
    found = np.interp([5, 8, 10, 12, 14], ran.depths_cm, pressure)
    assert found == pytest.approx([-21.94, -23.42, -25.07, -27.79, -32.85], abs=0.05)
    wetted = pressure > -61.4
    assert np.interp(40.0, -pressure[wetted], ran.depths_cm[wetted]) == pytest.approx(15.53, abs=0.05)
    assert ran.entered_cm[0] - ran.drained_cm[0] == pytest.approx(2.369, abs=0.01)
    assert ran.open_cm < 1e-8


def test_a_pot_of_sand_drains_to_the_state_at_rest() -> None:
    # Source: outside, by steps in time that grow by 15 %; its end equals the closed form.
    ran = pot_drainage(SAND, 10.0, SAND_CM_S, TIMES_S)
    assert ran.drained_cm == pytest.approx([0.271, 0.634, 0.818, 0.870], abs=0.003)
    assert ran.end_theta_v == pytest.approx(0.342921, abs=1e-6)
    rest = pot_drainage(SAND, 10.0, SAND_CM_S, [1e6])
    assert rest.theta_v[0] == pytest.approx(0.342921, abs=1e-4)
    assert ran.open_cm < 1e-8


def test_clean_gravel_drains_within_a_minute() -> None:
    # Source: outside, as for sand.
    ran = pot_drainage(GRAVEL, 10.0, 1.0, TIMES_S)
    assert ran.drained_cm == pytest.approx([2.391, 2.637, 2.727, 2.786], abs=0.003)
    assert ran.end_theta_v == pytest.approx(0.0783, abs=1e-4)


def test_cells_hardly_count() -> None:
    # Source: outside: 50 to 400 cells change less than 2e-4 cm.
    few, many = (pot_drainage(SAND, 10.0, SAND_CM_S, TIMES_S, cells=cells) for cells in (50, 400))
    assert few.drained_cm == pytest.approx(many.drained_cm, abs=2e-4)


def lines(cells: int) -> np.ndarray:
    """The same pot by a method of lines in saturation, with SciPy's stiff solver: nothing of ours in it."""
    tr, ts, a, n = 0.045, 0.43, 0.145, 2.68
    m, dz = 1 - 1 / n, 10.0 / cells

    def flows(_t: float, y: np.ndarray) -> np.ndarray:
        s = np.clip(y[:cells], 1e-9, 1 - 1e-12)
        p = -((s ** (-1 / m) - 1) ** (1 / n)) / a
        k = SAND_CM_S * np.sqrt(s) * (1 - (1 - s ** (1 / m)) ** m) ** 2
        between = (k[:-1] + k[1:]) / 2 * ((p[:-1] - p[1:]) / dz + 1)
        out = max((k[-1] + SAND_CM_S) / 2 * (p[-1] / (dz / 2) + 1), 0.0)
        faces = np.concatenate([[0.0], between, [out]])
        return np.concatenate([(faces[:-1] - faces[1:]) / dz / (ts - tr), [out]])

    start = np.concatenate([np.full(cells, (1 + (a * 0.05) ** n) ** -m), [0.0]])
    return solve_ivp(flows, (0, 3600), start, method="BDF", rtol=1e-7, atol=1e-9, t_eval=TIMES_S).y[-1]


def test_finer_steps_approach_an_independent_solution() -> None:
    # Source: the flow equation itself. The coarser steps stay behind by up to 0.013 cm, and so do the
    # numbers that they are checked against above: what a first-order step in time costs.
    exact = lines(40)
    ran = pot_drainage(SAND, 10.0, SAND_CM_S, TIMES_S, cells=40)
    assert ran.finer_cm == pytest.approx(exact, abs=0.003)
    assert np.all(exact - ran.drained_cm < 0.014)
    smallest = run_column(
        hydraulics(SAND, SAND_CM_S),
        Column(10.0, 40, outlet=True, growth_factor=1.004, parts=1),
        np.full(40, -0.001),
        TIMES_S,
    )
    assert smallest.drained_cm == pytest.approx(exact, abs=6e-4)
