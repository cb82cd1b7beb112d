"""Texts that people type: names checked, control characters kept out, everything on one line."""

from __future__ import annotations

import unicodedata

from ringwise.kit.errors import InputError
from ringwise.kit.words import _

LONGEST_NAME = 80
LONGEST_NOTE = 20_000
_KEPT = {"\n", "\t"}  # in notes


def _is_control(character: str) -> bool:
    # Cc: control, Cs: half of a pair, Cf: invisible direction marks that turn a line round
    return unicodedata.category(character) in {"Cc", "Cs", "Cf"}


def one_line(text: str) -> str:
    """A text as it can be shown anywhere: control characters out, white space folded, cut at 80.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> one_line("Old\\x1b[31m\\n Elm")
    'Old[31m Elm'
    """
    plain = "".join(" " if c in _KEPT else c for c in text if c in _KEPT or not _is_control(c))
    return " ".join(plain.split())[:LONGEST_NAME]


def checked_name(text: str) -> str:
    """A name of one line.

    Parameters
    ----------
    text : str
        What was typed.

    Returns
    -------
    str
        Without white space at its ends.

    Raises
    ------
    InputError
        If it is empty, too long, or holds control characters.

    Examples
    --------
    >>> checked_name(" Hollow Lane ")
    'Hollow Lane'
    """
    name = text.strip()
    if not name:
        raise InputError(_("name is empty; give the tree a name of its own"))
    if len(name) > LONGEST_NAME:
        raise InputError(
            _("name has {n} characters; accepted: 1 to {most}").format(n=len(name), most=LONGEST_NAME)
        )
    if any(_is_control(c) for c in name):
        raise InputError(
            _('name "{name}" holds control characters; type it again').format(name=one_line(name))
        )
    return name


def checked_note(text: str, field: str) -> str:
    """A note of any number of lines.

    Parameters
    ----------
    text : str
        What was typed.
    field : str
        Its name in the error line.

    Returns
    -------
    str
        The same text.

    Raises
    ------
    InputError
        If it is far too long or holds control characters other than line ends and tabs.

    Examples
    --------
    >>> checked_note("two\\nlines", "note")
    'two\\nlines'
    """
    if len(text) > LONGEST_NOTE:
        raise InputError(
            _("{field} has {n} characters; accepted: up to {most}").format(
                field=field, n=len(text), most=LONGEST_NOTE
            )
        )
    if any(_is_control(c) and c not in _KEPT for c in text):
        raise InputError(
            _('{field} "{text}" holds control characters; type it again').format(
                field=field, text=one_line(text)
            )
        )
    return text
