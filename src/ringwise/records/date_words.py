"""German words of a date, put into the English ones that dates are read by; what is no such word stays."""

from __future__ import annotations

import re

_WORDS = {
    # months, in full and as Duden shortens them; those that English has as well are left out
    "januar": "january",
    "jänner": "january",
    "jän": "january",
    "februar": "february",
    "feber": "february",
    "märz": "march",
    "maerz": "march",
    "mär": "march",
    "mrz": "march",
    "mai": "may",
    "juni": "june",
    "juli": "july",
    "oktober": "october",
    "okt": "october",
    "dezember": "december",
    "dez": "december",
    # seasons
    "frühling": "spring",
    "frühjahr": "spring",
    "fruehjahr": "spring",
    "sommer": "summer",
    "herbst": "autumn",
    # how sure
    "um": "about",
    "etwa": "about",
    "ungefähr": "about",
    "rund": "about",
    "zirka": "about",
    "vor": "before",
    "nach": "after",
    "seit": "since",
    "unbekannt": "unknown",
}
_UNKNOWN = {"nicht bekannt", "weiß nicht", "weiss nicht", "keine ahnung"}
_WORD = re.compile(r"[^\W\d_]+")
_NUMBERED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?([12]\d{3})")
_ORDINAL = re.compile(r"\b(\d{1,2})\.\s?(?=[^\W\d_])")


def in_english(text: str) -> str:
    """A date in lower case with its German words and forms put into English ones.

    Parameters
    ----------
    text : str
        As typed, in lower case, with single blanks.

    Returns
    -------
    str
        The same date as `parse_fuzzy_date` reads it; texts in English come back as they are.

    Examples
    --------
    >>> in_english("frühjahr 2019"), in_english("14. märz 2021"), in_english("14.3.2021")
    ('spring 2019', '14 march 2021', '2021-3-14')
    """
    if text in _UNKNOWN:
        return "unknown"
    text = _NUMBERED.sub(r"\3-\2-\1", text)
    text = _ORDINAL.sub(r"\1 ", text)
    return _WORD.sub(lambda word: _WORDS.get(word[0], word[0]), text)
