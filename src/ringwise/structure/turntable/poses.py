"""Which cameras do not fit the others.

A wrong camera shows twice: its view alone speaks against wood that all the others show, and it shows wood
where the others together leave none. The second never happens with cameras that fit, since what the others
leave holds the tree; the first tells which of the views is wrong.
"""

from __future__ import annotations

import numpy as np

from ringwise.kit.chance import mix64
from ringwise.kit.types import BoolArray, Float32Array, FloatArray, IntArray
from ringwise.kit.words import _
from ringwise.structure.turntable.carve import HALVINGS, coarse_blocks, floor_mm, halved
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.quality import Refused
from ringwise.structure.turntable.views import Stack


def fitting(stack: Stack, middle_mm: FloatArray, soil_mm: float) -> tuple[BoolArray, tuple[Refused, ...]]:
    """The views whose cameras fit each other, and the others with the reason.

    Parameters
    ----------
    stack : Stack
        Views that were found sound by themselves.
    middle_mm : (3,) float
        A point that the cameras look at.
    soil_mm : float
        Height of the soil; what lies below does not count.

    Returns
    -------
    fits : (views,) bool
        Which views' cameras fit each other.
    refused : tuple of Refused
        The others, the worst first.

    Source
    ------
    own: places that one view alone calls backdrop, out of a sample of the carved wood; rows pose of
    turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> from ringwise.structure.turntable.looking import stacked
    >>> stack, middle_mm = stacked(rod_views())
    >>> stack.cameras[4, 9] += 15.0  # this camera stood 15 mm aside
    >>> [each.name for each in fitting(stack, middle_mm, 0.0)[1]]
    ['view 4']
    """
    refused: list[Refused] = []
    fits = np.ones(len(stack.names), bool)
    least = int(limit_of("view", "least_views"))
    spare = min(int(limit_of("pose", "most_refused_frac") * len(fits)), len(fits) - least)
    for _round in range(spare):
        rest = stack.only(fits)
        against = _against(rest, middle_mm, soil_mm)
        worst = int(np.argmax(against))
        others = float(np.delete(against, worst).mean())
        if against[worst] < max(
            limit_of("pose", "least_against_frac"), limit_of("pose", "least_ratio") * others
        ):
            break
        alone = _alone(rest, middle_mm, worst)
        if alone < limit_of("pose", "least_alone_frac"):
            break
        refused.append(_refusal(rest.names[worst], alone))
        fits[np.nonzero(fits)[0][worst]] = False
    return fits, tuple(refused)


def _refusal(name: str, alone_frac: float) -> Refused:
    share = f"{100.0 * alone_frac:.0f}"
    return Refused(
        name,
        "camera",
        _(
            "its camera does not fit the other photos: by them there is no wood "
            "where this one shows {share} % of its own"
        ).format(share=share),
        _(
            "Look whether the tree or the board was moved or the photo swapped with another; "
            "place its camera anew, take it again, or leave it out."
        ),
    )


def _against(stack: Stack, middle_mm: FloatArray, soil_mm: float) -> FloatArray:
    """For each view the share of the wood that it alone speaks against; thin wood counts as much as thick."""
    depth_mm, pixel_mm = _sample(stack, middle_mm, soil_mm)
    outside = depth_mm < floor_mm(HALVINGS, limit_of("carve", "cell_px") * pixel_mm)
    alone = outside.sum(1) == 1
    clear = alone[:, None] & (depth_mm < -limit_of("pose", "least_off_px") * pixel_mm)
    # Depth by the views that agree. A trunk holds most of the wood and is thick: its inside counts little.
    agreed = np.where(outside | ~np.isfinite(depth_mm), np.inf, depth_mm).min(1)
    weight = 1.0 / (1.0 + np.maximum(agreed, 0.0) / pixel_mm) ** 2
    one = np.asarray((clear * weight[:, None]).sum(0), dtype=np.float64)
    whole = float(weight[~outside.any(1)].sum() + one.sum())
    return one / whole if whole > 0.0 else one


def _alone(stack: Stack, middle_mm: FloatArray, view: int) -> float:
    """The share of a view's wood that looks at nothing which all the others call wood."""
    from ringwise.structure.turntable import pose_kernels as kernels

    rows, columns = np.nonzero(stack.distance_px[view] > 0.0)
    few = _some(np.arange(len(rows)), int(limit_of("pose", "sample_pixels")))
    pixels = np.stack([columns[few], rows[few]], axis=1).astype(np.float64)
    grid, _blocks = coarse_blocks(stack, middle_mm, -np.inf)
    off_mm = limit_of("pose", "least_off_px") * grid.pixel_mm
    camera, half = stack.cameras[view], float(middle_mm[0] - grid.low_mm[0])
    away = float(np.linalg.norm(middle_mm + camera[:9].reshape(3, 3).T @ camera[9:12]))
    reach = (max(away - half, 0.0), away + half, off_mm)
    rest = stack.only(np.arange(len(stack.names)) != view)
    rules = (-off_mm, limit_of("carve", "least_seen_frac"), 0.0)
    found = kernels.meets(pixels, camera, reach, (rest.distance_px, rest.cameras), rules)
    return 1.0 - float(found) / max(len(few), 1)


def _sample(stack: Stack, middle_mm: FloatArray, soil_mm: float) -> tuple[Float32Array, float]:
    """Distance to each view's edge of places that all views but one or two call wood, and a pixel's worth."""
    from ringwise.structure.turntable import pose_kernels as kernels

    grid, blocks = coarse_blocks(stack, middle_mm, soil_mm)
    most, views = int(limit_of("pose", "most_against")), len(stack.names)
    room = int(limit_of("pose", "sample_blocks"))
    least_seen = limit_of("carve", "least_seen_frac") * views
    for level in range(HALVINGS + 1):
        if level > 0:
            blocks = halved(blocks)
        depth = np.empty((len(blocks), views), np.float32)
        places = grid.low_mm + (blocks + 0.5) * (grid.block_mm / 2**level)
        rules = (floor_mm(level, grid.block_mm / 2**HALVINGS), most)
        kernels.depths_by_view(places, stack.distance_px, stack.cameras, rules, depth)
        stays = np.nonzero(np.isfinite(depth).sum(1) >= least_seen)[0]
        if level < HALVINGS:
            stays = _some(stays, room)
        blocks, depth = blocks[stays], depth[stays]
    return depth, grid.pixel_mm


def _some(rows: IntArray, room: int) -> IntArray:
    """A scattered part of some rows: the same views give the same part, and so the same tree."""
    order = np.argsort(mix64(np.arange(len(rows), dtype=np.uint64)), kind="stable")
    return np.asarray(rows[np.sort(order[:room])])
