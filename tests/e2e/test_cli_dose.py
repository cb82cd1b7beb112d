"""`ringwise calc dose`: figures by their keys, a held tree gets nothing, bad input is one line."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import Cli


def test_strength_grams_and_what_runs_out(cli: Cli) -> None:
    ran = cli("calc", "dose", "--n", "20%", "--dose", "1g/L", "--deficit", "0.8L", "--leach", "15%", "--json")
    assert ran.code == 0, ran.err
    assert ran.data["n_ppm"] == pytest.approx(200.0)
    assert ran.data["applied_l"] == pytest.approx(0.941, abs=5e-4)
    assert ran.data["n_mg"] == pytest.approx(160.0)
    assert ran.data["dose_g"] == pytest.approx(0.941, abs=5e-4)
    assert "label" in ran.data["lines"][-1]


def test_hard_water_and_the_danger_of_acid(cli: Cli) -> None:
    ran = cli("calc", "dose", "--alkalinity", "4meq/L", "--to", "80", "--json")
    assert ran.code == 0, ran.err
    assert ran.data["h2so4_mg_l"] == pytest.approx(117.7, rel=1e-3)
    assert any("goggles" in line for line in ran.data["lines"])
    dry = cli("calc", "dose", "--alkalinity", "4meq/L", "--json")
    assert "h2so4_mg_l" not in dry.data


def test_a_tree_cut_at_the_root_gets_nothing(cli: Cli, yard: Path) -> None:
    cli("tree", "add", "Elm", "--species", "Ulmus parvifolia", folder=yard)
    cli("log", "T01", "work", "repot", "--date", "2026-03-01", folder=yard)
    ran = cli(
        "calc",
        "dose",
        "--tree",
        "T01",
        "--n",
        "20%",
        "--want",
        "100",
        "--on",
        "2026-05-20",
        "--json",
        folder=yard,
    )
    assert ran.code == 0, ran.err
    assert (ran.data["may_feed"], ran.data["dose_g_l"]) == (False, 0.0)
    assert "most leaves are hard" in ran.data["holds"][0]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (("--deficit", "0.8", "--leach", "14"), "Did you enter percent? Write 14 %."),
        (("--n", "90%", "--dose", "1"), "accepted: 0 to 60 %"),
        (("--n", "20kg", "--dose", "1"), "does not fit a percent"),
        (("--dose", "1"), "--n is missing"),
        (("--n", "0", "--want", "100"), "holds no nitrogen"),
        (("--ec-in", "1", "--leach", "0"), "salts gather without end"),
        (("--ec-out", "1", "--feeding", "drip"), "drip"),
        (("--alkalinity", "-3"), "accepted: 0 to 1000 ppm"),
        ((), "nothing to work out"),
    ],
)
def test_bad_input_is_one_line_with_the_way_out(cli: Cli, given: tuple[str, ...], told: str) -> None:
    ran = cli("calc", "dose", *given)
    assert ran.code == 2
    assert told in ran.one_line
