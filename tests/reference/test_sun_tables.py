"""Declination, daylength and radiation outside the air, against printed examples and other programs."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pyet
import pytest

from ringwise.weather import sun

# Source: the forms of FAO-56 (equations 21 to 25 and 34) in an independent program; latitude, day, then
# declination, daylength, radiation outside the atmosphere. None where the table leaves a value out.
FAO_TABLE = [
    (45.0, 15, -0.37022, 8.9551, 11.9313),
    (45.0, 80, -0.00526, 11.9598, 26.5251),
    (45.0, 172, 0.40900, 15.4248, 41.9105),
    (45.0, 355, -0.40898, 8.5753, 10.4406),
    (35.0, 105, 0.16584, 12.8974, 35.8854),
    (60.0, 172, None, 18.4873, None),
    (-45.0, 135, None, 9.3400, 12.8542),
    (0.0, 200, None, 12.0000, None),
]


@pytest.mark.parametrize(("latitude", "day", "declination", "hours", "outside"), FAO_TABLE)
def test_fao_table(
    latitude: float, day: int, declination: float | None, hours: float, outside: float | None
) -> None:
    assert float(sun.daylength_h(latitude, day)) == pytest.approx(hours, abs=6e-5)
    if declination is not None:
        assert float(sun.declination_rad(day)) == pytest.approx(declination, abs=6e-6)
    if outside is not None:
        assert float(sun.extraterrestrial_mj_m2(latitude, day)) == pytest.approx(outside, abs=6e-5)


# Source: the form of Forsythe et al. 1995 with 0.8333 degrees, in an independent program.
@pytest.mark.parametrize(("day", "hours"), [(80, 12.1462), (172, 15.6183), (355, 8.7628)])
def test_forsythe_at_45_north(day: int, hours: float) -> None:
    assert float(sun.daylength_h(45.0, day, "forsythe")) == pytest.approx(hours, abs=6e-5)


# Source: chillR 0.77, run in R 4.2.2 at 47.45 degrees north.
@pytest.mark.parametrize(("day", "hours"), [(15, 8.847387), (80, 12.154731), (172, 15.965140)])
def test_spencer_as_chillr_has_it(day: int, hours: float) -> None:
    assert float(sun.daylength_h(47.45, day, "spencer")) == pytest.approx(hours, abs=6e-7)


def test_gauzere_declination_is_that_of_its_own_form() -> None:
    # Source: delta = 23.45 deg sin(2 pi (284 + J) / 365), as attributed to Gauzere et al.: on day 81 the
    # sine is that of a whole turn, on day 172.25 that of a turn and a quarter.
    assert float(sun.declination_rad(81, "gauzere")) == pytest.approx(0.0, abs=1e-12)
    assert float(sun.declination_rad(172.25, "gauzere")) == pytest.approx(np.radians(23.45), abs=1e-12)
    assert float(sun.daylength_h(51.5, 81, "gauzere")) == pytest.approx(12.0, abs=1e-9)


def test_fao_examples_8_and_9() -> None:
    # Source: FAO-56 examples 8 and 9 (printed: d_r 0.985, declination 0.120, 32.2 MJ/m2, 11.7 h), the same
    # to more digits from an independent program: 3 September at 20 degrees south.
    assert float(sun.sun_distance_factor(246)) == pytest.approx(0.985, abs=5e-4)
    assert float(sun.declination_rad(246)) == pytest.approx(0.1197, abs=1e-4)
    assert float(sun.daylength_h(-20.0, 246)) == pytest.approx(11.6656, abs=1e-3)
    assert float(sun.extraterrestrial_mj_m2(-20.0, 246)) == pytest.approx(32.194, abs=1e-3)
    # Printed with the latitude rounded to -0.35 rad: 1.527.
    assert float(sun.sunset_rad(np.degrees(-0.35), 0.120)) == pytest.approx(1.527, abs=5e-4)


def test_radiation_from_sunshine_of_fao_example_10() -> None:
    # Source: FAO-56 example 10: 15 May, 22 degrees 54 minutes south, 7.1 h of sunshine, 14.5 MJ/m2.
    outside, day = sun.extraterrestrial_mj_m2(-22.9, 135), sun.daylength_h(-22.9, 135)
    assert float(sun.radiation_from_sunshine_mj_m2(outside, 7.1, day)) == pytest.approx(14.5, abs=0.05)


@pytest.mark.parametrize("latitude", [-89.0, -66.0, -33.9, 0.0, 12.5, 50.8, 70.0, 89.0])
def test_every_day_of_a_leap_year_against_pyet(latitude: float) -> None:
    # Source: pyet 1.5.0, polar day and night included.
    index = pd.date_range("2016-01-01", "2016-12-31")
    days = np.arange(1, 367)
    theirs = pyet.extraterrestrial_r(index, np.radians(latitude)).to_numpy()
    np.testing.assert_allclose(sun.extraterrestrial_mj_m2(latitude, days), theirs, atol=1e-6)
    hours = np.asarray(pyet.daylight_hours(index, np.radians(latitude)))
    np.testing.assert_allclose(sun.daylength_h(latitude, days), hours, atol=1e-6)
