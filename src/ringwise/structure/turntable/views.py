"""The views of a turn, checked and packed for the compiled parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, Float32Array, FloatArray
from ringwise.structure.cameras import Camera


@dataclass(frozen=True)
class View:
    """One silhouette: its camera, and for each pixel 0 (backdrop) to 1 (wood).

    `hidden` is where something that is not the tree stands before the backdrop (board, pot, soil): coverage
    is 1 there, so that nothing is carved away, and no judgement stands on it.
    """

    camera: Camera
    coverage: Float32Array
    hidden: BoolArray | None = None


@dataclass(frozen=True)
class Stack:
    """Views of one size packed: cameras (views, 19), coverage and signed distance (views, h, w)."""

    names: tuple[str, ...]
    cameras: FloatArray
    coverage: Float32Array
    distance_px: Float32Array
    hidden: BoolArray | None = None

    def only(self, stays: BoolArray) -> Stack:
        """Some of the views; nothing is copied where all stay."""
        if stays.all():
            return self
        return Stack(
            tuple(name for name, stay in zip(self.names, stays, strict=True) if stay),
            self.cameras[stays],
            self.coverage[stays],
            self.distance_px[stays],
            None if self.hidden is None else self.hidden[stays],
        )


def packed_cameras(cameras: Sequence[Camera]) -> FloatArray:
    """Cameras as rows of numbers: R, t, fx, fy, cx, cy, k1, width, height.

    Parameters
    ----------
    cameras : sequence of Camera
        With their sizes.

    Returns
    -------
    (n, 19) float
        For the kernels.

    Source
    ------
    own.

    Examples
    --------
    >>> packed_cameras([Camera("a", np.diag([900.0, 900.0, 1.0]), np.eye(3), [0, 0, 1.0])]).shape
    (1, 19)
    """
    rows = [
        [
            *each.r.ravel(),
            *each.t_mm,
            each.k[0, 0],
            each.k[1, 1],
            each.k[0, 2],
            each.k[1, 2],
            each.k1,
            each.width_px,
            each.height_px,
        ]
        for each in cameras
    ]
    return np.array(rows, dtype=np.float64)


def middle_of(cameras: Sequence[Camera]) -> FloatArray:
    """The point nearest to where all cameras look.

    Parameters
    ----------
    cameras : sequence of Camera
        Two or more that do not all look the same way.

    Returns
    -------
    (3,) float
        In mm.

    Source
    ------
    own: least squares over the distances from the cameras' axes.

    Examples
    --------
    >>> k = np.diag([900.0, 900.0, 1.0])
    >>> one = Camera("a", k, np.eye(3), [0, 0, 100.0])
    >>> other = Camera("b", k, np.array([[0, 0, -1.0], [0, 1, 0], [1, 0, 0]]), [0, 0, 100.0])
    >>> middle_of([one, other]).round(6).tolist()
    [0.0, 0.0, 0.0]
    """
    whole, right = np.zeros((3, 3)), np.zeros(3)
    for each in cameras:
        across = np.eye(3) - np.outer(each.axis, each.axis)
        whole += across
        right += across @ each.centre_mm
    return np.asarray(np.linalg.solve(whole, right))
