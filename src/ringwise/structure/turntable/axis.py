"""Axes: from paths of cells to smooth lines in the middle between the edges that the views show."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from ringwise.kit.types import BoolArray, FloatArray, Int32Array
from ringwise.structure.polyline import places_at, way_along
from ringwise.structure.turntable.limits import limit_of
from ringwise.structure.turntable.radius import Flanks, clean_views, flanks_of, radii_of
from ringwise.structure.turntable.topology import Paths
from ringwise.structure.turntable.views import Stack


def even_paths(paths: Paths, step_mm: float) -> Paths:
    """The same paths with nodes at even steps.

    Parameters
    ----------
    paths : Paths
        Nodes at any distance.
    step_mm : float
        Wished distance of nodes.

    Returns
    -------
    Paths
        Both ends of each path kept; feet moved to the nearest node of their path.

    Source
    ------
    own.

    Examples
    --------
    >>> points = np.array([[0, 0, z] for z in np.arange(11.0)])
    >>> one = Paths(points, np.ones(11), np.array([0, 11]), np.array([-1]), np.array([-1]))
    >>> even_paths(one, 2.0).points_mm[:, 2].tolist()
    [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]
    """
    points, radii, first, foot = [], [], [0], []
    for path in range(paths.count):
        rows = paths.rows(path)
        given = paths.points_mm[rows]
        far = way_along(given)
        count = max(round(far[-1] / step_mm), 1) + 1
        at = np.linspace(0.0, far[-1], count)
        points.append(places_at(given, far, at))
        radii.append(np.interp(at, far, paths.radius_mm[rows]))
        below = int(paths.parent[path])
        if below < 0:
            foot.append(-1)
        else:
            start = points[below] - given[0]
            foot.append(first[below] + int(np.argmin((start**2).sum(1))))
        first.append(first[-1] + count)
    return Paths(
        np.concatenate(points),
        np.concatenate(radii),
        np.array(first, np.int32),
        paths.parent,
        np.array(foot, np.int32),
    )


def spread_nodes(points_mm: FloatArray, radius_mm: FloatArray) -> FloatArray:
    """Over how many nodes a thick axis is smoothed: it cannot bend within a share of its radius.

    Parameters
    ----------
    points_mm : (n, 3) float
        Nodes of packed paths.
    radius_mm : (n,) float
        Radii.

    Returns
    -------
    (n,) float
        Spread in nodes.

    Source
    ------
    own: row axis.smooth_ratio of turntable.csv.

    Examples
    --------
    >>> spread_nodes(np.array([[0.0, 0, 0], [0, 0, 2], [0, 0, 4]]), np.full(3, 10.0)).tolist()
    [1.75, 1.75, 1.75]
    """
    steps = np.linalg.norm(np.diff(points_mm, axis=0), axis=1)
    step = max(float(np.median(steps)), 1e-9) if len(steps) else 1.0
    return np.asarray(limit_of("axis", "smooth_ratio") * radius_mm / step)


def tangents_of(points_mm: FloatArray, first: Int32Array, spread: FloatArray | None = None) -> FloatArray:
    """Directions of the axis at the nodes of packed paths, from the foot towards the tip.

    Parameters
    ----------
    points_mm : (n, 3) float
        Nodes.
    first : (p + 1,) int
        Where paths begin.
    spread : (n,) float, optional
        How many nodes to both sides count; at least one does.

    Returns
    -------
    (n, 3) float
        Unit vectors.

    Source
    ------
    own.

    Examples
    --------
    >>> tangents_of(np.array([[0.0, 0, 0], [0, 0, 2], [0, 0, 5]]), np.array([0, 3]))[:, 2].tolist()
    [1.0, 1.0, 1.0]
    """
    rows = np.arange(len(points_mm))
    path = np.searchsorted(first, rows, side="right") - 1
    wide = np.ones(len(rows), np.int64)
    if spread is not None:
        wide = np.maximum(wide, np.rint(np.nan_to_num(spread)).astype(np.int64))
    ahead = np.minimum(rows + wide, first[path + 1] - 1)
    behind = np.maximum(rows - wide, first[path])
    way = points_mm[ahead] - points_mm[behind]
    size = np.linalg.norm(way, axis=1)[:, None]
    return np.where(size > 1e-9, way / np.maximum(size, 1e-9), np.array([0.0, 0.0, 1.0]))


def smoothed(
    points_mm: FloatArray, first: Int32Array, spread_index: float, more: FloatArray | None = None
) -> FloatArray:
    """Packed paths smoothed along their length, ends held.

    Parameters
    ----------
    points_mm : (n, k) float
        Nodes.
    first : (p + 1,) int
        Where paths begin.
    spread_index : float
        Spread of the weights in nodes.
    more : (n,) float, optional
        Spread of each node where it is larger.

    Returns
    -------
    (n, k) float
        Smoothed.

    Source
    ------
    own.

    Examples
    --------
    >>> line = np.arange(12.0).reshape(4, 3)
    >>> bool(np.allclose(smoothed(line, np.array([0, 4]), 1.0), line))
    True
    """
    out = np.array(points_mm)
    for start, end in pairwise(first):
        line = points_mm[start:end]
        if end - start <= 2:
            continue
        out[start:end] = _smooth_line(line, spread_index)
        if more is None:
            continue
        # Between doubled spreads each node takes its share of both.
        wish = np.log2(np.maximum(more[start:end], spread_index) / spread_index)
        low, level = out[start:end].copy(), 0
        while level < wish.max():
            high = _smooth_line(line, spread_index * 2.0 ** (level + 1))
            part = np.clip(wish - level, 0.0, 1.0)[:, None]
            out[start:end] = np.where(part > 0.0, (1.0 - part) * low + part * high, out[start:end])
            low, level = high, level + 1
    return out


def _smooth_line(line: FloatArray, spread_index: float) -> FloatArray:
    from scipy.ndimage import gaussian_filter1d

    # Mirrored through its ends, a line keeps them and stays straight where it is straight.
    pad = int(4 * spread_index) + 2
    whole = np.pad(line, ((pad, pad), (0, 0)), mode="reflect", reflect_type="odd")
    return np.asarray(gaussian_filter1d(whole, spread_index, axis=0)[pad : pad + len(line)])


def climbed(stack: Stack, paths: Paths, step_mm: float) -> Paths:
    """Nodes moved to the ridge of the inside depth, then smoothed.

    Parameters
    ----------
    stack : Stack
        The views.
    paths : Paths
        Even paths.
    step_mm : float
        First step of the climb.

    Returns
    -------
    Paths
        With the depth as radius.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> stack, paths = rod_paths()
    >>> bool(np.abs(climbed(stack, paths, 2.0).points_mm[3:-3, :2]).max() < 0.5)
    True
    """
    from ringwise.structure.turntable import carve_kernels as kernels

    spread = spread_nodes(paths.points_mm, paths.radius_mm)
    points = smoothed(paths.points_mm, paths.first, limit_of("axis", "smooth_nodes"), spread)
    tangents = tangents_of(points, paths.first, spread)
    seen = limit_of("carve", "least_seen_frac")
    kernels.climb(points, tangents, stack.distance_px, stack.cameras, (-1e5, seen, 0.0, step_mm))
    inside = np.empty(len(points), np.float32)
    kernels.depths(points, stack.distance_px, stack.cameras, (-1e5, seen, 0.0), inside)
    points = smoothed(points, paths.first, 1.0, spread)
    # A thick stem's depth is flat across it near the soil: it stays in the middle of its slices.
    deep = limit_of("stem", "least_depth_cells") * step_mm
    stem = np.nonzero(np.maximum.accumulate(paths.radius_mm[paths.rows(0)][::-1])[::-1] >= deep)[0]
    points[stem], inside[stem] = paths.points_mm[stem], paths.radius_mm[stem]
    return replace(paths, points_mm=points, radius_mm=np.maximum(inside, step_mm * 0.3).astype(np.float64))


def centred(stack: Stack, paths: Paths, pixel_mm: float) -> tuple[Paths, Flanks, BoolArray]:
    """Nodes moved into the middle between their edges in the clean views, round by round.

    Parameters
    ----------
    stack : Stack
        The views.
    paths : Paths
        Nodes near the axes.
    pixel_mm : float
        What a pixel is worth at the tree.

    Returns
    -------
    paths : Paths
        With the radius that the clean views show; NaN where they show none.
    flanks : Flanks
        Edges about the last axes.
    clean : (n, views) bool
        Which views are clean.

    Source
    ------
    own: least squares of the shift at right angles to the axis; rows axis of turntable.csv.

    Examples
    --------
    >>> from ringwise.structure.turntable.samples import rod_paths
    >>> stack, paths = rod_paths()
    >>> bool(np.nanmax(abs(centred(stack, paths, 0.4)[0].radius_mm[4:-4] - 10.0)) < 0.1)
    True
    """
    points, expected = paths.points_mm, paths.radius_mm
    for _round in range(int(limit_of("axis", "rounds"))):
        spread = spread_nodes(points, expected)
        tangents = tangents_of(points, paths.first, spread)
        flanks = flanks_of(stack, points, tangents, expected)
        clean = clean_views(flanks.width_mm, pixel_mm)
        shift = _shift_mm(flanks, clean, tangents)
        _hold_ends(shift, points[paths.rows(0)], expected)
        size = np.linalg.norm(shift, axis=1)
        most = limit_of("axis", "most_shift_ratio") * expected + pixel_mm
        shift *= np.minimum(1.0, most / np.maximum(size, 1e-9))[:, None]
        points = smoothed(points + shift, paths.first, 0.7, spread)
        radius, _sd, _views = radii_of(flanks.width_mm, clean)
        expected = np.where(
            np.isfinite(radius),
            np.maximum(radius, expected * limit_of("axis", "least_again_ratio")),
            expected,
        )
    tangents = tangents_of(points, paths.first, spread_nodes(points, expected))
    flanks = flanks_of(stack, points, tangents, expected)
    clean = clean_views(flanks.width_mm, pixel_mm)
    radius, _sd, _views = radii_of(flanks.width_mm, clean)
    return replace(paths, points_mm=points, radius_mm=radius), flanks, clean


def _hold_ends(shift: FloatArray, trunk: FloatArray, radius_mm: FloatArray) -> None:
    """The lowest nodes of the trunk, whose flanks the soil cuts, move with the first above them."""
    few = radius_mm[: max(len(trunk) // 4, 1)]
    reach = limit_of("stem", "foot_ratio") * float(np.max(few))
    begin = min(int(np.searchsorted(way_along(trunk), reach)), len(trunk) // 2)
    shift[:begin] = shift[begin]
    # So do the highest, where a trunk is cut off blunt.
    arc = way_along(trunk)
    top = np.nonzero(arc[-1] - arc <= limit_of("stem", "foot_ratio") * radius_mm[: len(trunk)])[0]
    top = top[top > max(begin, len(trunk) // 2)]
    if len(top):
        shift[top] = shift[top[0] - 1]


def _shift_mm(flanks: Flanks, clean: BoolArray, tangents: FloatArray) -> FloatArray:
    """Least-squares shift of each node towards the middle between its edges, at right angles to its axis."""
    direction = np.where(clean[..., None], flanks.direction, 0.0)
    offset = np.where(clean, flanks.offset_mm, 0.0)
    normal = np.einsum("nva,nvb->nab", direction, direction)
    # The axis itself is held: no shift along it. A little weight keeps a node seen from one side in place.
    normal += np.einsum("na,nb->nab", tangents, tangents) + limit_of("axis", "hold_weight") * np.eye(3)
    right = np.einsum("nva,nv->na", direction, offset)
    return np.asarray(np.linalg.solve(normal, right[..., None])[..., 0])
