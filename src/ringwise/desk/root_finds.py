"""Wishes about the underside: what was found at the roots, kept as one entry, told and drawn."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.deeds import action
from ringwise.desk.entry_reading import read_day
from ringwise.desk.given_file import given_text, json_of
from ringwise.desk.out_file import write_out
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.roots_seen import latest_roots
from ringwise.desk.shapes import Shape
from ringwise.desk.texts import checked_note
from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.roots import RootMap

MOST_BYTES = 2_000_000


@dataclass(frozen=True)
class RootsWish:
    """What was typed for `ringwise measure roots TREE`; with nothing found, the latest map is told."""

    tree: str
    at: tuple[str, ...] = ()
    points: Path | None = None
    out: Path | None = None
    date: str = ""
    note: str = ""
    by: str | None = None


def measure_roots(workspace: Workspace, wish: RootsWish) -> Shape:
    """Keep what was found at the roots, or tell what was found last.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : RootsWish
        What was typed.

    Returns
    -------
    dict
        Keys as documented for `ringwise measure roots`.

    Raises
    ------
    InputError, RecordError
        Nothing is stored then.
    """
    tree = workspace.tree(wish.tree)
    if wish.out is not None and wish.out.suffix.lower() != ".svg":
        raise InputError(_("--out is {file}; write a name that ends in .svg").format(file=wish.out))
    found = _found(wish)
    saved = None
    if found is None:
        kept = latest_roots(workspace.facts_of(tree.id).entries)
        if kept is None:
            raise MissingFieldError(
                _("nothing is written down of its roots; write hours=what: --at 3=thick,2cut"), where=tree.id
            )
        entry = kept
    else:
        entry = _entry(workspace, wish, found)
        refuse_on_retired(workspace, tree, "roots", entry.on)
        saved = workspace.store.save(action(workspace, wish.by, f"measure roots {tree.id}"), [entry])
    return _told(wish, entry) | {"tree": tree.id, "action": saved}


def _found(wish: RootsWish) -> RootMap | None:
    from ringwise.structure.roots import traced_map, typed_map

    if wish.points is not None and wish.at:
        raise InputError(_("--at and --photo-points are two ways; give one"))
    if wish.points is not None:
        return traced_map(_read(wish.points), file=wish.points.name)
    return typed_map(wish.at) if wish.at else None


def _read(file: Path) -> dict[str, Any]:
    too_large = _("is too large for marks on a photo")
    data = json_of(given_text(file, most_bytes=MOST_BYTES, too_large=too_large), file)
    if not isinstance(data, dict):
        raise FileFormatError(_("holds no marks (an object is needed)"), where=file.name)
    return data


def _entry(workspace: Workspace, wish: RootsWish, found: RootMap) -> Entry:
    from ringwise.structure.roots import root_data

    return Entry(
        id="",
        tree=workspace.tree(wish.tree).id,
        kind="roots",
        on=read_day(workspace, "roots", wish.date),
        data=root_data(found),
        note=checked_note(wish.note, "--note"),
        by=wish.by or workspace.settings.owner,
    )


def _told(wish: RootsWish, entry: Entry) -> Shape:
    from ringwise.structure.line_svg import svg
    from ringwise.structure.root_drawing import root_drawing
    from ringwise.structure.root_words import map_words
    from ringwise.structure.roots import root_map

    found = root_map(entry.data)
    words = map_words(found)
    lines = [_("{day}: {words}").format(day=date_shown(entry.on), words=words)]
    lines.append(
        _("live roots in {filled} of {looked} sectors looked at").format(
            filled=found.filled, looked=found.looked
        )
    )
    if found.spread_mm is not None:
        lines.append(
            _("{n} roots traced, {spread} across").format(
                n=len(found.roots), spread=show.length(found.spread_mm)
            )
        )
    if wish.out is not None:
        text = svg(root_drawing(found), title=_("Roots from above: {words}").format(words=words))
        write_out(wish.out, text.encode())
        lines.append(str(wish.out))
    return {
        "seen_shown": date_shown(entry.on),
        "sectors": [
            {"hour": each.hour, "live": each.live, "finds": dict(each.finds)} for each in found.sectors
        ],
        "sectors_filled": found.filled,
        "sectors_looked_at": found.looked,
        "roots": [
            {"clock": each.clock, "base_mm": each.base_mm, "end_mm": each.end_mm, "cut": each.cut}
            for each in found.roots
        ],
        "root_spread_mm": found.spread_mm,
        "file": None if wish.out is None else str(wish.out),
        "lines": lines,
    }
