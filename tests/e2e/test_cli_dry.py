"""How long a full pot lasts, on the command line: by litres, by pot and mix, and what is refused."""

from __future__ import annotations

import pytest
from command_line import Cli

TRAY = ("--height", "7cm", "--bottom", "26x18cm", "--top", "30x22cm")
WORKED = ("calc", "dry", "--et0", "5mm", "--exposure", "1.2", "--ke", "0.5")


@pytest.mark.parametrize(("leaf", "printed"), [("0", "4.4"), ("0.10 m2", "1.9"), ("3000cm2", "0.9")])
def test_the_worked_tray_by_litres(cli: Cli, leaf: str, printed: str) -> None:
    # Source: own reckoning by hand: 0.725 L over 5 x leaf / 2.88 x 1.2 + 0.5 x 5 x 0.066 L a day.
    told = cli(*WORKED, "--available", "0.725L", "--area", "0.066m2", "--leaf-area", leaf, "--json").data
    assert f"{told['days']:.1f}" == printed
    assert told["evaporated_l_day"] == pytest.approx(0.165)
    assert told["available_water_l"] == pytest.approx(0.725)


def test_transpiration_of_a_square_metre_of_leaf_layer(cli: Cli) -> None:
    # Source: Pereira, Camargo & Villa Nova 2011 (abstract): ETo / 2.88; 5 mm on 0.2 m2 by hand.
    told = cli("calc", "dry", "--et0", "5", "--leaf", "0.2", "--ke", "0", "--available", "1", "--json").data
    assert told["transpired_l_day"] == pytest.approx(0.3472, abs=1e-4)
    assert told["days"] == pytest.approx(1 / 0.3472, rel=1e-3)
    assert told["evaporated_l_day"] == 0


def test_pot_and_mix_give_litres_and_a_band(cli: Cli) -> None:
    told = cli(*WORKED, *TRAY, "--mix", "D", "--leaf-area", "0.1", "--json").data
    assert told["available_water_l"] == pytest.approx(0.725, rel=0.02)
    assert told["days_low"] < told["days"] < told["days_high"]
    assert told["surface_m2"] == pytest.approx(0.066)
    out = cli(*WORKED, *TRAY, "--mix", "D", "--leaf-area", "0.1").out
    assert "eight pots of ten" in out
    assert "Check, then water." in out


def test_a_typed_curve_has_no_band_and_agrees_with_capacity(cli: Cli) -> None:
    sand = ("--tr", "0.045", "--ts", "0.43", "--alpha", "0.145", "--n", "2.68")
    told = cli(*WORKED, *TRAY, *sand, "--json").data
    held = cli("calc", "capacity", "--shape", "rectangle", *TRAY, *sand, "--json").data
    assert told["available_water_l"] == pytest.approx(held["available_water_l"])
    assert told["days_low"] is None


def test_nothing_leaves_a_bare_pot_on_a_day_without_evaporation(cli: Cli) -> None:
    asked = ("calc", "dry", "--et0", "0mm", "--available", "1L", "--area", "0.05")
    assert cli(*asked, "--json").data["days"] is None
    assert "nothing leaves the pot" in cli(*asked).out


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("--et0", "5"), "the water is missing"),
        (("--et0", "5", "--available", "1L"), "surface of the pot is missing"),
        (("--et0", "5kg", "--available", "1L", "--area", "0.1"), "does not fit"),
        (("--et0", "-5", "--available", "1L", "--area", "0.1"), "evapotranspiration"),
        (("--et0", "5", "--available", "-1L", "--area", "0.1"), "available water"),
        (("--et0", "5", "--available", "1L", "--area", "0.1", "--leaf-area", "-1"), "leaf area"),
        (("--et0", "5", "--available", "1L", "--area", "0.1", "--ke", "9"), "Ke"),
        (("--et0", "5", "--available", "1L", "--area", "0.1", "--exposure", "nan"), "--exposure"),
        (("--et0", "5", "--available", "1L", *TRAY, "--mix", "D"), "not both"),
        (("--et0", "5", "--height", "7cm", "--mix", "D"), "size is missing"),
        (("--et0", "5", "--top", "30x22cm", "--mix", "D"), "--height is missing"),
        (("--et0", "5", *TRAY, "--mix", "akadama=0"), "no part above zero"),
    ],
)
def test_what_does_not_fit_is_one_line(cli: Cli, given: tuple[str, ...], says: str) -> None:
    ran = cli("calc", "dry", *given)
    assert ran.code == 2
    assert says in ran.one_line
