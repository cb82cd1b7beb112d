"""A value with its spread, and draws of it that two mixes share where they share a component."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from zlib import crc32

import numpy as np

from ringwise.kit.chance import Purpose, normal
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.tables import Parameter
from ringwise.kit.types import FloatArray


@dataclass(frozen=True)
class Amount:
    """A value and its standard deviation; `ratio` says that the deviation is one of its logarithm."""

    value: float
    sd: float = 0.0
    ratio: bool = False


def amount_of(row: Parameter) -> Amount:
    """The value of a table row with its spread.

    Parameters
    ----------
    row : Parameter
        An `sd` range is one standard deviation either side, any other range is read as an 80 % band.

    Returns
    -------
    Amount
        Without spread where the row has none.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.kit.tables import load_table
    >>> round(amount_of(load_table("ringwise.rootzone", "components").get("lava", "bulk_kg_l")).sd, 3)
    0.084
    """
    middle = row.number
    if row.spread == "fixed" or row.low is None or row.high is None or row.low == row.high:
        return Amount(middle)
    steps = 1.0 if row.range_kind == "sd" else SDS_OF_80
    if row.spread == "lognormal":
        return Amount(middle, math.log(row.high / row.low) / (2.0 * steps), ratio=True)
    return Amount(middle, (row.high - row.low) / (2.0 * steps))


def drawn(amount: Amount, name: str, draws: int, seed: int) -> FloatArray:
    """Draws of an amount.

    Parameters
    ----------
    amount : Amount
        The value and its spread.
    name : str
        What it is, such as "pumice.bulk_kg_l"; the same name and seed always give the same draws.
    draws : int
        How many; 0 for the value itself.
    seed : int
        The run's seed.

    Returns
    -------
    FloatArray
        Of shape (draws,), or () for the value itself.

    Source
    ------
    own: draws keyed by name, so that mixes compared share what they have in common.

    Examples
    --------
    >>> float(drawn(Amount(0.5, 0.1), "pumice.bulk_kg_l", 0, 7))
    0.5
    >>> drawn(Amount(0.5, 0.1), "pumice.bulk_kg_l", 3, 7).shape
    (3,)
    """
    if draws == 0:
        return np.asarray(amount.value, dtype=np.float64)
    if amount.sd == 0.0:
        return np.full(draws, amount.value)
    luck = _luck(name, draws, seed)
    if amount.ratio:
        return np.asarray(amount.value * np.exp(amount.sd * luck))
    return np.asarray(amount.value + amount.sd * luck)


@lru_cache(maxsize=1024)
def _luck(name: str, draws: int, seed: int) -> FloatArray:
    """Draws of the normal law for a name, kept: every mix of a yard asks for the same ones."""
    luck = normal(seed, np.arange(draws), 0, 0, Purpose.SUBSTRATE, crc32(name.encode()))
    luck.setflags(write=False)
    return luck
