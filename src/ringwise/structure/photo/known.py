"""Cameras that were given and not found: whether they can belong to a turn about one tree."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import threshold
from ringwise.structure.turntable.views import middle_of


def looked_at_mm(cameras: Sequence[Camera]) -> FloatArray:
    """Where given cameras look: there the tree stands, wherever the world's origin is.

    Parameters
    ----------
    cameras : sequence of Camera
        At least one.

    Returns
    -------
    (3,) float
        In mm; the origin where they all look the same way, so that no point is told.

    Source
    ------
    own.

    Examples
    --------
    >>> k = np.diag([900.0, 900.0, 1.0])
    >>> one = Camera("a", k, np.eye(3), [-500, 0, 100.0])
    >>> other = Camera("b", k, np.array([[0, 0, -1.0], [0, 1, 0], [1, 0, 0]]), [0, 0, -400.0])
    >>> looked_at_mm([one, other]).round(6).tolist(), looked_at_mm([one]).tolist()
    ([500.0, 0.0, 0.0], [0.0, 0.0, 0.0])
    """
    try:
        return middle_of(cameras)
    except np.linalg.LinAlgError:
        return np.zeros(3)


def check_known(cameras: Sequence[Camera]) -> None:
    """Whether given cameras stand about one place, at distances from which a tree in a pot is taken in mm.

    Parameters
    ----------
    cameras : sequence of Camera
        At least one.

    Raises
    ------
    RangeError
        Naming the views that stand too near or too far or look away, or where all look the same way.

    Source
    ------
    own: rows known of photo.csv.

    Examples
    --------
    >>> metres = Camera("a.png", np.diag([900.0, 900.0, 1.0]), np.eye(3), [0, 0, 1.3])
    >>> try:
    ...     check_known([metres])
    ... except ValueError as error:
    ...     print(str(error)[:71])
    distance of a.png from where the cameras look is 1.3 mm; accepted: 30 t
    """
    axes = np.array([camera.axis for camera in cameras])
    if len(cameras) > 1 and np.linalg.norm(axes.mean(axis=0)) > threshold("known", "same_way_frac"):
        raise out_of_range(
            _("the way of all views"),
            _("the same"),
            _("towards the tree from all round"),
            way_out=_inverse(),
        )
    middle = looked_at_mm(cameras)
    near, far = threshold("known", "nearest_mm"), threshold("known", "farthest_mm")
    apart = [float(np.linalg.norm(camera.centre_mm - middle)) for camera in cameras]
    odd = [row for row, distance in enumerate(apart) if not near <= distance <= far]
    if odd:
        raise out_of_range(
            _("distance of {names} from where the cameras look").format(names=_names(cameras, odd)),
            _("{n} mm").format(n=f"{apart[odd[0]]:.3g}"),
            _("{low:g} to {high:g} mm").format(low=near, high=far),
            way_out=_("t is in mm: multiply metres by 1000."),
        )
    away = [row for row, camera in enumerate(cameras) if (middle - camera.centre_mm) @ camera.axis <= 0.0]
    if away:
        raise out_of_range(
            _("the way of {names}").format(names=_names(cameras, away)),
            _("away from where the other cameras look"),
            _("towards the tree"),
            way_out=_inverse(),
        )


def check_frame(camera: Camera, *, sideways: bool = False) -> None:
    """Whether a given camera belongs to its picture as it is shown.

    Parameters
    ----------
    camera : Camera
        With the size of its picture.
    sideways : bool
        Whether the picture was turned by a quarter, as its notes say (EXIF).

    Raises
    ------
    RangeError
        Where the middle of K lies outside the picture, or nearer to that of the picture before it was turned.

    Source
    ------
    own.

    Examples
    --------
    >>> large = Camera("a.png", [[2000, 0, 799.5], [0, 2000, 599.5], [0, 0, 1]], np.eye(3), [0, 0, 500.0])
    >>> check_frame(large.sized(1600, 1200))
    >>> try:
    ...     check_frame(large.sized(600, 400))
    ... except ValueError as error:
    ...     print(str(error)[:77])
    middle in K of the view a.png is 799.5, 599.5; accepted: within 600 x 400 px.
    """
    x, y = camera.k[:2, 2]
    wide, high = camera.width_px, camera.height_px
    outside = not (0.0 <= x < wide and 0.0 <= y < high)
    off = np.abs([x - 0.5 * wide, y - 0.5 * high]) - np.abs([x - 0.5 * high, y - 0.5 * wide])
    unturned = sideways and bool(np.all(off > 0.0))
    if outside or unturned:
        raise out_of_range(
            _("middle in K of the view {name}").format(name=camera.name),
            f"{x:g}, {y:g}",
            _("within {width} x {height} px").format(width=wide, height=high),
            reason=_("the picture is shown turned, as its notes say") if unturned else "",
            way_out=_("K and R are those of the picture as it is shown, in its own size."),
        )


def _inverse() -> str:
    return _("R and t bring the world before the camera, not the camera into the world.")


def _names(cameras: Sequence[Camera], rows: Sequence[int]) -> str:
    if len(rows) == len(cameras) > 1:
        return _("all views")
    return ", ".join(cameras[row].name for row in rows)
