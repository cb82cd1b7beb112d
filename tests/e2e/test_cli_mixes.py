"""Packing, mixes and the grower's own components from the command line."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli

HALVES = ("calc", "packing", "--volumes", "1,1", "--sizes", "6mm,3mm")


def test_packing_tells_what_is_lost(cli: Cli) -> None:
    found = cli(*HALVES, "--alone", ".6,.6", "--k", "4.1", "--json")
    assert found.code == 0
    assert found.data["yield"] == pytest.approx(0.9319, abs=5e-4)
    assert found.data["packing_fraction"] == pytest.approx(0.6 / 0.9319, abs=5e-4)
    spoken = cli(*HALVES, "--alone", "60%,60 %")
    assert "6.8 % is lost" in spoken.out


@pytest.mark.parametrize(
    ("words", "line"),
    [
        ((*HALVES, "--alone", "60,.6"), "Did you enter percent? Write 60 %."),
        ((*HALVES, "--alone", ".6"), "2 volumes, 2 sizes and 1 shares"),
        ((*HALVES[:2], "--volumes", "0,0", *HALVES[4:], "--alone", ".6,.6"), "add up to zero"),
        ((*HALVES[:4], "--sizes", "6mm,3kg", "--alone", ".6,.6"), "does not fit a length"),
        ((*HALVES[:4], "--sizes", "6mm,0mm", "--alone", ".6,.6"), "more than 0 mm"),
        ((*HALVES, "--alone", ".6,", "--k", "4.1"), "divided by commas"),
        ((*HALVES, "--alone", ".6,.6", "--k", "0"), "packing index"),
    ],
)
def test_what_does_not_fit_is_one_line(cli: Cli, words: tuple[str, ...], line: str) -> None:
    found = cli(*words)
    assert found.code == 2
    assert line in found.one_line


WEIGHED = ("--vessel", "1L", "--height", "10cm", "--grain", "2-5mm", "--empty", "50g", "--dry", "530g")
WET = ("--soaked", "1350g", "--drained", "1060g")


def test_an_own_component_is_weighed_used_and_taken_out(cli: Cli, yard: Path) -> None:
    made = cli("component", "add", "Sharp clay", *WEIGHED, *WET, "--json", folder=yard)
    assert made.code == 0
    assert made.data["component"]["bulk_kg_l"] == pytest.approx(0.48)  # (530 - 50) g in 1 L
    assert made.data["component"]["open_porosity_v"] == pytest.approx(0.82)  # (1350 - 530) g in 1 L
    again = cli("component", "add", "sharp-clay", *WEIGHED, *WET, folder=yard)
    assert "nothing changes" in again.one_line
    batch = cli("mix", "--recipe", "sharp_clay=2,pumice=1", "--litres", "4", "--json", folder=yard).data
    clay = next(row for row in batch["shopping"] if row["component"] == "sharp_clay")
    assert clay["mass_kg"]["median"] == pytest.approx(0.48 * clay["volume_l"])
    assert "sharp_clay" in cli("component", "list", folder=yard).out
    assert cli("component", "remove", "sharp clay", folder=yard).code == 0
    gone = cli("mix", "--recipe", "sharp_clay=2,pumice=1", "--litres", "4", folder=yard)
    assert "unknown" in gone.one_line


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("Pumice", *WEIGHED, *WET), "comes with Ringwise"),
        (("x", "--vessel", "1kg", *WEIGHED[2:], *WET), "does not fit a volume"),
        (("x", "--vessel", "0.5L", *WEIGHED[2:], *WET), "open porosity from the weights is 1.64"),
        (("x", *WEIGHED, "--soaked", "1060g", "--drained", "1350g"), "Check which is which"),
        (("x", *WEIGHED[:4], "--grain", "-5mm", *WEIGHED[6:], *WET), "write the sieve cut"),
    ],
)
def test_weights_that_do_not_fit_store_nothing(
    cli: Cli, yard: Path, words: tuple[str, ...], line: str
) -> None:
    found = cli("component", "add", *words, folder=yard)
    assert found.code == 2
    assert line in found.one_line
    kept = cli("component", "list", "--json", folder=yard).data["components"]
    assert not any(each["own"] for each in kept)


@pytest.mark.parametrize(
    ("recipe", "line"),
    [
        ("akadama=2,pumise=1", "Did you mean: pumice?"),
        ("akadama=0,pumice=0", "no part above zero"),
        ("akadama=,pumice=1", "component=parts"),
        ("akadama=-1,pumice=2", "0 or more"),
    ],
)
def test_parts_that_make_no_mix_are_one_line(cli: Cli, yard: Path, recipe: str, line: str) -> None:
    assert line in cli("mix", "--recipe", recipe, "--litres", "4", folder=yard).one_line


def test_mixes_for_a_purpose_stand_side_by_side_in_one_pot(cli: Cli, built_demo: Path) -> None:
    found = cli("mix", "T17", "--purpose", "rescue", "--once-a-day", "--json", folder=built_demo).data
    assert [each["recipe"] for each in found["mixes"]][:2] == ["C", "V"]
    for each in found["mixes"]:
        bottom, air = each["air_bottom_v"], each["air_filled_porosity_v"]
        assert 0 < bottom["low"] < bottom["median"] < bottom["high"] < 1
        assert bottom["median"] < air["median"]  # a pot is wettest at its floor
        assert each["hottest_days"]["median"] < each["spring_days"]["median"]
        assert each["available_l"] < each["water_l"]
        assert each["feed"] == "none until vigour is back"
        assert each["texture"]


def test_what_if_between_mixes_and_pots(cli: Cli, demo: Path) -> None:
    assert cli("pot", "add", "P-95", "--shape", "oval", "--size", "42x31x14 cm", folder=demo).code == 0
    words = ("mix", "T17", "--compare", "D;V;pumice=2,lava=1", "--json")
    here = cli(*words, folder=demo).data
    deeper = cli(*words, "--pot", "P-95", folder=demo).data
    assert [each["recipe"] for each in here["mixes"]] == ["D", "V", "pumice=2,lava=1"]
    assert here["purpose"] is None
    for one, other in zip(here["mixes"], deeper["mixes"], strict=True):
        assert other["air_filled_porosity_v"]["median"] > one["air_filled_porosity_v"]["median"]


def test_small_pots_are_at_risk_when_watered_once_a_day(cli: Cli, built_demo: Path) -> None:
    small = cli("mix", "T10", "--compare", "D", "--json", folder=built_demo).data["mixes"][0]
    large = cli("mix", "T17", "--compare", "D", "--json", folder=built_demo).data["mixes"][0]
    assert small["risk_days"]["median"] > large["risk_days"]["median"]


def test_without_weather_it_says_what_it_took(cli: Cli, yard: Path) -> None:
    cli("tree", "add", "Elm", "--species", "Ulmus procera", folder=yard)
    cli("pot", "add", "P1", "--shape", "oval", "--size", "30x20x6 cm", "--tree", "Elm", folder=yard)
    found = cli("mix", "Elm", "--purpose", "hold", "--json", folder=yard).data
    assert "No weather is known" in found["assumed"][0]
    assert found["mixes"][0]["risk_days"]["median"] is None


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("T03", "--purpose", "grow"), "Accepted: build, hold, refine, rescue"),
        (("T03", "T04", "--purpose", "hold"), "for one tree"),
        (("T03", "--compare", "D,X"), "mix is"),
        (("T03", "--compare", ";"), "name mixes to compare"),
        (("T08", "--purpose", "hold"), "no pot is known"),
    ],
)
def test_comparisons_that_cannot_be_are_one_line(
    cli: Cli, built_demo: Path, words: tuple[str, ...], line: str
) -> None:
    assert line in cli("mix", *words, folder=built_demo).one_line


def test_sizes_far_apart_say_what_is_lost(cli: Cli, yard: Path) -> None:
    words = ("mix", "--recipe", "pine_bark=2,coarse_sand=1", "--litres", "10")
    assert "lose 14% of the volume" in cli(*words, folder=yard).out
    assert "on mixing" not in cli("mix", "--recipe", "D", "--litres", "10", folder=yard).out


def test_litres_for_a_volume_allow_for_what_mixing_loses(cli: Cli, yard: Path) -> None:
    told = cli("mix", "--recipe", "pine_bark=1,coarse_sand=1", "--litres", "4.5L", "--json", folder=yard).data
    batch = told["batches"][0]
    # Settling 15 %, waste 5 %, and what the sizes lose.
    assert batch["gross_l"] == pytest.approx(4.5 * 1.15 * 1.05 / batch["yield"])
    assert batch["yield"] < 0.9
    alike = cli("mix", "--recipe", "D", "--litres", "4.5L", "--json", folder=yard).data["batches"][0]
    assert alike["gross_l"] == pytest.approx(4.5 * 1.15 * 1.05)  # a loss within the planning figures


def test_trees_take_a_mix_by_parts_and_tell_its_cut(cli: Cli, built_demo: Path) -> None:
    usual = cli("mix", "T03", "T09", "--json", folder=built_demo).data["batches"][0]
    cuts = {each["label"]: (each["grain_from_mm"], each["grain_to_mm"]) for each in usual["for"]}
    assert cuts["T03"][1] > cuts["T09"][1]  # 8 cm deep and 6.5 cm deep
    spoken = cli("mix", "T03", "T09", folder=built_demo).out
    assert "mm for T03" in spoken
    assert "mm for T09" in spoken
    typed = cli("mix", "T03", "--recipe", "pumice=2,lava=1", "--json", folder=built_demo).data["batches"][0]
    assert [part["component"] for part in typed["parts"]] == ["pumice", "lava"]


def test_own_parts_count_in_what_mixing_loses(cli: Cli, demo: Path) -> None:
    sand = ("--vessel", "1L", "--height", "10cm", "--grain", "0.2-0.5mm", "--dry", "1500g")
    assert (
        cli("component", "add", "My sand", *sand, "--soaked", "1930g", "--drained", "1900g", folder=demo).code
        == 0
    )
    fine = cli("mix", "T03", "--recipe", "my_sand=1,pumice=1", "--json", folder=demo).data["batches"][0]
    plain = cli("mix", "T03", "--recipe", "grit=1,pumice=1", "--json", folder=demo).data["batches"][0]
    assert fine["yield"] < 0.9
    assert fine["gross_l"] == pytest.approx(plain["gross_l"] / fine["yield"], rel=0.02)


def test_what_all_mixes_share_is_said_once(cli: Cli, built_demo: Path) -> None:
    out = cli("mix", "T17", "--purpose", "rescue", folder=built_demo).out
    assert out.count("feed: none until vigour is back") == 1
    assert out.index("The same for all of them:") < out.index("feed: none")
    days = cli("mix", "T03", "--compare", "D", "--once-a-day", folder=built_demo).out
    risk = next(line for line in days.splitlines() if "once a day" in line)
    assert "." not in risk  # a count of days has no tenths
