"""Water that freezes in a pot: it holds the core at 0 until all is ice, and again until all has thawed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.rootzone.core import PotCore
from ringwise.rootzone.skin import heat_row
from ringwise.weather.hourly import DAY_H

_CM3_PER_L = 1000.0  # exact
_MELTS_DEGC = 0.0
_PARTS = 4  # of an hour: at 0 the mean of a straight line is exact, the turn to 0 is off by a part at most


@dataclass(frozen=True)
class Frozen:
    """A core whose water freezes, hour by hour (rows, hours), and the share of the water that is ice."""

    core_degC: FloatArray
    frozen_frac: FloatArray


def fusion_kj(core: PotCore) -> float:
    """The heat that the water of a pot sets free when all of it freezes.

    Parameters
    ----------
    core : PotCore
        From `pot_core`.

    Returns
    -------
    float
        In kJ; a litre of water has a kilogram.

    Source
    ------
    own: water by volume times 334 kJ/kg (recalled).

    Examples
    --------
    >>> round(fusion_kj(PotCore(7.9, 0.133, 15.0, 0.35, 3929.0)))
    459
    """
    return core.water_v * core.volume_cm3 / _CM3_PER_L * heat_row("water", "fusion_kj_kg").number


def freezing_hours(driving_degC: FloatArray, lag_h: FloatArray, core: PotCore) -> Frozen:
    """The core of a pot whose water freezes and thaws.

    Parameters
    ----------
    driving_degC : (24, rows, days) float
        As `rootzone.heat.PotHours` has it; without a missing hour.
    lag_h : (rows, days) float
        As there, of the whole pot unfrozen.
    core : PotCore
        From `pot_core`.

    Returns
    -------
    Frozen
        At the first hour nothing is frozen, or all where that hour is below 0. Ice counts as water for the
        heat it holds; water in fine pores, which freezes below 0, is left out.

    Source
    ------
    own: heat below 0 is paid with ice first; within an hour at 0 the driving temperature counts by its mean.

    Examples
    --------
    >>> pot = PotCore(7.9, 0.133, 15.0, 0.35, 3929.0)
    >>> night = np.full((24, 1, 1), -5.0)
    >>> night[0] = 2.0
    >>> told = freezing_hours(night, np.array([[1.1]]), pot)
    >>> float(told.core_degC[0, 11]), 0.5 < float(told.frozen_frac[0, 11]) < 0.9
    (0.0, True)
    """
    driving = np.moveaxis(np.asarray(driving_degC, dtype=np.float64), 0, -1)
    driving = driving.reshape(driving.shape[0], -1)
    lag = np.repeat(np.asarray(lag_h, dtype=np.float64), DAY_H, axis=-1)
    held, whole = core.heat_kj_k, fusion_kj(core)
    temperature = np.empty_like(driving)
    ice = np.empty_like(driving)
    temperature[:, 0] = driving[:, 0]
    ice[:, 0] = np.where(driving[:, 0] < _MELTS_DEGC, 1.0, 0.0)
    for hour in range(1, driving.shape[1]):
        temperature[:, hour], ice[:, hour] = _step(
            temperature[:, hour - 1],
            ice[:, hour - 1],
            driving[:, hour - 1 : hour + 1],
            lag[:, hour],
            whole / held if held > 0 else 0.0,
        )
    return Frozen(temperature, ice)


def _step(
    core_degC: FloatArray,
    frozen_frac: FloatArray,
    driving_degC: FloatArray,
    lag_h: FloatArray,
    whole_degC: float,
) -> tuple[FloatArray, FloatArray]:
    """One hour in short parts; `whole_degC` is the heat of all the ice in degrees of the pot."""
    now, ice = core_degC, frozen_frac
    start, end = driving_degC[:, 0], driving_degC[:, 1]
    kept = np.exp(-1.0 / (lag_h * _PARTS))
    for part in range(_PARTS):
        driven = start + (end - start) * ((part + 0.5) / _PARTS)
        # Where ice and water lie side by side the core stays at 0 and all heat goes into the ice.
        mixed = ((ice > 0.0) & (ice < 1.0)) | ((now == _MELTS_DEGC) & (ice == np.where(driven > 0, 1.0, 0.0)))
        free = driven + (now - driven) * kept
        crossed = np.where(ice <= 0.0, free < _MELTS_DEGC, free > _MELTS_DEGC)
        paid = np.where(mixed, -(driven - _MELTS_DEGC) / (lag_h * _PARTS), np.where(crossed, -free, 0.0))
        grown = ice + (paid / whole_degC if whole_degC > 0 else np.sign(paid))
        over = np.where(grown > 1.0, grown - 1.0, np.where(grown < 0.0, grown, 0.0))
        now = np.where(mixed | crossed, 0.0 - over * whole_degC, free)
        ice = np.clip(grown, 0.0, 1.0)
    return now, ice
