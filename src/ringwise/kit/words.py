"""Every text for users passes through here, so that a language can be added as a catalogue."""

from __future__ import annotations

import gettext as _gettext
import os
from pathlib import Path

LOCALE_DIR = Path(__file__).resolve().parent / "locale"
DOMAIN = "ringwise"


def _language() -> list[str]:
    for name in ("RINGWISE_LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        value = os.environ.get(name, "")
        if value and value not in {"C", "C.UTF-8", "POSIX"}:
            return [value]
    return ["en"]


_catalogue = _gettext.translation(DOMAIN, str(LOCALE_DIR), languages=_language(), fallback=True)


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
    return _catalogue.gettext(text)


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
    return _catalogue.gettext(text) if text else ""


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
    return _catalogue.ngettext(one, many, count).format(n=count)
