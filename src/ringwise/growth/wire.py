"""What wire leaves when it comes off: the bend that new wood holds."""

from __future__ import annotations

from ringwise.kit.errors import out_of_range


def kept_bend_frac(radius_before_mm: float, radius_after_mm: float) -> float:
    """Share of a bend that stays when a wire comes off after the wood has thickened.

    Parameters
    ----------
    radius_before_mm : float
        Radius when it was bent, in mm.
    radius_after_mm : float
        Radius when it is released, in mm.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    RangeError
        If the first radius is not above 0 or the second is smaller.

    Source
    ------
    own: elastic beam, stiffness with the fourth power of the radius: 1 - (r0 / r1)^4. Wood also creeps,
    so this is the least that stays.

    Examples
    --------
    >>> round(kept_bend_frac(5.0, 5.5), 3)
    0.317
    """
    if not radius_before_mm > 0:
        raise out_of_range("radius when bent", f"{radius_before_mm} mm", "above 0 mm")
    if radius_after_mm < radius_before_mm:
        raise out_of_range("radius when released", f"{radius_after_mm} mm", f"{radius_before_mm} mm or more")
    return float(1.0 - (radius_before_mm / radius_after_mm) ** 4)
