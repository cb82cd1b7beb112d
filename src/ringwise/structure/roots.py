"""The underside of a tree as a map of twelve hours: what was found there, cut, missing or hollow.

Hours are those of the clock from above, the front at 6. A map is written down by hand, sector by sector,
or comes from a photo from below on which the base and the end of each root were marked. It is plain data
that survives JSON: `sectors` by hour with counts by find, and `roots` with their reach where traced.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.structure.tape import SECTORS

FINDS = ("thick", "fine", "none", "cut", "dead", "missing", "hollow")
LIVE = ("thick", "fine")  # what makes a sector filled
MOST_OF_ONE = 99
MOST_ROOTS = 500
_FIND = re.compile(r"(\d{0,2})\s*([a-z]+)")
_HOURS = re.compile(r"(\d{1,2})(?:\s*-\s*(\d{1,2}))?")
_LEAST_PX = 2.0  # marks nearer than this are one


@dataclass(frozen=True)
class TracedRoot:
    """A root by its marks: hour of its end, base and end from the middle of the trunk, cut or not.

    `base_clock` is the hour of its base; None where it was not kept: then that of its end.
    """

    clock: float
    base_mm: float
    end_mm: float
    cut: bool = False
    base_clock: float | None = None

    @property
    def from_clock(self) -> float:
        """The hour at which it leaves the trunk."""
        return self.clock if self.base_clock is None else self.base_clock

    @property
    def reach_mm(self) -> float:
        """The straight way from its base to its end."""
        return math.dist(_place(self.from_clock, self.base_mm), _place(self.clock, self.end_mm))

    @property
    def turned_deg(self) -> float:
        """How far its way from base to end is turned off the way straight out from the trunk, 0 to 180."""
        base_x, base_y = _place(self.from_clock, self.base_mm)
        end_x, end_y = _place(self.clock, self.end_mm)
        out_x, out_y = _place(self.from_clock, 1.0)
        along = out_x * (end_x - base_x) + out_y * (end_y - base_y)
        across = out_x * (end_y - base_y) - out_y * (end_x - base_x)
        return abs(math.degrees(math.atan2(across, along)))


@dataclass(frozen=True)
class RootSector:
    """One hour: counts by find; `live` is None where nobody looked."""

    hour: int
    finds: Mapping[str, int]

    @property
    def live(self) -> bool | None:
        """Whether a live root was found."""
        return any(self.finds.get(each, 0) for each in LIVE) if self.finds else None


@dataclass(frozen=True)
class RootMap:
    """Twelve sectors from 1 to 12, and the roots that were traced."""

    sectors: tuple[RootSector, ...]
    roots: tuple[TracedRoot, ...] = ()

    @property
    def looked(self) -> int:
        """In how many sectors somebody looked."""
        return sum(each.live is not None for each in self.sectors)

    @property
    def filled(self) -> int:
        """In how many sectors a live root was found."""
        return sum(each.live is True for each in self.sectors)

    @property
    def spread_mm(self) -> float | None:
        """The longest way between the ends of two roots; None where fewer than two were traced."""
        ends = [_place(each.clock, each.end_mm) for each in self.roots if not each.cut]
        return max((math.dist(a, b) for a in ends for b in ends), default=None) if len(ends) > 1 else None


def _place(clock: float, away_mm: float) -> tuple[float, float]:
    angle = 2.0 * math.pi * clock / SECTORS
    return away_mm * math.sin(angle), away_mm * math.cos(angle)


def root_map(data: Mapping[str, Any]) -> RootMap:
    """A map from the data of an entry.

    Parameters
    ----------
    data : mapping
        `sectors` by hour with counts by find, and `roots`, both as `root_data` gives them.

    Returns
    -------
    RootMap
        Twelve sectors; those that are not in the data were not looked at.

    Source
    ------
    own.

    Examples
    --------
    >>> found = root_map({"sectors": {"3": {"thick": 2, "cut": 1}, "9": {"none": 1}}})
    >>> found.looked, found.filled, found.sectors[2].live, found.sectors[8].live, found.sectors[0].live
    (2, 1, True, False, None)
    """
    given = data.get("sectors") or {}
    sectors = tuple(
        RootSector(hour, {key: int(n) for key, n in (given.get(str(hour)) or {}).items()})
        for hour in range(1, SECTORS + 1)
    )
    roots = tuple(
        TracedRoot(
            float(r["clock"]),
            float(r["base_mm"]),
            float(r["end_mm"]),
            bool(r.get("cut", False)),
            None if r.get("base_clock") is None else float(r["base_clock"]),
        )
        for r in data.get("roots") or ()
    )
    return RootMap(sectors, roots)


def root_sectors(data: Mapping[str, Any]) -> tuple[bool | None, ...]:
    """For each hour from 1 to 12 whether a live root was found; None where nobody looked.

    Parameters
    ----------
    data : mapping
        Of an entry of kind "roots".

    Returns
    -------
    tuple of bool or None
        Twelve.

    Source
    ------
    own: thick or fine roots make a sector filled; cut, dead, missing and hollow do not.

    Examples
    --------
    >>> root_sectors({"sectors": {"1": {"fine": 1}, "2": {"dead": 1}}})[:3]
    (True, False, None)
    """
    return tuple(each.live for each in root_map(data).sectors)


def root_data(found: RootMap) -> dict[str, Any]:
    """A map as plain data.

    Parameters
    ----------
    found : RootMap
        A map.

    Returns
    -------
    dict
        Keys sectors and roots.

    Source
    ------
    own.

    Examples
    --------
    >>> root_data(typed_map(["3=thick,2cut"]))["sectors"]
    {'3': {'thick': 1, 'cut': 2}}
    """
    return {
        "sectors": {str(each.hour): dict(each.finds) for each in found.sectors if each.finds},
        "roots": [
            {
                "clock": round(each.clock, 2),
                "base_mm": round(each.base_mm, 1),
                "end_mm": round(each.end_mm, 1),
                "cut": each.cut,
            }
            | ({} if each.base_clock is None else {"base_clock": round(each.base_clock, 2)})
            for each in found.roots
        ],
    }


def typed_map(texts: Sequence[str], *, field: str = "--at") -> RootMap:
    """A map as typed: hours, an equals sign, and what was found there.

    Parameters
    ----------
    texts : sequence of str
        Such as "3=thick,2cut", "7-9=fine", "11=none", "all=fine"; later ones add to earlier ones.
    field : str
        What it is called in an error.

    Returns
    -------
    RootMap
        Sectors that are not named were not looked at.

    Raises
    ------
    InputError, UnknownNameError, RangeError
        Each names what was typed.

    Source
    ------
    own.

    Examples
    --------
    >>> [each.hour for each in typed_map(["11-1=fine"]).sectors if each.live]
    [1, 11, 12]
    """
    counts: dict[int, dict[str, int]] = {hour: {} for hour in range(1, SECTORS + 1)}
    for text in texts:
        hours, mark, finds = text.partition("=")
        if not mark or not finds.strip():
            raise InputError(
                _('{field} is "{text}"; write hours=what, such as 3=thick,2cut or 7-9=fine').format(
                    field=field, text=text
                )
            )
        for find in finds.split(","):
            count, name = _find(find.strip().lower(), text, field)
            for hour in _hours(hours.strip().lower(), text, field):
                counts[hour][name] = min(counts[hour].get(name, 0) + count, MOST_OF_ONE)
    for hour, found in counts.items():
        if "none" in found and len(found) > 1:
            raise InputError(
                _("{field}: at {hour} o'clock none does not go with {others}").format(
                    field=field, hour=hour, others=", ".join(name for name in found if name != "none")
                )
            )
    return RootMap(tuple(RootSector(hour, counts[hour]) for hour in range(1, SECTORS + 1)))


def _find(text: str, whole: str, field: str) -> tuple[int, str]:
    found = _FIND.fullmatch(text)
    if found is None:
        raise InputError(
            _('{field} is "{text}"; write hours=what, such as 3=thick,2cut or 7-9=fine').format(
                field=field, text=whole
            )
        )
    name = found[2]
    if name not in FINDS:
        raise unknown_name(_("what was found"), name, FINDS)
    count = int(found[1] or 1)
    if count < 1:
        raise out_of_range(f"{field} {whole}", str(count), _("1 to {most}").format(most=MOST_OF_ONE))
    return count, name


def _hours(text: str, whole: str, field: str) -> Iterable[int]:
    if text == "all":
        return range(1, SECTORS + 1)
    found = _HOURS.fullmatch(text)
    hours = [int(each) for each in found.groups() if each is not None] if found else []
    if not hours or not all(1 <= each <= SECTORS for each in hours):
        raise out_of_range(
            field, f'"{whole}"', _("an hour from 1 to 12 or two as in 7-9, or all, before the equals sign")
        )
    first, last = hours[0], hours[-1]
    return [(first - 1 + step) % SECTORS + 1 for step in range((last - first) % SECTORS + 1)]


def traced_map(data: Mapping[str, Any], *, file: str) -> RootMap:
    """A map from marks on a photo of the underside.

    Parameters
    ----------
    data : mapping
        `centre` (middle of the trunk) and `front` (any place towards the recorded front) as [x, y] in
        pixels, y down; `scale` with `points` (two places) and `mm` (how far apart they are: the pot's width
        or a rule); `roots`, each with `base` and `end`, and perhaps `cut`, `dead` and `fine`; `mirrored`
        where the photo is shown as from above. A photo from below runs against the clock.
    file : str
        Its name, for errors.

    Returns
    -------
    RootMap
        Sectors without a root were looked at and hold none.

    Raises
    ------
    MissingFieldError, FileFormatError, RangeError
        Each names the key.

    Source
    ------
    own: seen from below the clock runs the other way round.

    Examples
    --------
    >>> marks = {"centre": [0, 0], "front": [0, 90], "scale": {"points": [[0, 0], [50, 0]], "mm": 100.0},
    ...          "roots": [{"base": [10, 0], "end": [60, 0]}]}
    >>> found = traced_map(marks, file="r.json")
    >>> found.roots[0].clock, found.roots[0].end_mm
    (9.0, 120.0)
    """
    for key in ("centre", "front", "scale", "roots"):
        if key not in data:
            raise MissingFieldError(_("needs {name}").format(name=key), where=file)
    centre, front = (_point(data[key], key, file) for key in ("centre", "front"))
    mm_per_px = _mm_per_px(data["scale"], file)
    if math.dist(centre, front) < _LEAST_PX:
        raise FileFormatError(_("centre and front are one place; mark two that lie apart"), where=file)
    given = data["roots"]
    if not isinstance(given, list) or not given or len(given) > MOST_ROOTS:
        raise FileFormatError(
            _("roots must be a list of 1 to {most} roots").format(most=MOST_ROOTS), where=file
        )
    sense_factor = 1.0 if data.get("mirrored") else -1.0
    counts: dict[int, dict[str, int]] = {hour: {} for hour in range(1, SECTORS + 1)}
    roots = []
    for number, each in enumerate(given, start=1):
        where = _("root {n}").format(n=number)
        if not isinstance(each, Mapping) or "base" not in each or "end" not in each:
            raise MissingFieldError(_("{root} needs base and end").format(root=where), where=file)
        base, end = (_point(each[key], f"{where}, {key}", file) for key in ("base", "end"))
        if math.dist(end, centre) < _LEAST_PX:
            raise FileFormatError(_("{root} ends in the middle of the trunk").format(root=where), where=file)
        clock = _clock(centre, front, end, sense_factor)
        name = next((find for find in ("dead", "fine") if each.get(find)), "thick")
        finds = counts[round(clock) % SECTORS or SECTORS]
        finds[name] = finds.get(name, 0) + 1
        if each.get("cut"):
            finds["cut"] = finds.get("cut", 0) + 1
        roots.append(
            TracedRoot(
                clock,
                mm_per_px * math.dist(base, centre),
                mm_per_px * math.dist(end, centre),
                bool(each.get("cut")),
                _clock(centre, front, base, sense_factor) if math.dist(base, centre) >= _LEAST_PX else None,
            )
        )
    sectors = tuple(RootSector(hour, counts[hour] or {"none": 1}) for hour in range(1, SECTORS + 1))
    return RootMap(sectors, tuple(roots))


def _clock(
    centre: tuple[float, float], front: tuple[float, float], at: tuple[float, float], sense_factor: float
) -> float:
    """Hours of a place round the centre, the front being 6; y runs down, so a turn x to y is clockwise."""
    front_x, front_y = front[0] - centre[0], front[1] - centre[1]
    x, y = at[0] - centre[0], at[1] - centre[1]
    turn = math.atan2(front_x * y - front_y * x, front_x * x + front_y * y)
    return (6.0 + sense_factor * turn / (2.0 * math.pi) * SECTORS) % SECTORS or float(SECTORS)


def _mm_per_px(scale: Any, file: str) -> float:
    if not isinstance(scale, Mapping) or "points" not in scale or "mm" not in scale:
        raise MissingFieldError(_("scale needs points (two places) and mm"), where=file)
    points = scale["points"]
    if not isinstance(points, list) or len(points) != 2:
        raise FileFormatError(_("scale points must be two places"), where=file)
    one, other = (_point(each, "scale points", file) for each in points)
    size = scale["mm"]
    if isinstance(size, bool) or not isinstance(size, int | float) or not 5.0 <= size <= 3_000.0:
        raise out_of_range(f"{file}: scale mm", f"{size}", _("{low} to {high} mm").format(low=5, high=3000))
    if math.dist(one, other) < _LEAST_PX:
        raise FileFormatError(_("scale points are one place; mark two that lie apart"), where=file)
    return float(size) / math.dist(one, other)


def _point(given: Any, name: str, file: str) -> tuple[float, float]:
    fits = isinstance(given, list | tuple) and len(given) == 2
    if not fits or not all(isinstance(v, int | float) and math.isfinite(v) for v in given):
        raise FileFormatError(_("{name} must be a place as [x, y] in pixels").format(name=name), where=file)
    return float(given[0]), float(given[1])
