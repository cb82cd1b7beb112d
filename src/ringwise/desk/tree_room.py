"""The wish for the room of one tree: its sheet, what is known, its pot, windows, tasks and latest entries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.entry_history import entry_told
from ringwise.desk.entry_words import group_of, operation_words
from ringwise.desk.log_choices import mix_words
from ringwise.desk.own_facts import own_entries, own_facts
from ringwise.desk.shapes import Shape, day_text, pot_words
from ringwise.desk.told import day_shape, maybe_day, told
from ringwise.desk.training_words import training_words
from ringwise.desk.tree_facts_told import age_words, fact_shape, facts_known, inside
from ringwise.desk.tree_tasks import tree_tasks
from ringwise.desk.trees import sheet_revision
from ringwise.desk.window_after import chance_shape, left_shape, risk_shapes
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError, unknown_name
from ringwise.kit.words import _, from_data
from ringwise.records.model import ENTRY_KINDS

if TYPE_CHECKING:
    from datetime import date

    from ringwise.desk.almanac import AlmanacView, TreeTold, WindowTold
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.ranged import DateBand
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

RECENT = 40  # entries that come with the room


def band_shape(band: DateBand | None, why: str, today: date) -> Shape | None:
    """A forecast day with its band, as a room shows it.

    Parameters
    ----------
    band : DateBand or None
        The band.
    why : str
        Name of its why.
    today : date
        Another year than this day's is written out.

    Returns
    -------
    dict or None
        Keys low, median, high, shown and why; None where only a sign tells.
    """
    if band is None:
        return None
    text = show.span(band.low, band.high)
    return {
        "low": band.low.isoformat(),
        "median": band.median.isoformat(),
        "high": band.high.isoformat(),
        "shown": text if band.median.year == today.year else f"{text} {band.median.year}",
        "why": why,
    }


def window_told(window: WindowTold, of: TreeTold, *, wanted: bool, today: date) -> Shape:
    """A window of the almanac, as a room shows it.

    Parameters
    ----------
    window : WindowTold
        Of one kind of work.
    of : TreeTold
        What the almanac says of the tree.
    wanted : bool
        Whether the work is planned or due.
    today : date
        The day of asking.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    name = f"{window.tree}:{window.operation}"
    blocked = window.state == "blocked"
    chance = None if blocked else window.open_prob
    frost = ""
    if window.frost_years is not None and window.frost_of_years is not None:
        frost = _("frost soon after in {n} of {years} years").format(
            n=window.frost_years, years=window.frost_of_years
        )
    return {
        "operation": window.operation,
        "operation_words": operation_words(window.operation),
        "state": window.state,
        "sentence": window.sentence,
        "opens": band_shape(window.opens, f"{name}:opens", today),
        "closes": band_shape(window.closes, f"{name}:closes", today),
        "chance": told(chance, "" if chance is None else show.odds(chance), f"{name}:chance"),
        "sign": window.sign,
        "closes_by": window.closes_by,
        "note": window.note,
        "blocked": "; ".join(window.blocked),
        "override_reason": window.override_reason,
        "basis": of.basis,
        "own_seasons": of.own_seasons,
        "wanted": wanted,
        "frost_shown": frost,
        "days_left": left_shape(window.days_left(today), f"{name}:days_left"),
        "chance_by_day": chance_shape(window.chances, f"{name}:chance"),
        "work_on": None if window.work_on is None else window.work_on.isoformat(),
        "risks": risk_shapes(window.risks, name),
        "carry_in": window.carry_in,
        "carry_in_words": window.carry_in_words,
        "why": f"{name}:opens",
    }


def _pot(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    pot = facts.pot
    if pot is None:
        return None
    shape = inside(pot)
    mixed = next((work for work in reversed(facts.works) if work.data.get("mix")), None)
    mix = "" if mixed is None else str(mixed.data["mix"])
    volume = None if shape is None else shape.volume_cm3
    return {
        "id": pot.id,
        "words": pot_words(pot),
        "shape": from_data(pot.shape),
        "length_mm": pot.length_mm,
        "width_mm": pot.width_mm,
        "depth_mm": pot.depth_mm,
        "volume_cm3": told(
            volume, "" if volume is None else show.litres(volume), f"{facts.tree.id}:fact:pot_volume"
        ),
        "material": pot.material,
        "colour": pot.colour,
        "mix": mix,
        "mix_words": mix_words(workspace, mix) if mix else "",
        "last_repot": maybe_day(facts.last_repot),
    }


def _sheet(facts: TreeFacts, today: date) -> Shape:
    tree, kind, place = facts.tree, facts.taxon, facts.place
    return {
        "id": tree.id,
        "name": tree.name,
        "species": tree.species,
        "botanical_name": tree.species if kind is None else kind.botanical_name,
        "common_name": "" if kind is None else from_data(kind.common_name),
        "species_sure": tree.species_sure,
        "group": "" if kind is None else kind.group,
        "origin": tree.origin,
        "started": day_shape(tree.started),
        "age_shown": age_words(tree.started, today),
        "stage": tree.stage or "",
        "stage_words": training_words(tree.stage),
        "parent": tree.parent,
        "front_mark": tree.front_mark,
        "goal": tree.goal,
        "note": tree.note,
        "quarantine_until": day_text(tree.quarantine_until),
        "retired": maybe_day(tree.retired),
        "place": None if place is None else place.place,
        "place_kind": None if place is None else place.kind,
        "since": None if place is None else day_shape(place.since),
    }


def _rows_of(view: AlmanacView, tree: str) -> list[Mapping[str, Any]]:
    """The lines of today's page that are about one tree."""
    if view.almanac is None:
        return []
    return [row for row in view.almanac.page.get("due", ()) if row["tree"] == tree]


def tree_room(workspace: Workspace, name: str, *, almanac: AlmanacView | None = None) -> Shape:
    """The room of one tree. No forecast is made for it: windows come from the almanac.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree; also of one that was retired.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    facts = own_facts(workspace, name)
    view = almanac or almanac_of(workspace)
    tree, today = facts.tree.id, workspace.today
    gone = facts.tree.retired is not None
    told_of = None if gone or view.almanac is None else view.almanac.tree(tree)
    rows = [] if gone else _rows_of(view, tree)
    due = {row["operation"] for row in rows}
    windows = () if told_of is None else told_of.windows
    newest_first = own_entries(workspace, tree)[::-1]
    group = group_of(workspace.tree(tree))
    return {
        **_sheet(facts, today),
        "facts": [fact_shape(tree, fact) for fact in facts_known(facts, today=today)],
        "pot": _pot(workspace, facts),
        "windows": [
            window_told(each, told_of, wanted=each.wanted or each.operation in due, today=today)
            for each in windows
            if told_of is not None
        ],
        "tasks": []
        if gone
        else tree_tasks(facts, told_of, rows, today=today, south=workspace.settings.south),
        "entries": [entry_told(entry, group) for entry in newest_first[:RECENT]],
        "entry_count": len(newest_first),
        "revision": sheet_revision(workspace, tree),
    }


def entries_page(
    workspace: Workspace, name: str, *, before: str = "", kind: str = "", limit: int = 50
) -> Shape:
    """Part of a tree's entries, newest first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    before : str
        Id of the last entry that was shown; blank to begin with the newest.
    kind : str
        Only entries of this kind; blank for all.
    limit : int
        How many at most.

    Returns
    -------
    dict
        Keys total (of the kind) and entries.

    Raises
    ------
    NotFoundError
        If the tree has no entry `before`.
    """
    if kind and kind not in ENTRY_KINDS:
        raise unknown_name(_("kind of entry"), kind, ENTRY_KINDS)
    tree = workspace.tree(name)
    entries, group = own_entries(workspace, tree.id)[::-1], group_of(tree)
    rest = _after(entries, before) if before else entries
    chosen = [entry for entry in rest if not kind or entry.kind == kind]
    total = sum(1 for entry in entries if not kind or entry.kind == kind)
    return {"total": total, "entries": [entry_told(entry, group) for entry in chosen[:limit]]}


def _after(entries: Sequence[Entry], before: str) -> Sequence[Entry]:
    for place, entry in enumerate(entries):
        if entry.id == before:
            return entries[place + 1 :]
    raise NotFoundError(_("there is no entry {id}.").format(id=before))
