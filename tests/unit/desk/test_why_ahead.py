"""Whys of the years ahead and of a figure: made from what, and refused where nothing is made yet."""

from __future__ import annotations

from pathlib import Path

import pytest

from ringwise.desk.ahead import ahead_stored, make_ahead
from ringwise.desk.build_demo import build_demo
from ringwise.desk.trees import NewTree, add_tree
from ringwise.desk.why import why_told
from ringwise.desk.workspace import open_workspace
from ringwise.faces.web.shapes.base import Why
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError, NotReadyError


def test_a_year_ahead_rests_on_girth_and_growth(tmp_path: Path) -> None:
    demo = build_demo(tmp_path / "demo")
    with pytest.raises(NotReadyError, match="not made yet"):
        why_told(demo, "T04:ahead:2030")
    make_ahead(demo, "T04")
    ahead = ahead_stored(demo, demo.facts_of("T04"))
    assert ahead is not None
    year = ahead.years[2]
    why = Why.model_validate(why_told(demo, f"T04:ahead:{year.label}"))
    assert why.value == f"{show.length(year.low_mm)} to {show.length(year.high_mm)}"
    labels = [link.label for link in why.chain]
    assert labels[1] == "alive then"
    assert "growth, year by year" in labels
    assert "trunk" in labels[2]
    assert Why.model_validate(why_told(demo, "T04:ahead")).title == "years ahead of T04"
    with pytest.raises(NotFoundError, match="known: "):
        why_told(demo, "T04:ahead:1999")
    demo.store.close()


def test_a_figure_says_what_it_was_drawn_from(tmp_path: Path) -> None:
    demo = build_demo(tmp_path / "demo")
    taped = {entry.tree for entry in demo.entries if entry.kind == "tape"}
    for tree in ("T03", "T04", "T05"):
        why = Why.model_validate(why_told(demo, f"{tree}:figure"))
        assert why.value.startswith("drawn from the tape") is (tree in taped)
        assert why.chain[1].room == "the record"
    demo.store.close()
    bare = open_workspace(tmp_path / "bare", on="2027-03-07")
    add_tree(bare, NewTree("Old Elm", "Ulmus procera"))
    why = Why.model_validate(why_told(bare, "T01:figure"))
    assert (len(why.chain), why.value) == (1, "a plain sketch by species; its size was not measured")
