"""Single formulas of growth and of waiting on the command line, and what is refused."""

from __future__ import annotations

import math

import pytest
from command_line import Cli

WAIT = (
    "calc", "wait", "--p-take", ".5", "--sensitivity", ".85", "--specificity", ".8", "--keep-ok", "1",
    "--keep-fail", ".35", "--now", ".7",
)  # fmt: skip


def test_the_worked_case_of_waiting(cli: Cli) -> None:
    # Source: reckoned by hand, and by an influence diagram in tests/reference/test_decision_waiting.py.
    told = cli(*WAIT, "--late", ".66", "--json").data
    expected = {
        "act_now": 0.7, "wait": 0.7735, "evsi": 0.0735, "evpi": 0.13, "posterior_good_sign": 0.8095,
        "posterior_bad_sign": 0.1579, "break_even_late": 0.5053,
    }  # fmt: skip
    assert {key: told[key] for key in expected} == pytest.approx(expected, abs=1e-4)
    assert cli(*WAIT, "--late", "66%").out.startswith(
        "waiting is right unless acting late is worth less than 0.51"
    )


def test_waiting_may_be_wrong(cli: Cli) -> None:
    told = cli(*WAIT, "--late", ".4", "--json").data
    assert told["evsi"] < 0
    assert told["lines"][0] == "waiting is wrong unless acting late is worth more than 0.51"


def test_own_tries_move_the_odds(cli: Cli) -> None:
    # Source: SciPy's beta distribution, by hand: Beta(8.92, 4.19).
    told = cli("calc", "odds", "--prior", "5.92,3.19", "--successes", "3", "--failures", "1", "--json").data
    assert told["mean"] == pytest.approx(0.6804, abs=1e-4)
    assert (told["low"], told["high"]) == pytest.approx((0.461, 0.868), abs=1e-3)
    assert told["prior_two_tries"] == pytest.approx(0.8549, abs=1e-4)
    assert told["two_tries"] < told["two_tries_independent"]


def test_a_wound_closes_by_the_growth_beside_it(cli: Cli) -> None:
    # Source: Seifert, Nickel & Pretzsch 2010 (abstract), 1.3 mm for each mm of diameter growth: 20 / 1.3 / 8.
    told = cli("calc", "closure", "--width", "20mm", "--diameter-growth", "8mm", "--json").data
    assert told["needs_mm"] == pytest.approx(15.385, abs=1e-3)
    assert told["years"] == pytest.approx(1.923, abs=1e-3)
    winter = cli(
        "calc", "closure", "--width", "2cm", "--diameter-growth", "8", "--season", "winter", "--json"
    )
    assert winter.data["years"] > told["years"]
    stub = cli("calc", "closure", "--width", "2cm", "--diameter-growth", "8", "--stub", "5mm", "--json")
    assert stub.data["years"] > told["years"]
    never = cli("calc", "closure", "--width", "20mm", "--diameter-growth", "0", "--json").data
    assert never["years"] is None


@pytest.mark.parametrize(("exponent", "base_mm"), [("1.8", 21.773), ("2", 16.0), ("2.3", 11.145)])
def test_a_tree_of_pipes(cli: Cli, exponent: str, base_mm: float) -> None:
    # Source: by hand, 256 tips of 1 mm: 256 ^ (1 / exponent).
    told = cli("calc", "pipe", "--levels", "8", "--tip", "1mm", "--exponent", exponent, "--json").data
    assert told["base_diameter_mm"] == pytest.approx(base_mm, abs=5e-4)
    assert told["base_diameter_mm"] == pytest.approx(256 ** (1 / float(exponent)), rel=1e-6)


def test_rings_under_a_crown_that_stays_the_same(cli: Cli) -> None:
    # Source: by hand: 0.02 x 3000 / 5 = 12 mm2 a year on 30 mm; the share above unit k of 10 is sqrt(k / 10).
    told = cli("calc", "pipe", "--leaf", "3000cm2", "--pipe", ".02", "--sapwood", "5", "--json").data
    assert told["ring_mm2_year"] == pytest.approx(12.0)
    assert told["first_year_growth_mm"] == pytest.approx(0.25358, abs=1e-5)
    assert told["end_diameter_mm"] == pytest.approx(35.80463, rel=1e-6)
    assert told["shares"] == pytest.approx([math.sqrt(k / 10) for k in range(10, 0, -1)], rel=1e-6)


def test_thickening_by_species_and_age(cli: Cli) -> None:
    # Source: McPherson et al. 2016: Zelkova NoEast 81.628 cm at 60, Celtis LoMidW 82.114 cm at 70.
    zelkova = cli("calc", "girth-rate", "--species", "zelkova_serrata", "--age", "60", "--json").data
    assert zelkova["diameter_mm"] == pytest.approx(816.28, abs=0.02)
    assert zelkova["girth_growth_mm_year"] == pytest.approx(math.pi * 13.2424, rel=1e-6)
    celtis = cli("calc", "girth-rate", "--species", "celtis_occidentalis", "--age", "70", "--json").data
    assert {each["key"] for each in celtis["sets"]} == {
        "celtis_occidentalis:LoMidW",
        "celtis_occidentalis:MidWst",
    }
    assert celtis["sets"][0]["diameter_mm"] == pytest.approx(821.14, abs=0.02)
    lines = cli("calc", "girth-rate", "--species", "acer_palmatum", "--age", "20").out
    assert "Acer palmatum, coast of northern California: " in lines
    assert ":" not in lines.split("Acer palmatum", 1)[0].splitlines()[-1]  # no key of a table
    pot = cli("calc", "girth-rate", "--species", "zelkova_serrata", "--age", "5", "--volume", "5L", "--json")
    # Source: Poorter et al. 2012, 1.43 for each doubling: (5 / 50) ^ 0.516.
    assert pot.data["girth_growth_mm_year"] == pytest.approx(math.pi * 13.2424 * 0.1**0.516, rel=1e-6)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ((*WAIT, "--late", "1.5"), "--late is 1.5; accepted: 0 to 1"),
        ((*WAIT, "--late", "much"), "--late"),
        (("calc", "odds", "--prior", "5"), "two counts"),
        (("calc", "odds", "--prior", "5,-1"), "--prior is 5,-1"),
        (("calc", "odds", "--prior", "5,3", "--successes", "-1"), "--successes is -1"),
        (("calc", "closure", "--width", "-2mm", "--diameter-growth", "8mm"), "--width"),
        (("calc", "closure", "--width", "2kg", "--diameter-growth", "8mm"), "does not fit"),
        (("calc", "closure", "--width", "2", "--diameter-growth", "8", "--season", "frost"), "season"),
        (("calc", "pipe", "--exponent", "0"), "--exponent is 0"),
        (("calc", "girth-rate", "--species", "larix_decidua", "--age", "5"), "no published equation"),
        (("calc", "girth-rate", "--species", "zelkova_serata", "--age", "5"), "Did you mean"),
        (("calc", "girth-rate", "--species", "zelkova_serrata", "--age", "-5"), "--age is -5"),
    ],
)
def test_what_does_not_fit_is_refused_in_one_line(cli: Cli, given: tuple[str, ...], says: str) -> None:
    ran = cli(*given)
    assert ran.code == 2
    assert says in ran.one_line
