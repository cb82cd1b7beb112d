"""What was measured of a tree through the years: girths, heights, twigs, and how far each reading goes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from ringwise.growth.biology import growth_parameter
from ringwise.kit.errors import out_of_range
from ringwise.kit.types import FloatArray

_APART_SEASONS = 1.7  # two seasons, read on any day of winter


@dataclass(frozen=True)
class SeenGrowth:
    """What was measured of a tree: girths by growing seasons since the first, heights, tips, order.

    The first girth is that of the tree from which a life begins; tips and order are of the last season.
    """

    seasons: tuple[float, ...]
    girths_mm: tuple[float, ...]
    height_seasons: tuple[float, ...] = ()
    heights_mm: tuple[float, ...] = ()
    tips_n: float | None = None
    order_n: float | None = None

    def __post_init__(self) -> None:
        if len(self.seasons) != len(self.girths_mm) or len(self.height_seasons) != len(self.heights_mm):
            raise out_of_range("seasons", str(len(self.seasons)), "one for each measure")
        if any(b <= a for a, b in zip(self.seasons, self.seasons[1:], strict=False)):
            raise out_of_range("seasons", f"{self.seasons}", "rising")

    @property
    def increments_n(self) -> int:
        """How many increments of girth there are."""
        return max(0, len(self.girths_mm) - 1)

    @property
    def years_n(self) -> int:
        """How many years a life must run to reach the last measure."""
        last = max((*self.seasons, *self.height_seasons), default=0.0)
        return math.ceil(last - 1e-9)


def over_seasons(seen: SeenGrowth) -> SeenGrowth:
    """The same record with girths two seasons apart or more, counted back from the last.

    Parameters
    ----------
    seen : SeenGrowth
        The record.

    Returns
    -------
    SeenGrowth
        With the first and the last girth, and of those between as many as lie so far apart.

    Source
    ------
    own: trees grow less in the season of a repot, and which seasons these were is not in the record.

    Examples
    --------
    >>> over_seasons(SeenGrowth((0.0, 1.0, 2.0, 3.0), (30.0, 32.0, 34.0, 37.0))).girths_mm
    (30.0, 37.0)
    >>> over_seasons(SeenGrowth((0.0, 1.0, 2.0, 4.0), (30.0, 32.0, 34.0, 37.0))).girths_mm
    (30.0, 34.0, 37.0)
    """
    if not seen.increments_n:
        return seen
    kept = [len(seen.seasons) - 1]
    for place in range(len(seen.seasons) - 2, 0, -1):
        before = seen.seasons[place] - seen.seasons[0]
        if min(before, seen.seasons[kept[-1]] - seen.seasons[place]) >= _APART_SEASONS:
            kept.append(place)
    places = sorted({0, *kept})
    return replace(
        seen,
        seasons=tuple(seen.seasons[place] for place in places),
        girths_mm=tuple(seen.girths_mm[place] for place in places),
    )


def spans(seen: SeenGrowth) -> tuple[SeenGrowth, ...]:
    """A record in pieces, each from one girth to the next; tips and order belong to the last.

    Parameters
    ----------
    seen : SeenGrowth
        The record.

    Returns
    -------
    tuple of SeenGrowth
        Seasons counted from the first girth of each; the record itself where it has no growth in girth.

    Source
    ------
    own.

    Examples
    --------
    >>> [each.seasons for each in spans(SeenGrowth((0.0, 2.0, 5.0), (30.0, 34.0, 37.0)))]
    [(0.0, 2.0), (0.0, 3.0)]
    """
    if not seen.increments_n:
        return (seen,)
    out = []
    for place in range(seen.increments_n):
        first, last = seen.seasons[place : place + 2]
        heights = [
            (season - first, height)
            for season, height in zip(seen.height_seasons, seen.heights_mm, strict=True)
            if first < season <= last or (place == 0 and season <= first)
        ]
        ends = place == seen.increments_n - 1
        out.append(
            SeenGrowth(
                (0.0, last - first),
                seen.girths_mm[place : place + 2],
                tuple(season for season, _height in heights),
                tuple(height for _season, height in heights),
                seen.tips_n if ends else None,
                seen.order_n if ends else None,
            )
        )
    return tuple(out)


def growth_errors(seen: SeenGrowth, *, drift_log: float = 0.0) -> tuple[FloatArray, FloatArray]:
    """What was read of growth between girths, and how far it may lie from what the tree's numbers mean.

    Parameters
    ----------
    seen : SeenGrowth
        The record.
    drift_log : float
        How far ln growth wanders from one reading to the next.

    Returns
    -------
    ((m,) float, (m,) float)
        ln growth, at least the tape's error, and its variance: weather and what else differs between years,
        the tape, and the drift since.

    Source
    ------
    own.

    Examples
    --------
    >>> seen, variance = growth_errors(SeenGrowth((0.0, 1.0, 2.0), (30.0, 40.0, 50.0)), drift_log=1.0)
    >>> bool(variance[0] - variance[1] == 1.0)
    True
    """
    tape_mm = growth_parameter("girth_tape_error")
    observed = np.maximum(np.diff(np.array(seen.girths_mm)), tape_mm)
    years = np.maximum(np.diff(np.array(seen.seasons)), 0.25)
    variance = growth_parameter("girth_ln_sd") ** 2 / years + (tape_mm / observed) ** 2
    return np.log(observed), variance + drift_log**2 * np.arange(observed.size)[::-1]
