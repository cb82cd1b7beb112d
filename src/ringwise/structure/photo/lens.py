"""Lenses: how one camera bends and enlarges, calibrated once from photos of the loose board, and stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError, NotReadyError
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.photo.board import Board, threshold
from ringwise.structure.photo.refusal import Refused
from ringwise.structure.photo.sight import Shot, Sight
from ringwise.structure.photo.solving import Fitted, fit_lens, trimmed

_KEYS = ("make", "model", "focal_mm", "focal_35_mm", "width_px", "height_px", "f_px", "cx_px", "cy_px", "k1")


@dataclass(frozen=True)
class Lens:
    """A lens at one focal length; pixels as the sensor lies (orientation 1), of a picture of this size."""

    make: str
    model: str
    focal_mm: float | None
    focal_35_mm: float | None
    width_px: int
    height_px: int
    f_px: float
    cx_px: float
    cy_px: float
    k1: float

    def fits(self, shot: Shot) -> bool:
        """Whether a photo was taken with this lens.

        Parameters
        ----------
        shot : Shot
            What the photo says.

        Returns
        -------
        bool
            By make, model, focal length, zoom and proportion of the sides.
        """
        slack = threshold("picture", "focal_slack_frac")
        sideways = shot.orientation >= 5
        width, height = (shot.height_px, shot.width_px) if sideways else (shot.width_px, shot.height_px)
        aspect = (width / height) / (self.width_px / self.height_px)
        pairs = ((self.focal_mm, shot.focal_mm), (self.focal_35_mm, shot.focal_35_mm))
        alike = all(
            (a is None) == (b is None) and (a is None or b is None or abs(a - b) <= slack * a)
            for a, b in pairs
        )
        return (
            (self.make, self.model) == (shot.make, shot.model)
            and alike
            and not shot.cut
            and abs(shot.zoom_factor - 1.0) <= slack
            and abs(aspect - 1.0) <= threshold("picture", "aspect_slack_frac")
        )

    def matrix(self, shot: Shot) -> FloatArray:
        """K for the upright picture of a photo.

        Parameters
        ----------
        shot : Shot
            Of this lens; another size of picture and a turned camera are taken into account.

        Returns
        -------
        ndarray (3, 3)
            K.

        Examples
        --------
        >>> lens = Lens("", "", None, None, 400, 300, 500.0, 210.0, 140.0, 0.0)
        >>> lens.matrix(Shot("a", 400, 300)).tolist()
        [[500.0, 0.0, 210.0], [0.0, 500.0, 140.0], [0.0, 0.0, 1.0]]
        >>> lens.matrix(Shot("a", 800, 600, orientation=3))[:2, 2].tolist()
        [378.5, 318.5]
        """
        sideways = shot.orientation >= 5
        wide = shot.height_px if sideways else shot.width_px
        scale = wide / self.width_px
        x = (self.cx_px + 0.5) * scale - 0.5
        y = (self.cy_px + 0.5) * scale - 0.5
        last_x, last_y = self.width_px * scale - 1.0, self.height_px * scale - 1.0
        centre = {  # EXIF 2.32, tag Orientation (recalled): which edge the first row and column are
            1: (x, y),
            2: (last_x - x, y),
            3: (last_x - x, last_y - y),
            4: (x, last_y - y),
            5: (y, x),
            6: (last_y - y, x),
            7: (last_y - y, last_x - x),
            8: (y, last_x - x),
        }[shot.orientation]
        f_px = self.f_px * scale
        return np.array([[f_px, 0.0, centre[0]], [0.0, f_px, centre[1]], [0.0, 0.0, 1.0]])

    def to_json(self) -> dict[str, Any]:
        """Plain values, as `lens_from_json` reads them."""
        return {key: getattr(self, key) for key in _KEYS}


def lens_from_json(data: Mapping[str, Any]) -> Lens:
    """A lens as it was stored.

    Parameters
    ----------
    data : mapping
        As `Lens.to_json` gives it.

    Returns
    -------
    Lens
        Checked for its keys.

    Raises
    ------
    FileFormatError
        If a key is missing.

    Source
    ------
    own.

    Examples
    --------
    >>> lens = Lens("a", "b", 4.2, 26.0, 4000, 3000, 2900.0, 2010.0, 1490.0, -0.02)
    >>> lens_from_json(lens.to_json()) == lens
    True
    """
    missing = [key for key in _KEYS if key not in data]
    if missing:
        raise FileFormatError(_("the stored lens lacks {keys}").format(keys=", ".join(missing)))
    return Lens(**{key: data[key] for key in _KEYS})


@dataclass(frozen=True)
class LensFit:
    """A lens with how it was found."""

    lens: Lens
    photos: int
    rms_px: float
    spread_frac: float
    refused: tuple[Refused, ...]


def calibrate_lens(sights: Sequence[Sight], board: Board, refused: Sequence[Refused] = ()) -> LensFit:
    """A lens from photos of the loose board, tilted freely: focal length, middle and bend.

    Photos of a board that only turns about its own upright do not fix the middle of the lens, whatever the
    misfit at the board says; such a set is refused.

    Parameters
    ----------
    sights : sequence of Sight
        Sound ones, of one camera.
    board : Board
        As printed.
    refused : sequence of Refused
        Photos that were left out already, handed on.

    Returns
    -------
    LensFit
        The lens, and how well it fits.

    Raises
    ------
    NotReadyError
        If there are too few photos, or the board was not tilted to different sides.

    Source
    ------
    own: rows lens of photo.csv; which poses of a plane leave a camera undetermined: Sturm and Maybank 1999
    (recalled).

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_sights
    >>> try:
    ...     calibrate_lens(sample_sights(), SAMPLE_BOARD)
    ... except NotReadyError as error:
    ...     print(error.message[:48])
    the board was not tilted to different sides (spr
    """
    least = int(threshold("lens", "least_photos"))
    if len(sights) < least:
        raise NotReadyError(
            _(
                "a lens needs {least} sound photos of the loose board and has {n}; take more, tilted freely."
            ).format(least=least, n=len(sights))
        )
    first = fit_lens(sights, board, free_centre=False)
    sights = trimmed(sights, board, [first.k] * len(sights), first)
    held = fit_lens(sights, board, free_centre=False)
    spread = tilt_spread(held)
    if spread < threshold("lens", "least_tilt_frac"):
        raise NotReadyError(
            _(
                "the board was not tilted to different sides (spread {spread:.2f}, needed {least:.2f}), so "
                "the middle of the lens stays open; hold the loose board tilted left, right, up and down."
            ).format(spread=spread, least=threshold("lens", "least_tilt_frac"))
        )
    free = fit_lens(sights, board, free_centre=True)
    slack = threshold("lens", "f_agrees_frac")
    if abs(free.k[0, 0] / held.k[0, 0] - 1.0) > slack:
        raise NotReadyError(
            _(
                "the focal length is {free:.0f} pixels with a free middle and {held:.0f} with it held; "
                "take more photos of the loose board, tilted freely and near the edges of the frame."
            ).format(free=free.k[0, 0], held=held.k[0, 0])
        )
    return LensFit(_lens(sights[0].shot, free), len(sights), free.rms_px, spread, tuple(refused))


def _lens(shot: Shot, free: Fitted) -> Lens:
    return Lens(
        shot.make,
        shot.model,
        shot.focal_mm,
        shot.focal_35_mm,
        shot.width_px,
        shot.height_px,
        float(free.k[0, 0]),
        float(free.k[0, 2]),
        float(free.k[1, 2]),
        free.k1,
    )


def tilt_spread(fitted: Fitted) -> float:
    """How far the board's upright, as the cameras saw it, spreads in its narrower direction.

    Parameters
    ----------
    fitted : Fitted
        Poses of all photos.

    Returns
    -------
    float
        Second singular value of the spread of unit vectors; 0 for a board turned about its own upright.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import SAMPLE_BOARD, sample_sights
    >>> turned = fit_lens(sample_sights(), SAMPLE_BOARD, free_centre=False)
    >>> round(tilt_spread(turned), 2)
    0.0
    """
    uprights = np.array([rotation[:, 2] for rotation in fitted.rotations])
    apart = uprights - uprights.mean(axis=0)
    values = np.linalg.svd(apart, compute_uv=False)
    return float(values[1] / np.sqrt(len(uprights)))
