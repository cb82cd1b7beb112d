"""Wishes about trees: add, list, show, edit, retire, look at the history."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from ringwise.desk.deeds import action, exact_day, not_ahead
from ringwise.desk.entry_words import entry_line, entry_words
from ringwise.desk.shapes import Shape, day_text, entry_shape, facts_shape, place_shape, tree_shape
from ringwise.desk.texts import checked_name, checked_note, one_line
from ringwise.desk.workspace import Workspace, find_tree
from ringwise.kit import show
from ringwise.kit.days import parse_date
from ringwise.kit.errors import ConflictError, InputError, at_field, unknown_name
from ringwise.kit.words import _
from ringwise.records.dates import FuzzyDate, parse_fuzzy_date
from ringwise.records.facts import tree_facts
from ringwise.records.model import STAGES, Entry, Place, Tree, Value
from ringwise.records.store import Seen
from ringwise.records.taxa import find_taxon, taxon

_RECENT = 8  # entries shown with a tree
_TRIES = 50  # at finding a free id while others add trees
_ID = re.compile(r"[A-Za-z][A-Za-z0-9._-]{0,23}")


@dataclass(frozen=True)
class NewTree:
    """What was typed of a new tree."""

    name: str
    species: str
    id: str | None = None
    origin: str = ""
    started: str = "unknown"
    stage: str = ""
    parent: str | None = None
    front_mark: str = ""
    goal: str = ""
    place: str = ""
    height: str = ""
    trunk: str = ""
    girth: str = ""


_MEASURES = ("height", "trunk", "girth")  # what may be measured of a new tree at once


def _next_id(workspace: Workspace) -> str:
    used = {t.id for t in workspace.store.trees()}
    number = 1 + max((int(i[1:]) for i in used if i[:1] == "T" and i[1:].isdigit()), default=0)
    return f"T{number:02d}"


def _stage(text: str) -> str | None:
    if not text:
        return None
    if text.upper() not in STAGES:
        raise unknown_name(_("stage of training"), text, STAGES)
    return text.upper()


def _new_place(workspace: Workspace, tree: str, place: str) -> Place:
    kind = next(
        (k for k in ("shed", "shade", "tunnel", "ground", "quarantine") if k in place.casefold()), "bench"
    )
    return Place("", tree, place, kind, exact_day(workspace))


def _checked_id(text: str) -> str:
    if not _ID.fullmatch(text):
        raise InputError(
            _(
                '--id is "{text}"; use 1 to 24 letters, digits, "-", "_" or ".", starting with a letter'
            ).format(text=one_line(text))
        )
    return text


def _started(workspace: Workspace, text: str) -> FuzzyDate:
    field = _("the date on which it began")
    with at_field("started"):
        when = parse_fuzzy_date(text.strip() or "unknown", field=field, south=workspace.settings.south)
        return not_ahead(workspace, when, field)


def add_tree(workspace: Workspace, given: NewTree, *, by: str | None = None) -> Shape:
    """Add a tree of which only name and species need be known."""
    with at_field("name"):
        name = checked_name(given.name)
    with at_field("species"):
        species = find_taxon(given.species).key
    known = workspace.store.trees()
    tree = Tree(
        id=_checked_id(given.id) if given.id is not None else _next_id(workspace),
        name=name,
        species=species,
        origin=given.origin,
        started=_started(workspace, given.started),
        stage=_stage(given.stage),
        parent=find_tree(known, given.parent).id if given.parent else None,
        front_mark=given.front_mark,
        goal=given.goal,
    )
    if any(t.id.casefold() == tree.id.casefold() for t in known):
        raise ConflictError(
            _("there is a tree {id} already; leave --id out for the next free one").format(id=tree.id)
        )
    measured = _first_measures(workspace, tree, given)
    for _try in range(_TRIES):
        values: list[Value] = [tree, *(replace(entry, tree=tree.id) for entry in measured)]
        if given.place:
            values.append(_new_place(workspace, tree.id, given.place))
        try:
            saved = workspace.store.save(
                action(workspace, by, f"tree add {tree.id}"), values, seen=[Seen("tree", tree.id)]
            )
            line = _("{id} {name}, {species}: added").format(
                id=tree.id, name=tree.name, species=taxon(tree.species).botanical_name
            )
            return {"tree": tree_shape(tree), "action": saved, "id": tree.id, "line": line}
        except ConflictError:
            if given.id is not None:
                raise
            tree = replace(tree, id=_next_id(workspace))  # another program took it in this moment
    raise ConflictError(_("others are adding trees all the time; try again"))


def _first_measures(workspace: Workspace, tree: Tree, given: NewTree) -> list[Entry]:
    from ringwise.desk.entry_reading import Given, read_entry

    measured = []
    for name in _MEASURES:
        if text := getattr(given, name).strip():
            with at_field(name):
                measured.append(read_entry(workspace, tree, Given(name, text)))
    return measured


def sheet_revision(workspace: Workspace, tree: str) -> int:
    """The number of the newest stored state of a tree's sheet."""
    return workspace.store.history("tree", tree)[-1].revision


def list_trees(workspace: Workspace, *, as_of: str | None = None) -> Shape:
    """Every tree that is not retired, with what is known of it today or was on a day."""
    if as_of is None:
        return {"trees": [facts_shape(f) for f in workspace.facts.values()]}
    when = parse_date(as_of, field="--as-of")
    store = workspace.store
    entries, pots, places = store.entries(as_of=when), store.pots(as_of=when), store.places(as_of=when)
    shapes = []
    for tree in store.trees(as_of=when):
        own = [e for e in entries if e.tree == tree.id]
        if tree.retired is None:
            shapes.append(facts_shape(tree_facts(tree, entries=own, pots=pots, places=places, on=when)))
    return {"trees": shapes, "as_of": as_of}


def show_tree(workspace: Workspace, name: str, *, as_of: str | None = None) -> Shape:
    """One tree: its sheet, what is known of it and its latest entries."""
    when = parse_date(as_of, field="--as-of") if as_of else None
    store = workspace.store
    tree = find_tree(store.trees(as_of=when), name)
    entries = store.entries(tree=tree.id, as_of=when)
    places = [p for p in store.places(as_of=when) if p.tree == tree.id]
    facts = tree_facts(
        tree, entries=entries, pots=store.pots(as_of=when), places=places, on=when or workspace.today
    )
    answer = facts_shape(facts) | {
        "as_of": day_text(when),
        "places": [place_shape(p) for p in places],
        "entries": [entry_shape(e) for e in entries],
    }
    answer["lines"] = _sheet_lines(answer) + [""] + [entry_line(e) for e in entries[-_RECENT:]]
    return answer


def _sheet_lines(sheet: Mapping[str, Any]) -> list[str]:
    unknown = _("unknown")
    height = sheet["height_mm"]
    rows = [
        f"{sheet['id']} {sheet['name']}, {sheet['botanical_name']}"
        + ("" if sheet["species_sure"] else " " + _("(not sure)")),
        _("began {started}; stage {stage}; vigour {vigour}").format(
            started=sheet["started"]["typed"],
            stage=sheet["stage"] or unknown,
            vigour=unknown if sheet["vigour"] is None else sheet["vigour"],
        ),
        _("trunk {trunk}, height {height}; pot {pot}; stands: {place}").format(
            trunk=sheet["trunk_shown"] or unknown,
            height=unknown if height is None else show.length(height),
            pot=sheet["pot_shown"] or unknown,
            place=sheet["place"] or unknown,
        ),
        _("last repotted: {when}").format(
            when=sheet["last_repot"]["typed"] if sheet["last_repot"] else unknown
        ),
    ]
    if sheet["goal"]:
        rows.append(_("goal: {goal}").format(goal=sheet["goal"]))
    if sheet["quarantine_until"]:
        rows.append(_("in quarantine until {day}").format(day=sheet["quarantine_until"]))
    if sheet["retired"]:
        rows.append(_("retired: {when}").format(when=sheet["retired"]["typed"]))
    return rows


def edit_tree(
    workspace: Workspace,
    name: str,
    changes: Mapping[str, str | None],
    *,
    revision: int | None = None,
    by: str | None = None,
) -> Shape:
    """Correct a tree's sheet; the old wording stays in the history. A `revision` that was seen must hold."""
    tree = workspace.tree(name)
    if revision is not None and revision != sheet_revision(workspace, tree.id):
        raise ConflictError(
            _("the sheet of {id} was changed meanwhile; look at it again.").format(id=tree.id)
        )
    given = {key: value for key, value in changes.items() if value is not None}
    place = given.pop("place", None)
    new: dict[str, Any] = dict(given)
    if "species" in given:
        new["species"] = find_taxon(given["species"]).key
    if "name" in given:
        new["name"] = checked_name(given["name"])
    if "started" in given:
        new["started"] = _started(workspace, given["started"])
    if "stage" in given:
        new["stage"] = _stage(given["stage"])
    for field in ("origin", "front_mark", "goal", "note"):
        if field in given:
            new[field] = checked_note(given[field], field)
    if not new and place is None:
        raise InputError(_("nothing to change; name a field, such as --stage S6"))
    edited = replace(tree, **new)
    if new and edited == tree:
        raise InputError(_("nothing changes: that is what is written already"))
    values: list[Value] = [edited] if new else []
    if place is not None:
        values += _moved(workspace, tree.id, place)
    saved = workspace.store.save(
        action(workspace, by, f"tree edit {tree.id}"), values, seen=[Seen("tree", tree.id, tree)]
    )
    what = ", ".join([*given, *(["place"] if place is not None else [])])
    return {
        "tree": tree_shape(edited),
        "changed": [*given, *(["place"] if place is not None else [])],
        "action": saved,
        "id": edited.id,
        "line": _("{id} {name}: {what} changed; the old wording is kept").format(
            id=edited.id, name=edited.name, what=what
        ),
    }


def _moved(workspace: Workspace, tree: str, place: str) -> list[Value]:
    today = exact_day(workspace)
    ended: list[Value] = [
        replace(p, until=today) for p in workspace.places if p.tree == tree and p.until is None
    ]
    return [*ended, _new_place(workspace, tree, place)]


def retire_tree(workspace: Workspace, name: str, reason: str, *, by: str | None = None) -> Shape:
    """Take a tree out of the collection; its record stays."""
    tree = workspace.tree(name)
    if tree.retired is not None:
        raise ConflictError(_("{id} is retired already ({when})").format(id=tree.id, when=tree.retired.typed))
    note = "; ".join(part for part in (tree.note, reason) if part)
    gone = replace(tree, retired=exact_day(workspace), note=note)
    saved = workspace.store.save(
        action(workspace, by, f"tree retire {tree.id}"), [gone], seen=[Seen("tree", tree.id, tree)]
    )
    return {
        "tree": tree_shape(gone),
        "action": saved,
        "id": gone.id,
        "line": _("{id} {name}: retired; its record stays").format(id=gone.id, name=gone.name),
    }


def tree_history(workspace: Workspace, name: str) -> Shape:
    """Every revision of a tree's sheet and of its entries, oldest first."""
    tree = workspace.tree(name)
    rows = [(r, "tree") for r in workspace.store.history("tree", tree.id)]
    for entry in workspace.store.entries(tree=tree.id):
        rows += [(r, "entry") for r in workspace.store.history("entry", entry.id)]
    rows.sort(key=lambda pair: (pair[0].recorded_at, pair[0].revision))
    lines = []
    shapes = []
    for revision, kind in rows:
        value = revision.value
        words = (
            f"{value.on.typed}  {entry_words(value)}"
            if kind == "entry"
            else _("sheet of {name}, {species}").format(
                name=value.name, species=taxon(value.species).botanical_name
            )
        )
        state = _("taken back") if revision.withdrawn else ""
        when = f"{revision.recorded_at:%Y-%m-%d %H:%M}"
        lines.append(f"{when}  r{revision.revision}  {revision.by}: {words} {state}".rstrip())
        shapes.append(
            {
                "kind": kind,
                "id": value.id,
                "revision": revision.revision,
                "recorded_at": revision.recorded_at.isoformat(),
                "by": revision.by,
                "withdrawn": revision.withdrawn,
                "words": words,
            }
        )
    return {"tree": tree.id, "revisions": shapes, "lines": lines}
