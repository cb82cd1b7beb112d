"""Read in German, windows, worksheets, conflicts and courses show no English text of a data file."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from babel.messages.pofile import read_po
from yard_of_values import TODAY, facts, forecast, planned, vigour, work

import ringwise.kit
from ringwise.futures.catalogue import courses_for
from ringwise.futures.simulate import Run, simulate
from ringwise.futures.start import Start
from ringwise.futures.turning import Heading, Turning, futures_view
from ringwise.growth.biology import biology
from ringwise.growth.start import Condition
from ringwise.kit.errors import UnknownNameError
from ringwise.kit.reading import Reading, reading
from ringwise.operations.registry import OPERATIONS
from ringwise.operations.spoken import spoken
from ringwise.records.facts import TreeFacts
from ringwise.records.taxa import find_taxon
from ringwise.rootzone.mix import component_name, recipe, recipe_codes
from ringwise.season.conflicts import find_conflicts
from ringwise.season.window import operation_window
from ringwise.season.worksheet import SheetPlan, worksheet
from ringwise.structure.table import single_segment

GERMAN = Reading("de")
CATALOGUE = Path(ringwise.kit.__file__).parent / "locale" / "de" / "LC_MESSAGES" / "ringwise_data.po"
KINDS = ("acer_palmatum", "ficus_microcarpa", "juniperus_chinensis", "larix_decidua", "prunus_mume")
NO_WORDS = frozenset(  # fields that hold keys, codes or chains
    [
        "trace",
        "traces",
        "year",
        "key",
        "code",
        "to_whom",
        "authority",
        "applies",
        "rule",
        "state",
        "conflict_class",
    ]
)
TELLING = 5  # words from which a text is sought inside longer ones; shorter ones must be equal


@pytest.fixture(scope="module")
def english() -> dict[str, str]:
    with CATALOGUE.open("rb") as file:
        found = {str(m.id): str(m.string) for m in read_po(file, locale="de") if m.id}
    return {text: there for text, there in found.items() if text.casefold() != there.casefold()}


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for each in dataclasses.fields(value):
            if each.name not in NO_WORDS:
                yield from _strings(getattr(value, each.name))
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _strings(each)
    elif isinstance(value, tuple | list):
        for each in value:
            yield from _strings(each)


def left(shown: Any, english: Mapping[str, str]) -> list[str]:
    """The English texts of data files in what is shown."""
    telling = [text for text in english if len(text.split()) >= TELLING]
    return [
        text
        for text in _strings(shown)
        if text in english or any(each.casefold() in text.casefold() for each in telling)
    ]


def test_the_search_finds_english(english: Mapping[str, str]) -> None:
    sheet = worksheet(facts("acer_palmatum"), OPERATIONS["repot"], None, None, SheetPlan(TODAY))
    assert len(left(sheet, english)) > len(OPERATIONS["repot"].steps)


@pytest.mark.parametrize("key", KINDS)
def test_windows_and_worksheets(english: Mapping[str, str], key: str) -> None:
    tree = facts(key, vigour(4), work("repot", "2025-03-20"))
    with reading(GERMAN):
        for operation in OPERATIONS.values():
            window = operation_window(operation, tree, forecast(key), today=TODAY)
            told = (window.sign, window.closes_by, window.note, window.blocked_by, window.sentence())
            assert left(told, english) == []
            sheet = worksheet(tree, operation, window, None, SheetPlan(TODAY, root_removed_frac=0.2))
            assert left(sheet, english) == []


def _plans() -> Iterator[TreeFacts]:
    for first in OPERATIONS:
        for second in OPERATIONS:
            yield facts("acer_palmatum", vigour(4), work(first, "2026-06-20"), planned(second))
            yield facts("acer_palmatum", vigour(5), planned(first), planned(second, "2027-04-20"))
    for score in (1, 2):
        yield facts("zelkova_serrata", vigour(score), planned("chop"), planned("feed"))


def test_conflicts(english: Mapping[str, str]) -> None:
    with reading(GERMAN):
        findings = [finding for tree in _plans() for finding in find_conflicts([tree], today=TODAY)]
        assert {"weak", "feed_weak", "one_big_event"} <= {finding.rule for finding in findings}
        for finding in findings:
            told = (finding.earlier, finding.later, finding.explanation, finding.way_out, finding.grade)
            assert left(told, english) == []


def test_an_operation_keeps_its_keys_and_times() -> None:
    for operation in OPERATIONS.values():
        with reading(GERMAN):
            said = spoken(operation)
        assert (said.key, said.code, said.minutes, said.spans) == (
            operation.key,
            operation.code,
            operation.minutes,
            operation.spans,
        )
        assert [step.critical for step in said.steps] == [step.critical for step in operation.steps]
        assert [each.authority for each in said.hazards] == [each.authority for each in operation.hazards]


def test_every_text_of_an_operation(english: Mapping[str, str]) -> None:
    with reading(GERMAN):
        for operation in OPERATIONS.values():
            shown = dataclasses.replace(spoken(operation), minutes={}, spans={}, aftercare=())
            assert left(shown, english) == []
            assert left([duty.do for duty in spoken(operation).aftercare], english) == []


def test_courses(english: Mapping[str, str]) -> None:
    start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    life, run, courses = biology(("morus",)), Run(4, 5, workers=1), courses_for("base")
    lives = {course.key: simulate(start, course, life, run) for course in courses}
    heading = Heading("T01", "Morus alba", "?", (), None, "vorn", "heute")
    with reading(GERMAN):
        view = futures_view(Turning(start, life, run, courses, lives), heading, drawn=False)
    assert left((view.courses, view.notes), english) == []
    assert view.courses[0].title == "Bodenabmoosung"


def test_mixes(english: Mapping[str, str]) -> None:
    with reading(GERMAN):
        made = [recipe(code) for code in recipe_codes()]
        names = [component_name(key) for each in made for key, _share in each.parts]
        assert left([(each.use, each.why) for each in made], english) == []
        assert left(names, english) == []
        assert component_name("pumice") == "Bims"


def test_a_tree_is_found_by_its_german_name_only_in_german() -> None:
    with reading(GERMAN):
        assert find_taxon("fächerahorn").key == "acer_palmatum"
        assert find_taxon("Japanese maple").key == "acer_palmatum"
    with pytest.raises(UnknownNameError):
        find_taxon("Fächerahorn")
