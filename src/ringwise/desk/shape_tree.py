"""The tree behind the Shape room: its states by date, its structure, and the mesh and drawing made of it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from ringwise.desk.engine import engine_version
from ringwise.desk.entry_words import shape_source_words
from ringwise.desk.own_facts import own_facts
from ringwise.desk.roots_seen import seen_roots
from ringwise.desk.shapes import Shape, day_text
from ringwise.desk.structures import KINDS, source_of, structure_entry, structure_of
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry
    from ringwise.structure.measured import MeasuredTree

Detail = Literal["light", "full"]


@dataclass(frozen=True)
class State:
    """A measured state of a tree; `entry` is None where only trunk and height are known."""

    on: date | None
    entry: Entry | None

    @property
    def source(self) -> str:
        """How it was measured: tape, trace, turntable, cylinders, file, or basics."""
        return "basics" if self.entry is None else source_of(self.entry)


@dataclass(frozen=True)
class DrawingWish:
    """Which state of a tree is drawn, from where, and the height of a cut through its trunk."""

    on: date | None = None
    which: int = 0
    clock: float = 6.0
    elevation_deg: float = 0.0
    cut_mm: float | None = None


def states_of(facts: TreeFacts) -> list[State]:
    """The measured states of a tree, newest first; trunk and height alone where there is none.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    list of State
        Empty where not even trunk and height are known.
    """
    found = [State(entry.on.by, entry) for entry in facts.entries if entry.kind in KINDS]
    if found:
        return found[::-1]
    return [State(None, None)] if facts.trunk_mm is not None and facts.height_mm is not None else []


def state_at(facts: TreeFacts, on: date | None) -> State:
    """The state that holds on a day: the newest measured up to then, else trunk and height alone.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    on : date or None
        The day; today without one.

    Returns
    -------
    State
        That which `structure_of` stands on.
    """
    entry = structure_entry(facts, on)
    return State(None, None) if entry is None else State(entry.on.by, entry)


def nothing_known(facts: TreeFacts) -> str:
    """Why there is no tree to be shown, and what makes one."""
    return _(
        "Nothing of {name} is measured yet. Trunk and height make a first tree; "
        "a tape, two photos or a turn of photos make it this one."
    ).format(name=facts.tree.name)


def state_shape(state: State) -> Shape:
    """A state for a list to choose from.

    Parameters
    ----------
    state : State
        Of the tree.

    Returns
    -------
    dict
        Keys on, source, entry and words.
    """
    if state.entry is None:
        words = _("from trunk and height alone")
    else:
        words = _("{day}, by {source}").format(
            day=date_shown(state.entry.on), source=shape_source_words(state.source)
        )
    return {
        "on": day_text(state.on),
        "source": state.source,
        "entry": None if state.entry is None else state.entry.id,
        "words": words,
    }


def tree_at(workspace: Workspace, name: str, on: date | None, which: int) -> MeasuredTree:
    """The structure of a tree as of a day.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    on : date or None
        The day; today without one.
    which : int
        Which of the equally likely trees, where much is not measured.

    Returns
    -------
    MeasuredTree
        Checked.

    Raises
    ------
    MissingFieldError
        If nothing was measured up to then.
    """
    facts = own_facts(workspace, name)
    return structure_of(workspace, facts, which, on)


def mesh_mark(measured: MeasuredTree, detail: str) -> str:
    """The name of a mesh by all that it is made from: the wood, the figures of the drawing, the program.

    Parameters
    ----------
    measured : MeasuredTree
        The tree.
    detail : str
        light or full.

    Returns
    -------
    str
        24 hexadecimal digits.
    """
    table = measured.table
    digest = hashlib.sha256(f"{detail} {engine_version()}".encode())
    digest.update(load_table("ringwise.structure", "mesh").fingerprint.encode())
    for column in (table.parent, table.length_mm, table.direction, table.wood_mm2, table.flags):
        digest.update(column.tobytes())
    for section in measured.sections:
        digest.update(f"{section.height_mm} {section.girth_mm}".encode() + section.radii_mm.tobytes())
    return digest.hexdigest()[:24]


def shape_mesh(measured: MeasuredTree, detail: Detail) -> bytes:
    """The wood of a tree as a binary glTF file.

    Parameters
    ----------
    measured : MeasuredTree
        The tree.
    detail : str
        light: few sides and the thinnest twigs as lines, for as long as it moves; full: all of it.

    Returns
    -------
    bytes
        With the row of its segment at each corner.
    """
    from ringwise.structure.mesh.scene import scene_glb

    return scene_glb(measured, detail=detail)


def shape_drawing(workspace: Workspace, name: str, wish: DrawingWish) -> str:
    """The tree as a line drawing, for where nothing is drawn in space.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    wish : DrawingWish
        Which state, from where, and the cut.

    Returns
    -------
    str
        An SVG document.

    Raises
    ------
    MissingFieldError
        If nothing is known of the tree.
    """
    from ringwise.structure.line_drawing import Cut, line_drawing
    from ringwise.structure.line_svg import svg

    facts = own_facts(workspace, name)
    measured = structure_of(workspace, facts, wish.which, wish.on)
    cut = None if wish.cut_mm is None else Cut(height_mm=wish.cut_mm)
    drawn = line_drawing(
        measured,
        view_clock=wish.clock,
        elevation_deg=wish.elevation_deg,
        cut=cut,
        dimensions=True,
        root_sectors=seen_roots(facts.entries),
    )
    return svg(drawn)
