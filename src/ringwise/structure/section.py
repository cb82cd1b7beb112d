"""The trunk's outline at a height, with its girth as a tape reads it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwise.kit.errors import StructureError
from ringwise.kit.words import _
from ringwise.structure.girth import LEAST_DIRECTIONS, outline_girth_mm


@dataclass(frozen=True)
class Section:
    """The trunk's outline at a height: radii about its axis, every 360/m degrees from +x anticlockwise.

    The girth is that of a tape, which bridges hollows. Height in mm above the soil.
    """

    height_mm: float
    girth_mm: float
    girth_sd_mm: float
    radii_mm: NDArray[Any]

    def __post_init__(self) -> None:
        radii = np.array(self.radii_mm, dtype=np.float32)
        radii.flags.writeable = False
        object.__setattr__(self, "radii_mm", radii)


def section_of(height_mm: float, radii_mm: ArrayLike, *, girth_sd_mm: float = np.nan) -> Section:
    """A section with its girth reckoned from its radii.

    Parameters
    ----------
    height_mm : float
        Above the soil.
    radii_mm : (m,) float
        About the trunk's axis, every 360/m degrees from +x, anticlockwise from above.
    girth_sd_mm : float
        Spread of the girth; NaN where nobody can say.

    Returns
    -------
    Section
        With the girth of a tape.

    Raises
    ------
    RangeError
        For fewer than three radii.

    Source
    ------
    own: `outline_girth_mm`.

    Examples
    --------
    >>> round(section_of(30.0, [25.0] * 24).girth_mm, 2)
    157.08
    """
    return Section(height_mm, outline_girth_mm(radii_mm), girth_sd_mm, np.asarray(radii_mm))


def check_section(section: Section) -> None:
    """Nothing when the outline can be one, else an error that names its height and why.

    Parameters
    ----------
    section : Section
        Any.

    Raises
    ------
    StructureError
        For a height, girth, spread or radius that cannot be.

    Source
    ------
    own.

    Examples
    --------
    >>> check_section(section_of(30.0, [25.0] * 24))
    """
    where = _("section at {mm} mm").format(mm=f"{section.height_mm:g}")
    radii = section.radii_mm
    if not np.isfinite(section.height_mm):
        raise StructureError(_("its height is no number"), where=where)
    if len(radii) < LEAST_DIRECTIONS or not (np.isfinite(radii) & (radii > 0)).all():
        raise StructureError(_("it needs three or more radii above 0"), where=where)
    if not (np.isfinite(section.girth_mm) and section.girth_mm > 0):
        raise StructureError(_("its girth is not positive"), where=where)
    if section.girth_sd_mm < 0 or np.isinf(section.girth_sd_mm):
        raise StructureError(_("the spread of its girth is negative or infinite"), where=where)
