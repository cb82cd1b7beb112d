"""Rooting, grafting, decay and back-budding classes are there for every row of the trade's species table.

Source: the trade's species table (common practice and memory), read in test_species_table.py.
"""

from __future__ import annotations

import pytest

from ringwise.growth.biology import biology, codit_decay_years
from ringwise.growth.odds import prior_odds
from ringwise.kit.tables import load_table
from ringwise.records.taxa import lookup_keys

OPERATIONS = load_table("ringwise.operations", "species")
GROWTH = load_table("ringwise.growth", "species")
LETTERS = {"easy": "E", "medium": "M", "hard": "H"}
GROUPS = {"G1", "G2", "G3", "G4", "G5", "G6", "G7", "any"}
ROWS = [
    (row.key, ease, cls)
    for ease, cls in (("layer_ease", "layer_class"), ("graft_ease", "graft_class"))
    for row in OPERATIONS.rows
    if row.parameter == ease and row.key not in GROUPS and "genus fall-back" not in row.note
]
# Where the table of growth classes for the commonest kinds, also practice, says one step more or less.
ONE_STEP = {
    ("celtis_sinensis", "layer_class"),
    ("celtis_sinensis", "graft_class"),
    ("acer_campestre", "layer_class"),
    ("acer_campestre", "graft_class"),
    ("prunus_mume", "layer_class"),
    ("prunus_mume", "graft_class"),
    ("tilia_cordata", "graft_class"),
}
ORDER = "EMH"


def test_the_rows_are_there() -> None:
    assert len({key for key, _ease, _cls in ROWS}) >= 54


@pytest.mark.parametrize("parameter", ["layer_class", "graft_class", "codit_class", "back_bud_class"])
def test_each_kind_has_a_class_of_its_own_or_its_genus(parameter: str) -> None:
    missing = []
    for key, _ease, _cls in ROWS:
        order = lookup_keys(key)
        if GROWTH.first(order, parameter).key not in order[:2]:
            missing.append(key)
    assert not missing


@pytest.mark.parametrize(("key", "ease", "cls"), ROWS)
def test_classes_are_those_of_the_table(key: str, ease: str, cls: str) -> None:
    listed = {"H" if each == "X" else each for each in OPERATIONS.get(key, ease).items}
    letter = LETTERS[GROWTH.first(lookup_keys(key), cls).value]
    if (key, cls) in ONE_STEP:
        assert min(abs(ORDER.index(letter) - ORDER.index(each)) for each in listed) == 1
    else:
        assert letter in listed


def test_each_class_has_its_odds_and_years() -> None:
    for key in {key for key, _ease, _cls in ROWS}:
        life = biology(lookup_keys(key))
        assert 0 < life.layer.mean_prob < 1
        assert 0 < life.approach.mean_prob < 1
        assert 0 < prior_odds(f"scion_{life.graft_class}").mean_prob < 1
        assert codit_decay_years(life.codit_class) > 0
