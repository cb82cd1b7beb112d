"""The camera behind a traced photo: from a known length, the focal length, the pot's rim and the soil line.

The principal point is taken to be the middle of the photo. The line of sight to the foot of the trunk comes
from the view's clock; its height above the level from the rim's ellipse (short axis over long axis is the
sine of it, for a camera far away); without a rim the camera looked level. The roll comes from two places that
lie level. Where the foot falls on the photo says the rest.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.cameras import Camera
from ringwise.structure.tape import clock_direction
from ringwise.structure.trace.points import TracedView, TracePoints
from ringwise.structure.trace.rules import trace_rules

_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Pose:
    """A camera, and whether its focal length was only assumed; `mm_per_px` holds at the trunk."""

    camera: Camera
    focal_known: bool
    mm_per_px: float


def focal_px(view: TracedView) -> float:
    """Focal length of a photo in its pixels.

    Parameters
    ----------
    view : TracedView
        With its 35 mm equivalent; without one that of a telephone's main lens is taken.

    Returns
    -------
    float
        In pixels.

    Source
    ------
    own: the equivalent refers to the diagonal of 24 x 36 mm (recalled from the cameras' standard).

    Examples
    --------
    >>> from ringwise.structure.trace.points import Scale
    >>> scale = Scale("rule", np.array([[0.0, 0.0], [100.0, 0.0]]), 50.0)
    >>> round(focal_px(TracedView("front", 6.0, 4000, 3000, scale, focal_35mm_mm=43.267)))
    5000
    """
    rules = trace_rules()
    equivalent_mm = view.focal_35mm_mm or rules.unknown_focal_mm
    return equivalent_mm / rules.frame_diagonal_mm * math.hypot(view.width_px, view.height_px)


def elevation_rad(view: TracedView) -> float:
    """How far above the level the camera looked from, by the ellipse of the pot's rim.

    Parameters
    ----------
    view : TracedView
        Its `rim_px` holds left, right, nearest and farthest place; 0 without it.

    Returns
    -------
    float
        Angle in rad, 0 or more.

    Raises
    ------
    RangeError
        If the rim is deeper than wide.

    Source
    ------
    own: a level circle far away is seen as an ellipse, short axis over long axis = sin(elevation).

    Examples
    --------
    >>> from ringwise.structure.trace.points import Scale
    >>> scale = Scale("rim", np.array([[0.0, 0.0], [100.0, 0.0]]), 50.0)
    >>> rim = np.array([[0.0, 50.0], [100.0, 50.0], [50.0, 75.0], [50.0, 25.0]])
    >>> round(math.degrees(elevation_rad(TracedView("front", 6.0, 200, 100, scale, rim_px=rim))), 3)
    30.0
    """
    if view.rim_px is None:
        return 0.0
    left, right, near, far = view.rim_px
    across, deep = float(np.linalg.norm(right - left)), float(np.linalg.norm(near - far))
    if deep >= across:
        raise out_of_range(
            _("rim of the pot on the {view} photo").format(view=view.name),
            f"{across:.0f} x {deep:.0f} px",
            _("wider than deep: left, right, nearest, farthest place"),
        )
    return math.asin(deep / across)


def poses(points: TracePoints) -> dict[str, Pose]:
    """The cameras of all traced photos.

    Parameters
    ----------
    points : TracePoints
        Checked clicks.

    Returns
    -------
    dict
        Pose by view.

    Source
    ------
    own: D = f W / w of a known length W seen w pixels long.

    Examples
    --------
    >>> from ringwise.structure.trace.reading import points_from_json
    >>> scale = {"kind": "rule", "points": [[10, 90], [110, 90]], "length_mm": 50}
    >>> front = {"width_px": 200, "height_px": 100, "scale": scale}
    >>> trunk = {"id": "trunk", "parent": None, "front": [[50, 90], [50, 20]]}
    >>> clicked = {"layout": "ringwise-trace", "version": 1, "photos": {"front": front}, "branches": [trunk]}
    >>> round(poses(points_from_json(clicked))["front"].mm_per_px, 6)
    0.5
    """
    trunk = points.branches[0]
    found: dict[str, Pose] = {}
    for view in points.views:
        foot = trunk.clicks_px.get(view.name)
        if foot is None:
            continue
        depth_mm = _scale_depth_mm(points, view) + _behind_scale_mm(points, view)
        camera = posed(view, foot[0], depth_mm)
        found[view.name] = Pose(camera, view.focal_35mm_mm is not None, depth_mm / float(camera.k[0, 0]))
    return found


def _scale_depth_mm(points: TracePoints, view: TracedView) -> float:
    """Distance to the known length along the camera's axis.

    The two ends of a round rim are where lines of sight touch it, which lies nearer than its middle.
    """
    scale, focal = view.scale, focal_px(view)
    depth_mm = focal * scale.length_mm / scale.length_px
    if scale.kind != "rim":
        return depth_mm
    other = next((each for each in points.views if each.name != view.name and each.scale.kind == "rim"), view)
    return math.hypot(depth_mm, 0.5 * other.scale.length_mm)


def _behind_scale_mm(points: TracePoints, view: TracedView) -> float:
    """How far the trunk's foot stands behind the known length: as told, or as the other photo shows."""
    scale = view.scale
    other = next((each for each in points.views if each.name != view.name), None)
    foot = None if other is None else points.branches[0].clicks_px.get(other.name)
    if scale.kind != "rim" or other is None or foot is None or other.scale.kind != "rim":
        return scale.in_front_mm
    px_mm = other.scale.length_mm / other.scale.length_px
    offset_mm = float(foot[0, 0] - other.scale.points_px[:, 0].mean()) * px_mm
    right = np.cross(-clock_direction(other.clock), _UP)
    return float(right @ -clock_direction(view.clock)) * offset_mm + scale.in_front_mm


def posed(view: TracedView, foot_px: FloatArray, depth_mm: float) -> Camera:
    """The camera that sees the origin at a place and a depth, from the view's clock and its rim's elevation.

    Parameters
    ----------
    view : TracedView
        The photo.
    foot_px : (2,) float
        Where the foot of the trunk, the origin, falls.
    depth_mm : float
        Distance of the origin along the camera's axis.

    Returns
    -------
    Camera
        With its pose.

    Source
    ------
    own: with roll and elevation known, the pitch solves y cos + z sin = sin(elevation).

    Examples
    --------
    >>> from ringwise.structure.trace.points import Scale
    >>> scale = Scale("rule", np.array([[0.0, 0.0], [100.0, 0.0]]), 50.0)
    >>> camera = posed(TracedView("front", 6.0, 201, 101, scale), np.array([100.0, 50.0]), 900.0)
    >>> camera.centre_mm.round(6).tolist()
    [0.0, -900.0, 0.0]
    """
    focal = focal_px(view)
    middle = np.array([(view.width_px - 1) / 2.0, (view.height_px - 1) / 2.0])
    k = np.array([[focal, 0.0, middle[0]], [0.0, focal, middle[1]], [0.0, 0.0, 1.0]])
    roll = _roll(view)
    x, y = (foot_px - middle) / focal @ roll[:2, :2]  # as a camera without roll would see it
    ray = np.array([x, y, 1.0])
    ray /= np.linalg.norm(ray)
    pitch = _pitch(view, ray)
    # In the camera's frame: up, the way ahead on the level, and to the right.
    ahead = np.array([0.0, -math.sin(pitch), math.cos(pitch)])
    level = np.array([ray @ [1.0, 0.0, 0.0], ray @ ahead])
    level /= np.linalg.norm(level)
    away = -clock_direction(view.clock)
    right = np.cross(away, _UP)
    # Turned about the upright so that the ray runs along the view's own direction.
    x_axis = level[1] * right + level[0] * away
    y_ahead = level[1] * away - level[0] * right
    z_axis = math.cos(pitch) * y_ahead - math.sin(pitch) * _UP
    y_axis = np.cross(z_axis, x_axis)
    rotation = roll @ np.stack([x_axis, y_axis, z_axis])
    seen = np.array([*((foot_px - middle) / focal), 1.0]) * depth_mm
    return Camera(view.name, k, rotation, seen, 0.0, view.width_px, view.height_px)


def _pitch(view: TracedView, ray: FloatArray) -> float:
    """How far the camera looks down: as the rim tells from the sight of the foot; level where no rim does."""
    if view.rim_px is None:
        return 0.0
    over = math.sin(elevation_rad(view)) / math.hypot(ray[1], ray[2])
    return math.asin(min(over, 1.0)) - math.atan2(ray[1], ray[2])


def _roll(view: TracedView) -> FloatArray:
    """Turn from an upright camera to this one, about its own axis."""
    angle = 0.0
    if view.soil_px is not None:
        low, high = view.soil_px[np.argsort(view.soil_px[:, 0])]
        angle = math.atan2(high[1] - low[1], high[0] - low[0])
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def shifted(pose: Pose, view: TracedView, foot_px: FloatArray) -> Pose:
    """The same pose with the foot of the trunk elsewhere on the photo.

    Parameters
    ----------
    pose : Pose
        As it was.
    view : TracedView
        Its photo.
    foot_px : (2,) float
        The new place.

    Returns
    -------
    Pose
        At the same depth.

    Source
    ------
    own.

    Examples
    --------
    >>> shifted.__name__
    'shifted'
    """
    return replace(pose, camera=posed(view, foot_px, float(pose.camera.t_mm[2])))
