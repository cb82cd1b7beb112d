"""Wishes about entries: write down what was seen, done or planned, and take it back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ringwise.desk import clock
from ringwise.desk.entry_words import entry_words
from ringwise.desk.potting import root_share
from ringwise.desk.shapes import Shape, entry_shape
from ringwise.desk.texts import checked_note
from ringwise.desk.trees import action
from ringwise.desk.workspace import Workspace
from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, NotFoundError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.dates import parse_fuzzy_date
from ringwise.records.model import Entry, Tree
from ringwise.records.observations import STAGE_CODES, WEIGHT_MOMENTS


@dataclass(frozen=True)
class Given:
    """What was typed after `ringwise log TREE`, all of it text."""

    what: tuple[str, ...]
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


Data = dict[str, Any]


def _value(given: Given) -> str:
    if len(given.what) < 2:
        raise MissingFieldError(
            _('"{kind}" needs a value, such as: ringwise log T03 {kind} ...').format(kind=given.what[0])
        )
    return " ".join(given.what[1:])


def _length(given: Given, name: str, unit: str) -> float:
    return parse_quantity(_value(given), "length", field=name, default_unit=unit)


def _at_mm(given: Given) -> float | None:
    return parse_quantity(given.at, "length", field="--at", default_unit="cm") if given.at else None


def _typed(given: Given, data: Data) -> Data:
    return data | {"typed": _value(given)}


def _stage_code(text: str) -> str:
    from ringwise.phenology.stages import ORDER, stage

    if text.upper() in STAGE_CODES:
        return text.upper()
    words = {stage(code).words.casefold(): code for code in ORDER}
    if text.casefold() in words:
        return words[text.casefold()]
    raise unknown_name(_("stage (BBCH code)"), text, STAGE_CODES)


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
    return _typed(given, {"mass_g": mass_g, "moment": moment})


def _days_data(given: Given) -> Data:
    text = _value(given).removesuffix("days").removesuffix("d").strip()
    return {"days": parse_quantity(text, "fraction", field=_("days from full to watering"))}


def _work_data(given: Given) -> Data:
    from ringwise.operations.registry import OPERATIONS

    key = "_".join(given.what[1:]).strip().lower().replace("-", "_") or _value(given)
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
    return data


def _planned_data(given: Given) -> Data:
    data = _work_data(given)
    if "reason" in data:
        data["override_reason"] = data["reason"]
    return data


_KINDS: dict[str, tuple[str, Callable[[Given], Data]]] = {
    "stage": ("stage", _stage_data),
    "girth": ("girth", lambda g: _typed(g, {"girth_mm": _length(g, "girth", "cm"), "at_mm": _at_mm(g)})),
    "trunk": ("trunk", lambda g: _typed(g, {"diameter_mm": _length(g, "trunk", "mm"), "at_mm": _at_mm(g)})),
    "height": ("height", lambda g: _typed(g, {"height_mm": _length(g, "height", "cm")})),
    "vigour": ("vigour", _vigour_data),
    "drain": ("drain", lambda g: {"seconds": parse_quantity(_value(g), "time", field="drain")}),
    "dry": ("days_dry", _days_data),
    "weight": ("weight", _weight_data),
    "graft": ("graft_check", _graft_data),
    "note": ("note", lambda g: {}),
    "work": ("work", _work_data),
    "plan": ("planned", _planned_data),
}


_WORK_OPTIONS = ("root_removed", "pot", "mix", "minutes", "reason", "at")
_OPTIONS = {  # which options say something about which kind; others would be dropped in silence
    "stage": ("extent", "not_before"),
    "girth": ("at",),
    "trunk": ("at",),
    "graft": ("at",),
    "weight": ("when",),
    "photo": ("view",),
    "work": _WORK_OPTIONS,
    "plan": _WORK_OPTIONS,
}


def _refuse_idle_options(given: Given) -> None:
    word = given.what[0].lower()
    for name in ("extent", "not_before", "view", "when", *_WORK_OPTIONS):
        if getattr(given, name) and name not in _OPTIONS.get(word, ()):
            raise InputError(
                _('--{option} says nothing about "{kind}"; leave it out, or put it into --note').format(
                    option=name.replace("_", "-"), kind=word
                )
            )


def _entry(workspace: Workspace, tree: Tree, given: Given) -> Entry:
    word = given.what[0].lower()
    if word not in _KINDS:
        raise unknown_name(_("what is logged"), given.what[0], [*_KINDS, "photo"])
    kind, read = _KINDS[word]
    note = given.note
    if word == "note":
        note = " ".join(part for part in (_value(given), given.note) if part)
    checked_note(note, "--note")
    on = parse_fuzzy_date(
        given.date or workspace.today.isoformat(), field="--date", south=workspace.settings.south
    )
    if kind != "planned" and on.earliest is not None and on.earliest > workspace.today:
        raise out_of_range(
            "--date",
            on.typed,
            _("up to today, {day}").format(day=workspace.today),
            way_out=_("For work to come: ringwise log TREE plan OPERATION"),
        )
    return Entry(
        id="",
        tree=tree.id,
        kind=kind,
        on=on,
        data={key: value for key, value in read(given).items() if value is not None},
        note=note,
        by=given.by or workspace.settings.owner,
        confirmed_by=given.confirmed_by or "",
    )


def log_entry(workspace: Workspace, name: str, given: Given) -> Shape:
    """Write down an observation, a work done, a plan or a photo; returning means stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    given : Given
        What was typed.

    Returns
    -------
    dict
        Keys entry, action and line.

    Raises
    ------
    InputError
        If a word or value does not read; nothing is stored then.
    """
    tree = workspace.tree(name)
    _refuse_idle_options(given)
    if given.what[0].lower() == "photo":
        entry = _photo_entry(workspace, tree, given)
    else:
        entry = _entry(workspace, tree, given)
    _check_names(workspace, entry)
    saved, ids = workspace.store.save_all(
        action(workspace, given.by, f"log {tree.id} {given.what[0].lower()}"), [entry]
    )
    stored = workspace.store.entry(ids[0][1])
    line = _("{id} {name}, {day}: {words} (stored; take it back with: ringwise undo)").format(
        id=tree.id, name=tree.name, day=entry.on.typed, words=entry_words(entry)
    )
    return {"entry": entry_shape(stored), "action": saved, "line": line}


def _check_names(workspace: Workspace, entry: Entry) -> None:
    pot = entry.data.get("pot")
    if pot is not None and pot not in {p.id for p in workspace.pots}:
        raise unknown_name(_("pot"), str(pot), [p.id for p in workspace.pots])
    mix = entry.data.get("mix")
    if mix is not None:
        from ringwise.rootzone.mix import recipe_codes

        known = [*recipe_codes(), *(m.id for m in workspace.mixes)]
        if mix not in known:
            raise unknown_name(_("mix"), str(mix), dict.fromkeys(known))


def _photo_entry(workspace: Workspace, tree: Tree, given: Given) -> Entry:
    from ringwise.desk.photos import PhotoGiven, photo_entry

    file = Path(_value(given)).expanduser()
    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    said = PhotoGiven(given.view or "front", given.date, given.note, original_name=file.name, by=given.by)
    return replace(photo_entry(workspace, tree, file, said), confirmed_by=given.confirmed_by or "")


def undo_last(workspace: Workspace, *, by: str | None = None) -> Shape:
    """Take back the latest action that was not yet taken back.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    by : str or None
        Who takes it back.

    Returns
    -------
    dict
        Keys undone, by, at and line.
    """
    who = by or workspace.settings.owner
    undone = workspace.store.undo(who, clock.moment(workspace.today))
    line = _("taken back: {command} by {by}; it stays in the history").format(
        command=undone.command, by=undone.by
    )
    return {
        "undone": undone.undone,
        "command": undone.command,
        "by": who,
        "touched": [{"kind": kind, "id": each} for kind, each in undone.touched],
        "line": line,
    }
