"""One photo looked at for its board: corners, sharpness, exposure, and the layout of what was found."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import FloatArray
from ringwise.structure.photo.board import Board, opencv_board, threshold
from ringwise.structure.photo.corners import refined
from ringwise.structure.photo.looking import opencv

_LEAST_OF_PLANE = 6  # four fix a plane; with fewer beyond them nothing can be told
Grey = NDArray[np.uint8]


@dataclass(frozen=True)
class Shot:
    """What a photo says of itself: its name, its upright size, and what the camera wrote.

    `cut` tells that the size the camera wrote is not the size of the file, in its proportion. A large photo
    is looked at reduced `times`; its file then is larger, `whole_width_px` by `whole_height_px`.
    """

    name: str
    width_px: int
    height_px: int
    make: str = ""
    model: str = ""
    focal_mm: float | None = None
    focal_35_mm: float | None = None
    zoom_factor: float = 1.0
    orientation: int = 1
    cut: bool = False
    times: int = 1
    whole_width_px: int = 0
    whole_height_px: int = 0


@dataclass(frozen=True)
class Sight:
    """What was found in one photo: corners of the board with their numbers, edges, light.

    `layout_frac` is the share of the markers that lie where this board has them, NaN where none was found;
    `sharp_index` is the strength of fine detail against that of all tones.
    """

    shot: Shot
    ids: NDArray[np.int32]
    corners_px: FloatArray
    markers: int
    layout_frac: float
    edge_px: float
    black_frac: float
    blown_frac: float
    sharp_index: float


def look(grey: Grey, shot: Shot, board: Board) -> Sight:
    """Find the board in one photo and judge the photo by itself.

    Parameters
    ----------
    grey : ndarray (h, w) uint8
        The upright photo in grey.
    shot : Shot
        What is known of it.
    board : Board
        The board that should lie in it.

    Returns
    -------
    Sight
        Also where nothing was found; whoever calls judges it.

    Source
    ------
    own: corners are found by OpenCV.

    Examples
    --------
    >>> blank = np.full((60, 80), 200, dtype=np.uint8)
    >>> look(blank, Shot("a", 80, 60), Board(8, 6, 24.0)).markers
    0
    """
    cv2 = opencv()
    how = cv2.aruco.CharucoParameters()
    # Beside a pot a corner often has one of its two markers hidden; bad ones are cut later.
    how.minMarkers = 1
    detector = cv2.aruco.CharucoDetector(opencv_board(board), how)
    corners, ids, markers, marker_ids = detector.detectBoard(grey)
    found = ids is not None and len(ids) > 0
    corners_px = np.asarray(corners, dtype=np.float64).reshape(-1, 2) if found else np.zeros((0, 2))
    numbers = np.asarray(ids, dtype=np.int32).ravel() if found else np.zeros(0, dtype=np.int32)
    if found:
        numbers, corners_px = _on_one_plane(grey, board, numbers, corners_px)
    count = 0 if marker_ids is None else len(marker_ids)
    return replace(
        light_only(grey, shot),
        ids=numbers,
        corners_px=corners_px,
        markers=count,
        layout_frac=_layout(board, markers, marker_ids) if count else float("nan"),
        edge_px=edge_width_px(grey, markers) if count else float("nan"),
    )


def _on_one_plane(
    grey: Grey, board: Board, ids: NDArray[np.int32], corners_px: FloatArray
) -> tuple[NDArray[np.int32], FloatArray]:
    """Corners looked for closely, less those that no plane can have (the bend of a lens is far less)."""
    cv2 = opencv()
    if len(ids) < _LEAST_OF_PLANE:
        return ids, corners_px
    slack_px = threshold("sight", "plane_slack_frac") * float(np.linalg.norm(np.ptp(corners_px, axis=0)))
    flat = board.corners_mm()[ids][:, :2]
    matrix, inside = cv2.findHomography(flat, corners_px, cv2.RANSAC, max(slack_px, 1.0))
    if matrix is None:
        return ids, corners_px
    near = inside.ravel() > 0
    return refined(grey, board, ids[near], np.asarray(matrix, dtype=np.float64))


def light_only(grey: Grey, shot: Shot) -> Sight:
    """A photo without a board, judged by its light alone.

    Parameters
    ----------
    grey : ndarray (h, w) uint8
        The upright photo in grey.
    shot : Shot
        What is known of it.

    Returns
    -------
    Sight
        Without corners.

    Source
    ------
    own.

    Examples
    --------
    >>> light_only(np.zeros((4, 4), dtype=np.uint8), Shot("a", 4, 4)).black_frac
    1.0
    """
    return Sight(
        shot=shot,
        ids=np.zeros(0, dtype=np.int32),
        corners_px=np.zeros((0, 2)),
        markers=0,
        layout_frac=float("nan"),
        edge_px=float("nan"),
        black_frac=float(np.mean(grey < threshold("picture", "black_below"))),
        blown_frac=float(np.mean(grey > threshold("picture", "blown_above"))),
        sharp_index=_detail(grey),
    )


def _detail(grey: Grey) -> float:
    """Strength of fine detail (behind a smoothing that takes the grain away) against that of all tones."""
    cv2 = opencv()
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.0)
    fine = cv2.Laplacian(smooth, cv2.CV_32F)
    return float(np.std(fine) / max(float(np.std(smooth.astype(np.float32))), 1.0))


def _layout(board: Board, markers: Any, marker_ids: Any) -> float:
    """Share of the found markers that lie where one plane with this board's layout puts them."""
    cv2 = opencv()
    made = opencv_board(board)
    places = {
        int(number): np.asarray(corners, dtype=np.float64)[:, :2].mean(axis=0)
        for number, corners in zip(made.getIds().ravel(), made.getObjPoints(), strict=True)
    }
    ids = [int(number) for number in np.asarray(marker_ids).ravel()]
    seen = np.array([np.asarray(each, dtype=np.float64).reshape(4, 2).mean(axis=0) for each in markers])
    known = np.array([number in places for number in ids])
    if known.sum() < 4:
        return float(known.mean())
    flat = np.array([places[number] for number in np.array(ids)[known]])
    slack_px = threshold("sight", "layout_slack_frac") * float(np.linalg.norm(np.ptp(seen, axis=0)))
    matrix, inside = cv2.findHomography(flat, seen[known], cv2.RANSAC, slack_px)
    return 0.0 if matrix is None else float(np.sum(inside)) / len(ids)


def edge_width_px(grey: Grey, markers: Any) -> float:
    """How many pixels the edges of the markers take from dark to light: the median over their sides.

    Parameters
    ----------
    grey : ndarray (h, w) uint8
        The photo.
    markers : sequence of ndarray (1, 4, 2)
        Corners of the markers.

    Returns
    -------
    float
        Width between a tenth and nine tenths of the step; NaN where no side is long enough.

    Source
    ------
    own.

    Examples
    --------
    >>> edge = np.zeros((40, 40), dtype=np.uint8)
    >>> edge[10:30, 10:30] = 255
    >>> marker = np.array([[[9.5, 9.5], [29.5, 9.5], [29.5, 29.5], [9.5, 29.5]]])
    >>> bool(edge_width_px(edge, [marker]) < 1.5)
    True
    """
    cv2 = opencv()
    reach_px = 10.0
    offsets = np.linspace(-reach_px, reach_px, 81)
    widths = []
    for marker in markers:
        corners = np.asarray(marker, dtype=np.float64).reshape(4, 2)
        for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
            along = end - start
            length = float(np.hypot(*along))
            reach = min(reach_px, 0.14 * length)  # one cell of the border: neither cells nor squares beyond
            if length < 12.0:
                continue
            normal = np.array([along[1], -along[0]]) / length
            shares = np.linspace(0.3, 0.7, 9)
            places = start + shares[:, None, None] * along + (offsets[:, None] * reach / reach_px) * normal
            flat = places.astype(np.float32).reshape(-1, 1, 2)
            values = cv2.remap(grey, flat, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
            profile = values.reshape(len(shares), -1).astype(np.float64).mean(axis=0)
            widths.append(_rise(profile, offsets * reach / reach_px))
    kept = [width for width in widths if np.isfinite(width)]
    return float(np.median(kept)) if kept else float("nan")


def _rise(profile: FloatArray, offsets_px: FloatArray) -> float:
    """Width of a step by its steepest slope, as a blurred edge has it between one and nine tenths."""
    low, high = float(profile.min()), float(profile.max())
    if high - low < 20.0:
        return float("nan")
    slope = float(np.abs(np.gradient(profile, offsets_px)).max())
    return (high - low) / slope


def small_jpeg(values: NDArray[np.uint8], longest_px: int) -> tuple[bytes, float]:
    """A small copy of a picture for looking at.

    Parameters
    ----------
    values : ndarray (h, w, 3) uint8
        Red, green, blue.
    longest_px : int
        Its longer side at most.

    Returns
    -------
    (bytes, float)
        A JPEG, and its size against the picture.

    Source
    ------
    own.

    Examples
    --------
    >>> small_jpeg(np.zeros((40, 80, 3), dtype=np.uint8), 20)[1]
    0.25
    """
    cv2 = opencv()
    share = min(1.0, longest_px / max(values.shape[:2]))
    size = (round(values.shape[1] * share), round(values.shape[0] * share))
    small = values if share == 1.0 else cv2.resize(values, size, interpolation=cv2.INTER_AREA)
    _done, content = cv2.imencode(".jpg", small[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, 82])
    return bytes(content), share
