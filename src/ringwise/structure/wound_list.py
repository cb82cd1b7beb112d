"""The wounds of a trunk by their readings: which are one wound, which are open, which way they face."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ringwise.structure.measuring_data import measuring
from ringwise.structure.tape import hours_apart


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
