"""An entry as it would be typed again, so that a form can offer it for correction."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ringwise.desk.shapes import Shape
from ringwise.desk.tries_typed import result_typed
from ringwise.records.model import Entry
from ringwise.records.observations import TYPED

Data = Mapping[str, Any]

_FIELDS = (
    "value",
    "extent",
    "not_before",
    "at",
    "root_removed",
    "pot",
    "mix",
    "minutes",
    "reason",
    "view",
    "when",
    "review",
)
# What a form says of each kind; whatever else an entry holds is kept when it is corrected.
FORM_KEYS: dict[str, frozenset[str]] = {
    "stage": frozenset({"code", "extent", "last_seen_before"}),
    "girth": frozenset({"girth_mm", "at_mm", TYPED}),
    "trunk": frozenset({"diameter_mm", "at_mm", TYPED}),
    "height": frozenset({"height_mm", TYPED}),
    "vigour": frozenset({"score"}),
    "drain": frozenset({"seconds"}),
    "days_dry": frozenset({"days"}),
    "weight": frozenset({"mass_g", "moment", "tilt_deg", TYPED}),
    "watered": frozenset({"water_cm3", TYPED}),
    "graft_check": frozenset({"site", "before_mm", "after_mm"}),
    "note": frozenset(),
    "work": frozenset({"operation", "root_removed_frac", "minutes_min", "pot", "mix", "reason", "site"}),
    "planned": frozenset(
        {
            "operation",
            "root_removed_frac",
            "minutes_min",
            "pot",
            "mix",
            "reason",
            "override_reason",
            "site",
        }
    ),
    "question": frozenset({"title"}),
    "course": frozenset({"key", "title", "text"}),
    "decision": frozenset({"key", "title", "text", "review_on"}),
    "photo": frozenset({"view"}),
    "tape": frozenset(),
    "shape": frozenset(),
    "roots": frozenset(),
    "aim": frozenset(),
    "wound": frozenset({"width_mm", "at_mm", "clock", TYPED}),
    "result": frozenset({"operation", "came_off", "weeks", "conditions", "site"}),
}
_WORDS = {"days_dry": "dry", "graft_check": "graft", "planned": "plan"}


def form_word(kind: str) -> str:
    """The word under which a kind of entry is typed.

    Parameters
    ----------
    kind : str
        Of the entry.

    Returns
    -------
    str
        Such as "plan" for planned work.

    Examples
    --------
    >>> form_word("days_dry"), form_word("girth")
    ('dry', 'girth')
    """
    return _WORDS.get(kind, kind)


def plain(value: float) -> str:
    """A number that reads back as exactly the same number.

    Parameters
    ----------
    value : float
        Finite.

    Returns
    -------
    str
        As short as can be.

    Examples
    --------
    >>> plain(30.0), plain(25.4)
    ('30', '25.4')
    """
    return repr(float(value)).removesuffix(".0")


def _share(value: float) -> str:
    whole = round(value * 100)
    return f"{whole}%" if whole * 0.01 == value else plain(value)


def _typed(data: Data, key: str, unit: str) -> str:
    """What was typed of a measure, else its value with the unit used inside."""
    typed = data.get(TYPED)
    if isinstance(typed, Mapping):
        typed = typed.get(key)
    return typed if isinstance(typed, str) and typed else f"{plain(data[key])} {unit}"


def _at(data: Data) -> dict[str, str]:
    return {} if data.get("at_mm") is None else {"at": f"{plain(data['at_mm'])} mm"}


def _tilt(data: Data) -> dict[str, str]:
    return {} if data.get("tilt_deg") is None else {"at": f"{plain(data['tilt_deg'])} deg"}


def _wound(data: Data) -> dict[str, str]:
    at = f"{plain(data['at_mm'])} mm"
    clock = data.get("clock")
    return {
        "value": _typed(data, "width_mm", "mm"),
        "at": at if clock is None else f"{at}, {int(clock)}:{'30' if clock % 1 else '00'}",
    }


def _work(data: Data) -> dict[str, str]:
    given = {"value": str(data["operation"]), "at": str(data.get("site") or "")}
    given |= {name: str(data.get(name) or "") for name in ("pot", "mix")}
    given["reason"] = str(data.get("reason") or data.get("override_reason") or "")
    if data.get("root_removed_frac") is not None:
        given["root_removed"] = _share(float(data["root_removed_frac"]))
    if data.get("minutes_min") is not None:
        given["minutes"] = f"{plain(data['minutes_min'])} min"
    return given


_GIVEN: dict[str, Callable[[Data], dict[str, str]]] = {
    "stage": lambda d: {
        "value": d["code"],
        "extent": d.get("extent") or "first",
        "not_before": d.get("last_seen_before") or "",
    },
    "girth": lambda d: {"value": _typed(d, "girth_mm", "mm"), **_at(d)},
    "trunk": lambda d: {"value": _typed(d, "diameter_mm", "mm"), **_at(d)},
    "height": lambda d: {"value": _typed(d, "height_mm", "mm")},
    "vigour": lambda d: {"value": str(d["score"])},
    "drain": lambda d: {"value": f"{plain(d['seconds'])} s"},
    "days_dry": lambda d: {"value": plain(d["days"])},
    "weight": lambda d: {"value": _typed(d, "mass_g", "g"), "when": str(d["moment"]), **_tilt(d)},
    "watered": lambda d: {"value": "" if d.get("water_cm3") is None else _typed(d, "water_cm3", "ml")},
    "graft_check": lambda d: {
        "value": f"{plain(d['before_mm'])} mm/{plain(d['after_mm'])} mm",
        "at": d["site"],
    },
    "note": lambda d: {},
    "work": _work,
    "planned": _work,
    "question": lambda d: {"value": d["title"]},
    "course": lambda d: {"value": d["text"]},
    "decision": lambda d: {"value": d["text"], "review": d.get("review_on") or ""},
    "photo": lambda d: {"value": d["file"], "view": d["view"]},
    "tape": lambda d: {},
    "shape": lambda d: {},
    "roots": lambda d: {},
    "aim": lambda d: {},
    "wound": _wound,
    "result": lambda d: {"value": result_typed(d), "at": str(d.get("site") or "")},
}


def given_of(entry: Entry) -> Shape | None:
    """An entry as it would be typed again.

    Parameters
    ----------
    entry : Entry
        As stored.

    Returns
    -------
    dict or None
        The fields of the form, all of them text; None for a kind that no form knows. Of a tape only date
        and note can be typed, of a photo also its view.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> spring = parse_fuzzy_date("spring 2021", field="date")
    >>> given = given_of(Entry("E1", "T21", "girth", spring, {"girth_mm": 228.6, "typed": "9 in"}))
    >>> given["what"], given["value"], given["date"]
    ('girth', '9 in', 'spring 2021')
    """
    if entry.kind not in _GIVEN:
        return None
    fields = dict.fromkeys(_FIELDS, "") | _GIVEN[entry.kind](entry.data)
    note = entry.note
    if entry.kind == "note":
        fields["value"], note = entry.note, ""
    return {
        "what": form_word(entry.kind),
        **fields,
        "date": entry.on.typed,
        "note": note,
        "by": entry.by,
        "confirmed_by": entry.confirmed_by,
        "key": None,
    }
