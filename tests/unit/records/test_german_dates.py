"""Dates typed in German mean what their English forms mean, in both hemispheres."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import DateError
from ringwise.records.dates import parse_fuzzy_date

SAME = [
    ("Frühjahr 2019", "spring 2019"),
    ("Frühling 2019", "spring 2019"),
    ("Herbst 19", "autumn 19"),
    ("Sommer 2020", "summer 2020"),
    ("14. März 2021", "14 March 2021"),
    ("14.3.2021", "2021-03-14"),
    ("14. 3. 2021", "2021-03-14"),
    ("Mai 2020", "May 2020"),
    ("Dez. 2020", "Dec 2020"),
    ("um 1990", "about 1990"),
    ("etwa 1990", "about 1990"),
    ("vor 2019", "before 2019"),
    ("nach 2019", "after 2019"),
    ("seit März 2019", "since March 2019"),
    ("unbekannt", "unknown"),
    ("weiß nicht", "unknown"),
]


@pytest.mark.parametrize("south", [False, True])
@pytest.mark.parametrize(("german", "english"), SAME)
def test_german_means_what_english_means(german: str, english: str, south: bool) -> None:
    read = parse_fuzzy_date(german, field="began", south=south)
    same = parse_fuzzy_date(english, field="began", south=south)
    assert (read.earliest, read.latest, read.precision) == (same.earliest, same.latest, same.precision)
    assert read.typed == german


@pytest.mark.parametrize("typed", ["31.2.2021", "14.13.2021", "Frühjahr", "um Ostern", "3.21"])
def test_what_is_no_date_in_german_is_refused(typed: str) -> None:
    with pytest.raises(DateError, match="began"):
        parse_fuzzy_date(typed, field="began")
