"""What stands on the board with the tree: where it hides the backdrop, how wide the pot is, how thick a rod.

Board, pot and soil tell nothing of the wood before them, so their region carves nothing away. The pot's width
and a rod of known diameter are held against the photos: one checks the scale, the other the edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray
from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import Board, threshold
from ringwise.structure.photo.looking import opencv
from ringwise.structure.photo.prepare import Values

_ROUND_POINTS = 48


@dataclass(frozen=True)
class PotOutline:
    """The pot as it stands, in the middle of the board where not told; the length runs from left to right."""

    length_mm: float
    width_mm: float
    round: bool
    at_mm: tuple[float, float] = (0.0, 0.0)


def outline_mm(pot: PotOutline, height_mm: float, margin_mm: float = 0.0) -> FloatArray:
    """The pot's outline at one height.

    Parameters
    ----------
    pot : PotOutline
        Its size.
    height_mm : float
        Above the board.
    margin_mm : float
        Added all round.

    Returns
    -------
    ndarray (n, 3)
        Points of the world.

    Source
    ------
    own.

    Examples
    --------
    >>> outline_mm(PotOutline(200.0, 100.0, False), 80.0)[0].tolist()
    [100.0, 50.0, 80.0]
    """
    across, deep = 0.5 * pot.length_mm + margin_mm, 0.5 * pot.width_mm + margin_mm
    if pot.round:
        turn = np.linspace(0.0, 2.0 * np.pi, _ROUND_POINTS, endpoint=False)
        flat = np.stack([across * np.cos(turn), deep * np.sin(turn)], axis=1)
    else:
        flat = np.array([[across, deep], [-across, deep], [-across, -deep], [across, -deep]])
    return np.column_stack([flat + pot.at_mm, np.full(len(flat), height_mm)])


def hidden_region(
    camera: Camera, soil_mm: float, *, board: Board | None = None, pot: PotOutline | None = None
) -> NDArray[np.bool_]:
    """Pixels before which the backdrop is not seen: board, pot up to the soil, and the soil itself.

    Parameters
    ----------
    camera : Camera
        With the size of its picture.
    soil_mm : float
        Height of the soil above the board.
    board : Board, optional
        The board that lies there; None where there is none.
    pot : PotOutline, optional
        The pot.

    Returns
    -------
    ndarray (h, w) of bool
        True where nothing is told of the tree.

    Source
    ------
    own: rows pot of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras
    >>> bool(hidden_region(sample_cameras()[0], 40.0, board=SAMPLE_BOARD)[240, 320])
    True
    """
    cv2 = opencv()
    region = np.zeros((camera.height_px, camera.width_px), dtype=np.uint8)
    margin = threshold("pot", "hidden_margin_mm")
    bodies = []
    if board is not None:
        bodies.append(outline_mm(PotOutline(board.width_mm, board.depth_mm, False), 0.0, margin))
    if pot is not None:
        ends = (min(0.0, soil_mm), soil_mm)
        bodies.append(np.concatenate([outline_mm(pot, height, margin) for height in ends]))
    for body in bodies:
        seen, _depth = camera.project(body)
        if np.isfinite(seen).all():
            hull = cv2.convexHull(seen.astype(np.float32)).reshape(-1, 1, 2)
            cv2.fillConvexPoly(region, np.round(hull).astype(np.int32), 1)
    return np.asarray(region > 0)


def clear_height_mm(cameras: Sequence[Camera], pot: PotOutline, soil_mm: float) -> float:
    """Up to which height above the soil no camera sees the backdrop behind the middle of the pot.

    Parameters
    ----------
    cameras : sequence of Camera
        All.
    pot : PotOutline
        The pot.
    soil_mm : float
        Height of the soil.

    Returns
    -------
    float
        Least over the cameras, for the wider way across the pot, and a little more.

    Source
    ------
    own: rows pot of photo.csv.

    Examples
    --------
    >>> low = Camera("a", np.diag([900.0, 900.0, 1.0]), np.eye(3), [0.0, 1000.0, -100.0])
    >>> round(clear_height_mm([low], PotOutline(200.0, 200.0, True), 0.0), 1)
    12.6
    """
    reach = 0.5 * max(pot.length_mm, pot.width_mm) + threshold("pot", "hidden_margin_mm")
    rises = []
    for camera in cameras:
        centre = camera.centre_mm
        flat = float(np.hypot(*(centre[:2] - pot.at_mm)))
        rises.append(max(0.0, float(centre[2]) - soil_mm) / max(flat, 1.0))
    return reach * min(rises) + threshold("pot", "clear_more_mm")


def pot_width_mm(
    cameras: Sequence[Camera], values: Sequence[Values], soil_mm: float, board: Board
) -> float | None:
    """The pot's widest width near its rim, from photos that show backdrop and no board beside the rim.

    Parameters
    ----------
    cameras, values : sequence
        Cameras and their coverage, before anything was hidden.
    soil_mm : float
        Height of the soil above the board.
    board : Board
        What lies below; where it is behind the rim, the rim is not measured.

    Returns
    -------
    float or None
        None where the rim is not seen before the backdrop.

    Source
    ------
    own: rows pot of photo.csv; a sight touches a round pot before its middle.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras
    >>> empty = [np.zeros((480, 640), dtype=np.float32)] * 12
    >>> pot_width_mm(sample_cameras(), empty, 40.0, SAMPLE_BOARD) is None
    True
    """
    height = soil_mm - threshold("pot", "below_soil_mm")
    widths = []
    for camera, covered in zip(cameras, values, strict=True):
        centre = camera.centre_mm
        flat = float(np.hypot(centre[0], centre[1]))
        if height <= 0.0:
            break
        sideways = np.array([-centre[1], centre[0], 0.0]) / flat
        steps = np.arange(-1.0, 1.0, 0.001) * 0.5 * flat
        places = np.array([0.0, 0.0, height]) + steps[:, None] * sideways
        along = sampled(covered, camera.project(places)[0])
        middle = len(steps) // 2
        if not along[middle] > 0.5:
            continue
        left = np.flatnonzero(~(along[:middle] > 0.5))
        right = np.flatnonzero(~(along[middle:] > 0.5))
        if len(left) and len(right):
            a, b = abs(float(steps[left[-1]])), abs(float(steps[middle + right[0]]))
            beside = places[[left[-1], middle + right[0]]]
            if any(_lies_on(board, centre, place) for place in beside):
                continue
            # sight rays touch a round pot before its middle plane: tangent, not chord
            widths.append(sum(flat * half / np.hypot(flat, half) for half in (a, b)))
    return float(np.percentile(widths, 90)) if len(widths) >= 3 else None


def _lies_on(board: Board, centre_mm: FloatArray, place_mm: FloatArray) -> bool:
    """Whether the sight past a place ends on the board."""
    way = place_mm - centre_mm
    if way[2] >= 0.0:
        return False
    foot = centre_mm - way * (centre_mm[2] / way[2])
    margin = threshold("pot", "hidden_margin_mm")
    return bool(abs(foot[0]) < 0.5 * board.width_mm + margin and abs(foot[1]) < 0.5 * board.depth_mm + margin)


def sampled(values: Values | NDArray[np.uint8], places_px: FloatArray) -> FloatArray:
    """Bilinear values of a picture at places; NaN outside.

    Parameters
    ----------
    values : ndarray (h, w)
        The picture.
    places_px : ndarray (n, 2)
        x and y.

    Returns
    -------
    ndarray (n,)
        Values.

    Source
    ------
    own.

    Examples
    --------
    >>> sampled(np.array([[0.0, 1.0]], dtype=np.float32), np.array([[0.5, 0.0], [2.0, 0.0]])).tolist()
    [0.5, nan]
    """
    cv2 = opencv()
    high, wide = values.shape
    inside = np.all((places_px >= 0) & (places_px <= [wide - 1, high - 1]), axis=1)
    flat = np.where(inside[:, None], places_px, 0.0).astype(np.float32)
    found = np.concatenate(
        [
            cv2.remap(values, part.reshape(-1, 1, 2), None, cv2.INTER_LINEAR).ravel()
            for part in np.array_split(flat, max(1, -(-len(flat) // 30_000)))
        ]
    )
    return np.where(inside, found.astype(np.float64), np.nan)


@dataclass(frozen=True)
class Rod:
    """A straight rod that stands upright in the pot: where, how thick it is and how thick it was measured.

    `edge_shift_mm` is what each edge must move outward for the two to agree.
    """

    at_mm: tuple[float, float]
    known_mm: float
    measured_mm: float
    views: int

    @property
    def edge_shift_mm(self) -> float:
        """Half of what is missing."""
        return 0.5 * (self.known_mm - self.measured_mm)


def find_rod(
    cameras: Sequence[Camera], values: Sequence[Values], known_mm: float, soil_mm: float, reach_mm: float
) -> Rod | None:
    """Look for an upright rod of about the known thickness above the soil, and measure it.

    Parameters
    ----------
    cameras, values : sequence
        Cameras and their coverage, board and pot hidden.
    known_mm : float
        Its diameter by a calliper.
    soil_mm : float
        Height of the soil.
    reach_mm : float
        How far from the middle it may stand.

    Returns
    -------
    Rod or None
        None where no upright line of that thickness stands free in enough views.

    Source
    ------
    own: rows rod of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_cameras
    >>> empty = [np.zeros((480, 640), dtype=np.float32)] * 12
    >>> find_rod(sample_cameras(), empty, 3.0, 40.0, 20.0) is None
    True
    """
    step = 0.6 * known_mm
    line = np.arange(-reach_mm, reach_mm + step, step)
    spots = np.stack([each.ravel() for each in np.meshgrid(line, line)], axis=1)
    spots = spots[np.hypot(spots[:, 0], spots[:, 1]) <= reach_mm]
    low, high = threshold("rod", "from_mm"), threshold("rod", "to_mm")
    for heights, keep in ((np.linspace(low, high, 4), 400), (np.linspace(low, high, 12), 12)):
        scores = _rod_scores(cameras, values, spots, soil_mm + heights, known_mm)
        best = np.argsort(scores)[::-1][:keep]
        fine = step / 4.0 * np.array([[i, j] for i in range(-2, 3) for j in range(-2, 3)])
        spots = (spots[best][:, None, :] + fine).reshape(-1, 2) if keep > 12 else spots[best]
        scores = scores[best] if keep <= 12 else scores
    if scores[0] < threshold("rod", "least_score"):
        return None
    spot = spots[0]
    widths = _rod_widths(cameras, values, spot, soil_mm + np.linspace(low, high, 16), known_mm)
    if len(widths) < int(threshold("rod", "least_views")):
        return None
    return Rod((float(spot[0]), float(spot[1])), known_mm, float(np.median(widths)), len(widths))


def _rod_points(spots: FloatArray, heights_mm: FloatArray) -> FloatArray:
    shape = (len(spots), len(heights_mm))
    x = np.broadcast_to(spots[:, :1], shape)
    y = np.broadcast_to(spots[:, 1:], shape)
    z = np.broadcast_to(heights_mm, shape)
    return np.stack([x, y, z], axis=2)


def _sideways(camera: Camera, points: FloatArray) -> FloatArray:
    toward = points[..., :2] - camera.centre_mm[:2]
    turned = np.stack([-toward[..., 1], toward[..., 0]], axis=-1)
    turned /= np.linalg.norm(turned, axis=-1, keepdims=True)
    return np.concatenate([turned, np.zeros((*turned.shape[:-1], 1))], axis=-1)


def _rod_scores(
    cameras: Sequence[Camera],
    values: Sequence[Values],
    spots: FloatArray,
    heights_mm: FloatArray,
    known_mm: float,
) -> FloatArray:
    """Share of the views in which wood stands at the spot and backdrop on both sides of it, low to high."""
    points = _rod_points(spots, heights_mm)
    total = np.zeros(len(spots))
    here = np.ones(len(spots), dtype=bool)
    for camera, covered in zip(cameras, values, strict=True):
        aside = 1.3 * known_mm * _sideways(camera, points)
        flat = points.reshape(-1, 3)
        middle, left, right = (
            sampled(covered, camera.project(flat + shift)[0]).reshape(points.shape[:2])
            for shift in (np.zeros(3), aside.reshape(-1, 3), -aside.reshape(-1, 3))
        )
        wood = np.nan_to_num(middle, nan=1.0).min(axis=1)
        here &= wood > 0.4
        free = np.nan_to_num(np.maximum(left, right), nan=1.0)
        total += np.clip(wood - np.median(free, axis=1), 0.0, 1.0)
    return np.where(here, total / len(cameras), 0.0)


def _rod_widths(
    cameras: Sequence[Camera],
    values: Sequence[Values],
    spot: FloatArray,
    heights_mm: FloatArray,
    known_mm: float,
) -> list[float]:
    """Width between the two places where coverage falls through one half, in each view where it is free."""
    points = _rod_points(spot[None], heights_mm)[0]
    steps = np.linspace(-2.0, 2.0, 161) * known_mm
    widths = []
    for camera, covered in zip(cameras, values, strict=True):
        places = points[:, None, :] + steps[:, None] * _sideways(camera, points)[:, None, :]
        lines = sampled(covered, camera.project(places.reshape(-1, 3))[0]).reshape(places.shape[:2])
        found = [_width(line, steps) for line in lines]
        sound = [width for width in found if width is not None]
        if len(sound) >= len(found) // 2:
            widths.append(float(np.median(sound)))
    return widths


def _width(line: FloatArray, steps_mm: FloatArray) -> float | None:
    if not np.isfinite(line).all() or line[0] > 0.2 or line[-1] > 0.2:
        return None
    over = line >= 0.5
    ends = np.flatnonzero(np.diff(over.astype(int)))
    if len(ends) != 2:
        return None
    crossed = [
        steps_mm[i] + (0.5 - line[i]) / (line[i + 1] - line[i]) * (steps_mm[i + 1] - steps_mm[i])
        for i in ends
    ]
    return float(crossed[1] - crossed[0])
