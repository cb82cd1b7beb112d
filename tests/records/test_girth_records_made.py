"""The girth records are what their script writes, and keep to the rules that it tells."""

from __future__ import annotations

import csv
from itertools import groupby

import pytest
from make_girth_records import FIELD, RECORDS, TREES, girth_records, increments_cm


def _trees() -> list[list[dict[str, str]]]:
    with RECORDS.open(encoding="utf-8", newline="") as file:
        return [list(rows) for _tree, rows in groupby(csv.DictReader(file), key=lambda row: row["tree"])]


def test_the_file_is_what_the_script_writes() -> None:
    assert RECORDS.read_text(encoding="utf-8") == girth_records()


def test_thirty_trees_over_every_published_row() -> None:
    trees = _trees()
    assert len(trees) == TREES == 30
    assert {tree[0]["equation"] for tree in trees} == set(increments_cm(FIELD.read_text(encoding="utf-8")))
    pots_l = [float(tree[0]["pot_l"]) for tree in trees if tree[0]["pot_l"]]
    assert 2.0 <= min(pots_l) <= 4.0
    assert 30.0 <= max(pots_l) <= 50.0
    assert len(pots_l) == 26
    for tree in trees:
        assert 7 <= len(tree) <= 15
        years = [int(row["year"]) for row in tree]
        assert years == list(range(years[0], years[0] + len(years)))


@pytest.mark.parametrize(
    ("equation", "young_cm", "old_cm"),
    [
        # Mean growth over ages 2 to 7 and 10 to 20, computed by hand from the printed coefficients.
        ("zelkova_serrata:NoEast", 1.32, 1.32),
        ("acer_palmatum:NoCalC", 0.44, 0.79),
        ("fagus_sylvatica:PacfNW", 2.55, 1.58),
    ],
)
def test_increments_lie_between_those_of_young_and_old_trees(
    equation: str, young_cm: float, old_cm: float
) -> None:
    mean_cm = increments_cm(FIELD.read_text(encoding="utf-8"))[equation]
    assert min(young_cm, old_cm) - 0.005 <= mean_cm <= max(young_cm, old_cm) + 0.005
