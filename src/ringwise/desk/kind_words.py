"""The kinds of entries by name."""

from __future__ import annotations

from ringwise.kit.words import _


def kind_words() -> dict[str, str]:
    """What each word of `ringwise log` is called, in the user's language.

    Returns
    -------
    dict of str to str
        By word.

    Examples
    --------
    >>> kind_words()["girth"]
    'girth'
    """
    return {
        "stage": _("stage"),
        "girth": _("girth"),
        "trunk": _("trunk"),
        "height": _("height"),
        "vigour": _("vigour"),
        "drain": _("drain time"),
        "dry": _("days to dry"),
        "weight": _("weight"),
        "watered": _("watered"),
        "graft": _("graft"),
        "note": _("note"),
        "photo": _("photo"),
        "tape": _("tape"),
        "shape": _("shape"),
        "wound": _("wound"),
        "roots": _("roots"),
        "aim": _("aims"),
        "work": _("work"),
        "plan": _("planned"),
        "question": _("question"),
        "result": _("result"),
        "course": _("own course"),
        "decision": _("decision"),
    }
