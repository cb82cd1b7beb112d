"""A number that is honest about its spread."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from ringwise.kit.errors import RangeError
from ringwise.kit.types import FloatArray

SDS_OF_80 = 1.2816  # half an 80 % band of the normal law, in standard deviations


@dataclass(frozen=True)
class Ranged:
    """Median with an 80 % band (10th and 90th percentile) and how well it is known."""

    median: float
    low: float
    high: float
    basis: str = ""

    def __post_init__(self) -> None:
        if not (self.low <= self.median <= self.high):
            raise RangeError(f"band {self.low} to {self.high} does not hold its median {self.median}")


@dataclass(frozen=True)
class DateBand:
    """10th, 50th and 90th percentile of a day that is not known yet."""

    low: date
    median: date
    high: date


def ranged(samples: FloatArray, basis: str = "") -> Ranged:
    """Median and 80 % band of samples.

    Parameters
    ----------
    samples : (n,) float
        At least one value; NaN is refused.
    basis : str
        How well it is known.

    Returns
    -------
    Ranged
        10th, 50th and 90th percentile.

    Raises
    ------
    RangeError
        If there is no sample or one is NaN.

    Examples
    --------
    >>> ranged(np.arange(11.0)).median
    5.0
    """
    values = np.asarray(samples, dtype=np.float64)
    if values.size == 0 or bool(np.isnan(values).any()):
        raise RangeError("a band needs at least one sample and no missing one")
    low, median, high = np.percentile(values, (10, 50, 90))
    return Ranged(float(median), float(low), float(high), basis)
