"""Open wounds of the record stand in the tree from which futures start."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from ringwise.desk.almanac_making import tree_mark
from ringwise.desk.entries import Given, log_entry
from ringwise.desk.start_tree import start_of
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.futures.simulate import start_trees
from ringwise.growth import layout as at


@pytest.fixture
def yard(tmp_path: Path) -> Workspace:
    """One maple with trunk and height."""
    yard = open_workspace(tmp_path / "yard", on="2027-03-07")
    add_tree(yard, NewTree("Scarred Maple", "Acer palmatum"))
    log_entry(yard, "T01", Given(("trunk", "40mm")))
    log_entry(yard, "T01", Given(("height", "50cm")))
    return yard


def _wound(yard: Workspace, width: str, at_place: str, on: str) -> None:
    log_entry(yard, "T01", Given(("wound", width), at=at_place, date=on))


def test_an_open_wound_starts_open_and_a_closed_one_does_not(yard: Workspace) -> None:
    before = tree_mark(yard.facts_of("T01"))
    _wound(yard, "18mm", "10cm,3", "2024-11-01")
    _wound(yard, "15mm", "10cm,3", "2026-11-01")
    _wound(yard, "9mm", "25cm,9", "2025-11-01")
    _wound(yard, "0mm", "25cm,9", "2026-11-01")
    again = open_workspace(yard.folder, on="2027-03-07")
    facts = again.facts_of("T01")
    start = start_of(again, facts)
    assert tree_mark(facts) != before
    assert [(each.height_mm, each.width_mm) for each in start.wounds] == [(100.0, 15.0)]
    assert start.wounds[0].open_years == pytest.approx(2.35, abs=0.02)
    for real, whole, _ids, _pools, _count in start_trees(start):
        scarred = np.nonzero(real[at.WOUND])[0]
        assert real[at.WOUND, scarred].tolist() == [15.0]
        assert whole[at.FLAGS, scarred[0]] & at.TRUNK
        below = whole[at.PARENT, scarred[0]]
        assert real[at.END_Z, below] < 100.0 <= real[at.END_Z, scarred[0]]
