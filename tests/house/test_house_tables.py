"""Every row of data is complete and honest about where it comes from; each rule catches a planted fault."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import house_tables as rules
from house_tables import DataFile, data_file, data_files
from ringwise.kit.tables import COLUMNS

Rule = Callable[[DataFile], list[str]]
RECALLED = Path(__file__).parent / "recalled.txt"
HEADER = ",".join(COLUMNS)
GOOD = "oak,depth,5,mm,4,6,minmax,triangular,practice,practice,,no,pot,"


@pytest.mark.parametrize(
    "rule",
    [
        rules.shape,
        rules.unique_rows,
        rules.complete_rows,
        rules.known_sources,
        rules.honest_reading,
        rules.no_months,
    ],
    ids=lambda rule: rule.__name__,
)
def test_rule_holds_in_every_data_file(rule: Rule) -> None:
    faults = [fault for file in data_files() for fault in rule(file)]
    assert not faults, "\n".join(["", *faults])


def test_sources_are_unique_and_complete() -> None:
    faults = rules.source_faults(rules.sources())
    assert not faults, "\n".join(["", *faults])


def test_the_checks_see_the_data() -> None:
    assert any(file.is_parameters and len(file.rows) > 10 for file in data_files())


@pytest.mark.parametrize("kind", ["recalled", "practice"])
def test_rows_without_print_only_become_fewer(kind: str) -> None:
    now = rules.recalled(data_files()).get(kind, 0)
    recorded = rules.recorded_counts(RECALLED)[kind]
    assert now <= recorded, f"{now} {kind} rows; {recorded} are recorded in tests/house/recalled.txt"


def test_sound_row_passes() -> None:
    file = data_file(f"{HEADER}\n{GOOD}\n")
    assert file.is_parameters
    for rule in (
        rules.shape,
        rules.unique_rows,
        rules.complete_rows,
        rules.known_sources,
        rules.honest_reading,
    ):
        assert rule(file) == []


@pytest.mark.parametrize(
    ("rule", "row"),
    [
        (rules.shape, GOOD + ",extra"),
        (rules.unique_rows, f"{GOOD}\n{GOOD}"),
        (rules.complete_rows, GOOD.replace(",mm,", ",,")),
        (rules.complete_rows, GOOD.replace("depth,5", "depth,")),
        (rules.complete_rows, GOOD.replace("depth,5", "depth,7")),
        (rules.complete_rows, GOOD.replace("depth,5", "depth,five")),
        (rules.complete_rows, GOOD.replace("depth,5", "depth,nan")),
        (rules.complete_rows, GOOD.replace("4,6", ",")),
        (rules.complete_rows, GOOD.replace("minmax", "none")),
        (rules.complete_rows, GOOD.replace("minmax", "guess")),
        (rules.complete_rows, GOOD.replace("triangular", "flat")),
        (rules.complete_rows, GOOD.replace("triangular,practice", "triangular,lore")),
        (rules.complete_rows, GOOD.replace(",no,", ",maybe,")),
        (rules.complete_rows, GOOD.replace(",mm,", ",text,")),
        (rules.known_sources, GOOD.replace("practice,practice", "measured,nobody1900")),
        (rules.honest_reading, GOOD.replace(",no,", ",yes,")),
        (rules.honest_reading, GOOD.replace(",,no,", ",as in a book,yes,")),
        (rules.honest_reading, GOOD.replace("practice,practice,,no", "fitted,own,p. 3,yes")),
    ],
)
def test_planted_row_is_caught(rule: Rule, row: str) -> None:
    assert rule(data_file(f"{HEADER}\n{row}\n")) != []


@pytest.mark.parametrize(
    ("rule", "row"),
    [
        (rules.complete_rows, GOOD.replace("4,6,minmax", ",,printed_digits")),
        (rules.complete_rows, GOOD.replace("4,6,minmax", ",,none")),
        (rules.honest_reading, GOOD.replace("practice,practice,,no", "fitted,own,as in a later print,yes")),
    ],
)
def test_other_sound_rows_pass(rule: Rule, row: str) -> None:
    assert rule(data_file(f"{HEADER}\n{row}\n")) == []


def test_planted_column_is_caught() -> None:
    assert rules.shape(data_file(f"{HEADER},more\n{GOOD},x\n")) != []


def test_planted_month_is_caught_in_the_catalogue_only() -> None:
    text = "key,timing,note\nrepot,late March,\n"
    assert rules.no_months(data_file(text, "src/ringwise/operations/data/planted.csv")) != []
    assert rules.no_months(data_file(text, "src/ringwise/weather/data/planted.csv")) == []
    quoted = "key,timing,note\nrepot,bud swell,study ran from March\n"
    assert rules.no_months(data_file(quoted, "src/ringwise/operations/data/planted.csv")) == []


def test_planted_source_is_caught() -> None:
    good = {"key": "neely1979", "read": "yes", "reference": "A paper"}
    assert rules.source_faults([good]) == []
    assert rules.source_faults([good, good]) != []
    assert rules.source_faults([{**good, "key": "Neely 1979"}]) != []
    assert rules.source_faults([{**good, "reference": " "}]) != []


def test_rows_without_print_are_counted() -> None:
    recalled_row = GOOD.replace("practice,practice", "measured,own").replace("depth", "width")
    file = data_file(f"{HEADER}\n{GOOD}\n{recalled_row}\n")
    assert rules.recalled([file]) == {"practice": 1, "recalled": 1}
