"""What may be stored: every value is checked field by field before it reaches the store."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from ringwise.kit.errors import DateError, InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.records.dates import PRECISIONS, FuzzyDate
from ringwise.records.model import (
    PLACE_KINDS,
    POT_SHAPES,
    SIZE_CLASSES,
    STAGES,
    Change,
    Entry,
    Mix,
    Place,
    Pot,
    Setting,
    Tree,
    Withdrawn,
)
from ringwise.records.observations import check_interval, checked_data
from ringwise.records.pot_measures import check_pot_length

MOST_ID_LENGTH = 40  # room for any label on a pot, too short for a pasted paragraph
MOST_ENTRY_ID_LENGTH = 64  # an entry may be named by a key that an app makes
MOST_TEXT_LENGTH = 20_000  # a page of a notebook several times over
_SPOT_MM = 1_000_000.0  # no bench is a kilometre long


def checked_change(change: Change) -> Change:
    """The change itself, if it may be stored.

    Parameters
    ----------
    change : Tree, Place, Pot, Mix, Entry, Setting or Withdrawn
        What is to be stored.

    Returns
    -------
    Change
        `change`.

    Raises
    ------
    InputError
        Or one of its kinds; the line names value and field.

    Examples
    --------
    >>> checked_change(Tree("T01", "Hollow Lane", "Morus alba")).name
    'Hollow Lane'
    """
    check = _CHECKS.get(type(change))
    if check is None:
        kind = record_words(type(change).__name__.lower())
        raise InputError(_("a {kind} cannot be stored.").format(kind=kind))
    check(change)
    return change


def record_words(kind: str) -> str:
    """What a kind of record is called, in the reader's language.

    Parameters
    ----------
    kind : str
        Such as "tree".

    Returns
    -------
    str
        The word; an unknown kind as it is.

    Examples
    --------
    >>> record_words("tree")
    'tree'
    """
    words = {
        "tree": _("tree"),
        "place": _("place"),
        "pot": _("pot"),
        "mix": _("mix"),
        "entry": _("entry"),
        "setting": _("setting"),
    }
    return words.get(kind, kind)


def _check_id(kind: str, value: str, *, may_be_blank: bool = False) -> None:
    if not value and may_be_blank:
        return
    if not value.strip():
        raise MissingFieldError(_("{kind} needs an id.").format(kind=record_words(kind)))
    most = MOST_ENTRY_ID_LENGTH if kind == "entry" else MOST_ID_LENGTH
    if len(value) > most or value != value.strip() or not value.isprintable():
        raise out_of_range(
            _("{kind} id").format(kind=record_words(kind)),
            '"' + "".join(each if each.isprintable() else "?" for each in value[:most]) + '"',
            _("up to {n} printable characters without blanks at the ends").format(n=most),
        )


def _check_text(field: str, value: str, *, needed: bool = False) -> None:
    if needed and not value.strip():
        raise MissingFieldError(_("{field} is needed.").format(field=field))
    if len(value) > MOST_TEXT_LENGTH or "\x00" in value:
        raise out_of_range(
            field, _("{n} characters").format(n=len(value)), _("up to {n}").format(n=MOST_TEXT_LENGTH)
        )


def _check_choice(field: str, value: str | None, accepted: tuple[str, ...]) -> None:
    if value is not None and value not in accepted:
        raise unknown_name(field, value, accepted)


def _check_fuzzy(field: str, when: FuzzyDate) -> None:
    ends = (when.earliest, when.latest)
    if when.precision not in PRECISIONS or (when.precision == "unknown") == when.known:
        raise DateError(_('{field} is "{typed}", which is no date.').format(field=field, typed=when.typed))
    if ends[0] is not None and ends[1] is not None and ends[0] > ends[1]:
        raise DateError(
            _('{field} is "{typed}", which ends before it begins.').format(field=field, typed=when.typed)
        )


def _check_tree(tree: Tree) -> None:
    _check_id("tree", tree.id)
    where = _("tree {id}").format(id=tree.id)
    _check_text(f"{where}: species", tree.species, needed=True)
    for name in ("name", "origin", "front_mark", "goal", "note"):
        _check_text(f"{where}: {name}", getattr(tree, name))
    _check_choice(f"{where}: stage", tree.stage, STAGES)
    _check_choice(f"{where}: size class", tree.size_class, SIZE_CLASSES)
    _check_fuzzy(f"{where}: started", tree.started)
    if tree.retired is not None:
        _check_fuzzy(f"{where}: retired", tree.retired)
    if tree.parent == tree.id:
        raise InputError(_("{tree} cannot be its own parent.").format(tree=where))


def _check_place(place: Place) -> None:
    _check_id("place", place.id, may_be_blank=True)
    _check_text(_("place"), place.place, needed=True)
    _check_choice(_("kind of place"), place.kind, PLACE_KINDS)
    _check_fuzzy(_("place since"), place.since)
    for name in ("x_mm", "y_mm"):
        value = getattr(place, name)
        if value is not None and not -_SPOT_MM <= value <= _SPOT_MM:
            raise out_of_range(
                _("place {field}").format(field=name), f"{value:g}", f"-{_SPOT_MM:g} to {_SPOT_MM:g}"
            )
    if place.until is None:
        return
    _check_fuzzy(_("place until"), place.until)
    first, last = place.since.earliest, place.until.latest
    if first is not None and last is not None and last < first:
        raise out_of_range(
            _("place until"), place.until.typed, _("from {day} on").format(day=place.since.typed)
        )


def _check_pot(pot: Pot) -> None:
    _check_id("pot", pot.id)
    _check_choice(_("pot shape"), pot.shape, POT_SHAPES)
    sizes = {"length": pot.length_mm, "width": pot.width_mm, "depth": pot.depth_mm}
    for name, size_mm in sizes.items():
        field = _("pot {id} {name}").format(id=pot.id, name=name)
        if size_mm is not None:
            check_pot_length(size_mm, field=field)
        elif pot.shape != "ground":
            raise MissingFieldError(_("{field} is needed.").format(field=field))
    for hole in pot.holes:
        sides = (hole.diameter_mm, hole.x_mm, hole.y_mm)
        if not all(math.isfinite(side) for side in sides) or hole.diameter_mm <= 0:
            raise out_of_range(
                _("pot {id} hole").format(id=pot.id), f"{hole.diameter_mm:g} mm", _("more than 0 mm")
            )
    for name in ("typed", "material", "colour", "note"):
        _check_text(f"pot {pot.id} {name}", getattr(pot, name))


def _check_mix(mix: Mix) -> None:
    _check_id("mix", mix.id)
    _check_text(_("mix {id} name").format(id=mix.id), mix.name)
    if not mix.parts:
        raise MissingFieldError(_("mix {id} needs parts.").format(id=mix.id))
    for name, share in mix.parts:
        if not (math.isfinite(share) and share > 0):
            raise out_of_range(
                _("mix {id}, parts of {name}").format(id=mix.id, name=name), f"{share:g}", _("more than 0")
            )
    if len({name for name, _share in mix.parts}) != len(mix.parts):
        raise InputError(_("mix {id} names a component twice.").format(id=mix.id))


def _check_entry(entry: Entry) -> None:
    _check_id("entry", entry.id, may_be_blank=True)
    _check_fuzzy(_("date of the entry"), entry.on)
    data = checked_data(entry.kind, entry.data)
    _check_text(_("note"), entry.note, needed=entry.kind == "note")
    if entry.kind == "stage":
        check_interval(data, entry.on.latest)
    for field, value in ((_("who did it"), entry.by), (_("who confirmed it"), entry.confirmed_by)):
        _check_text(field, value)
    if entry.recorded_at is not None and entry.recorded_at.utcoffset() is None:
        raise MissingFieldError(_("the time at which an entry was recorded needs its offset."))


def _check_setting(setting: Setting) -> None:
    _check_id("setting", setting.id)


def _check_withdrawn(withdrawn: Withdrawn) -> None:
    _check_id(withdrawn.kind, withdrawn.id)


_CHECKS: dict[type, Callable[[Any], None]] = {
    Tree: _check_tree,
    Place: _check_place,
    Pot: _check_pot,
    Mix: _check_mix,
    Entry: _check_entry,
    Setting: _check_setting,
    Withdrawn: _check_withdrawn,
}
