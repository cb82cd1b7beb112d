"""The wish of the Shape room: a tree as it was measured, its measures with spreads, what a cut would part."""

from __future__ import annotations

import math
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.desk.measure_sheet import sheet_of
from ringwise.desk.own_facts import own_facts
from ringwise.desk.shape_photos import photos_behind
from ringwise.desk.shape_tree import State, mesh_mark, nothing_known, state_at, state_shape, states_of
from ringwise.desk.shapes import Shape
from ringwise.desk.why_measure import measure_why
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.measure_sheet import Sheet
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.cut_plane import CutPlane

LIKELY = 3  # of the equally likely trees that can be looked at, where much is not measured
_DIGITS = 2  # of lengths in mm that are sent to be drawn


def shape_room(workspace: Workspace, name: str, on: date | None = None, which: int = 0) -> Shape:
    """A tree as it was measured last up to a day.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree.
    on : date or None
        The day; today without one.
    which : int
        Which of the equally likely trees, from 0.

    Returns
    -------
    dict
        As the contract of the app has it; without a tree and with a note where none can be made.

    Raises
    ------
    MissingFieldError
        If nothing was measured up to that day, but was later.
    """
    facts = own_facts(workspace, name)
    states = states_of(facts)
    room: Shape = {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "note": "" if states else nothing_known(facts),
        "states": [state_shape(state) for state in states],
        "shown": None,
        "which": which,
        "likely": LIKELY,
        "odds": None,
    }
    if not states:
        return room
    sheet = workspace.once(
        ("shape sheet", facts.tree.id, which, on), lambda: sheet_of(workspace, facts, which, on)
    )
    room["shown"] = _shown(
        workspace, facts, state_at(facts, on), sheet, partial(measure_why, facts.tree.id, on=on, which=which)
    )
    room["odds"] = _odds(workspace, facts)
    return room


def _shown(
    workspace: Workspace, facts: TreeFacts, state: State, sheet: Sheet, why: Callable[[str], str]
) -> Shape:
    """All that is shown of one state."""
    from ringwise.desk.shape_room_judged import judged_told
    from ringwise.desk.shape_told import branches_told, measures_told, profile_told, standing_on
    from ringwise.structure.cut_plane import cut_plane

    measured = sheet.measured
    plane = cut_plane(measured)
    branches, branch_of = branches_told(measured, plane, why)
    ends = np.vstack([np.zeros(3), measured.table.end_mm])
    low, high = ends.min(axis=0), ends.max(axis=0)
    figures = measures_told(sheet, why)
    known, assumed = standing_on(measured, state)
    shape = None if state.entry is None or state.entry.kind != "shape" else state.entry
    return {
        "state": state_shape(state),
        "light_mesh": mesh_mark(measured, "light"),
        "full_mesh": mesh_mark(measured, "full"),
        "segments": measured.n,
        "sentence": _sentence(figures, len(branches)),
        "box": {
            "left_mm": _mm(low[0]),
            "right_mm": _mm(high[0]),
            "front_mm": _mm(low[1]),
            "back_mm": _mm(high[1]),
            "low_mm": _mm(low[2]),
            "top_mm": _mm(high[2]),
        },
        "apex_mm": [_mm(each) for each in ends[int(np.argmax(ends[:, 2]))]],
        "measures": figures,
        **judged_told(facts, sheet, branch_of, why),
        "branches": branches,
        "profile": profile_told(measured, plane, why),
        "cut": _cut(plane, branch_of),
        "photos": photos_behind(workspace, facts.tree.id, shape, measured.origin_mm),
        "measured": known,
        "assumed": assumed,
    }


def _sentence(figures: list[Shape], branches: int) -> str:
    shown = {each["key"]: each["told"]["shown"] for each in figures}
    tips = next(each["told"]["value"] for each in figures if each["key"] == "tips")
    return _("{height} high, girth at the base {girth}, {branches}, about {tips}.").format(
        height=shown["height_mm"],
        girth=shown["base_girth_mm"],
        branches=counted("{n} branch", "{n} branches", branches),
        tips=counted("{n} tip", "{n} tips", round(tips)),
    )


def _mm(value: float) -> float:
    return round(float(value), _DIGITS)


def _maybe_mm(value: float) -> float | None:
    return None if math.isnan(value) else _mm(value)


def _cut(plane: CutPlane, branch_of: Any) -> Shape:
    return {
        "along_mm": [_mm(each) for each in plane.along_mm],
        "x_mm": [_mm(each) for each in plane.place_mm[:, 0]],
        "y_mm": [_mm(each) for each in plane.place_mm[:, 1]],
        "z_mm": [_mm(each) for each in plane.place_mm[:, 2]],
        "diameter_mm": [_mm(each) for each in plane.diameter_mm],
        "girth_mm": [_mm(each) for each in plane.girth_mm],
        "tips": plane.tips.tolist(),
        "top_mm": [_maybe_mm(each) for each in plane.top_mm],
        "left_mm": [_maybe_mm(each) for each in plane.left_mm],
        "right_mm": [_maybe_mm(each) for each in plane.right_mm],
        "trunk_rows": plane.trunk_rows.tolist(),
        "node": plane.node.tolist(),
        "branch": branch_of.tolist(),
        "base_girth_mm": _mm(plane.base_girth_mm),
    }


def _odds(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    """The chance that a ring round the trunk roots, by the kind of tree; None where that is not known."""
    from ringwise.desk.own_tries import learned_of
    from ringwise.futures.reasons import odds_words
    from ringwise.growth.biology import biology
    from ringwise.growth.tries import life_after
    from ringwise.records.taxa import lookup_keys

    if facts.taxon is None:
        return None
    told = learned_of(workspace, facts)
    life = life_after(biology(lookup_keys(facts.taxon.key)), told)
    basis = _(
        "by the kind of tree: a class from common practice with an assumed spread, for a ring set in season"
    )
    came, tried = (0, 0) if told is None else told.count("layer")
    if tried:
        basis += "; " + _("{n} of {of} of your own").format(n=came, of=tried)
    return {"words": odds_words(life.layer), "basis": basis}
