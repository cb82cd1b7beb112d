"""Language and units belong to the wish: threads, tasks and nested wishes do not notice each other."""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from ringwise.desk.results import result_key
from ringwise.desk.settings import load_settings, write_settings
from ringwise.kit import show, words
from ringwise.kit.errors import UnknownNameError
from ringwise.kit.reading import Reading, current_reading, language_of, languages, reading
from ringwise.kit.words import _, counted, from_data, from_docstring

GERMAN, ENGLISH = Reading("de"), Reading("en")
DAY = date(2027, 3, 14)


def test_two_threads_at_once_answer_in_two_languages() -> None:
    meet = threading.Barrier(2)
    heard: dict[str, set[str]] = {"de": set(), "en": set()}

    def answer(how: Reading) -> None:
        with reading(how):
            for _turn in range(50):
                meet.wait(timeout=10)
                heard[how.language].add(f"{show.day(DAY)}, {show.length(41.5)}, {show.temperature(20.0)}")

    threads = [threading.Thread(target=answer, args=(how,)) for how in (GERMAN, Reading("en", "inch"))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)
    assert heard == {"de": {"14. März, 42 mm, 20 °C"}, "en": {"14 Mar, 1 5/8 in, 68 °F"}}


def test_tasks_of_one_loop_keep_their_own_reading() -> None:
    async def answer(how: Reading) -> list[str]:
        said = []
        with reading(how):
            for _turn in range(5):
                await asyncio.sleep(0)
                said.append(_("unknown"))
        return said

    async def both() -> list[list[str]]:
        return await asyncio.gather(answer(GERMAN), answer(ENGLISH))

    assert asyncio.run(both()) == [["unbekannt"] * 5, ["unknown"] * 5]


def _fail_in(how: Reading) -> None:
    with reading(how):
        assert current_reading() == how
        raise ZeroDivisionError


def test_wishes_nest_and_the_outer_comes_back_after_a_fault() -> None:
    with reading(GERMAN):
        with pytest.raises(ZeroDivisionError):
            _fail_in(Reading("en", "inch"))
        assert current_reading() == GERMAN
    assert current_reading() == ENGLISH  # tests/conftest.py sets the process


def test_every_way_to_a_text_follows_the_reading() -> None:
    ways: list[tuple[Callable[[], str], str]] = [
        (lambda: _("in the ground"), "im Boden"),
        (lambda: counted("{n} person", "{n} people", 1), "1 Person"),
        (lambda: counted("{n} person", "{n} people", 3), "3 Personen"),
        (lambda: from_data("round"), "rund"),
        (lambda: from_docstring("The trees, one line each."), "Die Bäume, je eine Zeile."),
    ]
    for way, german in ways:
        english = way()
        with reading(GERMAN):
            assert way() == german
        assert way() == english != german


def test_a_language_without_catalogue_is_answered_in_english() -> None:
    for strange in ("xx", "../../etc", ""):
        with reading(Reading(strange)):
            assert _("in the ground") == "in the ground"


def test_languages_and_their_names() -> None:
    assert languages() == ("en", "de")
    asked = ("de_DE.UTF-8", "de-AT", "DE", "C.UTF-8", "POSIX", "fr_FR", "")
    assert [language_of(each) for each in asked] == ["de", "de", "de", "en", "en", "en", "en"]


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({"RINGWISE_LANGUAGE": "de", "LC_ALL": "C"}, "de"),
        ({"LC_ALL": "de_DE.UTF-8", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LC_ALL": "C.UTF-8", "LANG": "de_DE.UTF-8"}, "en"),  # POSIX: LC_ALL wins
        ({"RINGWISE_LANGUAGE": "", "LANG": "de_DE.UTF-8"}, "de"),
        ({}, "en"),
    ],
)
def test_the_process_reads_its_environment(environment: dict[str, str], language: str) -> None:
    kept = {k: v for k, v in os.environ.items() if k not in {"LC_ALL", "LC_MESSAGES", "LANG"}}
    program = "from ringwise.kit.reading import current_reading as r; print(r().language, r().units)"
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**kept, "RINGWISE_UNITS": "inch", **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split() == [language, "inch"]


def test_settings_choose_and_the_environment_wins(tmp_path: Path) -> None:
    write_settings(tmp_path, {"units": "inch", "language": "de"})
    assert load_settings(tmp_path, {}).reading == Reading("de", "inch")
    assert load_settings(tmp_path, {"RINGWISE_UNITS": "metric"}).reading == GERMAN
    assert load_settings(tmp_path, {"RINGWISE_LANGUAGE": "en_GB.UTF-8"}).reading == Reading("en", "inch")
    assert load_settings(tmp_path, {"RINGWISE_LANGUAGE": ""}).reading.language == "en"
    for wrong in ({"RINGWISE_UNITS": "feet"}, {"RINGWISE_LANGUAGE": "klingon"}):
        with pytest.raises(UnknownNameError, match=r"setting (units|language)"):
            load_settings(tmp_path, wrong)


def test_kept_results_with_words_are_kept_for_each_reading() -> None:
    keys, plain = set(), set()
    for how in (ENGLISH, GERMAN, Reading("en", "inch")):
        with reading(how):
            keys.add(result_key("x", {}, [], 1, worded=True))
            plain.add(result_key("x", {}, [], 1))
    assert (len(keys), len(plain)) == (3, 1)


def test_the_compiled_catalogue_is_used_unless_the_source_is_newer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from ringwise.kit.catalogues import packed, read_po

    head = 'msgid ""\nmsgstr "Content-Type: text/plain; charset=UTF-8\\n"\n\n'
    folder = tmp_path / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    source, compiled = folder / "ringwise.po", folder / "ringwise.mo"
    source.write_text(head + 'msgid "tree"\nmsgstr "aus po"\n', encoding="utf-8")
    compiled.write_bytes(packed(read_po(head + 'msgid "tree"\nmsgstr "aus mo"\n')))
    monkeypatch.setattr(words, "LOCALE_DIR", tmp_path)
    said = []
    for po_time, mo_time in ((100, 200), (300, 200)):
        os.utime(source, (po_time, po_time))
        os.utime(compiled, (mo_time, mo_time))
        words._catalogue.cache_clear()
        with reading(GERMAN):
            said.append(_("tree"))
    compiled.unlink()
    words._catalogue.cache_clear()
    with reading(GERMAN):
        said.append(_("tree"))
    words._catalogue.cache_clear()
    assert said == ["aus mo", "aus po", "aus po"]
