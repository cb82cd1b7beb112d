"""Wishes that take a tree's shape in from a file, and write one to a file that other programs read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.measure_words import length_with
from ringwise.desk.out_file import write_out
from ringwise.desk.own_facts import own_facts
from ringwise.desk.structures import ShapeGiven, keep_structure, structure_entry, structure_of
from ringwise.desk.texts import checked_note
from ringwise.kit import show
from ringwise.kit.errors import InputError, NotFoundError, WorkspaceError, out_of_range, unknown_name
from ringwise.kit.words import _, counted
from ringwise.records.dates import parse_fuzzy_date

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace

MOST_BYTES = 60_000_000  # as of a photo; a cylinder model of 100,000 pieces takes some 20 MB


@dataclass(frozen=True)
class ImportWish:
    """A file to take in for a tree; a blank date is today."""

    tree: str
    file: Path
    date: str = ""
    note: str = ""
    by: str | None = None


@dataclass(frozen=True)
class ExportWish:
    """Where to write a tree's shape; stage and leaves are only of a mesh."""

    tree: str
    out: Path
    stage: str = "none"
    instanced: bool = False
    skin: bool = True


def measure_import(workspace: Workspace, wish: ImportWish) -> Shape:
    """Take in the shape of a tree from a file: an own layout, MTG, or a cylinder model.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : ImportWish
        Tree, file and what is said of it.

    Returns
    -------
    dict
        Keys of the kept shape, source, breast_diameter_mm where the file is a cylinder model, and lines.

    Raises
    ------
    NotFoundError
        If there is no such file.
    InputError
        If it does not read; it names the place in the file, and nothing is stored.
    ConflictError
        If the tree was retired by that day.
    """
    from ringwise.structure.exchange.formats import read_file
    from ringwise.structure.measures import measures

    facts = own_facts(workspace, wish.tree)
    found = read_file(wish.file.name, _content(wish.file))
    south = workspace.settings.south
    on = parse_fuzzy_date(wish.date, field="--date", south=south) if wish.date.strip() else None
    given = ShapeGiven(
        "cylinders" if found.source == "cylinders" else "file",
        quality={"read_from": wish.file.name},
        on=on,
        note=checked_note(wish.note, "--note"),
        by=wish.by,
        command=f"measure import {facts.tree.id}",
    )
    kept = keep_structure(workspace, facts, found.tree, given)
    size = measures(found.tree.table)
    line = _("{tree}: {height} high, girth at the base {girth}, {n}; stored").format(
        tree=f"{facts.tree.id} {facts.tree.name}",
        height=show.length(size.height_mm),
        girth=show.length(size.base_girth_mm),
        n=counted("{n} segment", "{n} segments", found.tree.n),
    )
    answer = kept | {"tree": facts.tree.id, "source": given.source, "base_girth_mm": size.base_girth_mm}
    lines = [line]
    if found.cylinders is not None:  # as the model itself has them, before anything was joined
        lines.append(
            _("the cylinder model says {height} high and {dbh} thick at 1.3 m").format(
                height=show.length(found.cylinders.height_mm),
                dbh=_("unknown")
                if found.cylinders.breast_diameter_mm is None
                else show.length(found.cylinders.breast_diameter_mm),
            )
        )
        answer["breast_diameter_mm"] = found.cylinders.breast_diameter_mm
    return answer | {"lines": lines}


def _content(file: Path) -> bytes:
    if not file.is_file():
        raise NotFoundError(_("there is no file {file}").format(file=file))
    try:
        if file.stat().st_size > MOST_BYTES:
            raise out_of_range(
                _("size of {file}").format(file=file.name),
                _("over {n} MB").format(n=MOST_BYTES // 1_000_000),
                _("up to {n} MB").format(n=MOST_BYTES // 1_000_000),
            )
        return file.read_bytes()
    except OSError as error:
        raise WorkspaceError(
            _("{path} cannot be read ({why}).").format(path=file, why=error.strerror or error)
        ) from error


def measure_export(workspace: Workspace, wish: ExportWish) -> Shape:
    """Write a tree's shape as of the day of the workspace to a file, by the ending of its name.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : ExportWish
        Tree, file, and what stands on its twigs.

    Returns
    -------
    dict
        Keys tree, source, file, bytes, segments and lines.

    Raises
    ------
    UnknownNameError
        If the ending or the stage is not known; nothing is written then.
    MissingFieldError
        If nothing of the tree was measured.
    WorkspaceError
        If the file cannot be written.
    """
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.exchange.formats import WRITTEN, write_tree

    facts = own_facts(workspace, wish.tree)
    ending = wish.out.suffix.lower().removeprefix(".")
    if ending not in WRITTEN:
        raise unknown_name(_("ending of --out"), ending or wish.out.name, WRITTEN)
    if wish.out.is_dir():
        raise InputError(_("--out is {path}, which is a folder; name a file").format(path=wish.out))
    measured = structure_of(workspace, facts)
    content = write_tree(
        measured,
        ending,
        keys=lookup_keys(facts.tree.species),
        stage=wish.stage,
        skin=wish.skin,
        instanced=wish.instanced,
    )
    write_out(wish.out, content)
    entry = structure_entry(facts)
    line = _("{tree}, {height} high: written to {file}").format(
        tree=f"{facts.tree.id} {facts.tree.name}",
        height=length_with(float(measured.table.end_mm[:, 2].max()), None),
        file=wish.out,
    )
    return {
        "tree": facts.tree.id,
        "entry": None if entry is None else entry.id,
        "file": str(wish.out),
        "bytes": len(content),
        "segments": measured.n,
        "lines": [line],
    }
