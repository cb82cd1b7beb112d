"""Photos of one side laid on each other: two marked places give turn, scale, shift; the pot's rim gives size.

Places are in widths of their picture from its upper left, x to the right and y down, so that nothing depends
on how many pixels a picture has; angles are clockwise as seen.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import TypeAlias

from ringwise.kit.errors import RangeError, out_of_range
from ringwise.kit.words import _

Point: TypeAlias = tuple[float, float]
Pair: TypeAlias = tuple[Point, Point]

_ONE_PLACE = 1e-6  # widths; nearer than this, rounding alone decides the turn


@dataclass(frozen=True)
class Similarity:
    """First scaled and turned round the upper left, then shifted; shapes stay as they are."""

    scale_ratio: float
    angle_deg: float
    shift_x_ratio: float
    shift_y_ratio: float

    @property
    def _factor(self) -> complex:
        return cmath.rect(self.scale_ratio, math.radians(self.angle_deg))

    def laid(self, point: Point) -> Point:
        """Where a place comes to lie."""
        where = self._factor * complex(*point) + complex(self.shift_x_ratio, self.shift_y_ratio)
        return where.real, where.imag

    def then(self, other: Similarity) -> Similarity:
        """This one and after it another, as one."""
        shift = complex(*other.laid((self.shift_x_ratio, self.shift_y_ratio)))
        return _similarity(self._factor * other._factor, shift)

    @property
    def inverse(self) -> Similarity:
        """The one that takes this one back."""
        factor = 1.0 / self._factor
        return _similarity(factor, -factor * complex(self.shift_x_ratio, self.shift_y_ratio))

    @property
    def matrix(self) -> tuple[float, float, float, float, float, float]:
        """As a, b, c, d, e, f: x becomes a x + c y + e, y becomes b x + d y + f."""
        across, down = self._factor.real, self._factor.imag
        return across, down, -down, across, self.shift_x_ratio, self.shift_y_ratio


def _similarity(factor: complex, shift: complex) -> Similarity:
    return Similarity(abs(factor), math.degrees(cmath.phase(factor)), shift.real, shift.imag)


def in_widths(shares: Pair, width_px: int, height_px: int, *, mirrored: bool = False) -> Pair:
    """Two places given as shares of a picture's sides, in widths of the picture as it is shown.

    Parameters
    ----------
    shares : Pair
        Each from 0 to 1 across and down the upright picture before any mirroring.
    width_px, height_px : int
        Of the upright picture.
    mirrored : bool
        Whether it is shown with left and right exchanged.

    Returns
    -------
    Pair
        In widths.

    Raises
    ------
    RangeError
        If the picture has no size.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> in_widths(((0.25, 1.0), (0.5, 0.0)), 400, 300, mirrored=True)
    ((0.75, 0.75), (0.5, 0.0))
    """
    if width_px < 1 or height_px < 1:
        raise out_of_range(_("size of the picture"), f"{width_px} x {height_px} px", _("at least 1 x 1 px"))
    (x, y), (other_x, other_y) = shares
    tall = height_px / width_px
    if mirrored:
        x, other_x = 1.0 - x, 1.0 - other_x
    return (x, y * tall), (other_x, other_y * tall)


def alignment(points: Pair, reference_points: Pair) -> Similarity:
    """How a picture must be scaled, turned and shifted so that its two places fall on those of another.

    Parameters
    ----------
    points : Pair
        The places in the picture, in its widths.
    reference_points : Pair
        The same places in the picture on which it is laid, in the widths of that one.

    Returns
    -------
    Similarity
        From widths of the first to widths of the second.

    Raises
    ------
    RangeError
        If both places of a picture are one, or a number is not finite.

    Source
    ------
    own reasoning: in the plane of complex numbers a similarity is a factor and a shift; two places fix both.

    Examples
    --------
    >>> twice = alignment(((0.0, 0.0), (0.0, 0.5)), ((0.1, 0.0), (0.1, 1.0)))
    >>> twice.scale_ratio, twice.angle_deg, twice.laid((0.0, 0.25))
    (2.0, 0.0, (0.1, 0.5))
    """
    start, end = (complex(*point) for point in points)
    onto_start, onto_end = (complex(*point) for point in reference_points)
    for each in (end - start, onto_end - onto_start):
        if not abs(each) >= _ONE_PLACE or not cmath.isfinite(each):
            raise RangeError(_("both marked places of a photo are one; mark two that lie apart."))
    factor = (onto_end - onto_start) / (end - start)
    return _similarity(factor, onto_start - factor * start)


def mm_per_px(rim: Pair, rim_mm: float, width_px: int, height_px: int) -> float:
    """The scale of a photo at the pot: what is nearer to the camera than the rim is in truth smaller.

    Parameters
    ----------
    rim : Pair
        Both edges of the rim, as shares of the picture's sides.
    rim_mm : float
        How far apart they are in truth.
    width_px, height_px : int
        Of the upright picture.

    Returns
    -------
    float
        Millimetres a pixel.

    Raises
    ------
    RangeError
        If both edges are one place, or the rim has no width.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> mm_per_px(((0.1, 0.8), (0.9, 0.8)), 400.0, 1000, 800)
    0.5
    """
    if not rim_mm > 0:
        raise out_of_range(_("width of the rim"), f"{rim_mm:g} mm", _("more than 0 mm"))
    apart_px = _apart_px(rim, width_px, height_px)
    if not apart_px > 0:
        raise RangeError(_("both edges of the rim are marked in one place; mark them apart."))
    return rim_mm / apart_px


def _apart_px(pair: Pair, width_px: int, height_px: int) -> float:
    (x, y), (other_x, other_y) = in_widths(pair, width_px, height_px)
    return math.hypot(x - other_x, y - other_y) * width_px
