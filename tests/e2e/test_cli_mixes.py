"""Packing, mixes and the grower's own components from the command line."""

from __future__ import annotations

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
