"""Wishes about a tree's structure: the one of a day, by whatever means it was measured; keeping a new one."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from ringwise.desk.deeds import action, exact_day, not_ahead
from ringwise.desk.retired import refuse_on_retired
from ringwise.kit.days import growing_year
from ringwise.kit.errors import DamagedError, RingwiseError, unknown_name
from ringwise.kit.words import _
from ringwise.records.model import Entry
from ringwise.records.observations import SHAPE_SOURCES

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape

KINDS = ("tape", "shape")  # entries that a structure stands on


@dataclass(frozen=True)
class Version:
    """One structure of a tree: the entry it stands on, its day, by what it was measured, its size."""

    entry: str
    on: FuzzyDate
    source: str
    height_mm: float
    segments: int | None


def structure_entry(facts: TreeFacts, on: date | None = None) -> Entry | None:
    """The entry that a tree's structure stands on: the latest tape or kept shape.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    on : date, optional
        As of which day; all that is known by default.

    Returns
    -------
    Entry or None
        None where nobody measured it.
    """
    found = [e for e in facts.entries if e.kind in KINDS and (on is None or _by(e, on))]
    return found[-1] if found else None


def _by(entry: Entry, on: date) -> bool:
    return entry.on.by is None or entry.on.by <= on


def source_of(entry: Entry) -> str:
    """By what an entry's structure was measured: one of `SHAPE_SOURCES`."""
    return "tape" if entry.kind == "tape" else str(entry.data["source"])


def versions(facts: TreeFacts) -> tuple[Version, ...]:
    """All structures of a tree, the oldest first.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of Version
        Tapes and kept shapes.
    """
    return tuple(
        Version(
            each.id,
            each.on,
            source_of(each),
            float(str(each.data["height_mm"])),
            int(str(each.data["segments"])) if each.kind == "shape" else None,
        )
        for each in facts.entries
        if each.kind in KINDS
    )


def structure_of(
    workspace: Workspace, facts: TreeFacts, which: int = 0, on: date | None = None
) -> MeasuredTree:
    """A tree's structure as measured by a day: its latest kept shape or tape, else from its basics.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    which : int
        Which of the equally likely trees; 0 is the one that is shown.
    on : date, optional
        As of which day; all that is known by default.

    Returns
    -------
    MeasuredTree
        Checked, with leaves, live wood and years.

    Raises
    ------
    MissingFieldError
        If nothing was measured and neither trunk nor height is known.
    """
    entry = structure_entry(facts, on)
    if entry is None:
        from ringwise.desk.measuring import tape_of
        from ringwise.structure.likely import assumed_spread

        return assumed_spread(_of_tape(workspace, facts, tape_of(facts), which, on))
    return structure_of_entry(workspace, facts, entry, which, on)


def structure_of_entry(
    workspace: Workspace, facts: TreeFacts, entry: Entry, which: int = 0, on: date | None = None
) -> MeasuredTree:
    """The structure that one tape or kept shape makes.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    entry : Entry
        A tape or a shape.
    which : int
        Which of the equally likely trees.
    on : date, optional
        In whose growing year the youngest shoots are taken to be; today's by default.

    Returns
    -------
    MeasuredTree
        Checked.

    Raises
    ------
    NotFoundError, DamagedError
        If the file of a shape is not there or not as it was kept.
    """
    if entry.kind == "tape":
        from ringwise.structure.likely import of_reading
        from ringwise.structure.tape import tape_from_json
        from ringwise.structure.tape_branches import taken_rows

        tape = tape_from_json(entry.data)
        table = _of_tape(workspace, facts, tape, which, on)
        return of_reading(table, taken_rows(table, tape))
    kept = _kept(workspace, facts, entry, on)
    if which == 0:
        return kept
    from ringwise.desk.measuring import tree_seed
    from ringwise.structure.likely import likely

    return likely(kept, tree_seed(workspace, facts.tree.id, which))


def _of_tape(workspace: Workspace, facts: TreeFacts, tape: Tape, which: int, on: date | None) -> SegmentTable:
    from ringwise.desk.measuring import tree_of_tape

    return tree_of_tape(workspace, facts, tape, which, born_year=_year(workspace, on))


def _year(workspace: Workspace, on: date | None) -> int:
    return growing_year(on or workspace.today, south=workspace.settings.south).label


def _kept(workspace: Workspace, facts: TreeFacts, entry: Entry, on: date | None) -> MeasuredTree:
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.dressing import dressed
    from ringwise.structure.forms import form_for

    keys, year = lookup_keys(facts.tree.species), _year(workspace, on)
    sha256 = str(entry.data["sha256"])

    def made() -> MeasuredTree:
        return dressed(_read(workspace, sha256), form_for(keys), born_year=year)

    return workspace.once(("structure", sha256, keys, year), made)


def _read(workspace: Workspace, sha256: str) -> MeasuredTree:
    from ringwise.records.tree_files import read_tree_file
    from ringwise.structure.exchange.tree_json import tree_from_json

    content = read_tree_file(workspace.folder, sha256)
    try:
        return tree_from_json(json.loads(content))
    except (ValueError, RingwiseError) as wrong:  # its hash is right, so a newer program or a hand wrote it
        raise DamagedError(
            _("the measured tree {sha} does not read: {why}").format(sha=sha256[:8], why=wrong)
        ) from wrong


@dataclass(frozen=True)
class ShapeGiven:
    """What is said of a structure that is to be kept; `on` is today where not given.

    `more` is what its room keeps beside, such as the clicks of a trace. `with_entries` (its photos, with ids
    given) are stored in the same step; `command` is what the step was typed as, where that is not plain
    measuring.
    """

    source: str
    quality: Mapping[str, Any] | None = None
    photos: Sequence[str] = ()
    views: Sequence[Mapping[str, Any]] = ()
    more: Mapping[str, Any] = field(default_factory=dict)
    on: FuzzyDate | None = None
    note: str = ""
    by: str | None = None
    command: str = ""
    with_entries: Sequence[Entry] = ()


def keep_structure(
    workspace: Workspace, facts: TreeFacts, measured: MeasuredTree, given: ShapeGiven
) -> Shape:
    """Keep a measured tree: its file is safe on disk, then its entry is stored.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    measured : MeasuredTree
        As measured, without what `structure_of` fills in.
    given : ShapeGiven
        By what, from which photos, how well, when and by whom.

    Returns
    -------
    dict
        Keys action, id (of the entry), sha256, segments and height_mm.

    Raises
    ------
    ConflictError
        If the tree was retired by that day; nothing is kept then.
    InputError
        If the source is unknown or the day lies ahead.
    StructureError
        If it is no tree.
    """
    from ringwise.records.tree_files import keep_tree_file
    from ringwise.structure.measured import checked_measured

    if given.source not in SHAPE_SOURCES:
        raise unknown_name(_("source of a shape"), given.source, SHAPE_SOURCES)
    tree = workspace.tree(facts.tree.id)
    on = exact_day(workspace) if given.on is None else not_ahead(workspace, given.on, _("date"))
    refuse_on_retired(workspace, tree, "shape", on)
    kept = keep_tree_file(tree_bytes(checked_measured(measured)), workspace.folder)
    height_mm = float(max(measured.table.end_mm[:, 2].max(), 0.1))
    entry = Entry(
        id="",
        tree=tree.id,
        kind="shape",
        on=on,
        data={
            "source": given.source,
            "file": kept.file,
            "sha256": kept.sha256,
            "segments": measured.n,
            "height_mm": round(height_mm, 3),
            "photos": list(given.photos),
            "views": [dict(each) for each in given.views],
            "quality": dict(given.quality or {}),
            **given.more,
        },
        note=given.note,
        by=given.by or workspace.settings.owner,
    )
    means = "import" if given.source in ("file", "cylinders") else given.source
    command = given.command or f"measure {means} {tree.id}"
    doing = action(workspace, given.by, command)
    saved, ids = workspace.store.save_all(doing, [*given.with_entries, entry])
    return {
        "action": saved,
        "id": ids[-1][1],
        "sha256": kept.sha256,
        "segments": measured.n,
        "height_mm": height_mm,
    }


def tree_bytes(measured: MeasuredTree) -> bytes:
    """A measured tree as it is kept: JSON text, the same bytes for the same tree.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.

    Returns
    -------
    bytes
        UTF-8.
    """
    from ringwise.structure.exchange.tree_json import tree_to_json

    return json.dumps(tree_to_json(measured), separators=(",", ":"), allow_nan=False).encode()
