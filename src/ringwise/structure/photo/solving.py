"""The arithmetic behind cameras: lens and poses from corners of the board, by least squares."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import Board, threshold
from ringwise.structure.photo.looking import opencv
from ringwise.structure.photo.sight import Shot, Sight

_MOST_ROUNDS = 60
_FULL_FRAME_MM = 36.0  # the longer side of the frame that a focal length "on full frame" refers to


@dataclass(frozen=True)
class Fitted:
    """A lens with the pose of the world in each photo; `misfits_px` is the RMS at the board, a photo each."""

    k: FloatArray
    k1: float
    rotations: tuple[FloatArray, ...]
    shifts_mm: tuple[FloatArray, ...]
    misfits_px: FloatArray

    @property
    def rms_px(self) -> float:
        """Over all photos."""
        return float(np.sqrt(np.mean(self.misfits_px**2)))


def object_mm(sight: Sight, board: Board) -> FloatArray:
    """Places in the world of the corners seen in a photo.

    Parameters
    ----------
    sight : Sight
        Of one photo.
    board : Board
        As printed.

    Returns
    -------
    ndarray (n, 3)
        In the order of `sight.ids`.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_sights
    >>> object_mm(sample_sights()[0], SAMPLE_BOARD).shape
    (35, 3)
    """
    return board.corners_mm()[sight.ids]


def centred_k(shot: Shot, f_px: float | None = None) -> FloatArray:
    """K with the middle of the picture as the middle of the lens.

    Parameters
    ----------
    shot : Shot
        What the photo says; the focal length on full frame gives a first guess.
    f_px : float, optional
        The focal length, where it is known.

    Returns
    -------
    ndarray (3, 3)
        K.

    Source
    ------
    own.

    Examples
    --------
    >>> centred_k(Shot("a", 1600, 1200), 2000.0)[0].tolist()
    [2000.0, 0.0, 799.5]
    """
    longer = max(shot.width_px, shot.height_px)
    if f_px is None:
        f_px = longer * threshold("lens", "first_guess_ratio")
        if shot.focal_35_mm:
            f_px = longer * shot.focal_35_mm / _FULL_FRAME_MM
    middle = 0.5 * (shot.width_px - 1), 0.5 * (shot.height_px - 1)
    return np.array([[f_px, 0.0, middle[0]], [0.0, f_px, middle[1]], [0.0, 0.0, 1.0]])


def fit_lens(sights: Sequence[Sight], board: Board, *, free_centre: bool) -> Fitted:
    """Focal length (one for both axes), bend and poses from all photos; the middle held or free.

    Parameters
    ----------
    sights : sequence of Sight
        Of one camera and size.
    board : Board
        As printed.
    free_centre : bool
        Whether the middle of the lens is solved for too.

    Returns
    -------
    Fitted
        K, k1 and poses.

    Source
    ------
    own: least squares by OpenCV.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_sights
    >>> round(fit_lens(sample_sights(), SAMPLE_BOARD, free_centre=False).k[0, 0])
    900
    """
    cv2 = opencv()
    shot = sights[0].shot
    objects = [object_mm(sight, board).astype(np.float32) for sight in sights]
    corners = [sight.corners_px.astype(np.float32) for sight in sights]
    flags = (
        cv2.CALIB_USE_INTRINSIC_GUESS
        | cv2.CALIB_FIX_ASPECT_RATIO
        | cv2.CALIB_ZERO_TANGENT_DIST
        | cv2.CALIB_FIX_K2
        | cv2.CALIB_FIX_K3
    )
    if not free_centre:
        flags |= cv2.CALIB_FIX_PRINCIPAL_POINT
    criteria = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, _MOST_ROUNDS, 1e-9)
    _rms, k, bend, turns, shifts = cv2.calibrateCamera(
        objects,
        corners,
        (shot.width_px, shot.height_px),
        centred_k(shot),
        np.zeros(5),
        flags=flags,
        criteria=criteria,
    )
    rotations = tuple(np.asarray(cv2.Rodrigues(turn)[0], dtype=np.float64) for turn in turns)
    shifts_mm = tuple(np.asarray(shift, dtype=np.float64).ravel() for shift in shifts)
    k = np.asarray(k, dtype=np.float64)
    k1 = float(np.asarray(bend).ravel()[0])
    misfits = [
        misfit_px(sight, board, k, k1, rotation, shift)
        for sight, rotation, shift in zip(sights, rotations, shifts_mm, strict=True)
    ]
    return Fitted(k, k1, rotations, shifts_mm, np.array(misfits))


def fit_poses(sights: Sequence[Sight], board: Board, ks: Sequence[FloatArray], k1: float) -> Fitted:
    """Poses alone, with a lens that is known.

    Parameters
    ----------
    sights : sequence of Sight
        Any.
    board : Board
        As printed.
    ks : sequence of ndarray (3, 3)
        K of each photo.
    k1 : float
        Of the lens.

    Returns
    -------
    Fitted
        With the first photo's K.

    Source
    ------
    own: poses of a plane by OpenCV.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras, sample_sights
    >>> ks = [each.k for each in sample_cameras()]
    >>> bool(fit_poses(sample_sights(), SAMPLE_BOARD, ks, 0.0).rms_px < 0.01)
    True
    """
    cv2 = opencv()
    bend = np.array([k1, 0.0, 0.0, 0.0, 0.0])
    rotations, shifts, misfits = [], [], []
    for sight, k in zip(sights, ks, strict=True):
        places = object_mm(sight, board)
        # a plane has two poses that look alike from afar: both are tried, the better one is refined
        _n, turns, moves, _errors = cv2.solvePnPGeneric(
            places, sight.corners_px, k, bend, flags=cv2.SOLVEPNP_IPPE
        )
        best = None
        for turn, move in zip(turns, moves, strict=True):
            turn, move = cv2.solvePnPRefineLM(places, sight.corners_px, k, bend, turn, move)
            rotation = np.asarray(cv2.Rodrigues(turn)[0], dtype=np.float64)
            shift = np.asarray(move, dtype=np.float64).ravel()
            off = misfit_px(sight, board, k, k1, rotation, shift)
            if best is None or off < best[0]:
                best = (off, rotation, shift)
        if best is None:
            raise AssertionError("a plane has a pose")
        misfits.append(best[0])
        rotations.append(best[1])
        shifts.append(best[2])
    return Fitted(ks[0], k1, tuple(rotations), tuple(shifts), np.array(misfits))


def trimmed(sights: Sequence[Sight], board: Board, ks: Sequence[FloatArray], fitted: Fitted) -> list[Sight]:
    """The same sights without corners that lie far off, as where a pot's edge was taken for one.

    Parameters
    ----------
    sights : sequence of Sight
        As fitted.
    board : Board
        As printed.
    ks : sequence of ndarray (3, 3)
        K of each photo.
    fitted : Fitted
        Poses.

    Returns
    -------
    list of Sight
        Those without a far corner are the same objects.

    Source
    ------
    own: rows sight of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras, sample_sights
    >>> ks = [each.k for each in sample_cameras()]
    >>> fitted = fit_poses(sample_sights(), SAMPLE_BOARD, ks, 0.0)
    >>> len(trimmed(sample_sights(), SAMPLE_BOARD, ks, fitted)[0].ids)
    35
    """
    kept = []
    for sight, k, rotation, shift in zip(sights, ks, fitted.rotations, fitted.shifts_mm, strict=True):
        off = offsets_px(sight, board, k, fitted.k1, rotation, shift)
        limit = max(threshold("sight", "far_px"), threshold("sight", "far_factor") * float(np.median(off)))
        near = off <= limit
        kept.append(
            sight if near.all() else replace(sight, ids=sight.ids[near], corners_px=sight.corners_px[near])
        )
    return kept


def misfit_px(
    sight: Sight, board: Board, k: FloatArray, k1: float, rotation: FloatArray, shift_mm: FloatArray
) -> float:
    """RMS distance between the corners as seen and as a camera would see them.

    Parameters
    ----------
    sight : Sight
        Of one photo.
    board : Board
        As printed.
    k, k1, rotation, shift_mm : ndarray, float
        The camera.

    Returns
    -------
    float
        In pixels.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras, sample_sights
    >>> camera = sample_cameras()[0]
    >>> misfit_px(sample_sights()[0], SAMPLE_BOARD, camera.k, 0.0, camera.r, camera.t_mm)
    0.0
    """
    return float(np.sqrt(np.mean(offsets_px(sight, board, k, k1, rotation, shift_mm) ** 2)))


def offsets_px(
    sight: Sight, board: Board, k: FloatArray, k1: float, rotation: FloatArray, shift_mm: FloatArray
) -> FloatArray:
    """Distance of each corner as seen from where a camera would see it.

    Parameters
    ----------
    sight : Sight
        Of one photo.
    board : Board
        As printed.
    k, k1, rotation, shift_mm : ndarray, float
        The camera.

    Returns
    -------
    ndarray (n,)
        In pixels.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras, sample_sights
    >>> camera = sample_cameras()[0]
    >>> offsets_px(sample_sights()[0], SAMPLE_BOARD, camera.k, 0.0, camera.r, camera.t_mm).max()
    np.float64(0.0)
    """
    camera = Camera(sight.shot.name, k, rotation, shift_mm, k1)
    seen, _depth = camera.project(object_mm(sight, board))
    return np.asarray(np.linalg.norm(seen - sight.corners_px, axis=1), dtype=np.float64)
