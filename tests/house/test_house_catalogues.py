"""The German catalogue of the code: every text, nothing left over, nothing unsure, the same placeholders."""

from __future__ import annotations

import re
import string
import sys
from importlib import util
from pathlib import Path
from types import ModuleType

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from house_source import ROOT

LOCALE = ROOT / "src" / "ringwise" / "kit" / "locale"
DOMAINS = ("ringwise", "ringwise_data")
FORMAL = re.compile(r"\b(?:Ihnen|Ihrem|Ihren|bitte)\b|\b\w+en Sie\b")


def extraction() -> ModuleType:
    spec = util.spec_from_file_location("extract_words", ROOT / "docs" / "reference" / "extract_words.py")
    assert spec is not None
    assert spec.loader is not None
    module = util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def catalogue(domain: str) -> Catalog:
    with (LOCALE / "de" / "LC_MESSAGES" / f"{domain}.po").open("rb") as file:
        return read_po(file, locale="de", abort_invalid=True)


def forms(given: object) -> tuple[str, ...]:
    return tuple(str(each) for each in given) if isinstance(given, list | tuple) else (str(given),)


def fields(text: str) -> set[tuple[str, str]]:
    """The placeholders of a text with their format."""
    return {(name, form or "") for _text, name, form, _turn in string.Formatter().parse(text) if name}


def test_every_text_of_the_code_has_its_german_and_no_other_is_kept() -> None:
    wanted = set(extraction().code_texts())
    there = {forms(message.id): message for message in catalogue("ringwise") if message.id}
    lacking = sorted(ids for ids in wanted if ids not in there or not all(forms(there[ids].string)))
    assert not lacking, "run docs/reference/extract_words.py --update de, then translate: " + repr(lacking)
    assert sorted(set(there) - wanted) == []


@pytest.mark.parametrize("domain", DOMAINS)
def test_nothing_is_obsolete_or_unsure(domain: str) -> None:
    german = catalogue(domain)
    assert not german.obsolete
    assert [message.id for message in german if message.fuzzy and message.id] == []


@pytest.mark.parametrize("domain", DOMAINS)
def test_placeholders_are_the_same(domain: str) -> None:
    faults = [
        (ids, texts)
        for ids, texts in ((forms(m.id), forms(m.string)) for m in catalogue(domain) if m.id)
        for text in texts
        if fields(text) != fields(ids[-1])
    ]
    assert faults == []


def test_german_keeps_blanks_at_the_ends_and_addresses_nobody() -> None:
    for message in catalogue("ringwise"):
        for english, german in zip(forms(message.id), forms(message.string), strict=True):
            if english:
                assert english[:1].isspace() == german[:1].isspace(), german
                assert english[-1:].isspace() == german[-1:].isspace(), german
                assert not FORMAL.search(german), german
                assert german.count("!") == english.count("!"), german


def test_extraction_finds_texts_plurals_and_the_lines_of_commands(tmp_path: Path) -> None:
    (tmp_path / "face.py").write_text(
        'command(app, "log")(_log)\n'
        "def _log():\n"
        '    """Write it down."""\n'
        '    return [_("a tree"), counted("{n} tree", "{n} trees", 2), other("not shown")]\n'
        "def _quiet():\n"
        '    """Nobody sees this."""\n',
        encoding="utf-8",
    )
    found = extraction().code_texts(tmp_path)
    assert set(found) == {("Write it down.",), ("a tree",), ("{n} tree", "{n} trees")}
    assert {place for places in found.values() for place in places} == {"face.py"}


def test_a_faulty_placeholder_would_be_seen() -> None:
    assert fields("{low:g} to {high}") != fields("{low} bis {high}")
    assert fields("{n} trees") == fields("{n} Bäume")
