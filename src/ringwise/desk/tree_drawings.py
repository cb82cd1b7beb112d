"""The wish for a tree as a line drawing in a file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ringwise.desk.out_file import write_out
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.bounds import within
from ringwise.kit.errors import InputError
from ringwise.kit.tables import load_table
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.positions import parse_clock

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.structure.line_drawing import Cut


@dataclass(frozen=True)
class DrawWish:
    """What was typed for `ringwise measure draw TREE`."""

    tree: str
    out: Path
    view: str = "6"
    elevation: str = "0deg"
    cut: str | None = None
    dimensions: bool = False


def draw_tree(workspace: Workspace, wish: DrawWish) -> Shape:
    """Write a drawing of a tree as it was measured last.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    wish : DrawWish
        From where, with which cut, into which file.

    Returns
    -------
    dict
        Keys as documented for `ringwise measure draw`.

    Raises
    ------
    InputError
        If a value is out of range or the file cannot be written.
    """
    from ringwise.desk.roots_seen import seen_roots
    from ringwise.desk.structures import structure_of
    from ringwise.structure.line_drawing import line_drawing
    from ringwise.structure.line_svg import svg

    if wish.out.suffix.lower() != ".svg":
        raise InputError(_("--out is {file}; write a name that ends in .svg").format(file=wish.out))
    clock = parse_clock(wish.view, field="--view")
    elevation_deg = _elevation_deg(wish.elevation)
    cut = _cut(wish.cut)
    facts = workspace.facts_of(wish.tree)
    measured = structure_of(workspace, facts)
    sectors = seen_roots(facts.entries)
    drawn = line_drawing(
        measured,
        view_clock=clock,
        elevation_deg=elevation_deg,
        cut=cut,
        dimensions=wish.dimensions,
        root_sectors=sectors,
    )
    title = _("{name} from {clock} o'clock").format(name=facts.tree.name, clock=show.number(clock, 3))
    text = svg(drawn, title=title)
    write_out(wish.out, text.encode())
    size = _("{file}: {name}, {n} lines, {kb} kB").format(
        file=wish.out, name=title, n=len(drawn.marks), kb=show.number(len(text) / 1000.0, 2)
    )
    return {
        "tree": facts.tree.id,
        "file": str(wish.out),
        "view_clock": clock,
        "elevation_deg": elevation_deg,
        "cut_mm": None if cut is None else cut.height_mm,
        "segments": measured.n,
        "lines_drawn": len(drawn.marks),
        "bytes": len(text.encode()),
        "lines": [size],
    }


def _cut(text: str | None) -> Cut | None:
    from ringwise.structure.line_drawing import Cut

    if text is None:
        return None
    return Cut(height_mm=parse_quantity(text, "length", field="--cut", default_unit="cm"))


def _elevation_deg(text: str) -> float:
    typed_deg = parse_quantity(text, "angle", field="--elevation")
    row = load_table("ringwise.structure", "measuring").get("view", "elevation_deg")
    return within(row, typed_deg, field="--elevation", unit=" deg")
