"""The last sensible day to set a ring: the first frost less the weeks to root and those to establish."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ringwise.futures.rings import ring_number
from ringwise.growth.odds import odds_table
from ringwise.kit.errors import out_of_range
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

_WEEK_DAYS = 7.0
_ROOTING_LEVELS = 19  # evenly spread over the chances of the rooting time; more change the band by hours


@dataclass(frozen=True)
class LastSetting:
    """The last sensible setting day as a band of day indices, None where no year brings a frost.

    `frost_free_frac` is the share of years without a frost, which set no last day at all.
    """

    band: Ranged | None
    frost_free_frac: float
    days: FloatArray

    def late_prob(self, setting_days: float) -> float:
        """Chance that a ring set on a day is too late to root and establish before the frost."""
        late = float((self.days < setting_days).mean()) if len(self.days) else 0.0
        return late * (1.0 - self.frost_free_frac)


def last_setting(
    first_frost_days: FloatArray, *, root_weeks: float | None = None, root_ln_sd_ratio: float | None = None
) -> LastSetting:
    """The last sensible day to set a ring, over weather years and rooting times.

    Parameters
    ----------
    first_frost_days : (n,) float
        Day index of the first autumn frost in each weather year, NaN where none comes.
    root_weeks, root_ln_sd_ratio : float, optional
        Median weeks until roots show and the spread of their logarithm; those of odds.csv by default.

    Returns
    -------
    LastSetting
        Every year with every rooting time.

    Raises
    ------
    RangeError
        If there is no year, or the weeks are not above 0.

    Source
    ------
    practice: six weeks to establish before the first frost (table `rings`), else overwinter on the tree;
    layer_trials for the weeks to root (odds.csv).

    Examples
    --------
    >>> last_setting(np.array([293.0]), root_weeks=8.0, root_ln_sd_ratio=0.0).band.median
    195.0
    """
    table = odds_table()
    weeks = table.get("any", "root_weeks").number if root_weeks is None else root_weeks
    ln_sd = table.get("any", "root_ln_sd").number if root_ln_sd_ratio is None else root_ln_sd_ratio
    frost = np.asarray(first_frost_days, dtype=np.float64)
    if frost.size == 0:
        raise out_of_range(_("weather years"), "0", _("1 or more"))
    if not weeks > 0:
        raise out_of_range(_("weeks until roots show"), f"{weeks:g}", _("above 0"))
    levels = [NormalDist().inv_cdf((n + 0.5) / _ROOTING_LEVELS) for n in range(_ROOTING_LEVELS)]
    rooting = np.array([weeks * math.exp(ln_sd * level) for level in levels])
    known = frost[~np.isnan(frost)]
    needed = _WEEK_DAYS * (rooting + ring_number("establish_weeks"))
    days = np.sort((known[:, None] - needed[None, :]).ravel())
    free = 1.0 - len(known) / len(frost)
    return LastSetting(ranged(days) if len(days) else None, free, days)
