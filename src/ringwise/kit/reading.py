"""How a person reads: the language and the units of one wish, not of the process.

A command runs for one person; a server answers many at once. Each wish is answered inside `reading(...)`, and
everything that writes words or numbers for people asks `current_reading()`.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal, get_args

Units = Literal["metric", "inch"]
UNITS: tuple[Units, ...] = get_args(Units)
LOCALE_DIR = Path(__file__).resolve().parent / "locale"
SOURCE_LANGUAGE = "en"  # the language in which the texts are written in the code


@dataclass(frozen=True)
class Reading:
    """How a person reads: a language (one without a catalogue is answered in English) and units."""

    language: str = SOURCE_LANGUAGE
    units: Units = "metric"

    @property
    def inches(self) -> bool:
        """Whether inches, pounds and Fahrenheit are wanted."""
        return self.units == "inch"


@lru_cache(maxsize=1)
def languages() -> tuple[str, ...]:
    """The languages that texts exist in, English first.

    Returns
    -------
    tuple of str
        Two-letter codes.

    Examples
    --------
    >>> languages()[0]
    'en'
    """
    found = {file.parent.parent.name for file in LOCALE_DIR.glob("*/LC_MESSAGES/ringwise.[mp]o")}
    return (SOURCE_LANGUAGE, *sorted(found - {SOURCE_LANGUAGE}))


def language_of(name: str) -> str:
    """The language that a locale or a language tag asks for, English where there is no catalogue for it.

    Parameters
    ----------
    name : str
        Such as "de_DE.UTF-8", "de-AT", "de" or "C".

    Returns
    -------
    str
        One of `languages()`.

    Examples
    --------
    >>> language_of("de_DE.UTF-8"), language_of("C.UTF-8"), language_of("xx")
    ('de', 'en', 'en')
    """
    code = name.replace("-", "_").replace(".", "_").split("_")[0].lower()
    return code if code in languages() else SOURCE_LANGUAGE


@lru_cache(maxsize=1)
def process_reading() -> Reading:
    """What holds where no wish says otherwise: the environment's language and units, read once.

    Returns
    -------
    Reading
        From RINGWISE_LANGUAGE, else LC_ALL, LC_MESSAGES or LANG (the first that is set decides), and from
        RINGWISE_UNITS.

    Examples
    --------
    >>> process_reading().units in UNITS
    True
    """
    names = ("RINGWISE_LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")
    wanted = next((os.environ[name] for name in names if os.environ.get(name)), SOURCE_LANGUAGE)
    typed = os.environ.get("RINGWISE_UNITS", "")
    units = next((each for each in UNITS if each == typed), UNITS[0])
    return Reading(language_of(wanted), units)


_current: ContextVar[Reading | None] = ContextVar("ringwise_reading", default=None)


def current_reading() -> Reading:
    """How the person reads for whom this wish is answered.

    Returns
    -------
    Reading
        Of the innermost `reading(...)` of this thread or task, else of the process.

    Examples
    --------
    >>> with reading(Reading("de", "inch")):
    ...     current_reading().units
    'inch'
    """
    return _current.get() or process_reading()


@contextmanager
def reading(how: Reading) -> Iterator[Reading]:
    """Answer what is inside for a person who reads so; other threads and tasks do not notice.

    Parameters
    ----------
    how : Reading
        Language and units.

    Yields
    ------
    Reading
        The same.

    Examples
    --------
    >>> with reading(Reading(units="inch")) as how:
    ...     how.units
    'inch'
    """
    token = _current.set(how)
    try:
        yield how
    finally:
        _current.reset(token)
