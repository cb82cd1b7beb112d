"""From clicks on one or two photos to a measured tree, with what was seen and what was only reckoned."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.errors import InputError
from ringwise.kit.types import Float32Array, FloatArray
from ringwise.kit.words import _
from ringwise.structure.forms import TreeForm
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.photo.edge_snap import wood_shares
from ringwise.structure.ramify import Luck
from ringwise.structure.trace.agreeing import Agreement, agreed
from ringwise.structure.trace.axes import ROOT, Axis, axis_of_one, axis_of_two
from ringwise.structure.trace.limbs import Limb, limb_of, with_pipes
from ringwise.structure.trace.lines import SeenLine, seen_line, stations
from ringwise.structure.trace.nodes import sections_of, table_of
from ringwise.structure.trace.overlaps import without_overlaps
from ringwise.structure.trace.points import TracedBranch, TracePoints
from ringwise.structure.trace.poses import Pose
from ringwise.structure.trace.rules import TraceRules, trace_rules

_TRUNK_REACH_FRAC = 0.35  # of the trunk's length on the photo: no trunk is thicker than twice this
_REACH_OF_PARENT = 0.75  # of the parent's greatest width


@dataclass(frozen=True)
class Traced:
    """A traced tree: cameras, lines as seen by view and branch, limbs, and where each limb begins."""

    tree: MeasuredTree
    poses: Mapping[str, Pose]
    seen: Mapping[str, Mapping[str, SeenLine]]
    limbs: tuple[Limb, ...]
    first_rows: tuple[int, ...]
    agreement: Agreement | None


def traced_tree(
    points: TracePoints,
    pictures: Mapping[str, NDArray[Any]],
    *,
    form: TreeForm,
    seed: int = 0,
    born_year: int = 0,
) -> Traced:
    """The tree behind the clicks.

    Parameters
    ----------
    points : TracePoints
        Checked.
    pictures : mapping
        Photos by view, (h, w) or (h, w, 3), upright; of the size that the points name.
    form : TreeForm
        Of the species.
    seed : int
        Which of the equally likely trees, where a depth is drawn by luck.
    born_year : int
        Growing year of the youngest shoots.

    Returns
    -------
    Traced
        With its measured tree.

    Raises
    ------
    InputError
        Naming photo and branch, if photos and clicks contradict each other or no edge is clear.

    Source
    ------
    own: a line, a scale and half-way edges; see docs/science/shape.md.

    Examples
    --------
    >>> traced_tree.__name__
    'traced_tree'
    """
    rules = trace_rules()
    cameras, agreement = agreed(points, rules)
    seen = {
        view.name: _seen(points, view.name, pictures.get(view.name), cameras, rules)
        for view in points.views
        if view.name in cameras
    }
    limbs = _limbs(points, seen, cameras, seed, rules)
    if not np.isfinite(limbs[0].radius_mm).any():
        raise InputError(
            _("no clear edge along it; take the photo before a plain backdrop, or draw its edges"),
            where=_("front photo, branch {id}").format(id=points.branches[0].id),
        )
    whole = with_pipes(limbs, form.tip_mm, rules)
    tree, first = table_of(whole, form, born_year, rules)
    clocks = {view.name: view.clock for view in points.views}
    tree = replace(tree, sections=sections_of(whole[0].axis, clocks, rules))
    return Traced(tree, cameras, seen, tuple(whole), tuple(first), agreement)


def seen_lines(points: TracePoints, name: str, picture: NDArray[Any]) -> dict[str, SeenLine]:
    """The lines of one photo alone, as the tracing table shows them while somebody clicks.

    Parameters
    ----------
    points : TracePoints
        Clicks so far.
    name : str
        The view.
    picture : (h, w) or (h, w, 3)
        Its photo.

    Returns
    -------
    dict
        By the id of the branch.

    Raises
    ------
    InputError
        If wood and backdrop cannot be told apart.

    Source
    ------
    own.

    Examples
    --------
    >>> seen_lines.__name__
    'seen_lines'
    """
    from ringwise.structure.trace.poses import poses

    return _seen(points, name, picture, poses(points), trace_rules())


def _seen(
    points: TracePoints,
    name: str,
    picture: NDArray[Any] | None,
    cameras: Mapping[str, Pose],
    rules: TraceRules,
) -> dict[str, SeenLine]:
    trunk = points.branches[0].clicks_px[name]
    shares = None if picture is None else _shares(points, name, picture, trunk, rules)
    length_px = float(np.linalg.norm(np.diff(trunk, axis=0), axis=1).sum())
    found: dict[str, SeenLine] = {}
    for branch in points.branches:
        clicks = branch.clicks_px.get(name)
        if clicks is None:
            continue
        above = None if branch.parent is None else found.get(branch.parent)
        usual_px = _TRUNK_REACH_FRAC * length_px
        if above is not None and np.isfinite(above.trend_px).any():
            usual_px = min(usual_px, max(_REACH_OF_PARENT * float(np.nanmax(above.trend_px)), 12.0))
        found[branch.id] = seen_line(
            clicks,
            shares,
            px_per_mm=1.0 / cameras[name].mm_per_px,
            usual_px=usual_px,
            drawn_px=branch.edges_px.get(name),
            rules=rules,
            before=_forebears(branch, points, found),
        )
    return without_overlaps(found, rules)


def _forebears(branch: TracedBranch, points: TracePoints, found: Mapping[str, SeenLine]) -> list[SeenLine]:
    """The lines of the branches that a branch stands on, down to the trunk."""
    parent_of = {each.id: each.parent for each in points.branches}
    out: list[SeenLine] = []
    above = branch.parent
    while above is not None:
        out += [found[above]] if above in found else []
        above = parent_of[above]
    return out


def _shares(
    points: TracePoints, name: str, picture: NDArray[Any], trunk: FloatArray, rules: TraceRules
) -> Float32Array:
    shares = wood_shares(picture, stations(trunk, rules.station_px), rules.snap)
    if shares is None:
        raise InputError(
            _("wood and backdrop look alike; take the photo before a plain, lighter or darker backdrop"),
            where=_("{photo}, branch {id}").format(
                photo=_("front photo") if name == "front" else _("side photo"), id=points.branches[0].id
            ),
        )
    return shares


def _limbs(
    points: TracePoints,
    seen: Mapping[str, Mapping[str, SeenLine]],
    cameras: Mapping[str, Pose],
    seed: int,
    rules: TraceRules,
) -> list[Limb]:
    number_of = {branch.id: number for number, branch in enumerate(points.branches)}
    limbs: list[Limb] = []
    for number, branch in enumerate(points.branches):
        parent = -1 if branch.parent is None else number_of[branch.parent]
        forks_px = [
            {name: clicks[0] for name, clicks in each.clicks_px.items()}
            for each in points.branches
            if each.parent == branch.id
        ]
        above = None if parent < 0 else limbs[parent]
        axis = _axis(branch, above, seen, cameras, forks_px, Luck(seed, number), rules)
        limbs.append(limb_of(branch.id, axis, parent, limbs, rules))
    return limbs


def _axis(
    branch: TracedBranch,
    above: Limb | None,
    seen: Mapping[str, Mapping[str, SeenLine]],
    cameras: Mapping[str, Pose],
    forks_px: list[dict[str, FloatArray]],
    luck: Luck,
    rules: TraceRules,
) -> Axis:
    own = {name: seen[name][branch.id] for name in seen if branch.id in seen[name]}
    poses = {name: cameras[name] for name in own}
    if len(own) > 1:
        return axis_of_two(own, poses, forks_px, is_trunk=above is None, rules=rules)
    ((name, line),) = own.items()
    base = ROOT if above is None else above.axis.at_nearest(line.line_px[0], poses[name])
    return axis_of_one(line, poses[name], base, luck, is_trunk=above is None, rules=rules)


def counts(traced: Traced) -> dict[str, int]:
    """How many segments rest on what.

    Parameters
    ----------
    traced : Traced
        A traced tree.

    Returns
    -------
    dict
        Keys traced, overlapped, filled, estimated.

    Source
    ------
    own.

    Examples
    --------
    >>> counts.__name__
    'counts'
    """
    how = traced.tree.how
    names = {"traced": How.TRACED, "overlapped": How.OVERLAPPED, "filled": How.FILLED, "estimated": How.PIPE}
    return {name: int((how == each).sum()) for name, each in names.items()}
