"""From a turn of silhouettes to a measured tree, stage by stage."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ringwise.kit.types import BoolArray, FloatArray
from ringwise.kit.words import _
from ringwise.structure.measured import MeasuredTree
from ringwise.structure.polyline import places_at
from ringwise.structure.turntable.assemble import tree_of
from ringwise.structure.turntable.axis import (
    centred,
    climbed,
    even_paths,
    smoothed,
    spread_nodes,
    tangents_of,
)
from ringwise.structure.turntable.buried import without_buried
from ringwise.structure.turntable.carve import Carved, carve
from ringwise.structure.turntable.ends import read_ends
from ringwise.structure.turntable.forks import choose_continuations, join_axes, leave_parents
from ringwise.structure.turntable.ghosts import without_ghosts
from ringwise.structure.turntable.hull import Outline
from ringwise.structure.turntable.judge import judged
from ringwise.structure.turntable.limbs import Limb, limbs_of
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.looking import sound_views, stacked
from ringwise.structure.turntable.poses import fitting
from ringwise.structure.turntable.quality import CancelledError, Progress, Quality, Refused
from ringwise.structure.turntable.radius import radii_of
from ringwise.structure.turntable.sections import (
    axis_shift_mm,
    trunk_outlines,
)
from ringwise.structure.turntable.stem import stem_middles, straight_foot
from ringwise.structure.turntable.taper import fit_tapers, reach_tips, smooth_radii, straight_tips
from ringwise.structure.turntable.told_sections import sections_of
from ringwise.structure.turntable.topology import Paths, paths_of
from ringwise.structure.turntable.trunk_line import in_line
from ringwise.structure.turntable.views import Stack, View, middle_of

Arrays = Mapping[str, NDArray[Any]]
STAGES = ("carve", "paths", "axes")


@dataclass(frozen=True)
class Reconstruction:
    """A measured tree, how good it is, and which stages can be kept."""

    tree: MeasuredTree
    quality: Quality


@dataclass
class _Run:
    stack: Stack
    middle_mm: FloatArray
    soil_mm: float
    clear_mm: float
    resume: Mapping[str, Arrays]
    keep: Callable[[str, Arrays], None] | None
    progress: Progress | None

    def tell(self, frac: float, words: str) -> None:
        if self.progress is not None and not self.progress(frac, words):
            raise CancelledError(_("measuring was stopped; nothing was stored."))

    def kept(self, stage: str, arrays: Arrays) -> None:
        if self.keep is not None:
            self.keep(stage, arrays)


def reconstruct(
    views: Sequence[View],
    *,
    soil_mm: float = 0.0,
    clear_mm: float = 0.0,
    progress: Progress | None = None,
    resume: Mapping[str, Arrays] | None = None,
    keep: Callable[[str, Arrays], None] | None = None,
) -> Reconstruction:
    """The tree that a turn of silhouettes shows.

    Parameters
    ----------
    views : sequence of View
        Silhouettes of one size with their cameras, from all round.
    soil_mm : float
        Height of the soil in the world; only what lies above counts.
    clear_mm : float
        Height above the soil up to which soil hides the backdrop from the cameras; the trunk is led through.
    progress : callable, optional
        Told the share done and what is done; False stops the work.
    resume : mapping, optional
        Arrays of earlier stages of the same views, by stage, as `keep` got them.
    keep : callable, optional
        Given each stage's name ("carve", "paths", "axes") and its plain arrays.

    Returns
    -------
    Reconstruction
        With the views that were refused and why.

    Raises
    ------
    InputError
        If too few views can be used, or nothing or no tree is carved.
    CancelledError
        If `progress` says so.

    Source
    ------
    own: docs/science/turntable.md; rows of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_views
    >>> made = reconstruct(rod_views())
    >>> bool(abs(made.tree.table.length_mm.sum() - 80.0) < 3.0)
    True
    """
    told = progress or (lambda _frac, _words: True)
    if not told(0.0, _("looking at the silhouettes")):
        raise CancelledError(_("measuring was stopped; nothing was stored."))
    sound, refused = sound_views(views, soil_mm)
    stack, middle = stacked(sound)
    fits, unfit = fitting(stack, middle, soil_mm + clear_mm)
    if unfit:
        stack = stack.only(fits)
        middle = middle_of([each.camera for each, fit in zip(sound, fits, strict=True) if fit])
    run = _Run(stack, middle, soil_mm, clear_mm, resume or {}, keep, progress)
    carved = _carved(run)
    paths, sd = _axes(run, carved)
    return _measured(run, carved, (paths, sd), refused + unfit)


def _carved(run: _Run) -> Carved:
    run.tell(0.25, _("carving the wood"))
    held = run.resume.get("carve")
    if held is not None:
        return Carved(
            held["cells"],
            held["inside_mm"],
            held["corner_mm"],
            float(held["scale_mm"][0]),
            float(held["scale_mm"][1]),
        )
    carved = carve(run.stack, run.middle_mm, run.soil_mm + run.clear_mm)
    run.kept(
        "carve",
        {
            "cells": carved.cells,
            "inside_mm": carved.inside_mm,
            "corner_mm": carved.corner_mm,
            "scale_mm": np.array([carved.cell_mm, carved.pixel_mm]),
        },
    )
    return carved


def _paths_from(held: Arrays) -> Paths:
    return Paths(held["points_mm"], held["radius_mm"], held["first"], held["parent"], held["foot"])


def _paths_kept(paths: Paths) -> dict[str, NDArray[Any]]:
    return {
        "points_mm": paths.points_mm,
        "radius_mm": paths.radius_mm,
        "first": paths.first,
        "parent": paths.parent,
        "foot": paths.foot,
    }


def _axes(run: _Run, carved: Carved) -> tuple[Paths, FloatArray]:
    run.tell(0.4, _("finding the branches"))
    held = run.resume.get("paths")
    if held is None:
        paths = paths_of(carved)
        run.kept("paths", _paths_kept(paths))
    else:
        paths = _paths_from(held)
    run.tell(0.55, _("measuring the edges"))
    held = run.resume.get("axes")
    if held is not None:
        return _paths_from(held), held["sd_mm"]
    even = even_paths(paths, limit_of("axis", "step_px") * carved.pixel_mm)
    ridge = climbed(run.stack, stem_middles(carved, even), carved.cell_mm)
    done, flanks, clean = centred(run.stack, ridge, carved.pixel_mm)
    _radius, sd, count = radii_of(flanks.width_mm, clean)
    few = count < limit_of("radius", "least_views")
    done = replace(done, radius_mm=np.where(few, np.nan, done.radius_mm))
    run.kept("axes", {**_paths_kept(done), "sd_mm": sd})
    return done, sd


def _measured(
    run: _Run, carved: Carved, axes: tuple[Paths, FloatArray], refused: tuple[Refused, ...]
) -> Reconstruction:
    run.tell(0.75, _("letting go of ghosts"))
    limbs = limbs_of(*axes)
    leave_parents(limbs)
    limbs, ghosts = without_ghosts(run.stack, limbs, carved.pixel_mm)
    run.tell(0.85, _("joining the forks"))
    choose_continuations(limbs)
    straight_tips(limbs)
    straight_foot(limbs[0])
    reach_tips(run.stack, limbs, carved.pixel_mm)
    read_ends(run.stack, limbs, carved.pixel_mm)
    grounded(limbs[0], run.soil_mm)
    run.tell(0.88, _("measuring the trunk's girth"))
    outlines = _trunk_outlines(run, limbs[0], carved.pixel_mm)
    leave_parents(limbs)
    limbs, buried = without_buried(limbs, outlines, carved.cell_mm)
    join_axes(limbs)
    known = np.concatenate([each.radius_mm for each in limbs])
    filled = fit_tapers(limbs, float(np.nanmedian(known)))
    _of_equal_area(limbs[0], outlines)
    wide = limbs[0].radius_mm >= limit_of("section", "least_radius_px") * carved.pixel_mm
    sections = sections_of(
        outlines,
        limbs[0].points_mm[:, 2] - run.soil_mm,
        limit_of("section", "spacing_px") * carved.pixel_mm,
        np.where(wide & limbs[0].sure, limbs[0].radius_mm, np.nan),
    )
    place_sd_mm = limit_of("axis", "place_sd_px") * carved.pixel_mm
    tree = tree_of(limbs, filled, sections, place_sd_mm)
    run.tell(0.95, _("holding the tree against the photos"))
    return Reconstruction(
        tree, judged(run.stack, limbs, outlines, carved.pixel_mm, (ghosts + buried, refused))
    )


def grounded(trunk: Limb, soil_mm: float) -> None:
    """Lead the trunk down to the soil.

    Parameters
    ----------
    trunk : Limb
        The first limb; changed in place.
    soil_mm : float
        Height of the soil.

    Source
    ------
    own: straight on from the lowest nodes.

    Examples
    --------
    >>> trunk = Limb(np.array([[0, 0, 4.0], [0, 0, 6]]), np.ones(2), np.ones(2), np.ones(2, bool))
    >>> grounded(trunk, 0.0)
    >>> trunk.points_mm[:, 2].tolist()
    [0.0, 4.0, 6.0]
    """
    few = trunk.points_mm[: min(4, len(trunk.points_mm))]
    way = few[-1] - few[0]
    if way[2] <= 0.0 or few[0, 2] <= soil_mm:
        return
    foot = few[0] - way * ((few[0, 2] - soil_mm) / way[2])
    trunk.points_mm = np.concatenate([foot[None], trunk.points_mm])
    trunk.radius_mm = np.concatenate([[np.nan], trunk.radius_mm])
    trunk.sd_mm = np.concatenate([[np.nan], trunk.sd_mm])
    trunk.sure = np.concatenate([[False], trunk.sure])


def _trunk_outlines(run: _Run, trunk: Limb, pixel_mm: float) -> tuple[Outline | None, ...]:
    """Outlines along the trunk where they are seen; its axis moves into their middle."""
    if trunk.sure.sum() < 3:
        return (None,) * len(trunk.points_mm)
    whole = np.array([0, len(trunk.points_mm)], np.int32)
    used: tuple[Outline | None, ...] = ()
    rounds = int(limit_of("section", "rounds"))
    least_slope = np.where(_in_foot(trunk), limit_of("section", "foot_slope"), 0.0)
    for turn in range(rounds):
        radius = _with_foot(trunk, used)
        spread = spread_nodes(trunk.points_mm, radius)
        tangents = tangents_of(trunk.points_mm, whole, spread)
        outlines = trunk_outlines(
            run.stack, trunk.points_mm, tangents, radius, pixel_mm, run.soil_mm, least_slope
        )
        wide = radius >= limit_of("section", "least_radius_px") * pixel_mm
        # Beyond the last edges that were read a cut face closes in, and no outline is one of the trunk.
        has = wide & (np.arange(len(wide)) <= np.max(np.nonzero(trunk.sure)))
        used = in_line(
            tuple(each if ok else None for each, ok in zip(outlines, has, strict=True)),
            trunk.points_mm[:, 2],
            radius,
            trunk.sure,
            turn == rounds - 1,
        )
        rows = np.array([row for row, each in enumerate(used) if each is not None], dtype=np.int64)
        if len(rows) < 3:
            break
        shift = np.array([axis_shift_mm(used[row], tangents[row]) for row in rows])
        arc = trunk.arc_mm
        moved = places_at(shift, arc[rows], arc)
        moved[~wide] = 0.0
        trunk.points_mm = trunk.points_mm + smoothed(moved, whole, 1.5, spread)
        trunk.points_mm[0, 2] = max(trunk.points_mm[0, 2], run.soil_mm)
    return used


def _in_foot(trunk: Limb) -> BoolArray:
    """Which nodes lie below the first that a narrow view shows."""
    return np.arange(len(trunk.points_mm)) < int(np.argmax(trunk.sure))


def _with_foot(trunk: Limb, outlines: tuple[Outline | None, ...]) -> FloatArray:
    """Radii along the trunk; of a flare that no narrow view shows from its outlines, once known."""
    arc = trunk.arc_mm
    radius = smooth_radii(arc, trunk.radius_mm, trunk.sure)
    foot = _in_foot(trunk)
    area = np.array([each.area_mm2 if each is not None else 0.0 for each in outlines])
    rows = np.nonzero(area > 0.0)[0]
    if not foot.any() or len(rows) < 3 or not foot[rows[0]]:
        return radius
    known = np.sqrt(area[rows] / np.pi)
    few = rows[: int(limit_of("taper", "slope_nodes"))]
    slope = min(float(np.polyfit(arc[few], known[: len(few)], 1)[0]), 0.0)
    below = np.minimum(arc[foot] - arc[rows[0]], 0.0) * slope
    radius[foot] = np.interp(arc[foot], arc[rows], known) + below
    return radius


def _of_equal_area(trunk: Limb, outlines: tuple[Outline | None, ...]) -> None:
    """Radii of the trunk become those of the circle of equal area where its outline is known."""
    area = np.array([each.area_mm2 if each is not None else 0.0 for each in outlines])
    rows = np.nonzero(area > 0.0)[0]
    if len(rows) < 3:
        return
    ratio = np.sqrt(area[rows] / np.pi) / trunk.radius_mm[rows]
    arc = trunk.arc_mm
    factor = np.interp(arc, arc[rows], ratio)
    foot = arc < arc[rows[0]]
    if foot.any():
        few = rows[: int(limit_of("taper", "slope_nodes"))]
        slope = float(np.polyfit(arc[few], np.sqrt(area[few] / np.pi), 1)[0])
        steepest = limit_of("section", "steepest_ratio")
        slope = float(np.clip(slope, -steepest, 0.0))
        wished = np.sqrt(area[rows[0]] / np.pi) + slope * (arc[foot] - arc[rows[0]])
        factor[foot] = wished / trunk.radius_mm[foot]
    # Above the last outline the trunk is thin and measured as every limb is.
    trunk.radius_mm = trunk.radius_mm * np.where(arc <= arc[rows[-1]], factor, 1.0)
