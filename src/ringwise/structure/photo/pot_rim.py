"""A pot below the soil, seen by given cameras: where it stands and how wide it is, where nobody said so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray
from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import threshold
from ringwise.structure.photo.known import looked_at_mm
from ringwise.structure.photo.standing import sampled

_WOOD = 127  # of 255: more is wood, or what else stands before the backdrop
_STEPS = 1000  # on either side, up to half the camera's distance

Steps = NDArray[np.uint8]


@dataclass(frozen=True)
class Rim:
    """The middle and the widest width of what stands below the soil."""

    at_mm: tuple[float, float]
    width_mm: float


@dataclass(frozen=True)
class _Band:
    """What one view sees between backdrop on both sides at one height: the sights past both flanks, level."""

    eye_mm: FloatArray
    left: FloatArray
    right: FloatArray


def rim_below(cameras: Sequence[Camera], silhouettes: Sequence[Steps], soil_mm: float) -> Rim | None:
    """The pot below the soil, if the pictures show one.

    Parameters
    ----------
    cameras : sequence of Camera
        Given ones, in the size of the pictures.
    silhouettes : sequence of ndarray (h, w) uint8
        0 backdrop to 255 wood, before anything was hidden.
    soil_mm : float
        Height of the soil in the world.

    Returns
    -------
    Rim or None
        None where nothing goes on below the soil, where it leaves the frame on a side, or where it is hardly
        wider than what stands above it, as a trunk that goes on downwards.

    Source
    ------
    own: rows pot of photo.csv; sights past the flanks of a round pot touch it.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_cameras
    >>> empty = [np.zeros((480, 640), dtype=np.uint8)] * 12
    >>> rim_below(sample_cameras(), empty, 40.0) is None
    True
    """
    below = threshold("pot", "below_soil_mm")
    looked = looked_at_mm(cameras)[:2]
    seen = [
        _band(camera, picture, looked, soil_mm - below)
        for camera, picture in zip(cameras, silhouettes, strict=True)
    ]
    bands = [each for each in seen if each is not None]
    if len(bands) <= len(cameras) // 2:
        return None
    middle = _middle_mm(bands)
    half = float(np.percentile([_reach_mm(each, middle) for each in bands], 90))
    deeper, over = 0, []
    for camera, picture in zip(cameras, silhouettes, strict=True):
        rise = half * max(0.0, _rise(camera, middle, soil_mm))
        # past the front of a body that ends at the soil, this sight meets nothing but backdrop
        deeper += _band(camera, picture, middle, soil_mm - rise - below) is not None
        upper = _band(camera, picture, middle, soil_mm + rise + below)
        over.append(0.0 if upper is None else _reach_mm(upper, middle))
    if deeper <= len(cameras) // 2 or half < threshold("pot", "trunk_ratio") * float(np.median(over)):
        return None
    return Rim((float(middle[0]), float(middle[1])), 2.0 * half)


def _rise(camera: Camera, middle_mm: FloatArray, soil_mm: float) -> float:
    """How steeply a camera looks down on the soil."""
    centre = camera.centre_mm
    return float((centre[2] - soil_mm) / max(float(np.hypot(*(centre[:2] - middle_mm))), 1.0))


def _band(camera: Camera, picture: Steps, middle_mm: FloatArray, height_mm: float) -> _Band | None:
    """What stands about a place at one height; None where there is backdrop, or no backdrop beside it."""
    eye = camera.centre_mm[:2]
    way = middle_mm - eye
    far = float(np.linalg.norm(way))
    if far < 1.0:
        return None
    left = np.array([-way[1], way[0]]) / far
    steps = np.arange(-_STEPS, _STEPS + 1) / _STEPS * 0.5 * far
    places = np.column_stack([middle_mm + steps[:, None] * left, np.full(len(steps), height_mm)])
    along = sampled(picture, camera.project(places)[0])
    free = np.flatnonzero(along <= _WOOD)
    before, after = free[free < _STEPS], free[free > _STEPS]
    if not along[_STEPS] > _WOOD or not len(before) or not len(after):
        return None
    flanks = places[[after[0], before[-1]], :2] - eye
    inside = along[before[-1] + 1 : after[0]]
    if not np.isfinite(inside).all():
        return None
    unit = flanks / np.linalg.norm(flanks, axis=1)[:, None]
    return _Band(eye, unit[0], unit[1])


def _middle_mm(bands: Sequence[_Band]) -> FloatArray:
    """The place that lies midway between both flanks in all views."""
    whole, right = np.zeros((2, 2)), np.zeros(2)
    for each in bands:
        way = each.left + each.right
        way = way / np.linalg.norm(way)
        across = np.eye(2) - np.outer(way, way)
        whole += across
        right += across @ each.eye_mm
    return np.asarray(np.linalg.lstsq(whole, right)[0])


def _reach_mm(band: _Band, middle_mm: FloatArray) -> float:
    """Mean distance of the sights past both flanks from the middle."""
    apart = middle_mm - band.eye_mm
    return 0.5 * sum(abs(float(way[0] * apart[1] - way[1] * apart[0])) for way in (band.left, band.right))
