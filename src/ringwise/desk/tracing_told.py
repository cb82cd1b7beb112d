"""What a traced tree says of itself: branches with what their thickness rests on, photos, lines."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ringwise.kit import show
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.shapes import Shape
    from ringwise.records.facts import TreeFacts
    from ringwise.structure.trace.limbs import Limb
    from ringwise.structure.trace.lines import SeenLine
    from ringwise.structure.trace.tracing import Traced

_HEADING_MM = 25.0  # a branch's angle is read over so much of it, as by a protractor
_LEVEL_FRAC = 0.5  # of a branch's places that make it a level one
_HOW = {1: "estimated", 4: "traced", 5: "overlapped", 7: "filled"}


def quality_of(traced: Traced) -> Shape:
    """The figures that say how good a trace is.

    Parameters
    ----------
    traced : Traced
        A traced tree.

    Returns
    -------
    dict
        Counts by what thickness rests on, level branches, how far the photos' heights differ.
    """
    from ringwise.structure.trace.tracing import counts

    agreement = traced.agreement
    return {
        "segments": counts(traced),
        "level_branches": [limb.id for limb in traced.limbs if _level(limb)],
        "heights_ratio": None if agreement is None else round(agreement.heights_ratio, 4),
        "heights_apart_px": None if agreement is None else round(agreement.left_px, 2),
        "focal_known": {name: pose.focal_known for name, pose in traced.poses.items()},
        "mm_per_px": {name: round(pose.mm_per_px, 5) for name, pose in traced.poses.items()},
    }


def _level(limb: Limb) -> bool:
    return bool(limb.axis.level.mean() > _LEVEL_FRAC)


def traced_told(facts: TreeFacts, traced: Traced, kept: Mapping[str, Any], ids: Mapping[str, str]) -> Shape:
    """The answer of `ringwise measure trace`.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    traced : Traced
        What was measured.
    kept : mapping
        From `keep_structure`.
    ids : mapping
        Photo entries by view.

    Returns
    -------
    dict
        Documented keys, and lines.
    """
    lines = told_lines(facts, traced)
    return {
        "tree": facts.tree.id,
        **kept,
        "photos": dict(ids),
        "branches": [_branch_told(traced, number) for number in range(len(traced.limbs))],
        "girth_mm": {f"{each.height_mm:.0f}": round(each.girth_mm, 2) for each in traced.tree.sections},
        "quality": quality_of(traced),
        "line": lines[0],
        "lines": lines,
    }


def _branch_told(traced: Traced, number: int) -> Shape:
    from ringwise.structure.tape import clock_of

    limb = traced.limbs[number]
    row = traced.first_rows[number]
    table = traced.tree.table
    places = limb.axis.points_mm[limb.exit :]
    along = limb.axis.along_mm[limb.exit :] - limb.axis.along_mm[limb.exit]
    ahead = int(np.argmax(along >= min(_HEADING_MM, along[-1])))
    way = places[max(ahead, 1)] - places[0]
    rise = float(way[2] / max(np.linalg.norm(way), 1e-9))
    return {
        "id": limb.id,
        "parent": None if limb.parent < 0 else traced.limbs[limb.parent].id,
        "order": limb.order,
        "height_mm": round(float(limb.foot_mm[2]), 2),
        "clock": round(clock_of(float(way[0]), float(way[1])), 2),
        "angle_deg": round(float(np.degrees(np.arccos(np.clip(rise, -1.0, 1.0)))), 1),
        "base_diameter_mm": round(float(table.diameter_mm[row]), 3),
        "base_diameter_sd_mm": round(2.0 * float(traced.tree.radius_sd_mm[row]), 3),
        "base_how": _HOW.get(int(traced.tree.how[row]), "estimated"),
        "length_mm": round(float(along[-1]), 2),
        "clear_frac": round(float((limb.how[limb.exit :] == 4).mean()), 3),
        "runs_level": _level(limb),
    }


def told_lines(facts: TreeFacts, traced: Traced) -> list[str]:
    """What a traced tree is and how sure, in a few lines.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    traced : Traced
        What was measured.

    Returns
    -------
    list of str
        The size first, then what is overlapped, reckoned or unsure.
    """
    tree = traced.tree
    height_mm = float(tree.table.end_mm[:, 2].max())
    found = quality_of(traced)
    segments = found["segments"]
    lines = [
        _("{id} {name}: {height} high, {branches}, base {base} thick").format(
            id=facts.tree.id,
            name=facts.tree.name,
            height=show.length(height_mm),
            branches=counted("{n} branch traced", "{n} branches traced", len(traced.limbs) - 1),
            base=show.length(float(tree.table.diameter_mm[0])),
        ),
        _(
            "of {all} pieces {traced} are seen clear, {filled} filled in at forks, {thin} estimated by the "
            "pipe rule"
        ).format(
            traced=segments["traced"], all=tree.n, filled=segments["filled"], thin=segments["estimated"]
        ),
    ]
    return lines + _unsure_lines(traced, found)


def seen_told(id: str, line: SeenLine, times: int) -> Shape:
    """Edges of one branch on one photo, in pixels of the photo at its full size.

    Parameters
    ----------
    id : str
        Of the branch.
    line : SeenLine
        As found.
    times : int
        How many pixels of the photo one of those that were looked at stands for.

    Returns
    -------
    dict
        Keys id, left, right (places, null where none is clear), clean.
    """
    step = max(1, len(line.line_px) // 160)
    rows = np.arange(0, len(line.line_px), step)

    def places(offsets: Any) -> list[list[float] | None]:
        at = line.line_px[rows] + line.normals[rows] * offsets[rows, None]
        full = (at + 0.5) * times - 0.5
        return [None if np.isnan(x) else [round(float(x), 2), round(float(y), 2)] for x, y in full]

    return {
        "id": id,
        "left": places(line.left_px),
        "right": places(line.right_px),
        "clean": [bool(each) for each in line.clean[rows]],
    }


def tree_told(facts: TreeFacts, traced: Traced) -> Shape:
    """The tree while it is traced: its segments to draw, and what is said of it.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    traced : Traced
        What the clicks make.

    Returns
    -------
    dict
        Keys segments (start, end, diameter, how), branches, lines.
    """
    table = traced.tree.table
    start, end = table.start_mm.round(2), table.end_mm.round(2)
    return {
        "segments": [
            {
                "start_mm": start[row].tolist(),
                "end_mm": end[row].tolist(),
                "diameter_mm": round(float(table.diameter_mm[row]), 3),
                "end_diameter_mm": round(float(table.end_diameter_mm[row]), 3),
                "how": _HOW.get(int(traced.tree.how[row]), "estimated"),
            }
            for row in range(table.n)
        ],
        "branches": [_branch_told(traced, number) for number in range(len(traced.limbs))],
        "lines": told_lines(facts, traced),
    }


def _unsure_lines(traced: Traced, found: Shape) -> list[str]:
    lines: list[str] = []
    if found["segments"]["overlapped"]:
        lines.append(
            counted(
                "other wood lies over {n} piece: its thickness is unsure until its edges are drawn",
                "other wood lies over {n} pieces: their thickness is unsure until their edges are drawn",
                found["segments"]["overlapped"],
            )
        )
    if len(traced.poses) < 2:
        lines.append(
            _("one photo: slopes towards and away from the camera are drawn by luck, with a wide spread")
        )
    elif found["level_branches"]:
        lines.append(
            counted(
                "{n} branch runs nearly level: how far it reaches to the back is less sure",
                "{n} branches run nearly level: how far they reach to the back is less sure",
                len(found["level_branches"]),
            )
        )
    if not all(found["focal_known"].values()):
        lines.append(_("no focal length known: that of a telephone's main lens was taken"))
    return lines
