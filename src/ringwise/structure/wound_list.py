"""The wounds of a trunk by their readings: which are one wound, which are open, which way they face."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ringwise.structure.measuring_data import measuring


@dataclass(frozen=True)
class WoundReading:
    """One reading of a wound: its day, height, direction (None: nobody said) and width; 0 is closed."""

    on: date | None
    at_mm: float
    clock: float | None
    width_mm: float


@dataclass(frozen=True)
class Wound:
    """A wound by all its readings, the oldest first."""

    readings: tuple[WoundReading, ...]

    @property
    def latest(self) -> WoundReading:
        """The last reading."""
        return self.readings[-1]

    @property
    def is_open(self) -> bool:
        """Whether wood showed when it was last read."""
        return self.latest.width_mm > 0


def wounds(readings: Iterable[WoundReading]) -> tuple[Wound, ...]:
    """The wounds behind readings.

    Parameters
    ----------
    readings : iterable of WoundReading
        In the order of their days.

    Returns
    -------
    tuple of Wound
        From the lowest up; a closed one that is read again with a width is open again.

    Source
    ------
    own: readings near in height and direction are of one wound; table `measuring`, rows `wound`.

    Examples
    --------
    >>> first, later = WoundReading(None, 140.0, 3.0, 15.0), WoundReading(None, 142.0, 3.0, 9.0)
    >>> [each.latest.width_mm for each in wounds([first, later])]
    [9.0]
    """
    found: list[list[WoundReading]] = []
    for reading in readings:
        near = [each for each in found if _is_one(each[-1], reading)]
        if near:
            min(near, key=lambda each: abs(each[-1].at_mm - reading.at_mm)).append(reading)
        else:
            found.append([reading])
    return tuple(Wound(tuple(each)) for each in sorted(found, key=lambda each: each[-1].at_mm))


def _is_one(one: WoundReading, other: WoundReading) -> bool:
    if abs(one.at_mm - other.at_mm) > measuring("wound", "same_place_mm"):
        return False
    if one.clock is None or other.clock is None:
        return True
    return hours_apart(one.clock, other.clock) <= measuring("wound", "same_place_clock")


def hours_apart(clock: float, other_clock: float) -> float:
    """How far two directions lie apart, the short way round, in hours of the clock.

    Parameters
    ----------
    clock, other_clock : float
        Hours.

    Returns
    -------
    float
        0 to 6.

    Source
    ------
    own.

    Examples
    --------
    >>> hours_apart(11.0, 1.0)
    2.0
    """
    off = abs(clock - other_clock) % 12.0
    return min(off, 12.0 - off)
