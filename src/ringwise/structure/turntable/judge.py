"""Judging a reconstruction: re-projected over its silhouettes, counted, and warned about."""

from __future__ import annotations

import math

import numpy as np

from ringwise.kit.types import FloatArray, Int32Array
from ringwise.kit.words import _
from ringwise.structure.turntable.axis import tangents_of
from ringwise.structure.turntable.hull import Outline
from ringwise.structure.turntable.limbs import Limb, packed
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.quality import Quality, Refused, ViewQuality, Warned
from ringwise.structure.turntable.sections import seen_from
from ringwise.structure.turntable.views import Stack


def judged(
    stack: Stack,
    limbs: list[Limb],
    outlines: tuple[Outline | None, ...],
    pixel_mm: float,
    cut: tuple[int, tuple[Refused, ...]],
) -> Quality:
    """The quality of a reconstruction.

    Parameters
    ----------
    stack : Stack
        The views it was made from.
    limbs : list of Limb
        Joined, with fitted radii.
    outlines : tuple of Outline or None
        Of the trunk's nodes; empty where none was fitted.
    pixel_mm : float
        What a pixel is worth at the tree.
    cut : tuple
        How many limbs were let go, and the views that were not used.

    Returns
    -------
    Quality
        With warnings where it is poor.

    Source
    ------
    own: rows quality of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> from ringwise.structure.turntable.limbs import limbs_of
    >>> from dataclasses import replace
    >>> stack, paths = rod_paths()
    >>> rod = replace(paths, points_mm=paths.points_mm * [0, 0, 1.0], radius_mm=paths.radius_mm * 1.25)
    >>> judged(stack, limbs_of(rod, rod.radius_mm), (), 1.0, (0, ())).true_frac > 0.9
    True
    """
    from ringwise.structure.turntable import carve_kernels as carving
    from ringwise.structure.turntable import ghost_kernels as kernels

    ghosts, refused = cut
    points, radii, first = _for_views(stack, limbs, outlines)
    pictures = stack.coverage
    if stack.hidden is not None:
        pictures = np.where(stack.hidden, np.float32(-1.0), pictures)
    root = limbs[0].points_mm[0]
    foot = np.array(
        [max(int(carving.place(each, root[0], root[1], root[2])[1]), 0) for each in stack.cameras]
    )
    counts = kernels.accounted((points, radii, first), stack.cameras, pictures, foot)
    wood, both, tree = counts.sum(0)
    views = tuple(
        ViewQuality(name, float(b / max(w, 1)), float(b / max(t, 1)))
        for name, (w, b, t) in zip(stack.names, counts, strict=True)
    )
    parents = {each.parent for each in limbs}
    free = np.array([each.free_mm for each in limbs])
    ends = np.array([row not in parents for row in range(len(limbs))])
    twig = float(np.median([each.radius_mm[-1] for each in limbs]))
    tips = len(limbs)  # every limb has one end
    spread = math.ceil(0.5 * int((ends & (free < 6.0 * twig)).sum()) + 0.02 * tips)
    return Quality(
        covered_frac=float(both / max(wood, 1)),
        true_frac=float(both / max(tree, 1)),
        views=views,
        refused=refused,
        ghosts_cut=ghosts,
        px_per_mm=1.0 / pixel_mm,
        least_diameter_mm=limit_of("quality", "least_diameter_px") * pixel_mm,
        tips=tips,
        tips_low=max(tips - spread, 1),
        tips_high=tips + spread,
        total_length_mm=float(sum(each.free_mm for each in limbs)),
        volume_cm3=sum(_free_volume_mm3(each) for each in limbs) / 1000.0,
        warnings=_warnings(float(both / max(wood, 1)), float(both / max(tree, 1)), refused),
    )


def _for_views(
    stack: Stack, limbs: list[Limb], outlines: tuple[Outline | None, ...]
) -> tuple[FloatArray, FloatArray, Int32Array]:
    """Limbs as each view sees them: the trunk with the width that its outline shows from there."""
    points, radii, first = packed(limbs)
    views = len(stack.names)
    all_points, all_radii = np.repeat(points[None], views, axis=0), np.repeat(radii[None], views, axis=0)
    tangents = tangents_of(limbs[0].points_mm, np.array([0, len(limbs[0].points_mm)], np.int32))
    centres = np.array([-each[:9].reshape(3, 3).T @ each[9:12] for each in stack.cameras])
    for row, outline in enumerate(outlines):
        if outline is not None:
            half, shift = seen_from(outline, tangents[row], points[row] - centres)
            all_radii[:, row] = half
            all_points[:, row] += shift
    return all_points, all_radii, first


def _free_volume_mm3(limb: Limb) -> float:
    arc = limb.arc_mm
    at = np.concatenate([[limb.exit_mm], arc[arc > limb.exit_mm]])
    r = np.interp(at, arc, limb.radius_mm)
    return float((math.pi / 3.0 * np.diff(at) * (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)).sum())


def _warnings(covered_frac: float, true_frac: float, refused: tuple[Refused, ...]) -> tuple[Warned, ...]:
    out = []
    if refused:
        names = ", ".join(each.name for each in refused)
        out.append(Warned("views_refused", _("not used: {names}.").format(names=names)))
    if covered_frac < limit_of("quality", "least_covered_frac"):
        share = f"{100.0 * covered_frac:.1f}"
        out.append(
            Warned(
                "wood_missed",
                _(
                    "the tree covers {share} % of the wood on the photos; thin or far branches are missing."
                ).format(share=share),
            )
        )
    if true_frac < limit_of("quality", "least_true_frac"):
        share = f"{100.0 * true_frac:.1f}"
        out.append(
            Warned(
                "wood_invented",
                _("{share} % of the tree lies on wood of the photos; the cameras may be off.").format(
                    share=share
                ),
            )
        )
    return tuple(out)
