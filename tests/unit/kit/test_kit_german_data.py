"""The German of the data files: all of it, nothing else, with the same placeholders and numbers."""

from __future__ import annotations

import csv
import importlib.util
import re
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

ROOT = Path(__file__).resolve().parents[3]
PACKAGE = ROOT / "src" / "ringwise"
CATALOGUE = PACKAGE / "kit" / "locale" / "de" / "LC_MESSAGES" / "ringwise_data.po"
SCRIPT = ROOT / "docs" / "reference" / "extract_data_words.py"

# Columns and text parameters of the tables that no page shows: codes, keys, amounts, where a row comes from.
# A new column or parameter belongs here or into the script.
ORIGINS = {"basis", "source", "read"}
NOT_SHOWN = {
    "futures/data/aims.csv": ORIGINS
    | {"aim", "measure", "none_below", "full_from", "full_to", "none_above", "weight", "note"},
    "kit/data/sources.csv": {"key", "read", "reference"},
    "operations/data/aftercare.csv": ORIGINS
    | {"operation", "variant", "phase", "care", "starts", "least_days", "most_days", "look_days"},
    "operations/data/conflict_classes.csv": ORIGINS
    | {"conflict_class", "amount", "earlier", "later", "note"},
    "operations/data/conflicts.csv": ORIGINS
    | {"earlier", "later", "cell", "gap", "hard", "unless", "unless_gap", "tell"},
    "operations/data/cross_rules.csv": ORIGINS | {"key", "hard"},
    "operations/data/hazards.csv": {"applies", "to_whom", "authority", "basis", "read"},
    "operations/data/hazard_materials.csv": {"material", "words", "basis", "read"},
    "operations/data/operations.csv": ORIGINS
    | {
        "key",
        "code",
        "reversibility",
        "vigour_min",
        "elective",
        "root_work",
        "conflict_class",
        "two_people_from",
    },
    "operations/data/stage_between.csv": ORIGINS | {"code", "earlier", "later", "share_frac", "note"},
    "operations/data/timing.csv": ORIGINS
    | {"operation", "key", "choice", "opens", "closes", "hard_closes", "lead_weeks", "before_frost_weeks"},
    "phenology/data/stage_looks.csv": ORIGINS | {"code", "kind"},
    "structure/data/tree_look.csv": {
        "key",
        "blade",
        "leaf_mm",
        "bud_mm",
        "bark",
        "bud",
        "opening",
        "spring",
        "hardened",
        "autumn",
    },
    "season/data/splits.csv": ORIGINS | {"one", "two", "first"},
}
NOT_SHOWN_PARAMETERS = {"botanical_name", "repot_when", "toxicity_note"}
NOT_SHOWN_KEYS = {"critical", "to_whom", "authority"}  # of the procedures


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("extract_data_words", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["extract_data_words"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def german() -> Catalog:
    with CATALOGUE.open("rb") as file:
        return read_po(file, locale="de", abort_invalid=True)


def translations(german: Catalog) -> dict[str, str]:
    return {str(message.id): str(message.string) for message in german if message.id}


def test_every_shown_text_has_its_german(script: ModuleType, german: Catalog) -> None:
    known = translations(german)
    lacking = [text for text in script.by_text() if text not in known]
    assert not lacking, "run docs/reference/extract_data_words.py --update de, then translate: " + repr(
        lacking
    )


def test_no_german_is_left_of_a_text_that_went(script: ModuleType, german: Catalog) -> None:
    listed = script.by_text()
    assert [text for text in translations(german) if text not in listed] == []
    assert not german.obsolete


def test_no_german_is_empty_or_unsure(german: Catalog) -> None:
    unsure = [message.id for message in german if message.id and (message.fuzzy or not message.string)]
    assert unsure == []


def test_the_header_says_what_gettext_needs(german: Catalog) -> None:
    # GNU gettext manual, "Filling in the Header Entry"; two forms, the first for one.
    head = dict(german.mime_headers)
    assert head["Language"] == "de"
    assert head["Content-Type"].lower() == "text/plain; charset=utf-8"
    assert (german.num_plurals, german.plural_expr) == (2, "(n != 1)")


@pytest.mark.parametrize("pattern", [r"\{\w*\}", r"\d+(?:[.,]\d+)?", r"%|°C"])
def test_placeholders_numbers_and_units_are_the_same(german: Catalog, pattern: str) -> None:
    def of(text: str) -> Counter[str]:
        return Counter(each.replace(",", ".") for each in re.findall(pattern, text))

    assert {text: there for text, there in translations(german).items() if of(text) != of(there)} == {}


def test_german_addresses_nobody(german: Catalog) -> None:
    formal = re.compile(r"\b(?:Ihnen|Ihrem|Ihren|[Bb]itte)\b|\b\w+en Sie\b")
    assert [there for there in translations(german).values() if formal.search(there) or "!" in there] == []


def test_the_list_is_the_same_on_every_run(script: ModuleType) -> None:
    assert script.listing() == script.listing()
    assert len(set(script.texts())) == len(script.texts()), "an origin stands twice"


def _tables() -> Iterator[tuple[str, list[dict[str, str]]]]:
    for path in sorted(PACKAGE.glob("*/data/*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            yield path.relative_to(PACKAGE).as_posix(), list(csv.DictReader(file))


def test_an_update_adds_new_texts_keeps_known_ones_and_drops_the_rest(script: ModuleType) -> None:
    head = 'msgid ""\nmsgstr "Language: de\\n"\n'
    old = head + '\nmsgid "Repot"\nmsgstr "Umtopfen"\n\nmsgid "gone"\nmsgstr "weg"\n'
    made = script.updated(old)
    assert made.startswith(head + '\n#: operations/data/operations.csv\nmsgid "Repot"\nmsgstr "Umtopfen"\n')
    assert 'msgid "Wire"\nmsgstr ""\n' in made
    assert 'msgid "gone"' not in made


def test_every_column_is_shown_or_known_not_to_be(script: ModuleType) -> None:
    for name, rows in _tables():
        columns = set(rows[0])
        if {"parameter", "value"} <= columns:
            shown = {parameter for parameter, _column in script.PARAMETERS.get(name, ())}
            texts = {row["parameter"] for row in rows if row["unit"] == "text"}
            assert texts <= shown | NOT_SHOWN_PARAMETERS, name
        else:
            assert columns == set(script.COLUMNS.get(name, ())) | NOT_SHOWN.get(name, set()), name


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for each in value:
            yield from _strings(each)
    elif isinstance(value, dict):
        for key, each in value.items():
            if key not in NOT_SHOWN_KEYS:
                yield from _strings(each)


def test_every_word_of_a_procedure_is_listed(script: ModuleType) -> None:
    listed = script.by_text()
    procedures = sorted((PACKAGE / "operations/data/procedures").glob("*.toml"))
    assert procedures
    for path in procedures:
        for text in _strings(tomllib.loads(path.read_text(encoding="utf-8"))):
            assert text in listed, f"{path.name}: {text}"
