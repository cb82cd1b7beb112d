"""Whether two traced photos tell of the same tree at the same size, seen from the sides that they claim."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit import show
from ringwise.kit.errors import InputError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.trace.pairing import nearest_to_rays
from ringwise.structure.trace.points import TracedBranch, TracedView, TracePoints
from ringwise.structure.trace.poses import Pose, poses, shifted
from ringwise.structure.trace.rules import TraceRules

_LEAST_TIPS = 4  # with fewer a mirror cannot be told
_HIGH_FRAC = 0.3  # of the greatest height: lower tips say little of the scale
_HALF_TURN_CLOCK = 6.0


@dataclass(frozen=True)
class Agreement:
    """How well the heights of tips agree: side over front, what is left in px, the shift taken off."""

    heights_ratio: float
    left_px: float
    shift_px: float


def agreed(points: TracePoints, rules: TraceRules) -> tuple[dict[str, Pose], Agreement | None]:
    """The cameras of the photos, the second one's foot moved so that the tips' heights agree.

    Parameters
    ----------
    points : TracePoints
        Clicks.
    rules : TraceRules
        From the table.

    Returns
    -------
    poses : dict
        By view.
    agreement : Agreement or None
        None with one photo.

    Raises
    ------
    InputError
        If the scales contradict each other, or the side photo is mirrored or from the other side.

    Source
    ------
    own: a tip has one height; perspective tells near from far, so that a mirrored photo does not fit.

    Examples
    --------
    >>> agreed.__name__
    'agreed'
    """
    found = poses(points)
    if len(found) < 2:
        return found, None
    agreement = _agreement(points, found)
    if agreement is None:
        return found, None
    if abs(agreement.heights_ratio - 1.0) > rules.scales_apart_frac:
        raise InputError(
            _(
                "tells heights of {share} of those on the front photo; check the length and both ends of the "
                "scale on each photo"
            ).format(share=show.percent(agreement.heights_ratio)),
            where=_("side photo, branch {id}").format(id=points.branches[0].id),
        )
    _refuse_other_side(points, agreement, rules)
    return _levelled(points, found, agreement), agreement


def _levelled(points: TracePoints, found: dict[str, Pose], agreement: Agreement) -> dict[str, Pose]:
    """Half of the shift on each photo: the click at the foot is off on both."""
    out = {}
    for name, share in (("front", -0.5), ("side", 0.5)):
        view = points.view(name)
        assert view is not None
        foot = points.branches[0].clicks_px[name][0] + [0.0, share * agreement.shift_px]
        out[name] = shifted(found[name], view, foot)
    return out


def _agreement(points: TracePoints, found: dict[str, Pose]) -> Agreement | None:
    tips = [
        (branch.clicks_px["front"][-1], branch.clicks_px["side"][-1])
        for branch in points.branches
        if len(branch.clicks_px) > 1
    ]
    if not tips:
        return None
    a, b = (np.array(each) for each in zip(*tips, strict=True))
    front, side = found["front"].camera, found["side"].camera
    middle = nearest_to_rays((front, a), (side, b))
    heights = []
    for camera, pixels in ((front, a), (side, b)):
        rays = camera.rays(pixels)
        depth = (middle @ camera.r.T + camera.t_mm)[:, 2]
        heights.append(camera.centre_mm[2] + rays[:, 2] * depth / (rays @ camera.axis))
    high = np.maximum(*heights) >= _HIGH_FRAC * float(np.max(heights))
    ratio = float(np.median(heights[1][high] / np.maximum(heights[0][high], 1e-6))) if high.any() else 1.0
    apart = (b - side.project(middle)[0])[:, 1] - (a - front.project(middle)[0])[:, 1]
    few = len(tips) < _LEAST_TIPS
    shift = 0.0 if few else float(np.median(apart))
    return Agreement(ratio, float(np.median(np.abs(apart - shift))), shift)


def _refuse_other_side(points: TracePoints, as_told: Agreement, rules: TraceRules) -> None:
    """Perspective says whether the side photo was mirrored, or taken from the opposite side."""
    both = sum(len(branch.clicks_px) > 1 for branch in points.branches)
    if both < _LEAST_TIPS or as_told.left_px < rules.mirrored_px:
        return
    ways = (
        (
            _mirrored(points),
            _("looks mirrored; take the photo as the camera made it, or turn it back and click again"),
        ),
        (
            _opposite(points),
            _("looks as if taken from the other side; its clock is {clock}, not {told}").format(
                clock=show.number(_other_clock(points), 1), told=show.number(_side(points).clock, 1)
            ),
        ),
    )
    tried = [(_agreement(other, poses(other)), line) for other, line in ways]
    left, line = min((each.left_px, line) for each, line in tried if each is not None)
    if left < 0.5 * as_told.left_px:
        raise InputError(line, where=_("side photo, branch {id}").format(id=points.branches[0].id))


def _side(points: TracePoints) -> TracedView:
    view = points.view("side")
    assert view is not None
    return view


def _other_clock(points: TracePoints) -> float:
    return (_side(points).clock + _HALF_TURN_CLOCK) % (2.0 * _HALF_TURN_CLOCK)


def _opposite(points: TracePoints) -> TracePoints:
    turned = replace(_side(points), clock=_other_clock(points))
    return replace(points, views=tuple(turned if view.name == "side" else view for view in points.views))


def _mirrored(points: TracePoints) -> TracePoints:
    view = _side(points)

    def flip(places: FloatArray) -> FloatArray:
        return np.column_stack([view.width_px - 1.0 - places[:, 0], places[:, 1]])

    def flipped(branch: TracedBranch) -> TracedBranch:
        clicks = {name: flip(each) if name == "side" else each for name, each in branch.clicks_px.items()}
        return replace(branch, clicks_px=clicks)

    scale = replace(view.scale, points_px=flip(view.scale.points_px))
    other = replace(view, scale=scale, rim_px=None if view.rim_px is None else flip(view.rim_px))
    views = tuple(other if each.name == "side" else each for each in points.views)
    return replace(points, views=views, branches=tuple(flipped(branch) for branch in points.branches))
