"""How a tree shares its growth among axes, and what a pot leaves of it."""

from __future__ import annotations

import math

import numpy as np

from ringwise.growth.biology import growth_parameter
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray


def split_vigour(
    vigour_n: float, main_n: float, lateral_n: float, control_ratio: float
) -> tuple[float, float]:
    """Vigour that passes to the continuing axis and to the side axes at a fork.

    Parameters
    ----------
    vigour_n : float
        Growth units that reach the fork from below.
    main_n, lateral_n : float
        Demand (lit tips) of the continuing axis and of all side axes.
    control_ratio : float
        Apical control of the axis, 0 to 1; 0.5 shares by demand alone.

    Returns
    -------
    tuple of float
        Growth units of the continuing axis and of the side axes; their sum is `vigour_n`.

    Raises
    ------
    RangeError
        If the apical control is outside 0 to 1 or a demand is negative.

    Source
    ------
    borchert_honda1984 in the extended form of palubicki2009.

    Examples
    --------
    >>> split_vigour(1.0, 3.0, 1.0, 0.5)
    (0.75, 0.25)
    """
    if not 0 <= control_ratio <= 1:
        raise out_of_range("apical control", f"{control_ratio}", "0 to 1")
    if main_n < 0 or lateral_n < 0:
        raise out_of_range("demand", f"{min(main_n, lateral_n)}", "0 or more")
    main = control_ratio * main_n
    lateral = (1.0 - control_ratio) * lateral_n
    if main + lateral == 0:
        return vigour_n, 0.0
    share = main / (main + lateral)
    return vigour_n * share, vigour_n * (1.0 - share)


def pot_factor(volume_l: float, *, exponent_ratio: float | None = None) -> float:
    """Growth in a pot against growth in open ground.

    Parameters
    ----------
    volume_l : float
        Substrate volume in litres; infinite in open ground.
    exponent_ratio : float, optional
        Exponent of the volume; by default the table's.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    RangeError
        If the volume is not above 0.

    Source
    ------
    poorter2012: doubling gives 1.43 times the biomass, log2 1.43 = 0.516; reference volume assumed.

    Examples
    --------
    >>> round(pot_factor(10.0) / pot_factor(5.0), 2)
    1.43
    >>> pot_factor(float("inf"))
    1.0
    """
    if not volume_l > 0:
        raise out_of_range("pot volume", f"{volume_l} L", "above 0 L")
    exponent = growth_parameter("pot_exponent") if exponent_ratio is None else exponent_ratio
    if math.isinf(volume_l):
        return 1.0
    return float(min(1.0, (volume_l / growth_parameter("pot_reference")) ** exponent))


def root_recovery(root_frac: float, *, years: float, recovery_years: float) -> float:
    """Root mass some time after a cut, against a full pot.

    Parameters
    ----------
    root_frac : float
        Roots now against the pot's full load, above 0 to 1.
    years : float
        How long.
    recovery_years : float
        Time constant of root growth.

    Returns
    -------
    float
        Roots against the full load.

    Raises
    ------
    RangeError
        If the roots are not above 0 and at most 1.

    Source
    ------
    own: logistic growth in closed form; the time constants are assumed.

    Examples
    --------
    >>> round(root_recovery(0.6, years=1.0, recovery_years=0.5), 3)
    0.917
    """
    if not 0 < root_frac <= 1:
        raise out_of_range("root share", f"{root_frac}", "above 0 to 1")
    return 1.0 / (1.0 + (1.0 / root_frac - 1.0) * math.exp(-years / recovery_years))


def weather_years(shocks: FloatArray) -> FloatArray:
    """ln growth of successive years from independent standard normal shocks.

    Parameters
    ----------
    shocks : (..., years) float
        Standard normal draws.

    Returns
    -------
    (..., years) float
        ln of the year's growth against an average year.

    Source
    ------
    own: first-order memory; both numbers are assumed (parameters.csv).

    Examples
    --------
    >>> weather_years(np.array([1.0, 0.0])).round(3)
    array([0.15 , 0.045])
    """
    memory = growth_parameter("weather_memory")
    sd = growth_parameter("weather_ln_sd")
    fresh = sd * math.sqrt(1.0 - memory**2)
    out = np.array(shocks, dtype=np.float64)
    out[..., 0] *= sd
    for year in range(1, out.shape[-1]):
        out[..., year] = memory * out[..., year - 1] + fresh * out[..., year]
    return out
