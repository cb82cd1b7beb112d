"""Limbs: branches as lists of nodes that can be joined, parted and let go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, Int32Array
from ringwise.structure.polyline import way_along
from ringwise.structure.turntable.topology import Paths


@dataclass
class Limb:
    """One branch from its foot on the parent's axis to its tip; `sure` marks radii seen clear of forks."""

    points_mm: FloatArray
    radius_mm: FloatArray
    sd_mm: FloatArray
    sure: BoolArray
    parent: int = -1
    foot_mm: float = -1.0  # way along the parent's axis
    own: int = 0  # first node outside the parent's wood
    exit_mm: float = 0.0  # way along its axis to where it leaves the parent's wood

    @property
    def arc_mm(self) -> FloatArray:
        """Way along the axis from the foot."""
        return way_along(self.points_mm)

    @property
    def free_mm(self) -> float:
        """Length outside the parent's wood."""
        return max(float(self.arc_mm[-1]) - self.exit_mm, 0.0)


def limbs_of(paths: Paths, sd_mm: FloatArray) -> list[Limb]:
    """Paths as limbs.

    Parameters
    ----------
    paths : Paths
        Packed, with radii (NaN where unseen).
    sd_mm : (n,) float
        Spread of the radii.

    Returns
    -------
    list of Limb
        In the order of the paths; the trunk is first.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> _stack, paths = rod_paths()
    >>> len(limbs_of(paths, paths.radius_mm * 0.01)[0].points_mm)
    29
    """
    limbs: list[Limb] = []
    for path in range(paths.count):
        rows = paths.rows(path)
        parent = int(paths.parent[path])
        foot = limbs[parent].arc_mm[paths.foot[path] - paths.first[parent]] if parent >= 0 else -1.0
        radius = paths.radius_mm[rows].copy()
        limbs.append(
            Limb(
                paths.points_mm[rows].copy(),
                radius,
                sd_mm[rows].copy(),
                np.isfinite(radius),
                parent,
                float(foot),
            )
        )
    return limbs


def packed(limbs: list[Limb]) -> tuple[FloatArray, FloatArray, Int32Array]:
    """Limbs packed for kernels, each from the last node inside its parent.

    Parameters
    ----------
    limbs : list of Limb
        With radii.

    Returns
    -------
    points_mm : (n, 3) float
        Nodes.
    radius_mm : (n,) float
        Radii.
    first : (limbs + 1,) int
        Where each begins.

    Source
    ------
    own.

    Examples
    --------
    >>> one = Limb(np.zeros((3, 3)), np.ones(3), np.ones(3), np.ones(3, bool))
    >>> packed([one, one])[2].tolist()
    [0, 3, 6]
    """
    begin = [max(min(each.own, len(each.points_mm) - 1) - 1, 0) for each in limbs]
    points = [each.points_mm[start:] for each, start in zip(limbs, begin, strict=True)]
    radii = [each.radius_mm[start:] for each, start in zip(limbs, begin, strict=True)]
    first = np.concatenate([[0], np.cumsum([len(each) for each in radii])]).astype(np.int32)
    return np.ascontiguousarray(np.concatenate(points)), np.concatenate(radii), first


def kept(limbs: list[Limb], keep: BoolArray) -> list[Limb]:
    """The limbs that stay, renumbered; no limb may stay whose parent goes.

    Parameters
    ----------
    limbs : list of Limb
        All.
    keep : (limbs,) bool
        Which stay.

    Returns
    -------
    list of Limb
        With their new parents.

    Source
    ------
    own.

    Examples
    --------
    >>> trunk = Limb(np.zeros((3, 3)), np.ones(3), np.ones(3), np.ones(3, bool))
    >>> side = Limb(np.zeros((3, 3)), np.ones(3), np.ones(3), np.ones(3, bool), parent=0, foot_mm=1.0)
    >>> len(kept([trunk, side], np.array([True, False])))
    1
    """
    number = np.cumsum(keep) - 1
    out = [each for each, stays in zip(limbs, keep, strict=True) if stays]
    for each in out:
        each.parent = int(number[each.parent]) if each.parent >= 0 else -1
    return out
