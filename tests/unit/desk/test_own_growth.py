"""A tree's girths laid out in seasons, what counts of them, and what is told where there are too few."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.entries import Given, log_entry
from ringwise.desk.growth_calibration import growth_calibration
from ringwise.desk.own_growth import own_growth, seen_growth
from ringwise.desk.start_tree import plain_start, start_of
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """One maple in the ground without any measure."""
    yard = open_workspace(tmp_path / "yard", on="2027-03-07")
    add_tree(yard, NewTree("Slow Maple", "Acer palmatum"))
    return yard


def _with(yard: Workspace, *girths: tuple[str, str]) -> Workspace:
    for girth, day in girths:
        log_entry(yard, "T01", Given(("girth", girth), at="3cm", date=day))
    log_entry(yard, "T01", Given(("trunk", "38mm"), at="20cm"))  # higher up: no girth of this line
    log_entry(yard, "T01", Given(("height", "60cm")))
    return open_workspace(yard.folder, on="2027-03-07")


def test_winter_girths_lie_a_season_apart(yard: Workspace) -> None:
    later = _with(yard, ("10cm", "2024-11-20"), ("11cm", "2025-12-15"), ("12cm", "2027-01-10"))
    found = seen_growth(later, later.facts_of("T01"))
    assert found is not None
    assert found[0].seasons == pytest.approx((0.0, 1.0, 2.0), abs=0.02)
    assert found[0].girths_mm == (100.0, 110.0, 120.0)
    assert found[0].years_n == 2


def test_two_readings_of_one_winter_are_one(yard: Workspace) -> None:
    later = _with(yard, ("10cm", "2025-11-20"), ("10.2cm", "2026-02-15"), ("12cm", "2027-01-10"))
    found = seen_growth(later, later.facts_of("T01"))
    assert found is not None
    assert found[0].girths_mm == pytest.approx((101.0, 120.0))
    assert found[0].increments_n == 1


def test_girths_of_long_ago_are_left_out(yard: Workspace) -> None:
    years = range(2012, 2027)
    later = _with(yard, *((f"{10 + year - 2012}cm", f"{year}-12-01") for year in years))
    found = seen_growth(later, later.facts_of("T01"))
    assert found is not None
    assert found[0].increments_n == 6


def test_one_girth_says_nothing_of_growth(yard: Workspace) -> None:
    later = _with(yard, ("10cm", "2026-11-20"))
    facts = later.facts_of("T01")
    assert seen_growth(later, facts) is None
    assert own_growth(later, facts, plain_start(later, facts)) is None
    assert start_of(later, facts).particles is None
    told = growth_calibration(later, "T01")
    assert (told["n"], told["hits"], told["coverage_frac"]) == (0, 0, None)
    assert "No tree has girths of three winters" in told["lines"][-1]
