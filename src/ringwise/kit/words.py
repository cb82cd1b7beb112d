"""Every text for users passes through here, in the language of the wish (`kit.reading`).

Two catalogues a language: `ringwise` for the texts in the code, `ringwise_data` for those in data files. The
running program loads the compiled `.mo`; where that is missing or older than its `.po` (a checkout), it packs
the `.po` in memory instead.
"""

from __future__ import annotations

import gettext as _gettext
import io
from functools import lru_cache
from inspect import cleandoc
from pathlib import Path

from ringwise.kit.reading import LOCALE_DIR, SOURCE_LANGUAGE, current_reading, languages

DOMAIN = "ringwise"
DATA_DOMAIN = "ringwise_data"


@lru_cache(maxsize=64)
def _catalogue(language: str, domain: str) -> _gettext.NullTranslations:
    if language == SOURCE_LANGUAGE or language not in languages():
        return _gettext.NullTranslations()
    source = LOCALE_DIR / language / "LC_MESSAGES" / f"{domain}.po"
    compiled = source.with_suffix(".mo")
    if compiled.is_file() and not (source.is_file() and _newer(source, compiled)):
        return _gettext.GNUTranslations(io.BytesIO(compiled.read_bytes()))
    if not source.is_file():
        return _gettext.NullTranslations()
    from ringwise.kit.catalogues import packed, read_po

    return _gettext.GNUTranslations(io.BytesIO(packed(read_po(source.read_text(encoding="utf-8")))))


def _newer(first: Path, second: Path) -> bool:

    return first.stat().st_mtime_ns > second.stat().st_mtime_ns


def _(text: str) -> str:
    """The text in the user's language; write placeholders in braces and format after the call.

    Parameters
    ----------
    text : str
        A literal English text.

    Returns
    -------
    str
        The translated text, or the text itself where no catalogue has it.

    Examples
    --------
    >>> _("open until {day}").format(day="24 March")
    'open until 24 March'
    """
    return _catalogue(current_reading().language, DOMAIN).gettext(text)


def from_data(text: str) -> str:
    """A text of a data file (the name of an operation, of a shape) in the user's language.

    Parameters
    ----------
    text : str
        As the data file has it, in English.

    Returns
    -------
    str
        The translated text, or the text itself where no catalogue has it.

    Examples
    --------
    >>> from_data("oval")
    'oval'
    """
    return _catalogue(current_reading().language, DATA_DOMAIN).gettext(text) if text else ""


def from_docstring(text: str | None) -> str:
    """A docstring that users are shown: the one line of a command, as its help, in the user's language.

    Parameters
    ----------
    text : str or None
        A function's docstring; the extraction finds those of commands by itself.

    Returns
    -------
    str
        The translated text, or the text itself where no catalogue has it.

    Examples
    --------
    >>> from_docstring("Show one tree.")
    'Show one tree.'
    """
    return _catalogue(current_reading().language, DOMAIN).gettext(cleandoc(text)) if text else ""


def inside_sentence(text: str) -> str:
    """A heading or name as it stands inside a sentence: its first letter small, except in German.

    Parameters
    ----------
    text : str
        In the reader's language.

    Returns
    -------
    str
        German nouns keep their capital.

    Examples
    --------
    >>> inside_sentence("Trunk above the root flare")
    'trunk above the root flare'
    """
    return text if current_reading().language == "de" else text[:1].lower() + text[1:]


def counted(one: str, many: str, count: int) -> str:
    """The singular or the plural text for a count, in the user's language.

    Parameters
    ----------
    one, many : str
        Literal texts with `{n}`.
    count : int
        The number.

    Returns
    -------
    str
        The text with `{n}` filled in.

    Examples
    --------
    >>> counted("{n} tree", "{n} trees", 2)
    '2 trees'
    """
    return _catalogue(current_reading().language, DOMAIN).ngettext(one, many, count).format(n=count)
