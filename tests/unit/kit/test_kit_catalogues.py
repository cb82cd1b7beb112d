"""Catalogues are read and packed as the common tools do it: Babel is the judge."""

from __future__ import annotations

import gettext
import importlib.util
import io
import shutil
from pathlib import Path

import pytest
from babel.messages import mofile, pofile
from babel.messages.catalog import Message

from ringwise.kit.catalogues import CatalogueError, packed, quoted, read_po

ROOT = Path(__file__).resolve().parents[3]
CATALOGUES = sorted((ROOT / "src/ringwise/kit/locale").glob("*/LC_MESSAGES/*.po"))
SAMPLE = """# a comment
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

#: a.py
msgid "long "
"text with \\"quotes\\" and\\na line"
msgstr "langer "
"Text mit \\"Zeichen\\" und\\nZeile"

#, fuzzy, python-brace-format
msgid "unsure"
msgstr "unsicher"

msgid "empty"
msgstr ""

msgid "{n} tree"
msgid_plural "{n} trees"
msgstr[0] "{n} Baum"
msgstr[1] "{n} Bäume"

#~ msgid "gone"
#~ msgstr "fort"
"""


def test_there_are_catalogues() -> None:
    assert {file.stem for file in CATALOGUES} == {"ringwise", "ringwise_data"}


@pytest.mark.parametrize("text", [SAMPLE, *(file.read_text(encoding="utf-8") for file in CATALOGUES)])
def test_read_as_babel_reads_and_packed_as_babel_reads_back(text: str) -> None:
    def key_of(message: Message) -> tuple[str, ...]:
        return (message.id,) if isinstance(message.id, str) else tuple(message.id)

    def texts_of(message: Message) -> tuple[str, ...]:
        return (message.string,) if isinstance(message.string, str) else tuple(message.string)

    theirs = pofile.read_po(io.BytesIO(text.encode()), locale="de")
    ours = {m.ids: m for m in read_po(text) if m.ids[0]}
    ids = {key_of(m): m for m in theirs if m.id}
    assert set(ours) == set(ids)
    for key, message in ids.items():
        assert (ours[key].texts, ours[key].fuzzy) == (texts_of(message), message.fuzzy)
    back = mofile.read_mo(io.BytesIO(packed(read_po(text))))
    sure = {key: m for key, m in ids.items() if not m.fuzzy and all(ours[key].texts)}
    found = {key_of(m): texts_of(m) for m in back if m.id}
    assert found == {key: texts_of(m) for key, m in sure.items()}


def test_gettext_of_the_standard_library_speaks_from_it() -> None:
    german = gettext.GNUTranslations(io.BytesIO(packed(read_po(SAMPLE))))
    assert german.ngettext("{n} tree", "{n} trees", 1) == "{n} Baum"
    assert german.ngettext("{n} tree", "{n} trees", 0) == "{n} Bäume"
    assert german.gettext("unsure") == "unsure"
    assert german.gettext("empty") == "empty"


@pytest.mark.parametrize("line", ['msgid tree"', 'msgctxt "a"', "rubbish", 'msgid "tree'])
def test_a_line_of_another_format_is_named(line: str) -> None:
    with pytest.raises(CatalogueError, match="line 2"):
        read_po(f"# one\n{line}\n")


def test_quoted_text_reads_back() -> None:
    text = 'a "b" \\ c\nd\te'
    assert read_po(f'msgid {quoted(text)}\nmsgstr "x"\n')[0].ids == (text,)


def test_the_build_compiles_without_the_package(tmp_path: Path) -> None:
    for file in (*CATALOGUES, ROOT / "src/ringwise/kit/catalogues.py"):
        target = tmp_path / file.relative_to(ROOT)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(file, target)
    spec = importlib.util.spec_from_file_location("build_words", ROOT / "build_words.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    written = module.compile_catalogues(tmp_path)
    assert [file.name for file in written] == ["ringwise.mo", "ringwise_data.mo"]
    german = gettext.translation("ringwise", str(tmp_path / "src/ringwise/kit/locale"), languages=["de"])
    assert german.gettext("in the ground") == "im Boden"


def test_a_quote_that_does_not_end_is_refused() -> None:
    with pytest.raises(CatalogueError, match="line 2"):
        read_po('msgid "tree"\nmsgstr "Baum\\"\n')
