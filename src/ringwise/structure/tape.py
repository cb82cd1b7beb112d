"""What a tape, a calliper and a clock face tell of a tree, as plain values that survive JSON unchanged.

Clock positions are as seen from above with the recorded front at 6: 3 is the right-hand side of the
front view, 12 the back. `angle_deg` is that between a branch's base and the upright: 0 points straight
up, 90 is level, more than 90 droops. A branch's length runs along the wood to its farthest tip.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError, MissingFieldError, out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _

SECTORS = 12  # one for each hour of the clock
MOST_HEIGHT_MM = 30_000.0  # a tree that a tape from the ground still serves
HIGHEST_FRAC = 0.98  # of the height: girths and branches are measured below the tip


@dataclass(frozen=True)
class TapeGirth:
    """A girth read by tape at a height above the finished soil surface."""

    at_mm: float
    girth_mm: float

    @property
    def diameter_mm(self) -> float:
        """The diameter of a round trunk of that girth."""
        return self.girth_mm / math.pi


@dataclass(frozen=True)
class TapeBranch:
    """A branch as measured where it leaves the trunk; all but its height may be unknown."""

    height_mm: float
    clock: float | None = None
    diameter_mm: float | None = None
    length_mm: float | None = None
    tips: int | None = None
    angle_deg: float | None = None


@dataclass(frozen=True)
class Tape:
    """A tree by tape: height, girths from the base upwards, branches, lean of the apex, roots by sector.

    `root_sectors` tells for each hour of the clock from 1 to 12 whether a surface root is seen, or is
    None where nobody looked. `lean_clock` is where the apex stands off to by `lean_mm`.
    """

    height_mm: float
    girths: tuple[TapeGirth, ...]
    branches: tuple[TapeBranch, ...] = ()
    apex_tips: int | None = None
    lean_mm: float = 0.0
    lean_clock: float = 6.0
    root_sectors: tuple[bool, ...] | None = None

    def __post_init__(self) -> None:
        _check_tape(self)

    def to_json(self) -> dict[str, Any]:
        """A dictionary of plain values."""
        return asdict(self)


def clock_direction(clock: float) -> FloatArray:
    """The level unit vector towards a clock position; x right, y back, front at 6.

    Parameters
    ----------
    clock : float
        Hours, 0 to 12, seen from above.

    Returns
    -------
    (3,) float
        Direction.

    Source
    ------
    own: the clock convention of the records.

    Examples
    --------
    >>> clock_direction(3.0).round(6).tolist()
    [1.0, 0.0, 0.0]
    """
    angle = clock / SECTORS * 2.0 * math.pi
    return np.array([math.sin(angle), math.cos(angle), 0.0])


def clock_of(x_mm: float, y_mm: float) -> float:
    """The clock position of a level direction, above 0 up to 12.

    Parameters
    ----------
    x_mm, y_mm : float
        To the right and to the back, in mm.

    Returns
    -------
    float
        Hours.

    Source
    ------
    own: the inverse of `clock_direction`.

    Examples
    --------
    >>> clock_of(0.0, -1.0)
    6.0
    """
    hours = math.atan2(x_mm, y_mm) / (2.0 * math.pi) * SECTORS % SECTORS
    return hours if hours > 0 else float(SECTORS)


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
    off = abs(clock - other_clock) % SECTORS
    return min(off, SECTORS - off)


def tape_from_json(data: Mapping[str, Any]) -> Tape:
    """A tape from the dictionary that `Tape.to_json` gives or a user wrote.

    Parameters
    ----------
    data : mapping
        `height_mm` and `girths` are needed; `branches`, `apex_tips`, `lean_mm`, `lean_clock` and
        `root_sectors` may be there. A girth may also be a pair (at_mm, girth_mm).

    Returns
    -------
    Tape
        Checked.

    Raises
    ------
    MissingFieldError, FileFormatError, RangeError
        For a missing or unknown key, a value of the wrong kind, or one out of range.

    Source
    ------
    own.

    Examples
    --------
    >>> tape_from_json({"height_mm": 520.0, "girths": [[20.0, 289.0]]}).girths[0].girth_mm
    289.0
    """
    known = set(Tape.__dataclass_fields__)
    for name in data:
        if name not in known:
            raise FileFormatError(_("tape has the key {name}, which is unknown").format(name=name))
    for name in ("height_mm", "girths"):
        if name not in data:
            raise MissingFieldError(_("tape needs {name}").format(name=name))
    try:
        return Tape(
            height_mm=float(data["height_mm"]),
            girths=tuple(_girth(each) for each in data["girths"]),
            branches=tuple(TapeBranch(**each) for each in data.get("branches", ())),
            apex_tips=data.get("apex_tips"),
            lean_mm=float(data.get("lean_mm", 0.0)),
            lean_clock=float(data.get("lean_clock", 6.0)),
            root_sectors=_sectors(data.get("root_sectors")),
        )
    except TypeError as wrong:
        raise FileFormatError(_("tape does not read: {why}").format(why=wrong)) from wrong


def _girth(given: Any) -> TapeGirth:
    if isinstance(given, Mapping):
        return TapeGirth(**given)
    at_mm, girth_mm = given
    return TapeGirth(float(at_mm), float(girth_mm))


def _sectors(given: Any) -> tuple[bool, ...] | None:
    return None if given is None else tuple(bool(each) for each in given)


def bounds(what: str, height_mm: float = MOST_HEIGHT_MM) -> tuple[float, float, str]:
    """Least and most of a value on a tape, and its unit.

    Parameters
    ----------
    what : str
        "height", "girth_at", "girth", "branch_height", "clock", "diameter", "length", "tips", "apex_tips",
        "angle" or "lean".
    height_mm : float
        Height of the tree, which bounds what is measured on it.

    Returns
    -------
    (float, float, str)
        Least, most, unit.

    Source
    ------
    own: judged wide; what lies beyond is a slip of the unit or the key.

    Examples
    --------
    >>> bounds("branch_height", 400.0)
    (1.0, 392.0, 'mm')
    """
    return {
        "height": (5.0, MOST_HEIGHT_MM, "mm"),
        "girth_at": (0.0, HIGHEST_FRAC * height_mm, "mm"),
        "girth": (1.0, 20_000.0, "mm"),
        "branch_height": (1.0, HIGHEST_FRAC * height_mm, "mm"),
        "clock": (0.0, float(SECTORS), "h"),
        "diameter": (0.3, 2_000.0, "mm"),
        "length": (5.0, MOST_HEIGHT_MM, "mm"),
        "tips": (1, 5_000, ""),
        "apex_tips": (1, 2_000, ""),
        "angle": (0.0, 180.0, "deg"),
        "lean": (0.0, 2.0 * height_mm, "mm"),
    }[what]


def within(field: str, what: str, value: float, height_mm: float = MOST_HEIGHT_MM) -> None:
    """Refuse a value that no tape of a tree of this height can hold.

    Parameters
    ----------
    field : str
        The name of the value for people.
    what : str
        A key of `bounds`.
    value : float
        In its unit.
    height_mm : float
        Height of the tree.

    Raises
    ------
    RangeError
        With the accepted range.

    Source
    ------
    own.

    Examples
    --------
    >>> within("girth", "girth", 130.0)
    """
    low, high, unit = bounds(what, height_mm)
    if not (math.isfinite(value) and low <= value <= high):
        accepted = _("{low} to {high} {unit}").format(low=f"{low:g}", high=f"{high:g}", unit=unit)
        raise out_of_range(field, f"{value:g} {unit}".strip(), accepted.strip())


def _check_tape(tape: Tape) -> None:
    within(_("height"), "height", tape.height_mm)
    if not tape.girths:
        raise MissingFieldError(_("a tape needs at least one girth of the trunk"))
    last_mm = -1.0
    for each in tape.girths:
        within(_("height of a girth"), "girth_at", each.at_mm, tape.height_mm)
        within(_("girth"), "girth", each.girth_mm)
        if each.at_mm <= last_mm:
            raise out_of_range(
                _("height of a girth"),
                f"{each.at_mm:g} mm",
                _("above the girth before it, {mm} mm").format(mm=f"{last_mm:g}"),
            )
        last_mm = each.at_mm
    for number, branch in enumerate(tape.branches, start=1):
        check_branch(branch, tape.height_mm, _("branch {number}").format(number=number))
    if tape.apex_tips is not None:
        within(_("tips of the apex"), "apex_tips", tape.apex_tips)
    within(_("lean"), "lean", tape.lean_mm, tape.height_mm)
    if tape.root_sectors is not None and len(tape.root_sectors) != SECTORS:
        raise out_of_range(_("root sectors"), str(len(tape.root_sectors)), _("12, from 1 to 12 o'clock"))


def check_branch(branch: TapeBranch, height_mm: float, name: str) -> None:
    """Refuse a branch with a value out of range.

    Parameters
    ----------
    branch : TapeBranch
        What is unknown is None.
    height_mm : float
        Height of the tree.
    name : str
        What the branch is called in the error.

    Raises
    ------
    RangeError
        Names the value and the accepted range.

    Source
    ------
    own.

    Examples
    --------
    >>> check_branch(TapeBranch(140.0, 3.0), 400.0, "branch 1")
    """
    values: tuple[tuple[str, str, float | None], ...] = (
        (_("{name}, height"), "branch_height", branch.height_mm),
        (_("{name}, clock"), "clock", branch.clock),
        (_("{name}, diameter"), "diameter", branch.diameter_mm),
        (_("{name}, length"), "length", branch.length_mm),
        (_("{name}, tips"), "tips", branch.tips),
        (_("{name}, angle"), "angle", branch.angle_deg),
    )
    for field, what, value in values:
        if value is not None:
            within(field.format(name=name), what, value, height_mm)
