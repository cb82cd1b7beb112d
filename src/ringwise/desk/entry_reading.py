"""What was typed of an entry, as a form or a command line gives it, and the entry that it makes."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ringwise.desk.deeds import not_ahead
from ringwise.desk.own_courses import decision_data, own_course_data
from ringwise.desk.potting import root_share
from ringwise.desk.texts import checked_note
from ringwise.desk.ties_typed import read_ties
from ringwise.desk.tries_typed import read_result
from ringwise.desk.workspace import Workspace
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.dates import FuzzyDate, parse_fuzzy_date
from ringwise.records.model import Entry, Tree
from ringwise.records.observations import SEEN_CODES, WEIGHT_MOMENTS
from ringwise.records.positions import parse_clock


@dataclass(frozen=True)
class Given:
    """What was typed of an entry, all of it text: words after `ringwise log TREE`, or a form's fields."""

    what: tuple[str, ...] | str
    value: str = ""
    date: str = ""
    extent: str = ""
    not_before: str = ""
    at: str = ""
    root_removed: str = ""
    pot: str = ""
    mix: str = ""
    minutes: str = ""
    reason: str = ""
    view: str = ""
    when: str = ""
    note: str = ""
    by: str | None = None
    confirmed_by: str | None = None
    key: str | None = None
    ties: str = ""
    review: str = ""

    @property
    def word(self) -> str:
        """What is logged: "girth", "work" and so on."""
        return self._words[0].lower() if self._words else ""

    @property
    def text(self) -> str:
        """Its value as typed; blank where there is none."""
        return " ".join((*self._words[1:], *([self.value] if self.value else ())))

    @property
    def from_terminal(self) -> bool:
        """Whether it was typed on this machine, where files can be named; a form cannot."""
        return not isinstance(self.what, str)

    @property
    def _words(self) -> tuple[str, ...]:
        return (self.what,) if isinstance(self.what, str) else self.what


Data = dict[str, Any]

_PLACE = re.compile(r"(?P<height>.*\D)[,\s]\s*(?P<clock>\d{1,2}(?::\d\d)?)")  # 14cm,3: not 14,5cm


def _value(given: Given) -> str:
    if not given.text:
        raise MissingFieldError(
            _('"{kind}" needs a value, such as: ringwise log T03 {kind} ...').format(kind=given.word)
        )
    return given.text


def _length(given: Given, name: str, unit: str) -> float:
    return parse_quantity(_value(given), "length", field=name, default_unit=unit)


def _at_mm(given: Given) -> float | None:
    return parse_quantity(given.at, "length", field="--at", default_unit="cm") if given.at else None


def _typed(given: Given, data: Data) -> Data:
    return data | {"typed": _value(given)}


def _stage_code(text: str) -> str:
    from ringwise.phenology.stages import ORDER, STATES, stage

    if text.upper() in SEEN_CODES:
        return text.upper()
    words = {stage(code).words.casefold(): code for code in (*ORDER, *STATES)}
    if text.casefold() in words:
        return words[text.casefold()]
    raise unknown_name(_("stage (BBCH code)"), text, SEEN_CODES)


def _stage_data(given: Given) -> Data:
    data: Data = {"code": _stage_code(_value(given)), "extent": given.extent or "first"}
    if given.not_before:
        data["last_seen_before"] = parse_date(given.not_before, field="--not-before").isoformat()
    return data


def _vigour_data(given: Given) -> Data:
    text = _value(given).upper().removeprefix("V")
    if text not in {"0", "1", "2", "3", "4", "5"}:
        raise out_of_range(_("vigour"), _value(given), _("whole number from 0 (probably dead) to 5 (rank)"))
    return {"score": int(text)}


def _graft_data(given: Given) -> Data:
    before, mark, after = _value(given).partition("/")
    if not mark:
        raise InputError(
            _(
                'graft is "{text}"; write the thickness before and beyond the joint, such as 6.3mm/5.9mm'
            ).format(text=_value(given))
        )
    return {
        "site": given.at or "graft",
        "before_mm": parse_quantity(before, "length", field=_("before the joint")),
        "after_mm": parse_quantity(after, "length", field=_("beyond the joint")),
    }


def _weight_data(given: Given) -> Data:
    mass_g = parse_quantity(_value(given), "mass", field=_("weight"), default_unit="kg")
    moment = given.when.strip().lower().replace(" ", "_") or "other"
    if moment not in WEIGHT_MOMENTS:
        raise unknown_name("--when", given.when, WEIGHT_MOMENTS)
    tilt_deg = parse_quantity(given.at, "angle", field="--at") if given.at else None
    return _typed(given, {"mass_g": mass_g, "moment": moment, "tilt_deg": tilt_deg})


def _watered_data(given: Given) -> Data:
    """Without a volume the pot was watered until it ran through, and counts as full."""
    if not given.text:
        return {}
    return _typed(given, {"water_cm3": parse_quantity(given.text, "volume", field=_("water given"))})


def _days_data(given: Given) -> Data:
    text = _value(given).removesuffix("days").removesuffix("d").strip()
    return {"days": parse_quantity(text, "fraction", field=_("days from full to watering"))}


def _work_data(given: Given) -> Data:
    from ringwise.operations.registry import OPERATIONS

    key = "_".join(_value(given).lower().replace("-", " ").split())
    if key not in OPERATIONS:
        raise unknown_name(_("operation"), key, OPERATIONS)
    data: Data = {"operation": key}
    if given.root_removed:
        data["root_removed_frac"] = root_share(given.root_removed)
    if given.minutes:
        data["minutes_min"] = parse_quantity(given.minutes, "duration", field="--minutes")
    for name in ("pot", "mix", "reason"):
        if getattr(given, name):
            data[name] = getattr(given, name)
    if given.at:
        data["site"] = given.at
    if given.ties:
        data |= read_ties(given.ties)
    return data


def _planned_data(given: Given) -> Data:
    data = _work_data(given)
    if "reason" in data:
        data["override_reason"] = data["reason"]
    return data


def _wound_data(given: Given) -> Data:
    if not given.at:
        raise MissingFieldError(_("a wound needs its place: --at height,clock such as 14cm,3"))
    place = _PLACE.fullmatch(given.at.strip())
    height = given.at if place is None else place["height"].strip(" ,")
    data: Data = {
        "width_mm": _length(given, "wound", "mm"),
        "at_mm": parse_quantity(height, "length", field="--at", default_unit="cm"),
    }
    if place is not None:
        data["clock"] = parse_clock(place["clock"], field="--at")
    return data | {"typed": {"width_mm": _value(given)}}


def _question_data(given: Given) -> Data:
    return {"title": checked_note(_value(given).strip(), _("question")), "courses": []}


_KINDS: dict[str, tuple[str, Callable[[Given], Data]]] = {
    "stage": ("stage", _stage_data),
    "girth": ("girth", lambda g: _typed(g, {"girth_mm": _length(g, "girth", "cm"), "at_mm": _at_mm(g)})),
    "trunk": ("trunk", lambda g: _typed(g, {"diameter_mm": _length(g, "trunk", "mm"), "at_mm": _at_mm(g)})),
    "height": ("height", lambda g: _typed(g, {"height_mm": _length(g, "height", "cm")})),
    "vigour": ("vigour", _vigour_data),
    "drain": ("drain", lambda g: {"seconds": parse_quantity(_value(g), "time", field="drain")}),
    "dry": ("days_dry", _days_data),
    "weight": ("weight", _weight_data),
    "watered": ("watered", _watered_data),
    "graft": ("graft_check", _graft_data),
    "note": ("note", lambda g: {}),
    "work": ("work", _work_data),
    "plan": ("planned", _planned_data),
    "wound": ("wound", _wound_data),
    "question": ("question", _question_data),
    "result": ("result", lambda g: read_result(_value(g), g.at)),
    "course": ("course", lambda g: own_course_data(g.text, files=g.from_terminal)),
    "decision": ("decision", lambda g: decision_data(g.text, g.review, files=g.from_terminal)),
}
WORDS = {kind: word for word, (kind, _read) in _KINDS.items()} | {
    "photo": "photo",
    "tape": "tape",
    "shape": "shape",
    "roots": "roots",
    "aim": "aim",
}


_WORK_OPTIONS = ("root_removed", "pot", "mix", "minutes", "reason", "at", "ties")
_OPTIONS = {  # which options say something about which kind; others would be dropped in silence
    "stage": ("extent", "not_before"),
    "girth": ("at",),
    "trunk": ("at",),
    "graft": ("at",),
    "wound": ("at",),
    "result": ("at",),
    "weight": ("when", "at"),  # at which tilt
    "photo": ("view",),
    "work": _WORK_OPTIONS,
    "plan": _WORK_OPTIONS[:-1],  # ties are counted when they are in
    "decision": ("review",),
}


def refuse_idle_options(given: Given) -> None:
    """Refuse what says nothing about the kind of entry, instead of dropping it in silence.

    Parameters
    ----------
    given : Given
        What was typed.

    Raises
    ------
    InputError
        It names the option.
    """
    word = given.word
    for name in ("extent", "not_before", "view", "when", "review", *_WORK_OPTIONS):
        if getattr(given, name) and name not in _OPTIONS.get(word, ()):
            raise InputError(
                _('--{option} says nothing about "{kind}"; leave it out, or put it into --note').format(
                    option=name.replace("_", "-"), kind=word
                )
            )


def read_entry(workspace: Workspace, tree: Tree, given: Given) -> Entry:
    """The entry that was typed, not yet stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : Tree
        Whose entry it is.
    given : Given
        What was typed.

    Returns
    -------
    Entry
        With a blank id and revision 0.

    Raises
    ------
    InputError
        If a word or value does not read.
    """
    refuse_idle_options(given)
    word = given.word
    if word == "tape":
        raise InputError(_("a tape is stored by: ringwise measure tape TREE --height ... --girth ..."))
    if word == "shape":
        raise InputError(_("a shape is stored by: ringwise measure trace, turntable or import"))
    if word == "aim":
        raise InputError(_("aims are stored by: ringwise aims TREE --set NAME"))
    if word == "roots":
        raise InputError(_("roots are stored by: ringwise measure roots TREE --at 3=thick,2cut"))
    if word not in _KINDS:
        raise unknown_name(_("what is logged"), given.word, [*_KINDS, "photo"])
    kind, read = _KINDS[word]
    note = given.note
    if word == "note":
        note = " ".join(part for part in (given.text, given.note) if part)
    return Entry(
        id="",
        tree=tree.id,
        kind=kind,
        on=read_day(workspace, kind, given.date),
        data={key: value for key, value in read(given).items() if value is not None},
        note=checked_note(note, "--note"),
        by=given.by or workspace.settings.owner,
        confirmed_by=given.confirmed_by or "",
    )


def read_day(workspace: Workspace, kind: str, date: str) -> FuzzyDate:
    """The day of an entry as typed; only plans may lie ahead.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    kind : str
        Of the entry.
    date : str
        What was typed; blank for today.

    Returns
    -------
    FuzzyDate
        Its day.

    Raises
    ------
    DateError, RangeError
        If it does not read, or lies ahead.
    """
    on = parse_fuzzy_date(date or workspace.today.isoformat(), field="--date", south=workspace.settings.south)
    if kind == "planned":
        return on
    return not_ahead(workspace, on, "--date", _("For work to come: ringwise log TREE plan OPERATION"))


def check_names(workspace: Workspace, entry: Entry, before: Entry | None = None) -> None:
    """Refuse an entry that names a pot or mix which is not there.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry : Entry
        To be stored.
    before : Entry or None
        What it corrects; what that says already is not asked about again.

    Raises
    ------
    UnknownNameError
        With near names.
    """
    held = {} if before is None else before.data
    pot = entry.data.get("pot")
    if pot is not None and pot != held.get("pot") and pot not in {p.id for p in workspace.pots}:
        raise unknown_name(_("pot"), str(pot), [p.id for p in workspace.pots])
    mix = entry.data.get("mix")
    if mix is not None and mix != held.get("mix"):
        from ringwise.rootzone.mix import recipe_codes

        known = [*recipe_codes(), *(m.id for m in workspace.mixes)]
        if mix not in known:
            raise unknown_name(_("mix"), str(mix), dict.fromkeys(known))
