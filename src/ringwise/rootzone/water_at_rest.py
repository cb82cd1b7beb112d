"""Water of a filling at rest by thin slices: quick for many draws of a tilted pot with its many sections."""

from __future__ import annotations

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.rootzone.retention import RetentionCurve
from ringwise.rootzone.sections import Filling

_STEP_CM = 0.1  # thickness of the lowest slices
_STEP_RATIO = 0.06  # of a higher slice to its suction: there water changes with the ratio of suctions


def water_at_rest_cm3(filling: Filling, curve: RetentionCurve) -> FloatArray:
    """Water of a filling at rest, summed over thin slices: quick for the many slices of a tilted pot.

    Parameters
    ----------
    filling : Filling
        Sections of area by suction.
    curve : RetentionCurve
        With or without draws.

    Returns
    -------
    FloatArray
        In cm3, of the shape of the draws.

    Source
    ------
    milks1989: retention by suction over the height of the pot.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.retention import curve
    >>> from ringwise.rootzone.sections import pot_sections
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> round(float(water_at_rest_cm3(pot_sections(tray), curve(0.045, 0.43, [(1, 0.145, 2.68)]))))
    1487
    """
    heights, volumes = slices(filling, grow_ratio=_STEP_RATIO)
    return np.asarray(curve.theta_v(heights) @ volumes)


def slices(filling: Filling, *, grow_ratio: float = 0.0) -> tuple[FloatArray, FloatArray]:
    """A filling in thin slices.

    Parameters
    ----------
    filling : Filling
        Sections of area by suction.
    grow_ratio : float
        Thickness of the higher slices over their suction; 0 for slices all as thin as the lowest.

    Returns
    -------
    (FloatArray, FloatArray)
        Suction in the middle of each, in cm, and its exact volume, in cm3.

    Source
    ------
    own: geometry.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.sections import pot_sections
    >>> tray = pot_shape("rectangle", PotLengths(300, 200, 60))
    >>> round(float(slices(pot_sections(tray))[1].sum()))
    3600
    """
    heights, volumes = [], []
    for section in filling:
        edges = _edges_cm(section.low_cm, section.high_cm, grow_ratio)
        c0, c1, c2 = section.coefficients
        below = c0 * edges + c1 * edges**2 / 2 + c2 * edges**3 / 3
        heights.append((edges[1:] + edges[:-1]) / 2)
        volumes.append(np.diff(below))
    return np.concatenate(heights), np.concatenate(volumes)


def _edges_cm(low_cm: float, high_cm: float, grow_ratio: float) -> FloatArray:
    """Edges of slices between two suctions: evenly thin near the floor, thicker in proportion above."""
    bend_cm = high_cm if grow_ratio == 0 else min(max(_STEP_CM / grow_ratio, low_cm), high_cm)
    parts = max(1, int(np.ceil((bend_cm - low_cm) / _STEP_CM)))
    edges = np.linspace(low_cm, bend_cm, parts + 1) if bend_cm > low_cm else np.array([low_cm])
    if high_cm > bend_cm:
        above = max(1, int(np.ceil(np.log(high_cm / bend_cm) / grow_ratio)))
        edges = np.concatenate([edges, np.geomspace(bend_cm, high_cm, above + 1)[1:]])
    return edges
