"""Cameras of a set of photos round a tree on its board, and the photos that cannot be used.

A board that turns about its own upright before one camera does not fix the middle of the lens: such a fit is
perfect at the board and far off at the crown. So the lens is either known from an earlier calibration, or its
middle is held at the middle of the picture and only focal length and bend are solved for ("coarse").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.errors import InputError, NotReadyError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.cameras import Camera
from ringwise.structure.photo.board import Board, threshold
from ringwise.structure.photo.lens import Lens
from ringwise.structure.photo.refusal import (
    Refused,
    refused_as_double,
    refused_as_soft,
    refused_by_blur,
    refused_by_board,
    refused_by_camera,
    refused_by_light,
)
from ringwise.structure.photo.sight import Sight
from ringwise.structure.photo.solving import Fitted, centred_k, fit_lens, fit_poses, trimmed

STORED, COARSE = "stored", "coarse"  # where the lens is from


@dataclass(frozen=True)
class Round:
    """How the cameras stand about the tree: angles seen from above, heights above the board's plane."""

    azimuths_deg: FloatArray
    elevations_deg: FloatArray
    distances_mm: FloatArray
    largest_gap_deg: float
    gap_at_deg: float

    @property
    def one_height(self) -> bool:
        """Whether all photos were taken from about one height."""
        spread_deg = float(np.ptp(self.elevations_deg)) if len(self.elevations_deg) else 0.0
        return spread_deg < threshold("round", "two_heights_deg")


@dataclass(frozen=True)
class Calibration:
    """Cameras of the sound photos, and what was left out; `lens` is stored or coarse."""

    cameras: tuple[Camera, ...]
    refused: tuple[Refused, ...]
    lens: str
    misfits_px: FloatArray
    round: Round

    @property
    def rms_px(self) -> float:
        """Misfit at the board; small also where the cameras are wrong, so no measure of trust."""
        return float(np.sqrt(np.mean(self.misfits_px**2)))


def calibrate(
    sights: Sequence[Sight], board: Board, *, lens: Lens | None = None, refused: Sequence[Refused] = ()
) -> Calibration:
    """Cameras from the board in each photo.

    Parameters
    ----------
    sights : sequence of Sight
        All photos that could be read.
    board : Board
        As printed.
    lens : Lens, optional
        The calibrated lens of these photos; without it the middle of the picture is held.
    refused : sequence of Refused
        Photos that did not even read, handed on.

    Returns
    -------
    Calibration
        Cameras with world coordinates on the board, and the refused photos.

    Raises
    ------
    NotReadyError
        If too few sound photos are left, or they leave a side of the tree unseen; the line names the refused
        photos.

    Source
    ------
    own: prototype on simulated photos; Sturm and Maybank 1999 (recalled) for what a plane leaves open.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_cameras, sample_sights
    >>> made = calibrate(sample_sights(), SAMPLE_BOARD)
    >>> made.lens, len(made.cameras), round(made.cameras[0].k[0, 0])
    ('coarse', 12, 900)
    """
    left_out = list(refused)
    sound = list(sights)
    for judged in (
        [each for each in map(refused_by_light, sound) if each is not None],
        refused_by_camera([sight.shot for sight in sound]),
        refused_as_soft(sound),
        [each for each in map(refused_by_board, sound) if each is not None],
    ):
        left_out += [each for each in judged if each.name not in {one.name for one in left_out}]
    sound = _without(sound, left_out)
    for judge in (refused_by_blur, refused_as_double):
        left_out += judge(sound)
        sound = _without(sound, left_out)
    _check_count(len(sound), left_out)
    first = _fitted(sound, board, lens)
    sound = trimmed(sound, board, _matrices(sound, lens, first), first)
    fitted = _fitted(sound, board, lens)
    left_out += _misfits(sound, board, fitted)
    kept = _without(sound, left_out)
    if len(kept) < len(sound):
        _check_count(len(kept), left_out)
        fitted, sound = _fitted(kept, board, lens), kept
    ks = _matrices(sound, lens, fitted)
    cameras = tuple(
        Camera(sight.shot.name, k, rotation, shift, fitted.k1, sight.shot.width_px, sight.shot.height_px)
        for sight, k, rotation, shift in zip(sound, ks, fitted.rotations, fitted.shifts_mm, strict=True)
    )
    about = round_of(cameras)
    check_round(about, left_out)
    source = COARSE if lens is None else STORED
    return Calibration(cameras, tuple(left_out), source, fitted.misfits_px, about)


def _without(sights: Sequence[Sight], refused: Sequence[Refused]) -> list[Sight]:
    names = {each.name for each in refused}
    return [sight for sight in sights if sight.shot.name not in names]


def _fitted(sights: Sequence[Sight], board: Board, lens: Lens | None) -> Fitted:
    if lens is None:
        return fit_lens(sights, board, free_centre=False)
    return fit_poses(sights, board, [lens.matrix(sight.shot) for sight in sights], lens.k1)


def _matrices(sights: Sequence[Sight], lens: Lens | None, fitted: Fitted) -> list[FloatArray]:
    if lens is not None:
        return [lens.matrix(sight.shot) for sight in sights]
    return [centred_k(sight.shot, float(fitted.k[0, 0])) for sight in sights]


def _misfits(sights: Sequence[Sight], board: Board, fitted: Fitted) -> list[Refused]:
    usual = float(np.median(fitted.misfits_px))
    judged = (
        _misfit(sight, board, float(off), usual, float(fitted.k[0, 0]))
        for sight, off in zip(sights, fitted.misfits_px, strict=True)
    )
    return [each for each in judged if each is not None]


def _misfit(sight: Sight, board: Board, off_px: float, usual_px: float, f_px: float) -> Refused | None:
    """A photo on which the board fits no pose: zoomed where another focal length makes it fit, else bent."""
    limit = threshold("sight", "rms_px")
    if off_px <= min(limit, threshold("sight", "far_factor") * usual_px):
        return None
    alone = fit_lens([sight], board, free_centre=False)
    zoom = float(alone.k[0, 0]) / f_px
    if alone.rms_px < 0.5 * off_px and abs(zoom - 1.0) > threshold("lens", "f_agrees_frac"):
        return Refused(
            sight.shot.name,
            _("it is enlarged {zoom:.2f} times against the others, by zoom or by a cut").format(zoom=zoom),
            _("Take it again with the same lens and without zoom, and give it as the camera made it."),
        )
    if off_px <= limit:
        return None
    return Refused(
        sight.shot.name,
        _("the corners of the board lie {off:.1f} pixels off a flat board").format(off=off_px),
        _("Lay the board flat, glue it down, and take the photo again with the lens of the others."),
    )


def _check_count(sound: int, refused: Sequence[Refused]) -> None:
    least = int(threshold("round", "least_views"))
    if sound >= least:
        return
    raise NotReadyError(
        _("{n} sound photos are too few, {least} all round are needed; 24 from two heights are good.").format(
            n=sound, least=least
        )
        + refused_words(refused)
    )


def refused_words(refused: Sequence[Refused]) -> str:
    """The refused photos at the end of a line.

    Parameters
    ----------
    refused : sequence of Refused
        Any.

    Returns
    -------
    str
        Blank where there are none.

    Source
    ------
    own.

    Examples
    --------
    >>> refused_words([Refused("a.jpg", "it is black", "Take it again.")])
    ' Left out: a.jpg: it is black. Take it again.'
    """
    if not refused:
        return ""
    return " " + _("Left out: {photos}").format(photos=" ".join(each.line for each in refused))


def round_of(cameras: Sequence[Camera], middle_mm: FloatArray | None = None) -> Round:
    """How cameras stand about the tree.

    Parameters
    ----------
    cameras : sequence of Camera
        At least one.
    middle_mm : ndarray (3,), optional
        Where the tree stands; the origin by default.

    Returns
    -------
    Round
        Angles from +x (the right), anticlockwise from above.

    Source
    ------
    own.

    Examples
    --------
    >>> places = [[-np.cos(a), -np.sin(a), 0] for a in (0, 1, 2)]
    >>> k = np.diag([1.0, 1.0, 1.0])
    >>> round(round_of([Camera(str(t), k, np.eye(3), t) for t in places]).largest_gap_deg)
    245
    """
    centres = np.array([camera.centre_mm for camera in cameras])
    apart = centres - (np.zeros(3) if middle_mm is None else middle_mm)
    flat = np.hypot(apart[:, 0], apart[:, 1])
    azimuths_deg = np.degrees(np.arctan2(apart[:, 1], apart[:, 0])) % 360.0
    order = np.sort(azimuths_deg)
    gaps = np.diff(np.append(order, order[0] + 360.0))
    widest = int(np.argmax(gaps))
    return Round(
        azimuths_deg=azimuths_deg,
        elevations_deg=np.degrees(np.arctan2(apart[:, 2], flat)),
        distances_mm=np.linalg.norm(apart, axis=1),
        largest_gap_deg=float(gaps[widest]),
        gap_at_deg=float((order[widest] + 0.5 * gaps[widest]) % 360.0),
    )


def check_round(about: Round, refused: Sequence[Refused] = ()) -> None:
    """Whether the photos see the tree from all sides.

    Parameters
    ----------
    about : Round
        Of the cameras.
    refused : sequence of Refused
        Named in the line.

    Raises
    ------
    NotReadyError
        If there are too few, or they leave a gap.

    Source
    ------
    own: rows round of photo.csv.

    Examples
    --------
    >>> check_round(Round(np.arange(0, 360, 30.0), np.zeros(12), np.ones(12), 30.0, 15.0))
    """
    _check_count(len(about.azimuths_deg), refused)
    limit = threshold("round", "largest_gap_deg")
    if about.largest_gap_deg > limit:
        clock = round(6.0 - (about.gap_at_deg - 270.0) / 30.0) % 12 or 12
        raise NotReadyError(
            _(
                "no photo sees the tree from about {clock} o'clock (front at 6): a gap of {gap:.0f} degrees, "
                "at most {limit:.0f} will do; take photos all round, every 30 degrees."
            ).format(clock=clock, gap=about.largest_gap_deg, limit=limit)
            + refused_words(refused)
        )


def check_row(board: Board, squares: int, row_mm: float) -> None:
    """Whether a row of squares measured with a ruler says what the board is taken to be.

    Parameters
    ----------
    board : Board
        As it is taken.
    squares : int
        How many squares were measured.
    row_mm : float
        Their length by the ruler.

    Raises
    ------
    InputError
        If the two differ, with the square that the ruler says.

    Source
    ------
    own: rows pot of photo.csv.

    Examples
    --------
    >>> check_row(Board(16, 11, 24.0), 10, 240.5)
    """
    side = row_mm / squares
    if abs(side / board.square_mm - 1.0) <= threshold("pot", "row_slack_frac"):
        return
    raise InputError(
        _(
            "the board was printed at {share:.1%} of its size: {n} squares measure {row:g} mm, so a square "
            "is {side:.2f} mm and not {given:g} mm. Give --square {side:.2f}mm, or print again at 100 %."
        ).format(share=side / board.square_mm, n=squares, row=row_mm, side=side, given=board.square_mm)
    )


def check_pot(measured_mm: float, known_mm: tuple[float, float], square_mm: float) -> None:
    """Whether the pot's width as measured agrees with its width as known.

    Parameters
    ----------
    measured_mm : float
        From the photos.
    known_mm : tuple of float
        Least and most outside width; a record that gives the inside leaves room for the walls.
    square_mm : float
        The square that the board is taken to have.

    Raises
    ------
    InputError
        If they differ, with the square that the pot would speak for.

    Source
    ------
    own: rows pot of photo.csv.

    Examples
    --------
    >>> check_pot(241.0, (240.0, 240.0), 24.0)
    """
    slack = threshold("pot", "width_slack_frac")
    low, high = known_mm
    if low * (1.0 - slack) <= measured_mm <= high * (1.0 + slack):
        return
    nearest = min(max(measured_mm, low), high)
    raise InputError(
        _(
            "the pot measures {measured:.0f} mm on the photos and is {known:.0f} mm wide, so the board is "
            "not of the size given ({square:g} mm a square; the pot would speak for {side:.1f} mm). "
            "Measure a row of squares with a ruler and give the side of a square of the board."
        ).format(
            measured=measured_mm,
            known=nearest,
            square=square_mm,
            side=square_mm * nearest / measured_mm,
        )
    )
