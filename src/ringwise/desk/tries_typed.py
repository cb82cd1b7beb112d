"""What became of a try (a layer, a graft, a separation): read as typed, typed again, and told in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, unknown_name
from ringwise.kit.words import _, from_data
from ringwise.records.observations import TRIED_WORK, TRY_CONDITIONS

Data = Mapping[str, Any]

_ENDED = {"took": True, "failed": False}
_WEEKS = re.compile(r"(\d+(?:[.,]\d+)?) ?(?:wk|weeks?|w)\b")


def read_result(text: str, site: str = "") -> dict[str, Any]:
    """What became of a try, from "air layer took 7wk hormone".

    Parameters
    ----------
    text : str
        What was tried, took or failed, then how many weeks it needed and under which conditions.
    site : str
        Where; blank where nobody said.

    Returns
    -------
    dict
        The data of an entry; None for what was not said.

    Raises
    ------
    MissingFieldError
        If it does not say how the try ended.
    UnknownNameError
        If the work has no odds or a condition is none that shifts them.

    Examples
    --------
    >>> read_result("Air layer took 7 weeks hormone")["operation"]
    'air_layer'
    """
    words = text.lower().replace("-", "_").split()
    ends = [place for place, word in enumerate(words) if word in _ENDED]
    if not ends:
        raise MissingFieldError(
            _('result is "{text}"; write what was tried and how it ended, such as air_layer took').format(
                text=text
            )
        )
    operation = "_".join(words[: ends[0]])
    if operation not in TRIED_WORK:
        raise unknown_name(_("what was tried"), operation, TRIED_WORK)
    weeks, conditions = None, []
    for word in _WEEKS.sub(r"\1wk", " ".join(words[ends[0] + 1 :])).split():
        number = _WEEKS.fullmatch(word)
        if number is not None:
            weeks = float(number[1].replace(",", "."))
        elif word in TRY_CONDITIONS:
            conditions.append(word)
        else:
            raise unknown_name(_("condition of a try"), word, (*TRY_CONDITIONS, "7wk"))
    return {
        "operation": operation,
        "came_off": _ENDED[words[ends[0]]],
        "weeks": weeks,
        "conditions": conditions or None,
        "site": site or None,
    }


def result_typed(data: Data) -> str:
    """What became of a try as it would be typed again.

    Parameters
    ----------
    data : mapping
        Of an entry.

    Returns
    -------
    str
        Reads back as the same.

    Examples
    --------
    >>> result_typed({"operation": "air_layer", "came_off": True, "weeks": 7.5, "conditions": ["hormone"]})
    'air_layer took 7.5wk hormone'
    """
    parts = [str(data["operation"]), "took" if data["came_off"] else "failed"]
    if data.get("weeks") is not None:
        parts.append(f"{float(data['weeks'])!r}".removesuffix(".0") + "wk")
    return " ".join([*parts, *(data.get("conditions") or ())])


def result_words(data: Data) -> str:
    """What became of a try, in words.

    Parameters
    ----------
    data : mapping
        Of an entry.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> result_words({"operation": "air_layer", "came_off": True, "weeks": 7.0, "site": "at 22 cm"})
    'Set an air layer: it took, at 22 cm, after 7 weeks'
    """
    from ringwise.operations.registry import OPERATIONS

    work = from_data(OPERATIONS[str(data["operation"])].name)
    told = _("{work}: it took") if data["came_off"] else _("{work}: it failed")
    parts = [told.format(work=work)]
    if data.get("site"):
        parts.append(str(data["site"]))
    if data.get("weeks") is not None:
        parts.append(_("after {n} weeks").format(n=show.number(data["weeks"], 2)))
    named = {"hormone": _("with hormone"), "off_season": _("off season"), "thick_stem": _("thick stem")}
    return ", ".join([*parts, *(named.get(each, each) for each in data.get("conditions") or ())])
