"""Cameras that looked at the tree: where a point of the world falls on a picture, and their JSON.

World: mm, x to the right, y to the back, z up. Picture: pixel centres at integers, x to the right, y down.
A camera turns and shifts the world, camera = R X + t, and looks along its own z. The lens bends by one
number: with x, y in front of the lens at depth 1, each is multiplied by 1 + k1 (x^2 + y^2) before K.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError, MissingFieldError, RangeError, out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

_ROTATION_SLACK = 1e-3  # a rotation written with four decimals still counts as one
_SKEW_SLACK = 1e-6  # of the focal length
_MOST_BEND = 2.0  # of k1; a picture's corner lies within about 0.7 of the axis at depth 1
_KNOWN = ("image", "K", "R", "t", "k1", "width_px", "height_px")
_NEEDED = ("image", "K", "R", "t")


@dataclass(frozen=True)
class Camera:
    """One camera and its pose; `k` is K, `r` is R; a size of 0 x 0 pixels: the picture is not read yet."""

    name: str
    k: FloatArray
    r: FloatArray
    t_mm: FloatArray
    k1: float = 0.0
    width_px: int = 0
    height_px: int = 0

    def __post_init__(self) -> None:
        for field, shape in (("k", (3, 3)), ("r", (3, 3)), ("t_mm", (3,))):
            given = np.array(getattr(self, field), dtype=np.float64)
            if given.shape != shape:
                raise out_of_range(
                    _field(self.name, field),
                    str(given.shape),
                    _("an array of shape {shape}").format(shape=shape),
                )
            given.flags.writeable = False
            object.__setattr__(self, field, given)
        _check(self)

    @property
    def centre_mm(self) -> FloatArray:
        """Where the camera stands in the world."""
        return np.asarray(-self.r.T @ self.t_mm, dtype=np.float64)

    @property
    def axis(self) -> FloatArray:
        """Unit vector in the world along which it looks."""
        return np.array(self.r[2], dtype=np.float64)

    def project(self, points_mm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where points fall on the picture.

        Parameters
        ----------
        points_mm : (n, 3) float
            Points of the world.

        Returns
        -------
        pixels : (n, 2) float
            x and y, also outside the frame; NaN behind the camera and beyond the angle where the lens
            formula would fold the picture back on itself.
        depth_mm : (n,) float
            Distance along the camera's axis.

        Examples
        --------
        >>> eye = np.eye(3)
        >>> Camera("a", np.diag([1000.0, 1000.0, 1.0]), eye, [0, 0, 500.0]).project(np.array([[50.0, 0, 0]]))
        (array([[100.,   0.]]), array([500.]))
        """
        seen = np.asarray(points_mm, dtype=np.float64) @ self.r.T + self.t_mm
        depth = seen[:, 2]
        shown = depth > 0.0
        flat = seen[:, :2] / np.where(shown, depth, 1.0)[:, None]
        square = np.sum(flat * flat, axis=1)
        shown &= 1.0 + 3.0 * self.k1 * square > 0.0
        bent = flat * (1.0 + self.k1 * square)[:, None]
        pixels = bent @ self.k[:2, :2].T + self.k[:2, 2]
        return np.where(shown[:, None], pixels, np.nan), depth

    def rays(self, pixels: FloatArray) -> FloatArray:
        """Directions in the world along which pixels look, from `centre_mm`.

        Parameters
        ----------
        pixels : (n, 2) float
            x and y on the picture.

        Returns
        -------
        (n, 3) float
            Unit vectors; NaN for pixels that the lens formula cannot reach.

        Source
        ------
        own: Newton's method on r (1 + k1 r^2) = bent radius.

        Examples
        --------
        >>> camera = Camera("a", np.diag([1000.0, 1000.0, 1.0]), np.eye(3), [0, 0, 500.0], k1=-0.1)
        >>> point = np.array([[50.0, 20.0, 0.0]])
        >>> ray = camera.rays(camera.project(point)[0])
        >>> bool(np.allclose(camera.centre_mm + ray * 500.0 / ray[0, 2], point))
        True
        """
        given = np.asarray(pixels, dtype=np.float64)
        bent = (given - self.k[:2, 2]) @ np.linalg.inv(self.k[:2, :2]).T
        flat = bent * _unbent(np.hypot(bent[:, 0], bent[:, 1]), self.k1)[:, None]
        toward = np.column_stack([flat, np.ones(len(flat))]) @ self.r
        return np.asarray(toward / np.linalg.norm(toward, axis=1)[:, None])

    def sized(self, width_px: int, height_px: int) -> Camera:
        """The same camera with the size of its picture.

        Parameters
        ----------
        width_px, height_px : int
            As read from the picture.

        Returns
        -------
        Camera
            With that size.

        Raises
        ------
        RangeError
            Where the camera was told another size.

        Examples
        --------
        >>> Camera("a", np.diag([900.0, 900.0, 1.0]), np.eye(3), [0, 0, 1.0]).sized(640, 480).width_px
        640
        """
        if self.width_px and (self.width_px, self.height_px) != (width_px, height_px):
            raise out_of_range(
                _("size of the picture {name}").format(name=self.name),
                f"{width_px} x {height_px}",
                _("{width} x {height}, as its camera says").format(
                    width=self.width_px, height=self.height_px
                ),
                way_out=_("Give the picture as the camera took it, neither cropped nor turned."),
            )
        return replace(self, width_px=width_px, height_px=height_px)

    def scaled(self, size_ratio: float, width_px: int = 0, height_px: int = 0) -> Camera:
        """The same camera for its picture made smaller or larger.

        Parameters
        ----------
        size_ratio : float
            Size of the other picture against this one: 0.5 where two pixels each way become
            one, counted from the upper left corner, and 2 for the way back.
        width_px, height_px : int
            Size of the other picture; 0 where it need not be told.

        Returns
        -------
        Camera
            In pixels of the other picture.

        Source
        ------
        own: the frame's corner, at -0.5, stays where it is.

        Examples
        --------
        >>> k = [[900.0, 0.0, 319.5], [0.0, 900.0, 239.5], [0.0, 0.0, 1.0]]
        >>> half = Camera("a", k, np.eye(3), [0, 0, 1.0], 0.0, 640, 480).scaled(0.5, 320, 240)
        >>> half.k[:2].tolist()
        [[450.0, 0.0, 159.5], [0.0, 450.0, 119.5]]
        """
        k = np.array(self.k)
        k[:2, :2] *= size_ratio
        k[:2, 2] = (k[:2, 2] + 0.5) * size_ratio - 0.5
        return replace(self, k=k, width_px=width_px, height_px=height_px)


def _unbent(bent_radius: FloatArray, k1: float) -> FloatArray:
    """Factor from bent to straight places; NaN beyond the largest radius that the formula reaches."""
    radius = np.array(bent_radius)
    if k1 < 0.0:
        turn = math.sqrt(-1.0 / (3.0 * k1))
        radius = np.where(bent_radius < turn * 2.0 / 3.0, np.minimum(radius, turn * 0.999), np.nan)
    for _round in range(30):
        radius = radius - (radius * (1.0 + k1 * radius**2) - bent_radius) / (1.0 + 3.0 * k1 * radius**2)
    return np.asarray(1.0 / (1.0 + k1 * radius**2))


def _field(name: str, field: str) -> str:
    names = {"k": "K", "r": "R", "t_mm": "t"}
    return _("{field} of the view {name}").format(field=names.get(field, field), name=name)


def _check(camera: Camera) -> None:
    for field in ("k", "r", "t_mm", "k1"):
        if not np.all(np.isfinite(getattr(camera, field))):
            raise out_of_range(_field(camera.name, field), _("not a number"), _("finite numbers"))
    k, r = camera.k, camera.r
    if k[0, 0] <= 0.0 or k[1, 1] <= 0.0:
        raise out_of_range(
            _field(camera.name, "k"),
            f"{k[0, 0]:g}, {k[1, 1]:g}",
            _("focal lengths above 0 px on its diagonal"),
        )
    below = max(abs(k[1, 0]), abs(k[2, 0]), abs(k[2, 1]), abs(k[0, 1]))
    if below > _SKEW_SLACK * k[0, 0] or abs(k[2, 2] - 1.0) > _SKEW_SLACK:
        raise out_of_range(
            _field(camera.name, "k"), _rows(k), _("of the form [[fx, 0, cx], [0, fy, cy], [0, 0, 1]]")
        )
    if np.abs(r @ r.T - np.eye(3)).max() > _ROTATION_SLACK or np.linalg.det(r) < 0.0:
        raise out_of_range(
            _field(camera.name, "r"),
            _rows(r),
            _("a rotation: rows of length 1 at right angles, right-handed"),
            way_out=_("Mirrored or scaled axes are no rotation; the picture's y runs down."),
        )
    if abs(camera.k1) > _MOST_BEND:
        raise out_of_range(_field(camera.name, "k1"), f"{camera.k1:g}", f"{-_MOST_BEND:g} to {_MOST_BEND:g}")
    if camera.width_px < 0 or camera.height_px < 0 or (camera.width_px == 0) != (camera.height_px == 0):
        raise out_of_range(
            _field(camera.name, "width_px, height_px"),
            f"{camera.width_px} x {camera.height_px}",
            _("both above 0, or both left out"),
        )


def _rows(matrix: FloatArray) -> str:
    return str([[float(f"{each:.6g}") for each in row] for row in matrix])


def cameras_from_json(data: Any) -> tuple[Camera, ...]:
    """Cameras from the JSON of a file.

    Parameters
    ----------
    data : mapping
        `views`: a list of `{"image", "K": 3x3, "R": 3x3, "t": 3, "k1": 0}`; `k1`, `width_px` and `height_px`
        may be left out. Lengths in mm.

    Returns
    -------
    tuple of Camera
        In the order of the list, checked.

    Raises
    ------
    MissingFieldError, FileFormatError, RangeError
        For a key that is missing or unknown, a value of the wrong shape or kind, a matrix that is no
        rotation, or a picture named twice; the line names the view and the field.

    Source
    ------
    own.

    Examples
    --------
    >>> view = {"image": "a.png", "K": [[900, 0, 320], [0, 900, 240], [0, 0, 1]],
    ...         "R": [[1, 0, 0], [0, 0, -1], [0, 1, 0]], "t": [0, 250, 1300]}
    >>> cameras_from_json({"views": [view]})[0].centre_mm
    array([    0., -1300.,   250.])
    """
    if not isinstance(data, Mapping) or "views" not in data:
        raise MissingFieldError(_('the cameras need the list "views"'))
    views = data["views"]
    if not isinstance(views, Sequence) or isinstance(views, str) or len(views) == 0:
        raise FileFormatError(_('"views" is no list of cameras; each view is one camera with its picture'))
    cameras = tuple(_camera(view, number) for number, view in enumerate(views, start=1))
    seen: set[str] = set()
    for camera in cameras:
        if camera.name in seen:
            raise FileFormatError(_("the picture {name} has two cameras").format(name=camera.name))
        seen.add(camera.name)
    return cameras


def _camera(view: Any, number: int) -> Camera:
    where = _("view {number}").format(number=number)
    if not isinstance(view, Mapping):
        raise FileFormatError(_("is no set of keys such as image, K, R, t"), where=where)
    for key in _NEEDED:
        if key not in view:
            raise MissingFieldError(_("needs {name}").format(name=key), where=where)
    for key in view:
        if key not in _KNOWN:
            raise FileFormatError(
                _("has the key {name}, which is unknown. Accepted: {names}.").format(
                    name=key, names=", ".join(_KNOWN)
                ),
                where=where,
            )
    name = view["image"]
    if not isinstance(name, str) or not name:
        raise FileFormatError(_("image is no file name"), where=where)
    try:
        return Camera(
            name=name,
            k=_numbers(view, "K", (3, 3), where),
            r=_numbers(view, "R", (3, 3), where),
            t_mm=_numbers(view, "t", (3,), where),
            k1=float(_numbers(view, "k1", (), where)) if "k1" in view else 0.0,
            width_px=_pixels(view, "width_px", where),
            height_px=_pixels(view, "height_px", where),
        )
    except RangeError as wrong:
        wrong.where = wrong.where or where
        raise


def _numbers(view: Mapping[str, Any], key: str, shape: tuple[int, ...], where: str) -> FloatArray:
    words = {(3, 3): _("3 rows of 3 numbers"), (3,): _("3 numbers"), (): _("a number")}
    wrong = FileFormatError(_("{name} is not {wanted}").format(name=key, wanted=words[shape]), where=where)
    try:
        given = np.array(view[key])
    except ValueError:
        raise wrong from None
    if shape == (3,) and given.shape in ((3, 1), (1, 3)):  # a column, as solvers of poses give it
        given = given.ravel()
    if given.shape != shape or given.dtype.kind not in "iuf":
        raise wrong
    return given.astype(np.float64)


def _pixels(view: Mapping[str, Any], key: str, where: str) -> int:
    given = view.get(key, 0)
    if isinstance(given, bool) or not isinstance(given, int):
        raise FileFormatError(_("{name} is no whole number of pixels").format(name=key), where=where)
    return given


def cameras_to_json(cameras: Sequence[Camera]) -> dict[str, Any]:
    """The JSON of cameras, as `cameras_from_json` reads it.

    Parameters
    ----------
    cameras : sequence of Camera
        Any.

    Returns
    -------
    dict
        Numbers in full, so that reading it back gives the same cameras.

    Source
    ------
    own.

    Examples
    --------
    >>> camera = Camera("a.png", np.diag([900.0, 900.0, 1.0]), np.eye(3), [0, 0, 1.0])
    >>> cameras_to_json([camera])["views"][0]["t"]
    [0.0, 0.0, 1.0]
    """
    views = []
    for camera in cameras:
        view: dict[str, Any] = {
            "image": camera.name,
            "K": camera.k.tolist(),
            "R": camera.r.tolist(),
            "t": camera.t_mm.tolist(),
            "k1": float(camera.k1),
        }
        if camera.width_px:
            view |= {"width_px": camera.width_px, "height_px": camera.height_px}
        views.append(view)
    return {"views": views}
