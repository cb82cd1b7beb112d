"""What a field of a course's text is called by a grower; its key stands behind in brackets."""

from __future__ import annotations

from ringwise.kit.words import _


def field_words(key: str) -> str:
    """A key of a course's text in words, the key in brackets.

    Parameters
    ----------
    key : str
        As it stands in the text.

    Returns
    -------
    str
        Words, then the key as it is to be written; the key alone where there are no words for it.

    Source
    ------
    own.

    Examples
    --------
    >>> field_words("after_years")
    'the years until it is due (after_years)'
    >>> field_words("mood")
    'mood'
    """
    words = (_head_words() | _check_words() | _step_words()).get(key)
    return key if words is None else f"{words} ({key})"


def _head_words() -> dict[str, str]:
    return {
        "key": _("the short name of the course"),
        "title": _("the title of the course"),
        "words": _("the sentence about the course"),
        "question": _("the question of the course"),
        "closes": _("what the course closes"),
        "reason": _("the reason of your own"),
    }


def _check_words() -> dict[str, str]:
    return {
        "name": _("the name of the check"),
        "look": _("what is looked at"),
        "at_least": _("the least value looked for"),
        "times": _("how often it is looked at"),
    }


def _step_words() -> dict[str, str]:
    return {
        "after_years": _("the years until it is due"),
        "half": _("the half of the year"),
        "operation": _("the work to do"),
        "site": _("the place on the tree"),
        "clock": _("the side as on a clock"),
        "amount": _("how much of it"),
        "litres": _("the litres of the new pot"),
        "extra": _("the further number"),
        "condition": _("the condition"),
        "every_years": _("the years between two times"),
        "until_years": _("the years until the last time"),
        "if": _("the check that must see it"),
        "unless": _("the check that must not see it"),
    }
