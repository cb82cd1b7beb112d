"""`ringwise calc capacity` and `calc drain`: figures by their keys, in words; one line for what is wrong."""

from __future__ import annotations

import pytest
from command_line import Cli

SAND = ("--tr", ".045", "--ts", ".43", "--alpha", ".145", "--n", "2.68")  # Sand of pedon 0.1.0's catalogue
TRAY = ("--shape", "rectangle", "--bottom", "26x18cm", "--top", "30x22cm", "--height", "7cm")


def test_a_tray_of_sand(cli: Cli) -> None:
    # Source: numbers reckoned outside this project by quadrature.
    ran = cli("calc", "capacity", *SAND, *TRAY, "--json")
    assert ran.code == 0, ran.err
    assert ran.data["volume_cm3"] == pytest.approx(3929.333, abs=1e-3)
    assert ran.data["water_cm3"] == pytest.approx(1486.704, abs=1e-3)
    assert ran.data["theta_v"] == pytest.approx(0.378360, abs=1e-6)
    assert ran.data["air_filled_porosity_v"] == pytest.approx(0.43 - 0.378360, abs=1e-6)
    assert ran.data["saturated_layer_cm"] == pytest.approx(2.752, abs=1e-3)
    assert ran.data["available_water_l"] == pytest.approx((1486.704 - 3929.333 * 0.058775) / 1000, abs=1e-3)
    assert [each["height_cm"] for each in ran.data["profile"]][-1] == 7.0


def test_percent_and_two_pore_systems(cli: Cli) -> None:
    # Source: example of the packages spsh and SoilHyP; capacity reckoned outside.
    modes = ("--mode", "60%,0.5,3", "--mode", "0.4,0.01,1.6")
    ran = cli("calc", "capacity", "--tr", "10%", "--ts", "40 %", *modes, "--height", "5cm", "--json")
    assert ran.code == 0, ran.err
    assert ran.data["theta_v"] == pytest.approx(0.318553, abs=1e-5)
    assert len(ran.data["curve"]["modes"]) == 2


def test_tilted_section_and_tilted_tray(cli: Cli) -> None:
    # Source: the mean over a section 30 cm long and 5 cm deep, reckoned outside.
    section = cli(
        "calc", "capacity", *SAND, "--height", "5cm", "--tilt", "30deg", "--length", "30cm", "--json"
    )
    assert section.data["theta_v"] == pytest.approx(0.24422, abs=1e-4)
    tray = cli(
        "calc", "capacity", *SAND, "--shape", "rect", "--length", "30cm", "--width", "20cm",
        "--height", "5cm", "--tilt", "30deg", "--json",
    )  # fmt: skip
    assert tray.data["theta_v"] == pytest.approx(0.24422, abs=1e-4)
    assert tray.data["volume_cm3"] == pytest.approx(3000.0)


def test_a_mix_tells_its_band_and_why_the_usual_gauge_misleads(cli: Cli) -> None:
    ran = cli("calc", "capacity", "--mix", "akadama=2,pumice=1,lava=1", *TRAY, "--json")
    assert ran.code == 0, ran.err
    band = ran.data["band"]["theta_v"]
    assert band["low"] < ran.data["theta_v"] < band["high"]
    assert ran.data["available_water_l"] > 3 * ran.data["standard_available_l"]
    assert any("misleads here" in line for line in ran.data["lines"])
    deep = cli("calc", "capacity", "--mix", "akadama=2,pumice=1,lava=1", "--height", "15cm")
    assert "misleads" not in deep.out


def test_a_component_a_recipe_and_a_bowl(cli: Cli) -> None:
    one = cli("calc", "capacity", "--substrate", "akadama", "--height", "7cm", "--json")
    same = cli("calc", "capacity", "--mix", "akadama=3", "--height", "7cm", "--json")
    assert one.data["theta_v"] == pytest.approx(same.data["theta_v"], abs=1e-12)
    assert cli("calc", "capacity", "--mix", "D", "--height", "7cm").code == 0
    slices = ("--slice", "0cm:12cm", "--slice", "3cm:22cm", "--slice", "7cm:28cm")
    bowl = cli("calc", "capacity", *SAND, "--shape", "round", *slices, "--json")
    # Source: two frustums, by hand: pi/12 x (3 (144 + 264 + 484) + 4 (484 + 616 + 784)).
    assert bowl.data["volume_cm3"] == pytest.approx(3.14159265 / 12 * (3 * 892 + 4 * 1884), rel=1e-6)


def test_a_coarse_layer_tells_its_cost(cli: Cli) -> None:
    ran = cli("calc", "capacity", "--mix", "D", *TRAY, "--layer", "1.5cm", "--layer-grain", "8mm", "--json")
    assert ran.code == 0, ran.err
    layer = ran.data["layer"]
    assert layer["lost_cm"] == 1.5
    assert layer["suction_cm"] < 1.5
    assert ran.data["air_filled_porosity_v"] < layer["air_without_v"]
    assert any("coarse layer takes 15 mm" in line for line in ran.data["lines"])


def test_a_mound_holds_more(cli: Cli) -> None:
    bare = cli("calc", "capacity", *SAND, *TRAY, "--json")
    heap = ("--mound", "3cm", "--mound-base", "20x15cm")
    heaped = cli("calc", "capacity", *SAND, *TRAY, *heap, "--json")
    added = heaped.data["volume_cm3"] - bare.data["volume_cm3"]
    assert added == pytest.approx(3.14159265 * 10 * 7.5 * 3 / 2, rel=1e-6)  # half of a cylinder of that base


def test_a_soaked_pot_drains(cli: Cli) -> None:
    # Source: reckoned outside by a column of its own, Sand of the catalogue.
    at = ("--ks", "712.8cm/d", "--at", "60s,5min,900s,1h")
    ran = cli("calc", "drain", *SAND, "--height", "10cm", *at, "--json")
    assert ran.code == 0, ran.err
    assert ran.data["drained_cm"] == pytest.approx([0.271, 0.634, 0.818, 0.870], abs=0.003)
    assert ran.data["end_theta_v"] == pytest.approx(0.342921, abs=1e-6)
    assert ran.data["ks_cm_s"] == pytest.approx(0.00825)
    akadama = cli("calc", "drain", "--substrate", "akadama", "--height", "7cm")
    assert akadama.code == 0, akadama.err
    assert "in the end" in akadama.out


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--ts", "43", "--alpha", ".1", "--n", "2"), "Did you enter percent? Write 43 %."),
        (("--ts", ".4", "--tr", "14", "--alpha", ".1", "--n", "2"), "Did you enter percent? Write 14 %."),
        (("--ts", ".4", "--alpha", ".1", "--n", "1"), "n of a pore system is 1"),
        (("--ts", ".4", "--alpha", "5cm", "--n", "2"), '--alpha is "5cm", which is no number'),
        (("--ts", ".4", "--alpha", ".1"), "--alpha and --n are both needed"),
        (("--alpha", ".1", "--n", "2"), "--ts is missing"),
        (("--ts", ".4", "--mode", ".6,.5"), '--mode is ".6,.5"'),
        (("--ts", ".4", "--mode", ".6,.5,3"), "sum to 0.6"),
        (("--ts", ".4", "--mode", "1,.5,3", "--n", "2"), "not both"),
        ((), "give the curve once"),
        ((*SAND, "--substrate", "akadama"), "give the curve once"),
        (("--substrate", "akadma"), "Did you mean: akadama"),
        (("--mix", "akadama=0"), "no part above zero"),
        (("--mix", "akadama=2,pumice"), "write component=parts"),
        (("--mix", "akadama=lots"), 'parts of akadama is "lots"'),
        (("--mix", "akadama=1e308,pumice=1e308"), "accepted: 0 to 1000000"),
        ((*SAND, "--height", "7kg"), 'unit "kg" does not fit a length'),
        ((*SAND, "--tilt", "25cm", "--length", "30cm"), 'unit "cm" does not fit an angle'),
        ((*SAND, "--tilt", "25deg"), "a prism has no length to tilt along"),
        ((*SAND, "--shape", "hexagone"), "Did you mean: hexagon"),
        ((*SAND, "--mound", "3cm"), "--mound-base is missing"),
        ((*SAND, "--layer", "2cm"), "--layer-grain is missing"),
        ((*SAND, "--layer", "12cm", "--layer-grain", "8mm"), "coarse layer is 12 cm"),
        ((*SAND, "--shape", "round", "--slice", "3cm"), "write height:size"),
        ((*SAND, "--shape", "round", "--slice", "0:3cm", "--tilt", "20"), "--slice stands alone"),
    ],
)
def test_what_does_not_fit_is_one_line(cli: Cli, words: tuple[str, ...], line: str) -> None:
    height = () if "--height" in words else ("--height", "7cm")
    ran = cli("calc", "capacity", *height, *words)
    assert ran.code == 2
    assert line in ran.one_line


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--height", "7cm"), "--ks is missing"),
        (("--height", "7cm", "--ks", "3kg"), 'unit "kg" does not fit a speed of water'),
        (("--height", "7cm", "--ks", "1cm/s", "--at", "60s,30s"), "times must rise"),
        (("--height", "7cm", "--ks", "5000cm/s"), "conductivity is 5000 cm/s"),
        (("--ks", "1cm/s"), "--height is missing"),
    ],
)
def test_what_cannot_drain_is_one_line(cli: Cli, words: tuple[str, ...], line: str) -> None:
    ran = cli("calc", "drain", *SAND, *words)
    assert ran.code == 2
    assert line in ran.one_line


def test_words_claim_no_more_than_the_numbers(cli: Cli) -> None:
    # A tray of 5 cm raised by 30 degrees over 30 cm is 19 cm high: it drains past 10 cm of suction.
    tilted = cli("calc", "capacity", *SAND, "--height", "5cm", "--tilt", "30deg", "--length", "30cm")
    assert "misleads" not in tilted.out
    assert "for each cm² of floor" in tilted.out
    assert "for each cm²" not in cli("calc", "capacity", *SAND, *TRAY).out
    # A field soil whose pores begin to empty far above the rim stays full: no layer of so many metres.
    full = cli("calc", "capacity", "--ts", ".43", "--alpha", ".145", "--n", "1.001", "--height", "5cm")
    assert "wet to the top" in full.out
    assert "wet layer" not in full.out
    layer = cli("calc", "capacity", *SAND, *TRAY, "--layer", "2cm", "--layer-grain", "8mm")
    assert "wet layer on the coarse layer" in layer.out


def test_closed_grains_have_one_pore_system(cli: Cli) -> None:
    ran = cli("calc", "capacity", "--substrate", "grit", "--height", "7cm", "--json")
    modes = ran.data["curve"]["modes"]
    assert [each["pore_share_frac"] for each in modes] == pytest.approx([1.0])
    akadama = cli("calc", "capacity", "--substrate", "akadama", "--height", "7cm", "--json")
    assert len(akadama.data["curve"]["modes"]) == 2


def test_what_longer_steps_cost_is_told(cli: Cli) -> None:
    at = ("--height", "10cm", "--ks", "712.8cm/d", "--at", "60s,300s")
    ran = cli("calc", "drain", *SAND, *at, "--json").data
    told = next(line for line in ran["lines"] if "finer" in line)
    assert all(f"{10 * cm:.1f} mm" in told for cm in ran["finer_cm"])
    rest = cli("calc", "drain", *SAND, *at[:-1], "1e9s")
    assert "finer" not in rest.out
    per_day = cli("calc", "drain", *SAND, "--height", "10cm", "--ks", "712.8")
    assert "Was it cm per day? Write 712.8cm/d." in per_day.one_line
