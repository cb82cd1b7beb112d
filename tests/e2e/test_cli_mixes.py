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
