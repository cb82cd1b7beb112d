"""Stages are told as they look on the tree; codes are for programs."""

from __future__ import annotations

import re

import pytest

from ringwise.desk.entry_words import command_words, entry_words
from ringwise.desk.why_words import plain_link
from ringwise.kit.trace import Trace
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.model import Entry, Tree

SEEN = Entry("1", "T1", "stage", parse_fuzzy_date("2027-03-07", field="date"), {"code": "H1"})


@pytest.mark.parametrize(
    ("group", "told"), [("G1", "leaves dark"), ("G5", "needles hard"), ("G7", "leaves dark")]
)
def test_leaves_and_needles_are_not_mixed_up(group: str, told: str) -> None:
    assert told in entry_words(SEEN, group)
    assert "H1" not in entry_words(SEEN, group)


def test_a_step_names_its_trees_and_no_codes() -> None:
    trees = {"T1": Tree("T1", "Tarn", "larix_kaempferi"), "T2": Tree("T2", "Wren", "acer_palmatum")}
    assert command_words("log T1 stage 07", trees) == "log Tarn: first green between the scales"
    assert command_words("move T1 T2 ...", trees) == "move Tarn, Wren, ..."
    assert command_words("bench bench 1", trees) == "set the place bench 1"


@pytest.mark.parametrize(
    "link",
    [
        Trace("timing of repot", "01 to 03", "row repot.larix of timing"),
        Trace("window", "x", "season.window", "opens when 01 is first seen, closes when 03 is passed"),
        Trace("day of the model", "6 Apr 2027", "phenology.models", "menzel, budbreak = 11"),
        Trace("stage 01 this year", "seen 5 Mar", "phenology.seen"),
    ],
)
def test_a_why_tells_stages_in_words(link: Trace) -> None:
    told = plain_link(link, "G5")
    line = f"{told.label} {told.value} {told.formula}".replace("6 Apr 2027", "").replace("5 Mar", "")
    assert not re.search(r"\b(?:01|03|11)\b", line)
    assert "buds" in line or "needles" in line
