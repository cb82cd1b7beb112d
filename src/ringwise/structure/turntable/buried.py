"""Limbs that never leave the trunk's wood: ways to the rim of a broad cut face."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.kit.types import FloatArray, IntArray
from ringwise.structure.polyline import places_at
from ringwise.structure.turntable.hull import Outline
from ringwise.structure.turntable.limbs import Limb, kept
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.sections import beyond_mm


def without_buried(
    limbs: list[Limb], outlines: Sequence[Outline | None], cell_mm: float
) -> tuple[list[Limb], int]:
    """The limbs that reach out of the trunk, or carry one that does, and how many others there were.

    Parameters
    ----------
    limbs : list of Limb
        Parents before children; the trunk, its last end known, is first.
    outlines : sequence of Outline or None
        At the trunk's nodes.
    cell_mm : float
        Size of the cells that the ways led through; a limb must stick out by more than a few.

    Returns
    -------
    limbs : list of Limb
        Those that stay.
    cut : int
        How many were let go.

    Source
    ------
    own: a way to the rim of a broad cut face seems a limb until the trunk is known to end in that face;
    row path.buried_cells of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.hull import outline_of
    >>> turn = np.linspace(0.0, 2.0 * np.pi, 48, endpoint=False)
    >>> up = np.array([[0, 0, z] for z in np.arange(0.0, 50.0, 5.0)])
    >>> trunk = Limb(up, np.full(10, 12.0), np.ones(10), np.ones(10, bool))
    >>> rim = Limb(up + up[:, [2, 0, 1]] * 0.2, np.ones(10), np.ones(10), np.ones(10, bool), 0, 0.0, 9, 46.0)
    >>> without_buried([trunk, rim], [outline_of(turn, np.full(48, 12.0), 0.4)] * 10, 1.0)[1]
    1
    """
    keep = np.ones(len(limbs), dtype=bool)
    rows = np.array([row for row, each in enumerate(outlines) if each is not None], dtype=np.int64)
    if len(rows) == 0:
        return limbs, 0
    tangents = _ways(limbs[0])
    slack_mm = limit_of("path", "buried_cells") * cell_mm
    carries = np.zeros(len(limbs), dtype=bool)
    for row in range(len(limbs) - 1, 0, -1):
        limb = limbs[row]
        keep[row] = carries[row] or _leaves(limb.points_mm, limbs[0], tangents, (rows, outlines), slack_mm)
        carries[limb.parent] |= keep[row]
    return kept(limbs, keep), int((~keep).sum())


def _ways(trunk: Limb) -> FloatArray:
    """Directions of a trunk over a few of its radii: its last nodes bend within a broad cut face."""
    arc, radius = trunk.arc_mm, trunk.radius_mm
    reach = limit_of("path", "buried_reach_ratio") * np.where(
        np.isfinite(radius), radius, np.nanmedian(radius)
    )
    high = places_at(trunk.points_mm, arc, np.minimum(arc + reach, arc[-1]))
    low = places_at(trunk.points_mm, arc, np.maximum(arc - reach, 0.0))
    way = high - low
    return np.asarray(way / np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None])


def _leaves(
    points_mm: FloatArray,
    trunk: Limb,
    tangents: FloatArray,
    seen: tuple[IntArray, Sequence[Outline | None]],
    slack_mm: float,
) -> bool:
    """Whether any of some points lies outside the trunk's hull, or below or above the trunk."""
    rows, outlines = seen
    for point in points_mm[::-1]:
        near = int(np.argmin(((trunk.points_mm - point) ** 2).sum(1)))
        outline = outlines[rows[np.argmin(np.abs(rows - near))]]
        along = float((point - trunk.points_mm[near]) @ tangents[near])
        past_mm = along if near == len(trunk.points_mm) - 1 else -along if near == 0 else 0.0
        across = point - trunk.points_mm[near]
        if outline is None or past_mm > slack_mm or beyond_mm(outline, tangents[near], across) > slack_mm:
            return True
    return False
