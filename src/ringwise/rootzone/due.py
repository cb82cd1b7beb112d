"""When water is due: when a pot has dried to the suction at which it is checked, and a tree's own pace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from ringwise.kit.chance import spread_places
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.types import BoolArray, FloatArray
from ringwise.rootzone.balance import BalanceDays

ROOM = "ringwise.rootzone"
TABLE = "watering"


@dataclass(frozen=True)
class OwnPace:
    """How much slower a tree dries than the balance says, as a factor on days, in logarithms.

    `readings` taught it; without any it is 1 with the spread of trees that nobody measured.
    """

    mean_log: float
    sd_log: float
    readings: int = 0

    @property
    def factor(self) -> float:
        """The middle factor."""
        return float(np.exp(self.mean_log))

    def span_factor(self) -> tuple[float, float]:
        """One standard deviation to either side."""
        return float(np.exp(self.mean_log - self.sd_log)), float(np.exp(self.mean_log + self.sd_log))

    def draws_factor(self, n: int) -> FloatArray:
        """So many factors, evenly over the distribution from slow to quick and quick to slow in turn."""
        order = np.argsort(spread_places(n))  # so that wet curves do not all meet slow factors
        places = np.array([NormalDist().inv_cdf((k + 0.5) / n) for k in order])
        factors: FloatArray = np.exp(self.mean_log + self.sd_log * places)
        return factors


def watering_row(key: str, parameter: str) -> Parameter:
    """A row of `data/watering.csv`.

    Parameters
    ----------
    key, parameter : str
        As in the table.

    Returns
    -------
    Parameter
        With its basis.

    Source
    ------
    The table itself names basis and source of each row.

    Examples
    --------
    >>> watering_row("due", "soon_days").number
    2.0
    """
    return load_table(ROOM, TABLE).get(key, parameter)


def due_days(balance: BalanceDays) -> FloatArray:
    """When each pot has dried to the water at which it is time to check, in each weather.

    Parameters
    ----------
    balance : BalanceDays
        Without watering on the days that are asked about.

    Returns
    -------
    (p, m) float
        Days after the beginning of the first day: 1.5 is the middle of the second day's loss. 0 where it
        begins as dry as that, infinite where it never gets there.

    Source
    ------
    own: the day's demand taken as even over the day; leaves slow as in `transpiration.taken_cm3`.

    Examples
    --------
    >>> from ringwise.rootzone.balance import DailyForcing, PotDemand, pot_water, run
    >>> tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    >>> hot = run(PotDemand(tray, 0.3, 0.1, 1.2), DailyForcing(np.full((1, 5), 5.0), np.zeros((1, 5))))
    >>> round(float(due_days(hot)[0, 0]), 1)
    1.5
    """
    ended = balance.water_cm3
    begun = np.concatenate([balance.start_cm3[..., None], ended[..., :-1]], axis=-1)
    refill = balance.water.refill_cm3[:, None, None]
    wetted = np.maximum(begun + balance.rain_cm3 + balance.watered_cm3 - balance.drained_cm3, ended)
    dry = ended <= refill
    first = np.argmax(dry, axis=-1)
    top, end = (np.take_along_axis(each, first[..., None], axis=-1)[..., 0] for each in (wetted, ended))
    begin, at, over = (_demand_cm3(balance, each) for each in (top, np.minimum(refill[..., 0], top), end))
    within = np.clip((at - begin) / np.maximum(over - begin, 1e-9), 0.0, 1.0)
    found = np.where(dry.any(axis=-1), first + within, np.inf)
    return np.where(
        balance.start_cm3 <= balance.water.refill_cm3[:, None], _none_if_wetted(balance, found), found
    )


def _demand_cm3(balance: BalanceDays, water_cm3: FloatArray) -> FloatArray:
    """The demand that has drawn a pot down to a water: more and more for each cm3 once leaves slow."""
    wilting = balance.water.wilting_cm3[:, None]
    free = load_table(ROOM, "balance").get("any", "stress_frac").number
    slowing = (1.0 - free) * (balance.water.capacity_cm3[:, None] - wilting)
    share = np.maximum((water_cm3 - wilting) / slowing, _LEAST)
    return np.asarray(slowing * np.where(share >= 1.0, 1.0 - share, -np.log(np.minimum(share, 1.0))))


_LEAST = 1e-6  # of the water in which leaves slow: next to nothing, and still with a logarithm


def _none_if_wetted(balance: BalanceDays, found: FloatArray) -> FloatArray:
    """A pot that begins dry is due at once, unless the first day's rain or watering lifts it above."""
    lifted = balance.water_cm3[..., 0] > balance.water.refill_cm3[:, None]
    return np.where(lifted, found, 0.0)


def stays_wet(balance: BalanceDays, full_frac: float) -> BoolArray:
    """On which days a pot ends the day wetter than a share of its drained water.

    Parameters
    ----------
    balance : BalanceDays
        Of some days.
    full_frac : float
        The share.

    Returns
    -------
    (p, m, d) bool
        True where it stays wet.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.rootzone.balance import DailyForcing, PotDemand, pot_water, run
    >>> tray = pot_water(3929.3, 0.066, 70.0, capacity_v=0.5063, refill_v=0.310, wilting_v=0.25)
    >>> rainy = run(PotDemand(tray), DailyForcing(np.full((1, 2), 0.5), np.full((1, 2), 8.0)))
    >>> stays_wet(rainy, 0.9).tolist()
    [[[True, True]]]
    """
    limit = full_frac * balance.water.capacity_cm3[:, None, None]
    return np.asarray(balance.water_cm3 >= limit)


def own_pace(ratios: Sequence[float], *, prior_sd_log: float | None = None) -> OwnPace:
    """A tree's own pace from days to dry that were measured over those the balance gives for the same days.

    Parameters
    ----------
    ratios : sequence of float
        Measured over reckoned, one a reading; above 0.
    prior_sd_log : float, optional
        How far trees lie from the balance that nobody measured; by default the row's.

    Returns
    -------
    OwnPace
        Without a reading 1 with the spread of trees never measured; each reading draws it to the tree's own.

    Source
    ------
    own: a normal prior and normal readings in logarithms, rows of watering.csv.

    Examples
    --------
    >>> bare, one, many = own_pace([]), own_pace([0.5]), own_pace([0.5] * 9)
    >>> bare.factor, round(one.factor, 2), round(many.factor, 2), bare.sd_log > one.sd_log > many.sd_log
    (1.0, 0.57, 0.51, True)
    """
    wide = watering_row("own", "prior_sd_log").number if prior_sd_log is None else prior_sd_log
    prior = 1.0 / wide**2
    each = 1.0 / watering_row("own", "reading_sd_log").number ** 2
    weight = prior + each * len(ratios)
    total = float(np.sum(np.log(np.asarray(ratios, dtype=np.float64)))) if len(ratios) else 0.0
    return OwnPace(each * total / weight, float(weight**-0.5), len(ratios))
