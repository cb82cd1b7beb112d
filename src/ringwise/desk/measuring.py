"""Wishes about measuring: a tree from tape and calliper, and the structure that other rooms use."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.desk.deeds import action, exact_day
from ringwise.desk.retired import refuse_on_retired
from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, NotFoundError
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _
from ringwise.records.model import Entry

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.measures import BranchMeasure, Measures
    from ringwise.structure.table import SegmentTable
    from ringwise.structure.tape import Tape


@dataclass(frozen=True)
class TapeWish:
    """What was typed for `ringwise measure tape TREE`."""

    tree: str
    file: Path | None = None
    height: str | None = None
    girths: tuple[str, ...] = ()
    branches: tuple[str, ...] = ()
    by: str | None = None


def _girth(text: str) -> dict[str, float]:
    size, mark, height = text.partition("@")
    if not mark:
        raise InputError(_('--girth is "{text}"; write girth@height, such as 29cm@3cm').format(text=text))
    return {
        "girth_mm": parse_quantity(size, "length", field="--girth", default_unit="cm"),
        "at_mm": parse_quantity(height, "length", field="--girth", default_unit="cm"),
    }


def _branch(text: str) -> dict[str, Any]:
    parts = [part.strip() for part in text.split(",")]
    if not 4 <= len(parts) <= 6:
        raise InputError(
            _(
                '--branch is "{text}"; write height,clock,diameter,length,tips such as 14cm,3,12mm,18cm,24'
            ).format(text=text)
        )
    row: dict[str, Any] = {
        "height_mm": parse_quantity(parts[0], "length", field=_("branch height"), default_unit="cm"),
        "clock": parse_quantity(parts[1], "fraction", field=_("branch clock position")),
        "diameter_mm": parse_quantity(parts[2], "length", field=_("branch diameter")),
        "length_mm": parse_quantity(parts[3], "length", field=_("branch length"), default_unit="cm"),
    }
    if len(parts) > 4 and parts[4]:
        row["tips"] = round(parse_quantity(parts[4], "fraction", field=_("branch tips")))
    if len(parts) > 5 and parts[5]:
        row["angle_deg"] = parse_quantity(parts[5], "angle", field=_("branch angle"))
    return row


def _typed_tape(wish: TapeWish) -> dict[str, Any]:
    if wish.file is not None:
        if not wish.file.is_file():
            raise NotFoundError(_("there is no file {file}").format(file=wish.file))
        try:
            data = json.loads(wish.file.read_text(encoding="utf-8"))
        except (json.JSONDecodeError, UnicodeDecodeError) as wrong:
            raise FileFormatError(
                _("does not read as JSON: {why}").format(why=wrong), where=wish.file.name
            ) from None
        if not isinstance(data, dict):
            raise FileFormatError(_("holds no tape measurement (an object is needed)"), where=wish.file.name)
        return data
    if not wish.height or not wish.girths:
        raise MissingFieldError(
            _("height and at least one girth are needed: --height 44cm --girth 13cm@3cm, or --file FILE")
        )
    return {
        "height_mm": parse_quantity(wish.height, "length", field="--height", default_unit="cm"),
        "girths": [_girth(text) for text in wish.girths],
        "branches": [_branch(text) for text in wish.branches],
    }


def measure_tape(workspace: Workspace, wish: TapeWish) -> Shape:
    """Store a tape measurement and say what tree it makes."""
    from ringwise.structure.tape import tape_from_json

    refuse_on_retired(workspace, workspace.tree(wish.tree), "tape", exact_day(workspace))
    facts = workspace.facts_of(wish.tree)
    tape = tape_from_json(_typed_tape(wish))
    table = tree_of_tape(workspace, facts, tape, 0)
    entry = Entry(
        id="",
        tree=facts.tree.id,
        kind="tape",
        on=exact_day(workspace),
        data=tape.to_json(),
        by=wish.by or workspace.settings.owner,
    )
    saved = workspace.store.save(action(workspace, wish.by, f"measure tape {facts.tree.id}"), [entry])
    answer = structure_shape(facts, table)
    seen = len(tape.branches)
    told = _("stored: {n} branches as measured; the other {m} and every fork are reckoned").format(
        n=seen, m=max(0, len(answer["branches"]) - seen)
    )
    return answer | {"action": saved, "branches_measured": seen, "lines": [*answer["lines"], told]}


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
    from ringwise.structure.measures import measures

    m: Measures = measures(table)
    lines = [
        _("{id} {name}: {height} high, girth at the base {girth}, {n} branches, about {tips} tips").format(
            id=facts.tree.id,
            name=facts.tree.name,
            height=show.length(m.height_mm),
            girth=show.length(m.base_girth_mm),
            n=len(m.branches),
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
        "branches": [_branch_shape(branch) for branch in m.branches],
        "lines": lines,
    }


def _branch_shape(branch: BranchMeasure) -> Shape:
    return {
        "height_mm": branch.height_mm,
        "clock": branch.clock,
        "angle_deg": branch.angle_deg,
        "base_diameter_mm": branch.base_diameter_mm,
        "length_mm": branch.length_mm,
        "order": branch.strahler,
        "tips": branch.tips,
    }
