"""Why a fact of a tree shows its number: the entry that was written down, or the formula and its inputs."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ringwise.desk.entry_history import moment_shown
from ringwise.desk.entry_words import entry_title, group_of
from ringwise.desk.own_facts import own_facts
from ringwise.desk.shapes import day_text
from ringwise.desk.tree_facts_told import Fact, fact_labels, facts_known, inside
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, NotFoundError, unknown_name
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.observations import TYPED

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

RECORD = "record"


def entry_trace(workspace: Workspace, entry: Entry) -> Trace:
    """An entry as the end of a chain: what was typed, of which day, by whom, and when it was written down.

    Parameters
    ----------
    workspace : Workspace
        The collection, for who wrote it down.
    entry : Entry
        As stored.

    Returns
    -------
    Trace
        One link with a link for each of these.
    """
    below = []
    typed = entry.data.get(TYPED)
    if isinstance(typed, str) and typed:
        below.append(Trace(_("as typed"), f'"{typed}"', RECORD))
    below.append(Trace(_("day"), _as_typed(entry), RECORD))
    if entry.by:
        below.append(Trace(_("seen by"), entry.by, RECORD))
    if entry.confirmed_by:
        below.append(Trace(_("confirmed by"), entry.confirmed_by, RECORD))
    states = workspace.store.history("entry", entry.id)
    first, last = states[0], states[-1]
    words = _("{when}, by {who}")
    below.append(
        Trace(_("written down"), words.format(when=moment_shown(first.recorded_at), who=first.by), RECORD)
    )
    if last.revision > 1:
        below.append(
            Trace(_("corrected"), words.format(when=moment_shown(last.recorded_at), who=last.by), RECORD)
        )
    if entry.note:
        below.append(Trace(_("note"), entry.note, RECORD))
    title = entry_title(entry, group_of(workspace.tree(entry.tree)))
    return Trace(title, date_shown(entry.on), RECORD, "", "", "measured", tuple(below))


def _as_typed(entry: Entry) -> str:
    shown, typed = date_shown(entry.on), entry.on.typed
    plain = (shown, day_text(entry.on.earliest))
    return shown if typed in plain else _('{day}, typed "{typed}"').format(day=shown, typed=typed)


def fact_trace(workspace: Workspace, tree: str, key: str) -> Trace:
    """Why a fact of a tree shows its number.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    key : str
        Of the fact, such as "trunk_mm".

    Returns
    -------
    Trace
        Its chain.

    Raises
    ------
    UnknownNameError
        If there is no such kind of fact.
    NotFoundError
        If nothing is known of it.
    """
    labels = fact_labels()
    if key not in labels:
        raise unknown_name(_("fact"), key, labels)
    facts = own_facts(workspace, tree)
    found = next((f for f in facts_known(facts, today=workspace.today) if f.key == key), None)
    if found is None:
        raise NotFoundError(
            _("nothing is known of {tree} for: {what}").format(tree=facts.tree.id, what=labels[key])
        )
    label = _("{what} of {tree}").format(what=found.label, tree=facts.tree.id)
    if found.entry is not None:
        below = (entry_trace(workspace, found.entry),)
        return Trace(label, found.shown, RECORD, _("as written down"), "", "measured", below)
    if key == "pot_volume":
        return _volume_trace(facts, label)
    return _computed_trace(workspace, facts, found, label)


def _volume_trace(facts: TreeFacts, label: str) -> Trace:
    from ringwise.rootzone.litres import volume_trace

    shape, pot = inside(facts.pot), facts.pot
    assert shape is not None
    assert pot is not None
    whole = volume_trace(shape)
    typed = Trace(_("pot {id}, as typed").format(id=pot.id), f'"{pot.typed}"', RECORD) if pot.typed else None
    return replace(whole, label=label, inputs=whole.inputs if typed is None else (*whole.inputs, typed))


def _computed_trace(workspace: Workspace, facts: TreeFacts, fact: Fact, label: str) -> Trace:
    source = () if fact.computed_from is None else (entry_trace(workspace, fact.computed_from),)
    if fact.key == "girth_mm":
        return Trace(label, fact.shown, "", _("pi x trunk; taken as round"), "own", "assumed", source)
    if fact.key == "trunk_mm":
        return Trace(label, fact.shown, "", _("girth / pi; taken as round"), "own", "assumed", source)
    today = Trace(_("today"), show.day(workspace.today, year=True))
    if fact.key == "age":
        began = Trace(_("began"), _began(facts), RECORD, basis="measured")
        return Trace(label, fact.shown, "", _("today less the day it began"), "own", "", (began, today))
    return Trace(label, fact.shown, "", _("today less the day of the work"), "own", "", (*source, today))


def _began(facts: TreeFacts) -> str:
    started = facts.tree.started
    if started.precision == "day" or started.earliest is None or started.latest is None:
        return date_shown(started)
    return _('"{typed}", read as {first} to {last}').format(
        typed=started.typed,
        first=show.day(started.earliest, year=True),
        last=show.day(started.latest, year=True),
    )


def _stage_bands(workspace: Workspace, facts: TreeFacts) -> dict[str, DateBand]:
    """Expected days of the stages between which wood grows; none where there is no weather."""
    from ringwise.desk.yard_forecast import yard_forecast
    from ringwise.growth.girth_line import GROWTH_STAGES

    try:
        forecast = yard_forecast(workspace).of(facts)
    except (MissingFieldError, KeyError):
        return {}
    return {code: forecast.band(code) for code in GROWTH_STAGES if code in forecast.codes}


def ring_trace(workspace: Workspace, tree: str, label: str) -> Trace:
    """Why a ring of the dial shows its girth.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    label : str
        The growing year.

    Returns
    -------
    Trace
        With the measures that the line goes through.

    Raises
    ------
    NotFoundError
        If the tree has no ring of that year, or nothing was measured.
    """
    from ringwise.desk.dial import dial_line
    from ringwise.records.girths import girths_of_one_line

    facts = own_facts(workspace, tree)
    line = dial_line(workspace, facts, _stage_bands(workspace, facts))
    rings = {} if line is None or not line.scaled else {str(ring.label): ring for ring in line.rings}
    if label not in rings:
        raise NotFoundError(
            _("{tree} has no girth of {year}; a girth or a trunk must be measured first").format(
                tree=facts.tree.id, year=label
            )
        )
    ring = rings[label]
    formula = {
        "measured": _("read from the line through the girths measured, one of them in this year"),
        "between": _("filled in evenly, by growing seasons, between the girths before and after"),
        "assumed": _("carried on from the nearest girths at their rate"),
    }[ring.basis]
    basis = "measured" if ring.basis == "measured" else "assumed"
    below = [entry_trace(workspace, read.entry) for read in girths_of_one_line(facts.entries)]
    if ring.basis == "assumed" and facts.tree.started.known:
        below.insert(0, Trace(_("began"), _began(facts), RECORD))
    return Trace(
        _("girth of {tree} at the end of {year}").format(tree=facts.tree.id, year=label),
        show.length(ring.end_mm),
        "growth.girth_line",
        formula,
        "own",
        basis,
        tuple(below),
    )


def photo_trace(workspace: Workspace, entry_id: str, what: str) -> Trace:
    """Why a photo shows its scale.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    entry_id : str
        Of the photo's entry.
    what : str
        "scale".

    Returns
    -------
    Trace
        With the marks on the rim and the width between them.

    Raises
    ------
    NotFoundError
        If no rim is marked on it.
    """
    if what != "scale":
        raise unknown_name(_("figure"), what, ["scale"])
    entry = workspace.store.entry(entry_id)
    data: Any = entry.data
    if entry.kind != "photo" or not data.get("rim") or data.get("rim_mm") is None:
        raise NotFoundError(_("entry {id} is no photo with a marked rim").format(id=entry_id))
    from ringwise.desk.photo_strips import scale_of, scale_shown

    scale = scale_of(data)
    (x, y), (other_x, other_y) = data["rim"]
    apart_px = math.hypot((other_x - x) * data["width_px"], (other_y - y) * data["height_px"])
    below = (
        Trace(_("width between the marks"), show.length(data["rim_mm"]), RECORD, basis="measured"),
        Trace(_("marks apart on the photo"), _("{n} pixels").format(n=round(apart_px)), RECORD),
        entry_trace(workspace, entry),
    )
    return Trace(
        _("scale of the photo, {view}").format(view=entry_title(entry)),
        "" if scale is None else scale_shown(scale),
        "",
        _("width between the marks / their distance on the photo"),
        "own",
        "measured",
        below,
    )
