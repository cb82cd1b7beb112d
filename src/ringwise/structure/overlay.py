"""Two measurements of one tree laid over each other: front and soil are theirs, a small turn is found.

A front is set by eye and a clock is read by eye, so two measurements of one tree are often turned against
each other by some degrees. The turn about the upright is found from the trunk line and the branches of the
trunk, and is told with its size; nothing else is moved.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ringwise.kit.types import FloatArray
from ringwise.structure.branching import Branch, branches
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import gravelius_order
from ringwise.structure.section import Section
from ringwise.structure.table import SegmentTable

TRUNK_POINTS = 24  # heights at which two trunk lines are held against each other


@dataclass(frozen=True)
class Overlay:
    """How the later tree lies on the earlier one: its turn (anticlockwise from above) and the pairs found.

    `pairs` are places in the two lists of the trunk's branches; `left_deg` is the mean difference of
    direction that is left between them, NaN without any.
    """

    turn_deg: float
    left_deg: float
    pairs: tuple[tuple[int, int], ...]
    first: tuple[Branch, ...]
    second: tuple[Branch, ...]


def overlay(first: MeasuredTree, second: MeasuredTree) -> Overlay:
    """The turn that lays the later tree on the earlier one, and which branches are the same.

    Parameters
    ----------
    first, second : MeasuredTree
        The earlier and the later measurement.

    Returns
    -------
    Overlay
        No turn where neither bends nor branches tell one.

    Source
    ------
    own: search over turns, then the least-squares turn of what was matched (Procrustes in the plane).

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0))
    >>> overlay(stem, stem).turn_deg
    0.0
    """
    ours, theirs = branches(first, most_order=1), branches(second, most_order=1)
    lines = _trunks(first.table, second.table)
    most, step = measuring("overlay", "most_turn_deg"), measuring("overlay", "step_deg")
    turns = np.arange(-most, most + step / 2.0, step)
    scores = [_score(ours, theirs, lines, float(turn)) for turn in turns]
    best = max(scores)
    # Of equally good turns the smallest: a bare upright trunk tells none.
    turn_deg = min((abs(float(t)), float(t)) for t, s in zip(turns, scores, strict=True) if s >= best - 1e-9)[
        1
    ]
    for _round in range(3):
        turn_deg = _refined(ours, theirs, lines, turn_deg)
    pairs = matched(ours, theirs, turn_deg)
    off = [abs(_signed_deg(theirs[j].azimuth_deg + turn_deg - ours[i].azimuth_deg)) for i, j in pairs]
    left_deg = float(np.mean(off)) if off else math.nan
    return Overlay(turn_deg, left_deg, pairs, ours, theirs)


def matched(
    ours: Sequence[Branch], theirs: Sequence[Branch], turn_deg: float = 0.0
) -> tuple[tuple[int, int], ...]:
    """Which branches of two trees are the same: near in height, direction and thickness.

    Parameters
    ----------
    ours, theirs : sequence of Branch
        Of the trunk, from the lowest up.
    turn_deg : float
        By which the second tree is turned.

    Returns
    -------
    tuple of (int, int)
        Places in both, each used once, the nearest pairs first taken.

    Source
    ------
    own: table `measuring`, rows `match`.

    Examples
    --------
    >>> matched((), ())
    ()
    """
    wide = [
        (_apart(one, other, turn_deg), i, j)
        for i, one in enumerate(ours)
        for j, other in enumerate(theirs)
        if _apart(one, other, turn_deg) < 1.0
    ]
    pairs: list[tuple[int, int]] = []
    for _off, i, j in sorted(wide):
        if all(i != a and j != b for a, b in pairs):
            pairs.append((i, j))
    return tuple(sorted(pairs))


def turned(measured: MeasuredTree, turn_deg: float) -> MeasuredTree:
    """A tree turned about the upright through its root.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    turn_deg : float
        Anticlockwise from above.

    Returns
    -------
    MeasuredTree
        With its outlines turned along.

    Source
    ------
    own: plane rotation; an outline is turned by its Fourier series.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> turned(measured_of(single_segment(length_mm=40.0, diameter_mm=4.0)), 90.0).n
    1
    """
    turn = math.radians(turn_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    matrix = np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
    ways = measured.table.direction.astype(np.float64) @ matrix.T
    sections = tuple(
        Section(each.height_mm, each.girth_mm, each.girth_sd_mm, _turned_radii(each.radii_mm, turn))
        for each in measured.sections
    )
    return replace(measured, table=replace(measured.table, direction=ways), sections=sections)


def _turned_radii(radii_mm: FloatArray, turn_rad: float) -> FloatArray:
    waves = np.fft.rfft(radii_mm.astype(np.float64))
    waves = waves * np.exp(-1j * np.arange(len(waves)) * turn_rad)
    return np.asarray(np.fft.irfft(waves, len(radii_mm)))


def _signed_deg(azimuth_deg: float) -> float:
    return (azimuth_deg + 180.0) % 360.0 - 180.0


def _apart(one: Branch, other: Branch, turn_deg: float) -> float:
    """How far two branches are apart, 1 and more where they cannot be the same."""
    high = abs(one.height_mm - other.height_mm) / measuring("match", "height_mm")
    aside = abs(_signed_deg(other.azimuth_deg + turn_deg - one.azimuth_deg)) / measuring(
        "match", "azimuth_deg"
    )
    thick = abs(math.log(other.base_diameter_mm / one.base_diameter_mm))
    thick /= math.log(measuring("match", "diameter_ratio"))
    if max(high, aside, thick) >= 1.0:
        return 1.0
    return float(np.sqrt((high**2 + aside**2 + thick**2) / 3.0))


def _weight(one: Branch, other: Branch) -> float:
    return one.base_diameter_mm * other.base_diameter_mm


def _trunks(first: SegmentTable, second: SegmentTable) -> tuple[FloatArray, FloatArray]:
    """Offsets of both trunk lines at common heights, (k, 2) each."""
    lines = []
    for table in (first, second):
        rows = np.nonzero(gravelius_order(table) == 0)[0]
        points = np.vstack([np.zeros(3), table.end_mm[rows]])
        keep = np.append(True, np.diff(np.maximum.accumulate(points[:, 2])) > 0)
        lines.append(points[keep])
    top_mm = min(float(line[-1, 2]) for line in lines)
    heights = np.linspace(0.0, top_mm, TRUNK_POINTS + 1)[1:]
    one, other = (
        np.stack([np.interp(heights, line[:, 2], line[:, axis]) for axis in (0, 1)], axis=1) for line in lines
    )
    return one, other


def _score(
    ours: Sequence[Branch], theirs: Sequence[Branch], lines: tuple[FloatArray, FloatArray], turn_deg: float
) -> float:
    """How well a turn lays one tree on the other: 1 for a perfect fit of branches, more with the trunk's."""
    gained = sum(
        (1.0 - _apart(ours[i], theirs[j], turn_deg)) * _weight(ours[i], theirs[j])
        for i, j in matched(ours, theirs, turn_deg)
    )
    whole = math.sqrt(sum(_weight(b, b) for b in ours) * sum(_weight(b, b) for b in theirs))
    one, other = lines
    spread = math.sqrt(float((one**2).sum() * (other**2).sum()))
    turn = math.radians(turn_deg)
    cross = float((other[:, 0] * one[:, 1] - other[:, 1] * one[:, 0]).sum())
    along = math.cos(turn) * float((one * other).sum()) + math.sin(turn) * cross
    trunk = along / spread if spread > 1e-6 else 0.0
    branch = gained / whole if whole > 0 else 0.0
    return branch + measuring("overlay", "trunk_weight_ratio") * trunk


def _refined(
    ours: Sequence[Branch], theirs: Sequence[Branch], lines: tuple[FloatArray, FloatArray], turn_deg: float
) -> float:
    """The least-squares turn of what is matched at a turn; the trunk counts as much as the table says."""
    cross = along = 0.0
    pairs = matched(ours, theirs, turn_deg)
    whole = sum(_weight(ours[i], theirs[j]) for i, j in pairs)
    for i, j in pairs:
        off = math.radians(ours[i].azimuth_deg - theirs[j].azimuth_deg)
        share = _weight(ours[i], theirs[j]) / whole
        cross, along = cross + share * math.sin(off), along + share * math.cos(off)
    one, other = lines
    spread = math.sqrt(float((one**2).sum() * (other**2).sum()))
    if spread > 1e-6:
        weight = measuring("overlay", "trunk_weight_ratio") / spread
        cross += weight * float((other[:, 0] * one[:, 1] - other[:, 1] * one[:, 0]).sum())
        along += weight * float((one * other).sum())
    if math.hypot(cross, along) < 1e-9:
        return turn_deg
    return math.degrees(math.atan2(cross, along))
