"""What a tree's tape makes of it: a structure that other rooms use, and its measures as JSON."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.branching import Branch
    from ringwise.structure.measures import Measures
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape


def tape_of(facts: TreeFacts) -> Tape:
    """The latest tape of a tree, or a plausible one from trunk and height alone.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Tape
        Measured, or derived from the basics.

    Raises
    ------
    MissingFieldError
        If neither trunk nor height is known.
    """
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.basics import tape_from_basics
    from ringwise.structure.forms import form_for
    from ringwise.structure.tape import tape_from_json

    tapes = [e for e in facts.entries if e.kind == "tape"]
    if tapes:
        return tape_from_json(tapes[-1].data)
    if facts.trunk_mm is None or facts.height_mm is None:
        raise MissingFieldError(
            _("trunk and height are not known; log them: ringwise log {id} trunk 41mm, height 44cm").format(
                id=facts.tree.id
            ),
            where=facts.tree.id,
        )
    return tape_from_basics(facts.trunk_mm, facts.height_mm, form_for(lookup_keys(facts.tree.species)))


def tree_seed(workspace: Workspace, tree: str, which: int) -> int:
    """A seed of one of a tree's equally likely shapes.

    Parameters
    ----------
    workspace : Workspace
        Its seed counts.
    tree : str
        The tree's id.
    which : int
        Number of the shape.

    Returns
    -------
    int
        63 bits.
    """
    text = f"{workspace.seed}/{tree}/{which}"
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") >> 1


def tree_of_tape(
    workspace: Workspace, facts: TreeFacts, tape: Tape, which: int, *, born_year: int | None = None
) -> SegmentTable:
    """One of the equally likely trees behind a tape measurement.

    Parameters
    ----------
    workspace : Workspace
        For the seed and the year.
    facts : TreeFacts
        For the species.
    tape : Tape
        The measurement.
    which : int
        Number of the shape.
    born_year : int, optional
        Growing year of the youngest shoots; that of today by default.

    Returns
    -------
    SegmentTable
        Checked.
    """
    from ringwise.records.taxa import lookup_keys
    from ringwise.structure.forms import form_for
    from ringwise.structure.tape_tree import tree_from_tape

    form = form_for(lookup_keys(facts.tree.species))
    year = workspace.year.label if born_year is None else born_year
    return tree_from_tape(tape, seed=tree_seed(workspace, facts.tree.id, which), form=form, born_year=year)


def structure_shape(facts: TreeFacts, table: SegmentTable) -> Shape:
    """The measures of a tree as documented for `ringwise measure tape`.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    table : SegmentTable
        Its structure.

    Returns
    -------
    dict
        Measures with unit suffixes and lines to show.
    """
    from ringwise.structure.branching import branches
    from ringwise.structure.measured import measured_of
    from ringwise.structure.measures import measures

    m: Measures = measures(table)
    mains = branches(measured_of(table), most_order=1)
    lines = [
        _("{id} {name}: {height} high, girth at the base {girth}, {n} branches, about {tips} tips").format(
            id=facts.tree.id,
            name=facts.tree.name,
            height=show.length(m.height_mm),
            girth=show.length(m.base_girth_mm),
            n=len(mains),
            tips=m.tips,
        ),
        _("spread {spread}; height to base {ratio}; first branch at {share} of the height").format(
            spread=show.length(m.spread_mm),
            ratio=show.number(m.height_to_base_ratio, 2),
            share=_("unknown") if m.first_branch_frac is None else show.percent(m.first_branch_frac),
        ),
    ]
    return {
        "tree": facts.tree.id,
        "segments": table.n,
        "height_mm": m.height_mm,
        "spread_mm": m.spread_mm,
        "base_girth_mm": m.base_girth_mm,
        "base_diameter_mm": m.base_diameter_mm,
        "taper_ratio": m.taper_ratio,
        "height_to_base_ratio": m.height_to_base_ratio,
        "tips": m.tips,
        "branches": [_branch_shape(branch) for branch in mains],
        "lines": lines,
    }


def _branch_shape(branch: Branch) -> Shape:
    return {
        "height_mm": branch.height_mm,
        "clock": branch.clock,
        "angle_deg": branch.angle_deg,
        "base_diameter_mm": branch.base_diameter_mm,
        "length_mm": branch.length_mm,
        "order": branch.strahler,
        "tips": branch.tips,
    }
