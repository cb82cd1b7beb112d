"""The thickness of an axis at its nodes as it is drawn."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.table import SegmentTable


def upper_radius_mm(table: SegmentTable) -> FloatArray:
    """Radius at the upper end of each segment as drawn: that of the segment that goes on, else its own end.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    (n,) float
        Radii, in mm.

    Source
    ------
    own: an axis has one radius at each of its nodes, so that no step is drawn.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> upper_radius_mm(single_segment(length_mm=40.0, diameter_mm=3.0)).round(3).tolist()
    [0.9]
    """
    child = table.continued_by
    own = table.diameter_mm
    out: FloatArray = np.where(child >= 0, own[child], table.end_diameter_mm) / 2.0
    return out
